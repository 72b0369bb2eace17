#!/usr/bin/env python3
"""Drawings written by general-purpose libraries are read as they were meant, or refused with the reason.

    corpus.py PLATEWRIGHT NODE_MODULES [--table]

The same three plates, moved and turned, are written by ezdxf (every release from R12 to R2018, twelve ways of
drawing), dxfwrite, dxf-writer, @tarikjabiri/dxf, svgwrite, drawsvg, svgpathtools and matplotlib, and as SVG of the
kinds of the W3C test suite for SVG 1.1 (shapes, paths, coords, struct), written here. What the program makes of each
is read back with ezdxf and compared with shapely on what was meant: area, extents and every hole within 0.01 mm,
and the whole outline. Drawings that mean no plate must be refused for their reason. --table prints the table of
DEVELOPERS.md.
"""

import json
import logging
import math
import random
import subprocess
import sys
import tempfile
from collections import Counter
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import ezdxf
from ezdxf import math as em
from shapely import affinity
from shapely.geometry import Point, Polygon

logging.getLogger("ezdxf").setLevel(logging.ERROR)
HERE = Path(__file__).resolve().parent
NEAR = 0.01  # mm
QUARTER = 2000  # chords of a quarter turn in what is compared
RELEASES = ["R12", "R2000", "R2004", "R2007", "R2010", "R2013", "R2018"]


# What is meant: loops of lines, arcs (angle of the start, sweep) and circles, in mm.

def line(start, end):
    return {"kind": "line", "start": start, "end": end}


def arc(centre, radius, start, sweep):
    """An arc from an angle so far on, degrees."""
    at = lambda angle: (centre[0] + radius * math.cos(angle), centre[1] + radius * math.sin(angle))
    start, sweep = math.radians(start), math.radians(sweep)
    return {"kind": "arc", "centre": centre, "radius": radius, "from": start, "sweep": sweep,
            "start": at(start), "end": at(start + sweep)}


def circle(centre, radius):
    return {"kind": "circle", "centre": centre, "radius": radius}


def rounded(x, y, width, height, radius):
    corners = [((x + width - radius, y + radius), -90), ((x + width - radius, y + height - radius), 0),
               ((x + radius, y + height - radius), 90), ((x + radius, y + radius), 180)]
    arcs = [arc(centre, radius, start, 90) for centre, start in corners]
    loop = []
    for one, following in zip(arcs, arcs[1:] + arcs[:1]):
        loop += [one, line(one["end"], following["start"])]
    return loop


def slot(x, y, travel, width):
    right, left = arc((x + travel, y), width / 2, -90, 180), arc((x, y), width / 2, 90, 180)
    return [right, line(right["end"], left["start"]), left, line(left["end"], right["start"])]


def hull(a, one, b, other):
    """Around two discs on a level line, with tangents."""
    lean = math.degrees(math.acos((one - other) / (b[0] - a[0])))
    right, left = arc(b, other, -lean, 2 * lean), arc(a, one, lean, 360 - 2 * lean)
    return [right, line(right["end"], left["start"]), left, line(left["end"], right["start"])]


PLATES = {
    "lug": [rounded(0, 0, 80, 40, 6), [circle((15, 20), 4.2)], [circle((65, 20), 4.2)], slot(32, 20, 16, 8)],
    "flange": [[circle((0, 0), 95)], [circle((0, 0), 30)]]
    + [[circle((57.15 * math.cos(k * 1.2566370614359172), 57.15 * math.sin(k * 1.2566370614359172)), 5.5)]
       for k in range(5)],
    "eye": [hull((0, 0), 22, (70, 0), 12), [circle((0, 0), 10)], [circle((70, 0), 5.25)]],
}


def placed(loops, turn, shift):
    cos, sin = math.cos(turn), math.sin(turn)
    at = lambda p: (p[0] * cos - p[1] * sin + shift[0], p[0] * sin + p[1] * cos + shift[1])
    made = []
    for loop in loops:
        made.append([])
        for it in loop:
            it = dict(it)
            for key in ("start", "end", "centre"):
                if key in it:
                    it[key] = at(it[key])
            if "from" in it:
                it["from"] += turn
            made[-1].append(it)
    return made


