"""The virtual cut: burns every path of a run with a disc of the kerf and looks at what is left.

    python virtual_cut.py OUT_DIR

Reads `report.json`, the net drawings of the plates and the cut-ready drawings of the sheets, and
knows nothing else about the program. Laws:

 1 size       every plate is left within 0.02 mm of nominal, but for one kerf around its own lead
 2 scrap      pierces and leads lie in scrap, on the sheet
 3 order      openings before the contour around them, parts in a window before the window
 4 direction  outsides clockwise, openings counter-clockwise, so that the good side is the part
 5 one path   every contour is cut once, on its layer; drilled holes are marked instead; with holding
              tabs it is cut by as many runs
 6 placement  plates lie on the sheet and apart from one another
 7 tabs       metal is left along a contour only where a holding tab is told, of the width told, and
              ties the plate to the sheet; for the sizes all tabs are snipped

Prints a count per law and fails if any check failed.
"""

import json
import math
import sys
from collections import Counter
from dataclasses import dataclass, field
from pathlib import Path

import shapely
from shapely import STRtree, affinity
from shapely.geometry import LinearRing, LineString, Point, Polygon
from shapely.ops import unary_union

import drawings
from sweep import depth, swept

TOLERANCE = 0.02  # mm: what is left against nominal
SLACK = 0.1  # mm: how far a path may run off and still be known as that of a contour
CUTTING = ("OUTSIDE", "INSIDE", "SMALL_HOLE")


class Verdict:
    """Checks done and failures, law by law."""

    def __init__(self):
        self.done = Counter()
        self.failures = []
        self.deepest = 0.0  # mm: the worst of all sizes, away from leads

    def check(self, law, holds, words):
        self.done[law] += 1
        if not holds:
            self.failures.append(f"{law}: {words}")


@dataclass
class Net:
    """A plate as it leaves the table: nominal, but with drilled holes absent or still undersize."""

    face: Polygon
    marked: list  # centres of holes that are only marked
    tabs: list  # (middle on the finished edge, width) of each holding tab


@dataclass
class Ring:
    """One contour of a placement that must be cut."""

    owner: int
    opening: bool
    line: LinearRing
    paths: list = field(default_factory=list)
    tabs: list = field(default_factory=list)  # (middle on the finished edge, width)

    def middle_of_kerf(self, half):
        """The line that the torch should follow."""
        inside = Polygon(self.line)
        side = -half if self.opening else half
        return inside.buffer(side, quad_segs=64).boundary

    def band(self, kerf):
        """The kerf beside the finished edge."""
        inside = Polygon(self.line)
        if self.opening:
            return inside.difference(inside.buffer(-kerf, quad_segs=64))
        return inside.buffer(kerf, quad_segs=64).difference(inside)


@dataclass
class Burn:
    """One cut path on the sheet."""

    index: int
    layer: str
    line: LineString
    touch: Point  # where the lead-in meets the contour
    lead: Polygon | None  # what the lead-in burns
    contour: list  # points from the touch on
    ring: Ring | None
    scar: Polygon  # what the whole path burns


def net_plate(out, entry):
    drawing = drawings.read(out / entry["file"])
    outsides = [c.points() for c in drawing.chains if c.layer == "OUTSIDE"]
    outsides += [circle(at, r) for layer, at, r in drawing.circles if layer == "OUTSIDE"]
    inside = [c.points() for c in drawing.chains if c.layer in ("INSIDE", "SMALL_HOLE")]
    holes = [(at, r) for layer, at, r in drawing.circles if layer in ("INSIDE", "SMALL_HOLE")]
    marked = []
    for drill in entry["drill_list"]:
        at = (drill["x_mm"], drill["y_mm"])
        nearest = min(holes, key=lambda hole: math.dist(hole[0], at), default=None)
        if nearest is None or math.dist(nearest[0], at) > 1e-3:
            raise SystemExit(f"{entry['name']}: no hole at {at} for its drill list")
        holes.remove(nearest)
        if drill.get("pilot_mm") is None:
            marked.append(at)
        else:
            inside.append(circle(at, drill["pilot_mm"] / 2))
    inside += [circle(at, r) for at, r in holes]
    if len(outsides) != 1:
        raise SystemExit(f"{entry['name']}: {len(outsides)} outside contours")
    tabs = [(Point(tab["x_mm"], tab["y_mm"]), tab["width_mm"]) for tab in entry.get("holding_tabs", [])]
    return Net(Polygon(outsides[0], inside), marked, tabs)


