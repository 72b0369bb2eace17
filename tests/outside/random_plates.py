"""Builds random plates anew with shapely and holds the program's against them.

    python random_plates.py PLATES

Each line of PLATES is a recipe with what the program made of it: contours with bulges and the least
width of its metal, or why it refused. Every plate must be the same as recipes.py makes it, on fine
chords. Drawn in by a little less than half its least width, it must stay in one piece and keep every
opening apart; at the place of the least width the edge must be half of it away. One that is not
refused as too narrow for the kerf must do the same drawn in by half a kerf. A refusal must be borne out.
"""

import json
import math
import multiprocessing
import sys
import tomllib
from collections import Counter

from shapely import GEOSException, intersection_all, make_valid
from shapely.geometry import Point, Polygon
from shapely.ops import unary_union

import growing
import recipes

QUARTER = 96  # chords of a quarter circle, of 50 mm radius within 0.002 mm
CHORD = 1e-3  # mm, of the program's arcs
FINER = 4  # times as many chords where these find a fault
SAME = 4e-3  # mm: a difference narrower than this is one of chords
TRIED = 2e-3  # mm, by how much sizes that decide between all and nothing are varied
SPECK = 0.05  # mm²
SEAL = 2e-3  # mm: half as wide as slits and slivers between chords of one circle that begin at other angles
SLACK = 5e-3  # mm: by so much less than the kerf still reads as the kerf
LOOSE = 3e-4  # mm, by how much shapes are made smaller across so that none hangs by those finer chords
HAIR = 5e-3  # mm, half the width of a contact that may count either way
DEPTH = 3e-3  # mm, how exactly the least width is borne out
JUDGED = ("made", "refused", "too narrow")


class Unjudged(Exception):
    """A plate of which neither right nor wrong can be said; few may be."""


def grown(metal, distance):
    """Grown by a ready-made buffer: quick, and not always right (see growing.py)."""
    return metal.buffer(distance, quad_segs=64)


def chords(contour, chord_error):
    line = []
    for (x, y, bulge), (u, v, _) in zip(contour, contour[1:] + contour[:1]):
        line.append((x, y))
        if bulge == 0:
            continue
        sweep = 4 * math.atan(bulge)
        chord = math.dist((x, y), (u, v))
        radius = abs(chord / (2 * math.sin(sweep / 2)))
        rise = (1 - bulge**2) / (4 * bulge)
        cx, cy = (x + u) / 2 - (v - y) * rise, (y + v) / 2 + (u - x) * rise
        steps = math.ceil(abs(sweep) / (2 * math.acos(max(1 - chord_error / radius, 0.7))))
        start = math.atan2(y - cy, x - cx)
        line += [(cx + radius * math.cos(start + sweep * i / steps),
                  cy + radius * math.sin(start + sweep * i / steps)) for i in range(1, steps)]  # fmt: skip
    return line


def pieces(metal, speck=SPECK):
    parts = getattr(metal, "geoms", [metal])
    return [part for part in parts if part.area > speck]


def form(metal, speck=SPECK):
    """How many pieces and openings there are."""
    parts = pieces(metal, speck)
    return len(parts), sum(len(part.interiors) for part in parts)


def varied(family, by, keys=("hollow", "radius"), verbs=("hollow", "round")):
    """The family with sizes changed: as a rule those that decide whether a gap closes or a band stays."""
    changed = json.loads(json.dumps(family))
    for step in changed["plate"][0]["step"]:
        for key in keys:
            if key in step and any(verb in step for verb in verbs):
                step[key] += f" + {by} mm"
    return changed


def loosened(family):
    """The metal with all that is added a little smaller: round shapes that touch in a point do not hang
    together by their chords."""
    sizes = ("diameter", "outside", "width", "height", "from_width", "to_width")
    return expanded(varied(family, -LOOSE, sizes, ("add",)))


def expanded(family):
    return recipes.expand(family).plates[0].metal


def sealed(family, by):
    """The metal if slits (or slivers, by less than nothing) as fine as chords make them are gone before
    anything is rounded or hollowed."""
    plain = recipes.grown
    recipes.grown = lambda metal, distance: plain(plain(plain(metal, by), -by), distance)
    try:
        return expanded(family)
    finally:
        recipes.grown = plain


def is_thick(difference):
    parts = getattr(difference, "geoms", [difference])
    return any(part.area > SAME / 2 * part.length for part in parts)