def chords(it, chord=None):
    """Points of a piece without its last, within a chord tolerance or finely."""
    if it["kind"] == "line":
        return [it["start"]]
    start, sweep = (0, 2 * math.pi) if it["kind"] == "circle" else (it["from"], it["sweep"])
    step = math.pi / 2 / QUARTER if chord is None else 2 * math.acos(1 - chord / it["radius"])
    count = max(1, math.ceil(abs(sweep) / step))
    (x, y), radius = it["centre"], it["radius"]
    return [(x + radius * math.cos(start + sweep * k / count), y + radius * math.sin(start + sweep * k / count))
            for k in range(count)]


def ring(loop, chord=None):
    return [p for it in loop for p in chords(it, chord)]


def meant(loops):
    return Polygon(ring(loops[0]), [ring(loop) for loop in loops[1:]])


# What the program made of it.

def loop_of(entity):
    if entity.dxftype() == "CIRCLE":
        return [circle(tuple(entity.dxf.center)[:2], entity.dxf.radius)]
    points = entity.get_points("xyb")
    loop = []
    for (x, y, bulge), (to_x, to_y, _) in zip(points, points[1:] + points[:1]):
        if bulge == 0:
            loop.append(line((x, y), (to_x, to_y)))
            continue
        centre, start, end, radius = em.bulge_to_arc((x, y), (to_x, to_y), bulge)
        start, sweep = math.degrees(start), math.degrees((end - start) % (2 * math.pi))
        one = arc(tuple(centre)[:2], radius, start, sweep)
        loop.append(one if bulge > 0 else arc(tuple(centre)[:2], radius, start + sweep, -sweep))
    return loop


def made(folder):
    plates = []
    for file in sorted((folder / "plates").glob("*.dxf")):
        space = ezdxf.readfile(file).modelspace()
        outside = [loop_of(it) for it in space if it.dxf.layer == "OUTSIDE"]
        inside = [loop_of(it) for it in space if it.dxf.layer in ("INSIDE", "SMALL_HOLE")]
        plates.append(outside + inside)
    return plates


def circles(loops, corner):
    found = [loop[0] for loop in loops if loop[0]["kind"] == "circle"]
    return sorted((it["centre"][0] - corner[0], it["centre"][1] - corner[1], it["radius"]) for it in found)


def differences(found, wanted, round_holes=True):
    """What is not as it was meant, in words."""
    said = []
    got, want = meant(found), meant(wanted) if isinstance(wanted, list) else wanted
    (ax, ay, bx, by), (cx, cy, dx, dy) = got.bounds, want.bounds
    for what, one, other in (("width", bx - ax, dx - cx), ("height", by - ay, dy - cy)):
        if abs(one - other) > NEAR:
            said.append(f"{what} {one:.4f} for {other:.4f}")
    got, want = affinity.translate(got, -ax, -ay), affinity.translate(want, -cx, -cy)
    around = want.length * NEAR
    if abs(got.area - want.area) > around or got.symmetric_difference(want).area > around:
        said.append(f"area {got.area:.3f} for {want.area:.3f}, {got.symmetric_difference(want).area:.3f} between them")
    if len(got.interiors) != len(want.interiors):
        said.append(f"{len(got.interiors)} openings for {len(want.interiors)}")
    elif round_holes and isinstance(wanted, list):
        for one, other in zip(circles(found, (ax, ay)), circles(wanted, (cx, cy)), strict=False):
            if any(abs(a - b) > NEAR for a, b in zip(one, other)):
                said.append(f"a hole at {one} for {other}")
        if len(circles(found, (0, 0))) != len(circles(wanted, (0, 0))):
            said.append("not every round hole is a circle")
    return said


# Writers.

def lines_and_arcs(space, loops, rng=None):
    pieces = [it for loop in loops for it in loop]
    if rng:
        rng.shuffle(pieces)
    for it in pieces:
        if it["kind"] == "circle":
            space.add_circle(it["centre"], it["radius"])
        elif it["kind"] == "line":
            space.add_line(it["start"], it["end"])
        else:
            ends = sorted([it["from"], it["from"] + it["sweep"]])
            space.add_arc(it["centre"], it["radius"], *map(math.degrees, ends))


def corners(loop):
    return [(*it["start"], math.tan(it["sweep"] / 4) if it["kind"] == "arc" else 0) for it in loop]


