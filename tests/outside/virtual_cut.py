"""The virtual cut: burns every path of a run with a disc of the kerf and looks at what is left.

    python virtual_cut.py OUT_DIR

Reads `report.json`, the net drawings of the plates and the cut-ready drawings of the sheets, and
knows nothing else about the program. Laws:

 1 size       every plate is left within 0.02 mm of nominal, but for one kerf around its own lead
 2 scrap      pierces and leads lie in scrap, on the sheet
 3 order      openings before the contour around them, parts in a window before the window
 4 direction  outsides clockwise, openings counter-clockwise, so that the good side is the part
 5 one path   every contour is cut once, on its layer; drilled holes are marked instead
 6 placement  plates lie on the sheet and apart from one another

Prints a count per law and fails if any check failed.
"""

import json
import math
import sys
from collections import Counter
from dataclasses import dataclass, field
from pathlib import Path

from shapely import STRtree, affinity, prepare
from shapely.geometry import LinearRing, LineString, Point, Polygon
from shapely.ops import unary_union

import drawings

TOLERANCE = 0.02  # mm: what is left against nominal
ROUND = 64  # segments in a quarter of the kerf's disc
CUTTING = ("OUTSIDE", "INSIDE", "SMALL_HOLE")


class Verdict:
    """Checks done and failures, law by law."""

    def __init__(self):
        self.done = Counter()
        self.failures = []

    def check(self, law, holds, words):
        self.done[law] += 1
        if not holds:
            self.failures.append(f"{law}: {words}")


@dataclass
class Net:
    """A plate as it leaves the table: nominal, but with drilled holes absent or still undersize."""

    face: Polygon
    marked: list  # centres of holes that are only marked


@dataclass
class Ring:
    """One contour of a placement that must be cut."""

    owner: int
    opening: bool
    line: LinearRing
    paths: list = field(default_factory=list)
    band: Polygon | None = None

    def alley(self, half, slack):
        """Where a path that cuts this contour runs: half a kerf away on either side."""
        if self.band is None:
            self.band = self.line.buffer(half + slack).difference(self.line.buffer(half - slack))
        return self.band