def differs(found, family):
    """Where the plate is not what it should be, if anywhere."""
    metal = expanded(family)
    apart = found.symmetric_difference(metal)
    if pieces(metal):  # crumbs beside them are dropped unless they touch the rest
        crumbs = metal.difference(unary_union(pieces(metal)))
        apart = apart.difference(crumbs.buffer(2 * SAME))
    if not is_thick(apart):
        return None
    steps = family["plate"][0]["step"]
    if any("hollow" in step or "radius" in step for step in steps):
        either = [metal, *(expanded(varied(family, by)) for by in (-TRIED, TRIED))]
        either += [sealed(family, by) for by in (-SEAL, SEAL)]
        open_to_both = unary_union(either).difference(intersection_all(either)).buffer(2 * SAME)
        apart = apart.difference(open_to_both)
        if not is_thick(apart):
            return None
    spot = max(getattr(apart, "geoms", [apart]), key=lambda it: it.area).representative_point()
    return f"differs by {apart.area:.4f} mm² near {spot.x:.3f}, {spot.y:.3f}"


def hangs(found, width):
    """Whether metal narrower than a width holds the plate together, or its openings apart; a plate that is
    narrower all over does not hang."""
    left = recipes.grown(found, -width / 2)
    return not left.is_empty and form(left, 0) != form(found, 0)


def refusal(line, family):
    """What is wrong with a refusal, if anything."""
    words = line["refused"]
    if "cannot be made" in words:
        return None  # a shape by itself, such as a polygon whose sides cross
    metal = expanded(family)
    if "could not be worked out" in words:
        raise Unjudged("not worked out")
    if "nothing is left" in words:
        either = [metal, *(expanded(varied(family, by)) for by in (-TRIED, TRIED))]
        return None if any(it.buffer(-HAIR).is_empty for it in either) else "something is left"
    if "pieces" in words:
        counts = {len(pieces(metal.buffer(by))) for by in (-HAIR, 0, HAIR)}
        counts |= {len(pieces(expanded(varied(family, by)).buffer(-HAIR))) for by in (-TRIED, TRIED)}
        one = counts == {1} and len(pieces(loosened(family))) == 1
        return "it is one piece" if one else None
    return None if metal.is_empty else f"refused: {words}"


def judged(text):
    """The seed, what became of the plate, and what is wrong with that; a fault only if it is one by
    Clipper's growing as well, and on finer chords."""
    line = json.loads(text)
    kind = "refused" if "refused" in line else "too narrow" if line["refused as narrow"] else "made"
    for recipes.grown, finer in ((grown, 1), (growing.grown, 1), (growing.grown, FINER)):
        recipes.QUARTER = QUARTER * finer
        try:
            why = fault(line, CHORD / finer**2)
        except GEOSException:
            kind, why = "too fine for shapely", None
        except Unjudged as unjudged:
            kind, why = str(unjudged), None
        if why is None:
            break
    return line["seed"], kind, why


def fault(line, chord):
    family = tomllib.loads(line["recipe"])
    if "refused" in line:
        return refusal(line, family)
    outside, *openings = (chords(contour, chord) for contour in line["contours"])
    found = Polygon(outside, openings)
    return differs(make_valid(found), family) or narrow(found, line)


def narrow(found, line):
    kerf = line["kerf"]
    if not found.is_valid:
        # Chords of edges that touch, or lie on either side of a slit finer than they are, cross.
        if line["refused as narrow"]:
            return None
        raise Unjudged("too fine for chords")
    if not line["refused as narrow"] and hangs(found, kerf - SLACK):
        return f"hangs by less than the kerf of {kerf} mm"
    if line["least"] is None:
        return "no least width, but it hangs" if hangs(found, kerf) else None
    least, x, y = line["least"]
    if line["refused as narrow"] != (least < kerf - SLACK):
        return f"least width {least}, refused as narrow: {line['refused as narrow']}"
    depth = found.boundary.distance(Point(x, y))
    if not found.buffer(DEPTH).contains(Point(x, y)) or abs(depth - least / 2) > DEPTH:
        return f"the edge is {depth} mm from the middle of the least width of {least} mm"
    if 2 * DEPTH < least < 20 and hangs(found, least - 2 * DEPTH):
        return f"it hangs by less than the least width of {least} mm"
    return None


def main():
    if len(sys.argv) != 2:
        raise SystemExit(__doc__)
    counts, faults = Counter(), []
    with open(sys.argv[1]) as lines, multiprocessing.Pool() as pool:
        for seed, kind, why in pool.imap_unordered(judged, lines, chunksize=50):
            counts[kind] += 1
            if why:
                faults.append(f"seed {seed}: {why}")
    print(f"{counts.total()} random plates:", ", ".join(f"{n} {kind}" for kind, n in sorted(counts.items())))
    print(f"{len(faults)} wrong")
    for fault in faults[:40]:
        print("FAILED", fault)
    unjudged = counts.total() - sum(counts[kind] for kind in JUDGED)
    if faults or counts["made"] < counts.total() / 4 or unjudged > counts.total() / 100:
        raise SystemExit(1)


if __name__ == "__main__":
    main()