def polylines(space, loops, old):
    for loop in loops:
        if loop[0]["kind"] == "circle":
            space.add_circle(loop[0]["centre"], loop[0]["radius"])
        elif old:
            space.add_polyline2d(corners(loop), format="xyb", close=True)
        else:
            space.add_lwpolyline(corners(loop), format="xyb", close=True)


def splines(space, loops):
    for loop in loops:
        for it in loop:
            if it["kind"] == "line":
                space.add_line(it["start"], it["end"])
                continue
            start, sweep = (0, 2 * math.pi) if it["kind"] == "circle" else (it["from"], it["sweep"])
            turns = math.ceil(abs(sweep) / (math.pi / 2) - 1e-9)
            for k in range(turns):
                ends = sorted([start + sweep * k / turns, start + sweep * (k + 1) / turns])
                curve = em.rational_bspline_from_arc(it["centre"], it["radius"], *map(math.degrees, ends))
                space.add_spline(dxfattribs={"degree": curve.degree}).apply_construction_tool(curve)


def ellipses(space, loops):
    for loop in loops:
        for it in loop:
            if it["kind"] == "line":
                space.add_line(it["start"], it["end"])
            elif it["kind"] == "circle":
                space.add_ellipse(it["centre"], (it["radius"], 0), 1)
            else:
                ends = sorted([it["from"], it["from"] + it["sweep"]])
                space.add_ellipse(it["centre"], (it["radius"], 0), 1, *ends)


def flattened(space, loops):
    for loop in loops:
        space.add_lwpolyline(ring(loop, 0.05), close=True)


def blocks(doc, loops):
    """The outside in a block at twice its size in a block at half; holes one block, put and mirrored."""
    inner = doc.blocks.new("INNER")
    lines_and_arcs(inner, [[grown(it, 2) for it in loops[0]]])
    outer = doc.blocks.new("OUTER", base_point=(5, 5))
    outer.add_blockref("INNER", (5, 5), dxfattribs={"xscale": 0.5, "yscale": 0.5, "zscale": 0.5})
    doc.modelspace().add_blockref("OUTER", (0, 0))
    for number, loop in enumerate(loops[1:]):
        hole = doc.blocks.new(f"HOLE{number}")
        lines_and_arcs(hole, [[mirrored(it) for it in loop]])
        doc.modelspace().add_blockref(f"HOLE{number}", (0, 0), dxfattribs={"xscale": -1})


def grown(it, factor):
    it = dict(it)
    for key in ("start", "end", "centre"):
        if key in it:
            it[key] = tuple(c * factor for c in it[key])
    if "radius" in it:
        it["radius"] *= factor
    return it


def mirrored(it):
    it = dict(it)
    for key in ("start", "end", "centre"):
        if key in it:
            it[key] = (-it[key][0], it[key][1])
    if "from" in it:
        it["from"], it["sweep"] = math.pi - it["from"], -it["sweep"]
    return it


def facing_down(space, loops):
    """Seen from below: arcs whose extrusion points away."""
    for loop in loops:
        for it in [mirrored(it) for it in loop]:
            down = {"extrusion": (0, 0, -1)}
            if it["kind"] == "circle":
                space.add_circle(it["centre"], it["radius"], dxfattribs=down)
            elif it["kind"] == "line":
                x, y = it["start"], it["end"]
                space.add_line((-x[0], x[1]), (-y[0], y[1]))
            else:
                ends = sorted([it["from"], it["from"] + it["sweep"]])
                space.add_arc(it["centre"], it["radius"], *map(math.degrees, ends), dxfattribs=down)


def with_much_else(doc, loops):
    space = doc.modelspace()
    polylines(space, loops, old=doc.dxfversion == "AC1009")
    doc.layers.add("CENTRE LINES")
    (ax, ay, bx, by) = meant(loops).bounds
    space.add_line((ax - 5, (ay + by) / 2), (bx + 5, (ay + by) / 2), dxfattribs={"layer": "CENTRE LINES"})
    doc.linetypes.add("CHAIN", [1.5, 1.0, -0.25, 0.0, -0.25])
    space.add_line(((ax + bx) / 2, ay - 5), ((ax + bx) / 2, by + 5), dxfattribs={"linetype": "CHAIN"})
    space.add_text("plate", dxfattribs={"height": 5, "insert": (ax, ay)})
    space.add_point((ax, ay))
    space.add_solid([(ax, ay), (bx, ay), (ax, by)])
    doc.layout("Layout1").add_circle((0, 0), 400)


