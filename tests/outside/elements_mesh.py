"""Plates for finite elements: contours of a net DXF as chords, and triangles between them."""

import logging
import math

import ezdxf
import numpy as np
import triangle
from skfem import MeshTri

# It tells of each mesh how its numbers lie in memory.
logging.getLogger("skfem").setLevel(logging.ERROR)


def flattened(entity, chord, count, least):
    if entity.dxftype() == "CIRCLE":
        return circle((entity.dxf.center.x, entity.dxf.center.y), entity.dxf.radius, count)
    path = ezdxf.path.make_path(entity)
    points = [(p.x, p.y) for p in path.flattening(chord, segments=least)]
    kept = [points[0]]
    for point in points[1:]:
        if math.dist(point, kept[-1]) > 1e-6:
            kept.append(point)
    if math.dist(kept[0], kept[-1]) < 1e-6:
        kept.pop()
    return np.array(kept)


def circle(centre, radius, count):
    turn = np.linspace(0, 2 * math.pi, count, endpoint=False)
    return np.column_stack((centre[0] + radius * np.cos(turn), centre[1] + radius * np.sin(turn)))


def contours(path, chord, count, least):
    """The outline of a plate, and its openings; a circle as so many chords, an arc of others as `least` of them or more."""
    found = []
    for entity in ezdxf.readfile(path).modelspace():
        if entity.dxftype() == "CIRCLE" or (entity.dxftype() in ("LWPOLYLINE", "POLYLINE") and entity.is_closed):
            found.append(flattened(entity, chord, count, least))
    size = lambda c: np.ptp(c[:, 0]) * np.ptp(c[:, 1])
    found.sort(key=size, reverse=True)
    return found[0], found[1:]


def mesh(outside, holes, lines=(), area=14.0):
    """Triangles of at most `area` mm^2; their edges keep to `lines`, which may cross the plate."""
    points, segments, start = [], [], 0
    for contour, closed in [(it, True) for it in (outside, *holes)] + [(it, len(it) > 2) for it in lines]:
        n = len(contour)
        points.append(contour)
        segments += [(start + i, start + (i + 1) % n) for i in range(n if closed else n - 1)]
        start += n
    given = {"vertices": np.vstack(points), "segments": segments}
    if holes:
        given["holes"] = [inside(it) for it in holes]
    made = triangle.triangulate(given, f"pq30a{area}")
    # Ends of lines beyond the plate belong to no triangle. Elements that count on directions of edges want the corners of each
    # triangle in the order of their numbers.
    used, corners = np.unique(made["triangles"], return_inverse=True)
    return MeshTri(np.ascontiguousarray(made["vertices"][used].T), np.sort(corners.reshape(-1, 3).T, axis=0))


def inside(contour):
    """A point in an opening: its middle, or beside an edge if that lies in the metal."""
    middle = contour.mean(axis=0)
    if winds(contour, middle):
        return middle
    sense = np.sign(np.sum(contour[:, 0] * np.roll(contour[:, 1], -1) - np.roll(contour[:, 0], -1) * contour[:, 1]))
    steps = np.roll(contour, -1, axis=0) - contour
    longest = int(np.argmax(np.hypot(*steps.T)))
    step = steps[longest]
    return contour[longest] + step / 2 + sense * 1e-3 * np.array([-step[1], step[0]])


def winds(contour, point):
    """Whether a closed line of chords goes round a point."""
    to = contour - point
    ahead = np.roll(to, -1, axis=0)
    turns = np.arctan2(to[:, 0] * ahead[:, 1] - to[:, 1] * ahead[:, 0], np.sum(to * ahead, axis=1))
    return abs(turns.sum()) > math.pi


def ring(hole):
    centre = hole.mean(axis=0)
    return centre, np.hypot(*(hole - centre).T).mean()