def circle(at, radius):
    x, y = at
    half = [((x + radius, y), (x - radius, y), 1.0), ((x - radius, y), (x + radius, y), 1.0)]
    return drawings.flatten(half)


def place(shape, placement):
    turned = affinity.rotate(shape, placement["turn_deg"], origin=(0, 0))
    return affinity.translate(turned, placement["x_mm"], placement["y_mm"])


class Sheet:
    """One sheet: what should be left, and what the torch does."""

    def __init__(self, out, entry, nets, verdict):
        self.name, self.kerf, self.verdict = entry["file"], entry["kerf_mm"], verdict
        self.placements = entry["placements"]
        self.deepest = 0.0
        self.faces = [place(nets[p["plate"]].face, p) for p in self.placements]
        self.marks = [place(Point(m), p) for p in self.placements for m in nets[p["plate"]].marked]
        drawing = drawings.read(out / entry["file"])
        edges = [Polygon(c.points()) for c in drawing.chains if c.layer == "SHEET"]
        largest = max(edges, key=lambda edge: edge.area)
        self.metal = largest.difference(unary_union([e for e in edges if e is not largest]))
        self.spots = [Point(at) for layer, at in drawing.spots if layer == "CENTRE_MARK"]
        self.rings = [
            Ring(i, opening, line)
            for i, face in enumerate(self.faces)
            for opening, line in [(False, face.exterior), *((True, h) for h in face.interiors)]
        ]
        for i, p in enumerate(self.placements):
            own = [ring for ring in self.rings if ring.owner == i]
            for at, width in nets[p["plate"]].tabs:
                at = place(at, p)
                min(own, key=lambda ring: ring.line.distance(at)).tabs.append((at, width))
        chains = [c for c in drawing.chains if c.layer in CUTTING]
        self.closed_chains = [c for c in chains if c.closed]
        tree = STRtree([ring.line for ring in self.rings])
        self.burns = [self.burn(i, chain, tree) for i, chain in enumerate(chains)]

    def say(self, law, holds, words):
        self.verdict.check(law, holds, f"{self.name}: {words}")

    def burn(self, index, chain, tree):
        """Finds the contour that a path cuts, and where its lead-in ends."""
        half = self.kerf / 2
        line, spans = LineString(chain.points()), list(chain.spans())
        scar = swept(spans, half)
        ring = self.followed(line, tree)
        starts = [Point(start) for start, _, _ in spans]
        first = 0
        if ring is not None:
            ring.paths.append(index)
            near = (i for i, start in enumerate(starts) if ring.line.distance(start) < half + SLACK)
            first = next(near, 0)
        lead = swept(spans[:first], half) if first else None
        contour = drawings.flatten(spans[first:])
        return Burn(index, chain.layer, line, starts[first], lead, contour, ring, scar)

    def followed(self, line, tree):
        """The contour that most of a path runs along, half a kerf away."""
        half = self.kerf / 2
        points = shapely.points(shapely.segmentize(line, 1.0).coords)
        best, ring = 0.3, None
        for candidate in tree.query(line.envelope.buffer(self.kerf)):
            away = shapely.distance(points, self.rings[candidate].line)
            share = (abs(away - half) < SLACK).mean()
            if share > best:
                best, ring = share, self.rings[candidate]
        return ring

    def check(self):
        self.check_placement()
        self.check_paths()
        self.check_order()
        self.check_direction()
        self.check_scrap()
        self.left = self.metal.difference(unary_union([burn.scar for burn in self.burns]))
        self.check_tabs()
        self.check_size()

    def check_placement(self):
        tree = STRtree(self.faces)
        for i, face in enumerate(self.faces):
            inside = self.metal.contains(face) and self.metal.boundary.distance(face) >= self.kerf - TOLERANCE
            self.say("placement", inside, f"{self.call(i)} is not on the sheet with its kerf")
            for j in tree.query(face.buffer(self.kerf)):
                if j > i:
                    apart = face.distance(self.faces[j])
                    words = f"{self.call(i)} and {self.call(j)} are {apart:.3f} apart, less than the kerf"
                    self.say("placement", apart >= self.kerf - TOLERANCE, words)

    def call(self, i):
        placement = self.placements[i]
        return f"{placement['plate']} copy {placement['copy']}"

    def check_paths(self):
        self.say("one path", not self.closed_chains, "a cut path is closed: it has no lead-in")
        for ring in self.rings:
            what = "an opening" if ring.opening else "the outside"
            words = f"{what} of {self.call(ring.owner)} has {len(ring.paths)} cut paths and {len(ring.tabs)} tabs"
            self.say("one path", len(ring.paths) == max(1, len(ring.tabs)), words)
        for burn in self.burns:
            self.say("one path", burn.ring is not None, f"path {burn.index} cuts no contour")
            if burn.ring:
                fits = burn.layer in ("INSIDE", "SMALL_HOLE") if burn.ring.opening else burn.layer == "OUTSIDE"
                self.say("one path", fits, f"path {burn.index} is on layer {burn.layer}")
        for mark in self.marks:
            found = any(mark.distance(spot) < 1e-3 for spot in self.spots)
            self.say("one path", found, f"no centre mark at {mark.x:.3f}, {mark.y:.3f} for a drilled hole")

    def check_order(self):
        first = {r.owner: min(r.paths) for r in self.rings if not r.opening and r.paths}
        outside = {r.owner: max(r.paths) for r in self.rings if not r.opening and r.paths}
        for ring in self.rings:
            if not ring.opening or not ring.paths:
                continue
            begun, last = min(ring.paths), max(ring.paths)
            words = f"an opening of {self.call(ring.owner)} is cut after its outside"
            self.say("order", last < first.get(ring.owner, math.inf), words)
            window = Polygon(ring.line)
            for other, face in enumerate(self.faces):
                if other != ring.owner and window.contains(face.representative_point()):
                    words = f"{self.call(other)} is cut after the window of {self.call(ring.owner)} it lies in"
                    self.say("order", outside.get(other, math.inf) < begun, words)

    def check_direction(self):
        for ring in self.rings:
            # With tabs the runs go round one after the other.
            loop = [p for i in ring.paths for p in self.burns[i].contour]
            if len(loop) < 3:
                continue
            area = sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(loop, loop[1:] + loop[:1])) / 2
            holds = area > 0 if ring.opening else area < 0
            way = "counter-clockwise" if area > 0 else "clockwise"
            what = "an opening" if ring.opening else "an outside"
            self.say("direction", holds, f"path {ring.paths[0]} runs {way} around {what}")

    def check_scrap(self):
        half = self.kerf / 2
        tree = STRtree(self.faces)
        for burn in self.burns:
            pierce = Point(burn.line.coords[0])
            self.say("scrap", burn.lead is not None, f"path {burn.index} has no lead-in")
            off = burn.scar.difference(self.metal)
            self.say("scrap", depth(off, self.metal) < TOLERANCE, f"path {burn.index} leaves the sheet")
            for i in tree.query(burn.scar):
                face = self.faces[i]
                clear = face.distance(pierce) >= half - TOLERANCE
                self.say("scrap", clear, f"path {burn.index} pierces {self.call(i)}")
                if burn.lead is None:
                    continue
                bitten = burn.lead.intersection(face)
                if burn.ring is not None and i == burn.ring.owner:
                    bitten = bitten.difference(burn.touch.buffer(self.kerf))
                words = f"the lead of path {burn.index} burns {self.call(i)}"
                self.say("scrap", depth(bitten, face.boundary) < TOLERANCE, words)

    def check_tabs(self):
        half = self.kerf / 2
        pieces = [piece for piece in getattr(self.left, "geoms", [self.left])]
        tree = STRtree(pieces)
        for ring in self.rings:
            told, where = list(ring.tabs), f"{'an opening' if ring.opening else 'the outside'} of {self.call(ring.owner)}"
            line = ring.middle_of_kerf(half)
            near = unary_union([line.intersection(pieces[k]) for k in tree.query(line)])
            near = shapely.line_merge(near) if near.geom_type == "MultiLineString" else near
            for stretch in getattr(near, "geoms", [near]):
                if stretch.length < TOLERANCE:
                    continue
                middle = stretch.interpolate(0.5, normalized=True)
                tab = min(told, key=lambda tab: tab[0].distance(middle), default=None)
                if tab is None or tab[0].distance(middle) > half + tab[1] / 2:
                    self.say("tabs", False, f"{where} is not cut for {stretch.length:.3f} mm at {spot(middle)}")
                    continue
                told.remove(tab)
                width = self.narrowest(ring, middle)
                words = f"{where} has a tab of {width:.3f} mm at {spot(middle)}, not {tab[1]:.3f} mm"
                self.say("tabs", abs(width - tab[1]) < TOLERANCE, words)
                self.say("tabs", self.ties(tab, middle), f"{where}: the tab at {spot(middle)} holds nothing")
            for at, _ in told:
                self.say("tabs", False, f"{where} has no tab at {spot(at)}")
            self.say("tabs", True, "")

    def narrowest(self, ring, middle):
        """The metal between the end of one run and the lead and start of the next."""
        burns = [self.burns[i] for i in ring.paths]
        end = min((Point(burn.line.coords[-1]) for burn in burns), key=middle.distance)
        start = min(burns, key=lambda burn: burn.touch.distance(middle))
        lead = start.lead.distance(end) if start.lead is not None else math.inf
        return min(lead - self.kerf / 2, start.touch.distance(end) - self.kerf)

    def ties(self, tab, middle):
        """Whether a tab alone joins the plate to what lies beyond the kerf."""
        (at, width), half = tab, self.kerf / 2
        out = ((middle.x - at.x) / half, (middle.y - at.y) / half)
        plate = Point(at.x - 0.05 * out[0], at.y - 0.05 * out[1])
        beyond = Point(at.x + (self.kerf + 0.1) * out[0], at.y + (self.kerf + 0.1) * out[1])
        around = self.left.intersection(at.buffer(width + 2 * self.kerf))
        return any(p.intersects(plate) and p.intersects(beyond) for p in getattr(around, "geoms", [around]))

    def snipped(self):
        """What is left once every tab is taken off flush."""
        stubs = [
            ring.band(self.kerf).intersection(at.buffer(width + 2 * self.kerf))
            for ring in self.rings
            for at, width in ring.tabs
        ]
        return self.left.difference(unary_union(stubs)) if stubs else self.left

    def check_size(self):
        left = self.snipped()
        pieces = list(getattr(left, "geoms", [left]))
        tree = STRtree(pieces)
        for i, face in enumerate(self.faces):
            own = [b for b in self.burns if b.ring and b.ring.owner == i]
            spared = unary_union([b.touch.buffer(self.kerf) for b in own])
            mine = [pieces[k] for k in tree.query(face)]
            mine = [piece for piece in mine if piece.intersection(face).area > TOLERANCE * face.length]
            self.say("size", len(mine) == 1, f"{self.call(i)} comes out in {len(mine)} pieces")
            part = unary_union(mine)
            extra = part.difference(face).difference(spared)
            over = depth(extra, face)
            self.say("size", over < TOLERANCE, f"{self.call(i)} is {over:.3f} mm too large at {spot(extra)}")
            lost = face.difference(part).difference(spared)
            under = depth(lost, face.boundary)
            self.say("size", under < TOLERANCE, f"{self.call(i)} is {under:.3f} mm too small at {spot(lost)}")
            self.deepest = max(self.deepest, over, under)