def twice_and_gaping(space, loops):
    """Every piece drawn twice, ends a few hundredths apart, one edge in two that overlap."""
    lines_and_arcs(space, loops)
    lines_and_arcs(space, loops)
    for it in (it for loop in loops for it in loop if it["kind"] == "line"):
        (x, y), (to_x, to_y) = it["start"], it["end"]
        middle, past = ((x + to_x) / 2, (y + to_y) / 2), ((x + 2 * to_x) / 3, (y + 2 * to_y) / 3)
        space.add_line((x, y), past)
        space.add_line(middle, (to_x, to_y))


def loose_centre_lines(space, loops):
    lines_and_arcs(space, loops)
    (ax, ay, bx, by) = meant(loops).bounds
    space.add_line((ax - 5, (ay + by) / 2), (bx + 5, (ay + by) / 2))


WAYS = {
    "lines and arcs": lambda doc, loops, rng: lines_and_arcs(doc.modelspace(), loops, rng),
    "polylines": lambda doc, loops, rng: polylines(doc.modelspace(), loops, doc.dxfversion == "AC1009"),
    "old polylines": lambda doc, loops, rng: polylines(doc.modelspace(), loops, True),
    "blocks, nested, scaled, mirrored": lambda doc, loops, rng: blocks(doc, loops),
    "seen from below": lambda doc, loops, rng: facing_down(doc.modelspace(), loops),
    "text, centre lines, a page": lambda doc, loops, rng: with_much_else(doc, loops),
    "all twice": lambda doc, loops, rng: twice_and_gaping(doc.modelspace(), loops),
    "loose centre line": lambda doc, loops, rng: loose_centre_lines(doc.modelspace(), loops),
    "in inches": lambda doc, loops, rng: lines_and_arcs(
        doc.modelspace(), [[grown(it, 1 / 25.4) for it in loop] for loop in loops]),
}
NOT_IN_R12 = {
    "splines": lambda doc, loops, rng: splines(doc.modelspace(), loops),
    "ellipses": lambda doc, loops, rng: ellipses(doc.modelspace(), loops),
    "chords within 0.05 mm": lambda doc, loops, rng: flattened(doc.modelspace(), loops),
}


def by_ezdxf(folder, name, loops, rng):
    for release in RELEASES:
        for way, write in {**WAYS, **({} if release == "R12" else NOT_IN_R12)}.items():
            doc = ezdxf.new(release)
            doc.header["$INSUNITS"] = 1 if way == "in inches" else 4
            write(doc, loops, rng)
            doc.saveas(folder / f"{name}=ezdxf {release}: {way}.dxf")


def by_dxfwrite(folder, name, loops):
    from dxfwrite import DXFEngine

    for way in ("lines and arcs", "polylines"):
        drawing = DXFEngine.drawing(str(folder / f"{name}=dxfwrite R12: {way}.dxf"))
        for loop in loops:
            if way == "polylines" and loop[0]["kind"] != "circle":
                chain = DXFEngine.polyline(flags=0)
                chain.close(True)
                for x, y, bulge in corners(loop):
                    chain.add_vertex((x, y), bulge=bulge)
                drawing.add(chain)
                continue
            for it in loop:
                if it["kind"] == "circle":
                    drawing.add(DXFEngine.circle(it["radius"], it["centre"]))
                elif it["kind"] == "line":
                    drawing.add(DXFEngine.line(it["start"], it["end"]))
                else:
                    ends = sorted([it["from"], it["from"] + it["sweep"]])
                    drawing.add(DXFEngine.arc(it["radius"], it["centre"], *map(math.degrees, ends)))
        drawing.save()


def path_data(loop, flip=True):
    """Path data of a loop; y goes down on a page."""
    xy = lambda p: f"{p[0]:.6f},{-p[1] if flip else p[1]:.6f}"
    if loop[0]["kind"] == "circle":
        (x, y), r = loop[0]["centre"], loop[0]["radius"]
        return f"M{xy((x + r, y))} A{r},{r} 0 1 0 {xy((x - r, y))} A{r},{r} 0 1 0 {xy((x + r, y))} Z"
    data = f"M{xy(loop[0]['start'])}"
    for it in loop:
        if it["kind"] == "line":
            data += f" L{xy(it['end'])}"
        else:
            large, sweep = int(abs(it["sweep"]) > math.pi), int((it["sweep"] < 0) == flip)
            data += f" A{it['radius']:.6f},{it['radius']:.6f} 0 {large} {sweep} {xy(it['end'])}"
    return data + " Z"


