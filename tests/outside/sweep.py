"""What a disc burns on its way along lines and arcs, piece by piece.

Built from rectangles, ring sectors and discs, united: a ready-made buffer of a finely flattened line
simplifies its input and has been seen to lose half of a shape without a word.
"""

import math

import shapely
from shapely.geometry import Point, Polygon
from shapely.ops import unary_union

from drawings import arc_points

DISC = 96  # segments in a quarter of the disc: within 1e-4 mm for a kerf of 3 mm


def swept(spans, half):
    """The area covered by a disc of radius `half` moved along (start, end, bulge) spans."""
    parts = [disc(spans[0][0], half)]
    for start, end, bulge in spans:
        parts.append(disc(end, half))
        parts += band(start, end, bulge, half)
    return unary_union(parts)


def disc(at, radius):
    return Point(at).buffer(radius, quad_segs=DISC)


def band(start, end, bulge, half):
    if math.dist(start, end) == 0:
        return []
    if abs(bulge) < 1e-12:
        return [strip(start, end, half)]
    points = [start, *arc_points(start, end, bulge)]
    if arc_radius(start, end, bulge) <= 1.05 * half:
        # The disc covers the arc's own centre: lay it down along the way.
        return [disc(point, half) for point in points] + [
            strip(a, b, half) for a, b in zip(points, points[1:])
        ]
    outer = [shifted(points, i, half) for i in range(len(points))]
    inner = [shifted(points, i, -half) for i in range(len(points))]
    ring = Polygon(outer + inner[::-1])
    return [ring if ring.is_valid else shapely.make_valid(ring)]


def strip(start, end, half):
    length = math.dist(start, end)
    nx, ny = (start[1] - end[1]) / length * half, (end[0] - start[0]) / length * half
    return Polygon(
        [(start[0] + nx, start[1] + ny), (end[0] + nx, end[1] + ny),
         (end[0] - nx, end[1] - ny), (start[0] - nx, start[1] - ny)]
    )  # fmt: skip


def arc_radius(start, end, bulge):
    return math.dist(start, end) * (1 + bulge**2) / (4 * abs(bulge))


def shifted(points, i, by):
    """A point of a finely divided arc moved along its normal; the ends take their chord's turn back
    by half a step, so that the normal is the arc's own."""
    before, after = points[max(i - 1, 0)], points[min(i + 1, len(points) - 1)]
    heading = math.atan2(after[1] - before[1], after[0] - before[0])
    if i in (0, len(points) - 1):
        a, b, c = points[:3] if i == 0 else points[-3:]
        turn = math.atan2(c[1] - b[1], c[0] - b[0]) - math.atan2(b[1] - a[1], b[0] - a[0])
        turn = (turn + math.pi) % (2 * math.pi) - math.pi
        heading += -turn / 2 if i == 0 else turn / 2
    return (points[i][0] - math.sin(heading) * by, points[i][1] + math.cos(heading) * by)


def depth(shape, border):
    """How far a shape reaches away from a border, at the most, mm; 0 if there is no shape."""
    if shape.is_empty:
        return 0.0
    parts = shapely.get_parts(shapely.get_parts([shape]))
    parts = [part for part in parts if part.geom_type == "Polygon" and not part.is_empty]
    points = [p for part in parts for p in shapely.segmentize(part.exterior, 1.0).coords]
    points += [part.representative_point().coords[0] for part in parts]
    return float(shapely.distance(shapely.points(points), border).max()) if points else 0.0
