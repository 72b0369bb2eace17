"""The virtual cut: burns every path of a run with a disc of the kerf and looks at what is left.

    python virtual_cut.py OUT_DIR

Reads `report.json`, the net drawings of the plates and the cut-ready drawings of the sheets, and
knows nothing else about the program. Laws:

 1 size       every plate is left within 0.02 mm of nominal, but for one kerf around its own lead and what a round
              torch cannot reach in a sharp inside corner
 2 scrap      pierces and leads lie in scrap, on the sheet
 3 order      openings before the contour around them, parts in a window before the window
 4 direction  outsides clockwise, openings counter-clockwise, so that the good side is the part
 5 one path   every contour is cut once, on its layer; drilled holes are marked instead; with holding
              tabs it is cut by as many runs
 6 placement  plates lie on the sheet and apart from one another
 7 tabs       metal is left along a contour only where a holding tab is told, of the width told, and
              ties the plate to the sheet; for the sizes all tabs are snipped
 8 slugs      cuts across a slug burn no plate and come before its opening, and its pieces are as small as told
 9 skeleton   cuts in the skeleton come last, begin at the edge of the sheet or in a slot, burn no plate, leave no
              piece heavier than told; what a last cut parts comes off as its drawing has it
 10 starts    a run that is told to begin at an edge begins at that of the sheet or in a slot that is burnt by then; one
              that begins in a drilled hole has its centre marked
 11 shared    two edges lie a kerf apart, to be cut once, only where that is told, and as many as told

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
SCRAP = "SCRAP"
HEAVIER = 1.01  # a piece of the skeleton against what is told: it is reckoned in steps of a millimetre


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
    slugs: list  # the longest piece of each slug that is cut up, mm


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
    at: int  # its place among all runs of the sheet


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
    slugs = [slug["longest_mm"] for slug in entry.get("cut_up_slugs", [])]
    return Net(Polygon(outsides[0], inside), marked, tabs, slugs)


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
        self.out, self.entry = out, entry
        self.slugs = [nets[p["plate"]].slugs for p in self.placements]
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
        runs = [c for c in drawing.chains if c.layer in (*CUTTING, SCRAP)]
        self.closed_chains = [c for c in runs if c.closed]
        chains = [c for c in runs if c.layer in CUTTING]
        tree = STRtree([ring.line for ring in self.rings])
        places = [at for at, c in enumerate(runs) if c.layer in CUTTING]
        self.burns = [self.burn(i, at, chain, tree) for i, (at, chain) in enumerate(zip(places, chains))]
        # Each cut in scrap, with how many others come before it.
        before = [sum(c.layer in CUTTING for c in runs[:i]) for i, c in enumerate(runs) if c.layer == SCRAP]
        scraps = [c for c in runs if c.layer == SCRAP]
        self.scraps = [(at, c, swept(list(c.spans()), self.kerf / 2)) for at, c in zip(before, scraps)]
        places = [at for at, c in enumerate(runs) if c.layer == SCRAP]
        self.scraps_in_order = [(at, c, scar) for at, (_, c, scar) in zip(places, self.scraps)]

    def say(self, law, holds, words):
        self.verdict.check(law, holds, f"{self.name}: {words}")

    def burn(self, index, at, chain, tree):
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
        return Burn(index, chain.layer, line, starts[first], lead, contour, ring, scar, at)

    def followed(self, line, tree):
        """The contour that most of a path runs along, half a kerf away."""
        half = self.kerf / 2
        points = shapely.points(shapely.segmentize(line, 1.0).coords)
        best, ring = 0.3, None
        for candidate in tree.query(line.envelope.buffer(self.kerf)):
            away = shapely.distance(points, self.rings[candidate].line)
            beside = abs(away - half) < SLACK
            # Of the path, or of the contour where loops at its corners and the way to it are longer than that.
            share = max(beside.mean(), beside.sum() / self.rings[candidate].line.length)
            if share > best:
                best, ring = share, self.rings[candidate]
        return ring

    def check(self):
        self.check_placement()
        self.check_paths()
        self.check_order()
        self.check_direction()
        self.check_scrap()
        self.check_starts()
        self.check_shared()
        burnt = [burn.scar for burn in self.burns] + [scar for _, _, scar in self.scraps]
        self.left = self.metal.difference(unary_union(burnt))
        self.check_tabs()
        self.check_size()
        skeleton = self.check_slugs()
        self.check_skeleton(skeleton)

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
            if self.start_of(burn.at) == "edge":
                off = off.difference(pierce.buffer(self.kerf))
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

    def start_of(self, at):
        """How the run at a place in the order is told to begin."""
        told = self.entry.get("runs", [])
        return told[at].get("start") if at < len(told) else None

    def check_starts(self):
        told = [run.get("start") for run in self.entry.get("runs", [])]
        if not any(told):
            return
        # Runs of the report are those of the drawing: cuts across slugs stand among them.
        order = sorted([(b.at, b.line, b.scar) for b in self.burns] + [(at, LineString(c.points()), scar) for at, c, scar in self.scraps_in_order], key=lambda it: it[0])
        burnt = Polygon()
        for number, (start, (_, line, scar)) in enumerate(zip(told, order), 1):
            at = Point(line.coords[0])
            if start == "edge":
                is_open = self.metal.boundary.distance(at) < self.kerf / 2 or burnt.distance(at) < TOLERANCE
                self.say("starts", is_open, f"run {number} begins in solid metal at {spot(at)}")
            if start == "drilled":
                self.say("starts", any(at.distance(mark) < 1e-3 for mark in self.spots), f"no centre is marked where run {number} begins")
            if "edge" in told:
                burnt = unary_union([burnt, scar])

    def check_shared(self):
        told = self.entry.get("shared_cuts", {}).get("edges", 0)
        tree = STRtree(self.faces)
        found = 0
        for i, face in enumerate(self.faces):
            around = face.buffer(self.kerf + TOLERANCE, quad_segs=64)
            for j in tree.query(around):
                beside = self.faces[j].exterior.intersection(around).length if j > i else 0.0
                found += beside > 4 * self.kerf
        if told or found:
            self.say("shared", found == told, f"{found} edges lie a kerf apart, {told} are told to be cut once")

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
            if over >= TOLERANCE:
                # A torch is round: in a sharp inside corner it leaves what its disc does not reach.
                torch = self.kerf / 2
                unreached = face.buffer(torch, quad_segs=64).buffer(TOLERANCE - torch, quad_segs=64)
                extra = extra.difference(unreached)
                over = depth(extra, face)
            self.say("size", over < TOLERANCE, f"{self.call(i)} is {over:.3f} mm too large at {spot(extra)}")
            lost = face.difference(part).difference(spared)
            under = depth(lost, face.boundary)
            self.say("size", under < TOLERANCE, f"{self.call(i)} is {under:.3f} mm too small at {spot(lost)}")
            self.deepest = max(self.deepest, over, under)


    def burns_plate(self, scar):
        """The placement that a cut in scrap bites, if it does."""
        tree = STRtree(self.faces)
        bitten = (i for i in tree.query(scar) if depth(scar.intersection(self.faces[i]), self.faces[i].boundary) >= TOLERANCE)
        return next(bitten, None)

    def check_slugs(self):
        """Cuts across slugs; gives the other cuts in scrap."""
        openings = [ring for ring in self.rings if ring.opening]
        tree = STRtree([Polygon(ring.line) for ring in openings])
        cut_up, others = {}, []
        for at, chain, scar in self.scraps:
            middle = LineString(chain.points()).interpolate(0.5, normalized=True)
            around = [openings[k] for k in tree.query(middle, predicate="within")]
            guests = any(face.contains(middle) for face in self.faces)
            if not around or guests:
                others.append((at, chain, scar))
                continue
            ring = min(around, key=lambda ring: Polygon(ring.line).area)
            cut_up.setdefault(id(ring), (ring, []))[1].append(scar)
            self.say("slugs", at <= min(ring.paths, default=0), f"a slug of {self.call(ring.owner)} is cut up once it is loose")
            bitten = self.burns_plate(scar)
            self.say("slugs", bitten is None, f"a cut across a slug burns {bitten is not None and self.call(bitten)}")
            pierce = Point(chain.points()[0])
            self.say("slugs", ring.line.distance(pierce) > self.kerf, f"a cut across a slug of {self.call(ring.owner)} is pierced at its edge")
        for ring, scars in cut_up.values():
            burnt = unary_union([*scars, *(self.burns[i].scar for i in ring.paths)])
            pieces = Polygon(ring.line).difference(burnt)
            told = max(self.slugs[ring.owner], default=0.0)
            for piece in getattr(pieces, "geoms", [pieces]):
                if piece.distance(ring.line) < TOLERANCE and piece.area < 4 * self.kerf**2:
                    continue  # what a round torch leaves in the plate's sharp corners
                longest = 2 * shapely.minimum_bounding_radius(piece)
                spread = max((math.dist(a, b) for a in hull(piece) for b in hull(piece)), default=0.0)
                words = f"a piece of a slug of {self.call(ring.owner)} is {spread:.2f} mm long, not {told:.2f} at most"
                self.say("slugs", min(longest, spread) < told + TOLERANCE, words)
        for owner, told in enumerate(self.slugs):
            own = [ring for ring in openings if ring.owner == owner]
            lie_in = [f.representative_point() for k, f in enumerate(self.faces) if k != owner]
            taken = [ring for ring in own if any(Polygon(ring.line).contains(p) for p in lie_in)]
            found = sum(ring.owner == owner for ring, _ in cut_up.values())
            words = f"{found} slugs of {self.call(owner)} are cut up, {len(told)} are told, {len(taken)} hold other plates"
            self.say("slugs", len(told) - len(taken) <= found <= len(told), words)
        return others

    def check_skeleton(self, cuts):
        told = self.entry.get("skeleton")
        wanted = told["cuts"] + told["cut_off_runs"] if told else 0
        self.say("skeleton", len(cuts) == wanted, f"{len(cuts)} cuts in the skeleton, {wanted} told")
        burnt = unary_union([burn.scar for burn in self.burns])
        for at, chain, scar in cuts:
            self.say("skeleton", at == len(self.burns), "a cut in the skeleton comes before a plate is cut")
            bitten = self.burns_plate(scar)
            self.say("skeleton", bitten is None, f"a cut in the skeleton burns {bitten is not None and self.call(bitten)}")
            start = Point(chain.points()[0])
            is_open = self.metal.boundary.distance(start) < TOLERANCE or burnt.distance(start) < TOLERANCE
            self.say("skeleton", is_open, f"a cut in the skeleton begins in metal at {spot(start)}")
            burnt = unary_union([burnt, scar])
        if not told:
            return
        left = self.snipped()
        pieces = list(getattr(left, "geoms", [left]))
        pieces = [p for p in pieces if not any(p.intersects(face) and p.intersection(face).area > 1.0 for face in self.faces)]
        # Slugs are no pieces of the skeleton: they fall out of openings.
        openings = STRtree([Polygon(ring.line) for ring in self.rings if ring.opening])
        pieces = [p for p in pieces if not len(openings.query(p.representative_point(), predicate="within"))]
        if told["cut_off_runs"]:
            pieces = self.check_parted(pieces)
        if told["pieces_kg"]:
            kilograms = self.entry["mass_kg"] / self.metal.area
            heaviest = max(p.area for p in pieces) * kilograms
            limit = max(told["pieces_kg"])
            words = f"a piece of the skeleton is {heaviest:.2f} kg, not {limit:.2f} kg at most"
            self.say("skeleton", heaviest < limit * HEAVIER, words)

    def check_parted(self, pieces):
        """What is left comes off as its drawing has it; gives the other pieces."""
        file = self.entry["remnant"].get("file")
        self.say("skeleton", file is not None, "what is left is parted and has no drawing")
        if file is None:
            return pieces
        edges = [Polygon(c.points()) for c in drawings.read(self.out / file).chains if c.layer == "SHEET"]
        largest = max(edges, key=lambda edge: edge.area)
        drawn = largest.difference(unary_union([e for e in edges if e is not largest]))
        parted = min(pieces, key=lambda p: abs(p.area - drawn.area))
        moved = affinity.translate(parted, -parted.bounds[0], -parted.bounds[1])
        off = depth(moved.symmetric_difference(drawn), drawn.boundary)
        self.say("skeleton", off < TOLERANCE, f"what is left comes off {off:.3f} mm off its drawing")
        return [p for p in pieces if p is not parted]


def hull(shape):
    around = shape.convex_hull
    return list(around.exterior.coords) if around.geom_type == "Polygon" else []


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