def cubics(loop):
    """Path data in the cubic curves that most drawing programs write for arcs."""
    xy = lambda x, y: f"{x:.5f} {-y:.5f}"
    data = ""
    for number, it in enumerate(loop):
        if it["kind"] == "line":
            data += ("M" + xy(*it["start"]) if number == 0 else "") + " L" + xy(*it["end"])
            continue
        start, sweep = (0, 2 * math.pi) if it["kind"] == "circle" else (it["from"], it["sweep"])
        (x, y), r, count = it["centre"], it["radius"], math.ceil(abs(sweep) / (math.pi / 2) - 1e-9)
        at = lambda a: (x + r * math.cos(a), y + r * math.sin(a))
        if number == 0:
            data += "M" + xy(*at(start))
        step = sweep / count
        k = 4 / 3 * math.tan(step / 4) * r
        for n in range(count):
            a, b = start + n * step, start + (n + 1) * step
            (px, py), (qx, qy) = at(a), at(b)
            data += " C" + " ".join([xy(px - k * math.sin(a), py + k * math.cos(a)),
                                     xy(qx + k * math.sin(b), qy - k * math.cos(b)), xy(qx, qy)])
    return data + " Z"


def by_svg_libraries(folder, name, loops):
    import drawsvg
    import svgpathtools
    import svgwrite

    (ax, ay, bx, by) = meant(loops).bounds
    width, height = bx - ax + 10, by - ay + 10
    view = (ax - 5, -by - 5, width, height)

    drawing = svgwrite.Drawing(str(folder / f"{name}=svgwrite paths and circles.svg"),
                               size=(f"{width}mm", f"{height}mm"), viewBox=" ".join(map(str, view)))
    for loop in loops:
        if loop[0]["kind"] == "circle":
            (x, y), r = loop[0]["centre"], loop[0]["radius"]
            drawing.add(drawing.circle((x, -y), r, fill="none", stroke="black"))
        else:
            drawing.add(drawing.path(path_data(loop), fill="none", stroke="black"))
    drawing.save()

    drawing = svgwrite.Drawing(str(folder / f"{name}=svgwrite groups and transforms.svg"),
                               size=(f"{width / 25.4}in", f"{height / 25.4}in"), viewBox=" ".join(map(str, view)))
    group = drawing.g(transform="scale(1,-1)")
    for loop in loops:
        group.add(drawing.path(path_data(loop, flip=False), fill="black"))
    drawing.add(group)
    drawing.add(drawing.text("plate", insert=(ax, -ay)))
    drawing.save()

    drawing = svgwrite.Drawing(str(folder / f"{name}=svgwrite symbols and use.svg"),
                               size=(f"{width}mm", f"{height}mm"), viewBox=" ".join(map(str, view)))
    for number, loop in enumerate(loops):
        shape = drawing.symbol(id=f"loop{number}")
        shape.add(drawing.path(path_data([moved(it, (3, 4)) for it in loop]), fill="none", stroke="black"))
        drawing.defs.add(shape)
        drawing.add(drawing.use(f"#loop{number}", insert=(-3, 4)))
    drawing.save()

    drawing = drawsvg.Drawing(width, height, origin=(ax - 5, -by - 5), viewBox=" ".join(map(str, view)))
    for loop in loops:
        drawing.append(drawsvg.Path(path_data(loop), fill="none", stroke="black"))
    # It gives the size of the page without a unit: the builder says that one is a millimetre.
    drawing.save_svg(str(folder / f"{name}=drawsvg --unit mm.svg"))

    paths = [svgpathtools.parse_path(cubics(loop)) for loop in loops]
    svgpathtools.wsvg(paths, filename=str(folder / f"{name}=svgpathtools --unit mm.svg"))


def moved(it, by):
    it = dict(it)
    for key in ("start", "end", "centre"):
        if key in it:
            it[key] = (it[key][0] + by[0], it[key][1] + by[1])
    return it