@dataclass
class Burn:
    """One cut path on the sheet."""

    index: int
    layer: str
    line: LineString
    touch: Point  # where the lead-in meets the contour
    lead: list  # points up to the touch
    contour: list  # points from the touch on
    ring: Ring | None


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
        if drill["pilot_mm"] is None:
            marked.append(at)
        else:
            inside.append(circle(at, drill["pilot_mm"] / 2))
    inside += [circle(at, r) for at, r in holes]
    if len(outsides) != 1:
        raise SystemExit(f"{entry['name']}: {len(outsides)} outside contours")
    return Net(Polygon(outsides[0], inside), marked)


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
        chains = [c for c in drawing.chains if c.layer in CUTTING]
        self.closed_chains = [c for c in chains if c.closed]
        tree = STRtree([ring.line for ring in self.rings])
        self.burns = [self.burn(i, chain, tree) for i, chain in enumerate(chains)]

    def say(self, law, holds, words):
        self.verdict.check(law, holds, f"{self.name}: {words}")

    def burn(self, index, chain, tree):
        """Finds the contour that a path cuts, and where its lead-in ends."""
        half, slack = self.kerf / 2, 5 * TOLERANCE
        line = LineString(chain.points())
        spans = list(chain.spans())
        near = tree.query(line.buffer(half + slack))
        ring, follow = None, -1.0
        for candidate in near:
            along = line.intersection(self.rings[candidate].alley(half, slack)).length
            if along > follow:
                ring, follow = self.rings[candidate], along
        if ring is None:
            return Burn(index, chain.layer, line, Point(spans[0][0]), [], chain.points(), None)
        ring.paths.append(index)
        ends = [start for start, _, _ in spans]
        first = next((i for i, p in enumerate(ends) if ring.line.distance(Point(p)) < half + slack), 0)
        lead = drawings.flatten(spans[:first]) if first else []
        return Burn(index, chain.layer, line, Point(ends[first]), lead, drawings.flatten(spans[first:]), ring)

    def check(self):
        self.check_placement()
        self.check_paths()
        self.check_order()
        self.check_direction()
        self.check_scrap()
        self.check_size()

    def check_placement(self):
        tree = STRtree(self.faces)
        for i, face in enumerate(self.faces):
            inside = face.difference(self.metal.buffer(-self.kerf)).area < 1e-6
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
            words = f"{what} of {self.call(ring.owner)} has {len(ring.paths)} cut paths"
            self.say("one path", len(ring.paths) == 1, words)
        for burn in self.burns:
            self.say("one path", burn.ring is not None, f"path {burn.index} cuts no contour")
            if burn.ring:
                fits = burn.layer in ("INSIDE", "SMALL_HOLE") if burn.ring.opening else burn.layer == "OUTSIDE"
                self.say("one path", fits, f"path {burn.index} is on layer {burn.layer}")
        for mark in self.marks:
            found = any(mark.distance(spot) < 1e-3 for spot in self.spots)
            self.say("one path", found, f"no centre mark at {mark.x:.3f}, {mark.y:.3f} for a drilled hole")

    def check_order(self):
        outside = {r.owner: r.paths[0] for r in self.rings if not r.opening and r.paths}
        for ring in self.rings:
            if not ring.opening or not ring.paths:
                continue
            last = ring.paths[0]
            words = f"an opening of {self.call(ring.owner)} is cut after its outside"
            self.say("order", last < outside.get(ring.owner, math.inf), words)
            window = Polygon(ring.line)
            for other, face in enumerate(self.faces):
                if other != ring.owner and window.contains(face.representative_point()):
                    words = f"{self.call(other)} is cut after the window of {self.call(ring.owner)} it lies in"
                    self.say("order", outside.get(other, math.inf) < last, words)

    def check_direction(self):
        for burn in self.burns:
            if burn.ring is None or len(burn.contour) < 3:
                continue
            loop = [p for p in burn.contour]
            area = sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(loop, loop[1:] + loop[:1])) / 2
            holds = area > 0 if burn.ring.opening else area < 0
            way = "counter-clockwise" if area > 0 else "clockwise"
            what = "an opening" if burn.ring.opening else "an outside"
            self.say("direction", holds, f"path {burn.index} runs {way} around {what}")

    def check_scrap(self):
        half = self.kerf / 2
        tree = STRtree(self.faces)
        for burn in self.burns:
            lead = LineString(burn.lead) if len(burn.lead) > 1 else burn.touch
            pierce = Point(burn.line.coords[0])
            self.say("scrap", len(burn.lead) > 1, f"path {burn.index} has no lead-in")
            own = burn.touch.buffer(self.kerf)
            on_sheet = self.metal.buffer(TOLERANCE - half).covers(burn.line)
            self.say("scrap", on_sheet, f"path {burn.index} leaves the sheet")
            for i in tree.query(burn.line.buffer(half)):
                face = self.faces[i]
                clear = face.distance(pierce) >= half - TOLERANCE
                self.say("scrap", clear, f"path {burn.index} pierces {self.call(i)}")
                if face.distance(lead) >= half:
                    continue
                mine = burn.ring is not None and i == burn.ring.owner
                bitten = lead.buffer(half, quad_segs=ROUND).intersection(face.buffer(-TOLERANCE))
                bitten = bitten.difference(own) if mine else bitten
                self.say("scrap", bitten.area < 1e-6, f"the lead of path {burn.index} burns {self.call(i)}")

    def check_size(self):
        half = self.kerf / 2
        burnt = unary_union([b.line.buffer(half, quad_segs=ROUND) for b in self.burns])
        left = self.metal.difference(burnt)
        pieces = list(getattr(left, "geoms", [left]))
        tree = STRtree(pieces)
        for i, face in enumerate(self.faces):
            core = face.buffer(-TOLERANCE)
            prepare(core)
            touches = [b.touch.buffer(self.kerf) for b in self.burns if b.ring and b.ring.owner == i]
            spared = unary_union(touches)
            mine = [pieces[k] for k in tree.query(core) if core.intersection(pieces[k]).area > 1e-3]
            self.say("size", len(mine) == 1, f"{self.call(i)} comes out in {len(mine)} pieces")
            part = unary_union(mine)
            extra = part.difference(face.buffer(TOLERANCE, quad_segs=ROUND)).difference(spared)
            words = f"{self.call(i)} keeps {extra.area:.4f} mm2 too much at {spot(extra)}"
            self.say("size", extra.area < 1e-6, words)
            lost = core.difference(part).difference(spared)
            words = f"{self.call(i)} loses {lost.area:.4f} mm2 at {spot(lost)}"
            self.say("size", lost.area < 1e-6, words)


def spot(shape):
    if shape.is_empty:
        return "nowhere"
    point = shape.representative_point()
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
        placed.update(p["plate"] for p in entry["placements"])
    for missing in report["unplaced"]:
        placed[missing["plate"]] += missing["quantity"]
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
    for failure in verdict.failures[:40]:
        print("FAILED", failure)
    if verdict.failures or not verdict.done["size"]:
        raise SystemExit(1)


if __name__ == "__main__":
    main()
