"""Grows and shrinks finely flattened shapes with Clipper.

Ready-made buffers of very fine polygons simplify their input and have been seen to lose half of a
shape; Clipper works on whole numbers and does not.
"""

import pyclipper
from shapely import make_valid
from shapely.geometry import Polygon
from shapely.ops import unary_union

SCALE = 1_000_000  # whole numbers per mm
CHORD = 0.0005  # mm: how far rounded corners may stray from true arcs


def grown(metal, distance):
    """The shape grown by a distance in mm, corners rounded; shrunk if it is negative."""
    offset = pyclipper.PyclipperOffset(arc_tolerance=CHORD * SCALE)
    for part in getattr(metal, "geoms", [metal]):
        if part.geom_type != "Polygon":
            continue  # a line that making valid leaves behind bounds nothing
        for ring, outside in [(part.exterior, True), *((hole, False) for hole in part.interiors)]:
            path = [(round(x * SCALE), round(y * SCALE)) for x, y in ring.coords[:-1]]
            if pyclipper.Orientation(path) != outside:
                path.reverse()
            offset.AddPath(path, pyclipper.JT_ROUND, pyclipper.ET_CLOSEDPOLYGON)
    tree = offset.Execute2(distance * SCALE)
    return unary_union([make_valid(polygon) for polygon in polygons(tree)])


def polygons(tree):
    """Outsides with their holes; what lies in a hole comes as a polygon of its own."""
    for node in tree.Childs:
        holes = [unscaled(hole.Contour) for hole in node.Childs]
        yield Polygon(unscaled(node.Contour), holes)
        for hole in node.Childs:
            yield from polygons(hole)


def unscaled(path):
    return [(x / SCALE, y / SCALE) for x, y in path]