def by_matplotlib(folder, name, loops):
    import matplotlib

    matplotlib.use("svg")
    import matplotlib.pyplot as plt
    from matplotlib.patches import PathPatch
    from matplotlib.path import Path as Curve

    (ax, ay, bx, by) = meant(loops).bounds
    points, codes = [], []
    for loop in loops:
        own = ring(loop, 0.02)
        points += own + [own[0]]
        codes += [Curve.MOVETO] + [Curve.LINETO] * (len(own) - 1) + [Curve.CLOSEPOLY]
    figure = plt.figure(figsize=((bx - ax + 10) / 25.4, (by - ay + 10) / 25.4))
    axes = figure.add_axes((0, 0, 1, 1), xlim=(ax - 5, bx + 5), ylim=(ay - 5, by + 5))
    axes.axis("off")
    axes.add_patch(PathPatch(Curve(points, codes), fill=False, gid="plate"))
    figure.patch.set_visible(False)
    figure.savefig(folder / f"{name}=matplotlib --layer plate.svg")
    plt.close(figure)


def svg(body, head='width="100mm" height="100mm" viewBox="0 0 100 100"'):
    return f'<?xml version="1.0" encoding="UTF-8"?>\n<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" {head}>{body}</svg>\n'


def w3c():
    """Files of the kinds of the W3C test suite for SVG 1.1, and what each means: a shapely polygon, or the words of a
    refusal."""
    box = lambda x, y, w, h: Polygon([(x, y), (x + w, y), (x + w, y + h), (x, y + h)])
    disc = lambda x, y, r: Point(x, y).buffer(r, quad_segs=QUARTER)
    oval = lambda x, y, rx, ry: affinity.scale(disc(x, y, 1), rx, ry)
    rect = '<rect x="10" y="20" width="60" height="30"/>'
    plain = box(0, 0, 60, 30)
    quad = lambda p, q, r: [((1 - t) ** 2 * p[0] + 2 * t * (1 - t) * q[0] + t * t * r[0],
                             (1 - t) ** 2 * p[1] + 2 * t * (1 - t) * q[1] + t * t * r[1]) for t in (k / 2000 for k in range(2000))]
    return {
        "shapes rect": (svg(rect), plain),
        "shapes rect rounded": (svg('<rect width="60" height="30" rx="5"/>'), box(5, 5, 50, 20).buffer(5, quad_segs=QUARTER)),
        "shapes rect, ry alone": (svg('<rect width="60" height="30" ry="40"/>'),
                                  oval(0, 0, 30, 15)),
        "shapes circle": (svg('<circle cx="50" cy="50" r="20"/>'), disc(0, 0, 20)),
        "shapes ellipse": (svg('<ellipse cx="50" cy="50" rx="30" ry="20"/>'), oval(0, 0, 30, 20)),
        "shapes polygon": (svg('<polygon points="0,0 40,0 20,30"/>'), Polygon([(0, 30), (40, 30), (20, 0)])),
        "shapes polyline, closed by hand": (svg('<polyline points="0,0 40,0 20,30 0,0"/>'), Polygon([(0, 30), (40, 30), (20, 0)])),
        "shapes line": (svg('<line x1="0" y1="0" x2="40" y2="0"/>'), "close"),
        "paths relative, H and V": (svg('<path d="m10 10h60v30h-60z"/>'), plain),
        "paths arcs, flags run together": (svg('<path d="M30 50a20 20 0 1140 0 20 20 0 11-40 0z"/>'), disc(0, 0, 20)),
        "paths arc too small for its ends": (svg('<path d="M10 50A5 5 0 0 1 70 50A5 5 0 0 1 10 50Z"/>'), disc(0, 0, 30)),
        "paths elliptical arc, turned": (svg('<path d="M20 50A30 20 0 0 1 80 50A30 20 0 0 1 20 50Z" transform="rotate(90 50 50)"/>'),
                                         oval(0, 0, 20, 30)),
        "paths quadratic and smooth": (svg('<path d="M10 50Q30 10 50 50T90 50V80H10Z"/>'),
                                       Polygon([(x, -y) for x, y in [*quad((10, 50), (30, 10), (50, 50)), *quad((50, 50), (70, 90), (90, 50)),
                                                            (90, 50), (90, 80), (10, 80)]])),
        "paths several loops": (svg('<path fill-rule="evenodd" d="M10 10H70V40H10ZM20 20V30H30V20Z"/>'),
                                plain.difference(box(10, 10, 10, 10))),
        "paths open, drawn": (svg('<path d="M10 10H70V40H10" fill="none" stroke="black"/>'), "does not close"),
        "paths open, filled": (svg('<path d="M10 10H70V40H10"/>'), plain),
        "paths error": (svg('<path d="M10 10H70V40H10 L"/>'), "path"),
        "coords translate, scale": (svg(f'<g transform="translate(5,5) scale(0.5)">{rect}</g>'), box(0, 0, 30, 15)),
        "coords rotate about a point": (svg(f'<g transform="rotate(90, 50, 50)">{rect}</g>'), box(0, 0, 30, 60)),
        "coords skewX": (svg(f'<g transform="skewX(45)">{rect}</g>'), Polygon([(30, 0), (90, 0), (60, 30), (0, 30)])),
        "coords matrix, mirrored": (svg(f'<g transform="matrix(-1 0 0 1 100 0)">{rect}</g>'), plain),
        "coords units of the page: cm": (svg(rect, 'width="10cm" height="10cm" viewBox="0 0 100 100"'), plain),
        "coords units of the page: in": (svg(rect, 'width="2in" height="2in" viewBox="0 0 100 100"'), box(0, 0, 60 * .508, 30 * .508)),
        "coords units of shapes": (svg('<rect x="1cm" y="5mm" width="1in" height="36pt"/>', 'width="100mm" height="100mm"'),
                                   box(0, 0, 25.4, 12.7)),
        "coords viewBox, moved": (svg(rect, 'width="100mm" height="100mm" viewBox="-50 -50 100 100"'), plain),
        "coords viewBox, preserved": (svg(rect, 'width="200mm" height="100mm" viewBox="0 0 100 100"'), plain),
        "coords page without a unit": (svg(rect, 'width="100" height="100" viewBox="0 0 100 100"'), "what unit"),
        "struct groups": (svg(f'<g><g>{rect}</g></g>'), plain),
        "struct use": (svg(f'<defs><g id="a">{rect}</g></defs><use xlink:href="#a" x="3"/>'), plain),
        "struct use, SVG 2": (svg(f'<defs><g id="a">{rect}</g></defs><use href="#a" transform="scale(.5)"/>'), box(0, 0, 30, 15)),
        "struct symbol": (svg(f'<symbol id="a">{rect}</symbol><use xlink:href="#a"/>'), plain),
        "struct defs are not seen": (svg(f'<defs><circle r="40"/></defs>{rect}'), plain),
        "struct use of nothing": (svg(f'{rect}<use xlink:href="#none"/>'), "not in the file"),
        "struct use of itself": (svg(f'<g id="a">{rect}<use xlink:href="#a"/></g>'), "deep"),
        "struct a drawing in the drawing": (svg(f'{rect}<svg><circle r="3"/></svg>'), "drawing in the drawing"),
        "struct switch": (svg(f'<switch>{rect}</switch>'), plain),
        "styling display none": (svg(f'{rect}<circle cx="20" cy="30" r="3" display="none"/>'), plain),
        "styling style attribute": (svg(f'{rect}<circle cx="20" cy="30" r="3" style="fill:red; display: none"/>'), plain),
        "text is left out": (svg(f'{rect}<text x="20" y="30">plate</text>'), plain),
        "image is left out": (svg(f'{rect}<image x="20" y="30" width="5" height="5"/>'), plain),
        "no XML": ("<svg", "no whole SVG"),
        "HTML": ("<html><body/></html>", "no SVG file"),
    }