def spot(shape):
    if shape.is_empty:
        return "nowhere"
    if isinstance(shape, Point):
        return f"{shape.x:.2f}, {shape.y:.2f}"
    parts = getattr(shape, "geoms", [shape])
    point = max(parts, key=lambda part: part.area).representative_point()
    return f"{point.x:.2f}, {point.y:.2f}"


def verify(out):
    """All laws on all sheets of a run."""
    report = json.loads((out / "report.json").read_text())
    verdict = Verdict()
    nets = {plate["name"]: net_plate(out, plate) for plate in report["plates"]}
    placed = Counter()
    for entry in report["sheets"]:
        sheet = Sheet(out, entry, nets, verdict)
        sheet.check()
        verdict.deepest = max(verdict.deepest, sheet.deepest)
        placed.update(p["plate"] for p in entry["placements"])
    for missing in report["unplaced"]:
        placed[missing["plate"]] += missing["copies"]
    for plate in report["plates"]:
        words = f"{plate['name']}: {placed[plate['name']]} placed or listed as unplaced, {plate['quantity']} wanted"
        verdict.check("placement", placed[plate["name"]] == plate["quantity"], words)
    return verdict


def main():
    if len(sys.argv) != 2:
        raise SystemExit(__doc__)
    verdict = verify(Path(sys.argv[1]))
    for law, count in sorted(verdict.done.items()):
        bad = sum(f.startswith(f"{law}:") for f in verdict.failures)
        print(f"{law:10} {count:6} checks, {bad} failed")
    print(f"worst size: {verdict.deepest:.4f} mm off nominal, away from leads")
    for failure in verdict.failures[:40]:
        print("FAILED", failure)
    if verdict.failures or not verdict.done["size"]:
        raise SystemExit(1)


if __name__ == "__main__":
    main()