def damaged():
    """DXF files that mean no plate, and the words of their refusal."""
    def of(write, release="R2000", unit=4):
        doc = ezdxf.new(release)
        doc.header["$INSUNITS"] = unit
        write(doc.modelspace())
        return doc

    square = [(0, 0), (60, 0), (60, 30), (0, 30)]
    return {
        "no unit": (of(lambda it: it.add_lwpolyline(square, close=True), unit=0), "what unit"),
        "open outline": (of(lambda it: it.add_lwpolyline(square)), "close"),
        "crosses itself": (of(lambda it: it.add_lwpolyline([(0, 0), (40, 40), (40, 0), (0, 40)], close=True)), "cross or touch"),
        "two outlines cross": (of(lambda it: (it.add_circle((0, 0), 20), it.add_circle((25, 0), 20))), "cross or touch"),
        "three lines meet": (of(lambda it: (it.add_lwpolyline(square, close=True), it.add_line((60, 30), (80, 50)))), "more than two lines meet"),
        "not flat": (of(lambda it: (it.add_circle((0, 0, 0), 20), it.add_circle((0, 0, 8), 5))), "not flat"),
        "tilted": (of(lambda it: it.add_circle((0, 0), 20, dxfattribs={"extrusion": (0, 1, 1)})), "tilted"),
        "a solid body": (of(lambda it: it.add_3dface([(0, 0), (60, 0), (60, 30), (0, 30)])), "no line, arc or circle"),
        "nothing in it": (of(lambda it: it.add_text("empty")), "no outline in it"),
    }


def main():
    program, modules = Path(sys.argv[1]).resolve(), Path(sys.argv[2]).resolve()
    rng = random.Random(5)
    kept = tempfile.TemporaryDirectory()
    folder = Path(kept.name)
    files = folder / "files"
    files.mkdir()
    scenes = {}
    for name, loops in PLATES.items():
        turn, shift = rng.uniform(0, 2 * math.pi), (rng.uniform(-300, 300), rng.uniform(-300, 300))
        scenes[name] = placed(loops, turn, shift)
        by_ezdxf(files, name, scenes[name], rng)
        by_dxfwrite(files, name, scenes[name])
        by_svg_libraries(files, name, scenes[name])
        by_matplotlib(files, name, scenes[name])
    listed = [{"name": name, "loops": loops} for name, loops in scenes.items()]
    (folder / "scenes.json").write_text(json.dumps(listed))
    subprocess.run(["node", HERE / "corpus.mjs", modules, folder / "scenes.json", files], check=True)
    wanted = {file.name: scenes[file.name.split("=")[0]] for file in files.iterdir()}
    for name, (text, means) in w3c().items():
        (files / f"svg=W3C kinds: {name}.svg").write_text(text)
        wanted[f"svg=W3C kinds: {name}.svg"] = means
    for name, (doc, means) in damaged().items():
        doc.saveas(files / f"dxf=no plates: {name}.dxf")
        wanted[f"dxf=no plates: {name}.dxf"] = means

    def judged(item):
        number, (name, means) = item
        words = [program, "draw", files / name, "--thickness", "6 mm", "--no-scribe", "--out", folder / f"out{number}"]
        if "R12" in name or " --unit mm" in name:
            # The release has no place for a unit that every reader knows.
            words += ["--unit", "in" if "in inches" in name else "mm"]
        if " --layer plate" in name:
            words += ["--layer", "plate"]
        done = subprocess.run(words, capture_output=True, text=True)
        if isinstance(means, str):
            good = done.returncode in (1, 2, 3) and means in done.stderr
            return name, [] if good else [f"not refused for \"{means}\": {done.returncode} {done.stderr}"], "refused"
        plates = made(folder / f"out{number}") if done.returncode in (0, 1) else []
        if len(plates) != 1:
            return name, [f"{len(plates)} plates: {done.stderr}"], "read"
        return name, differences(plates[0], means), "read"

    with ThreadPoolExecutor(2) as pool:
        results = list(pool.map(judged, enumerate(sorted(wanted.items(), key=lambda it: it[0]))))
    tally, wrong = Counter(), 0
    for name, said, how in results:
        writer = name.split("=")[1].rsplit(".", 1)[0].split(":")[0]
        for many in (" lines", " polylines", " paths", " groups", " symbols", " --"):
            writer = writer.split(many)[0]
        tally[writer, how] += 1
        if said:
            wrong += 1
            print(f"{name}: {'; '.join(said)}")
    if "--table" in sys.argv:
        print("| written by | files | read within 0.01 mm | refused with the reason |\n| --- | --- | --- | --- |")
        for writer in sorted({writer for writer, _ in tally}):
            read, refused = tally[writer, "read"], tally[writer, "refused"]
            print(f"| {writer} | {read + refused} | {read} | {refused} |")
    print(f"{len(results)} drawings of {len({w for w, _ in tally})} origins, {wrong} not as they were meant")
    sys.exit(1 if wrong else 0)


if __name__ == "__main__":
    main()
