"""Reads drawings with ezdxf: contours and cut paths as chains of lines and bulged arcs."""

import math
from dataclasses import dataclass
from pathlib import Path

import ezdxf

CHORD = 0.0005  # mm: how far a flattened arc may stray from the true one


@dataclass
class Chain:
    """A polyline: vertices (x, y, bulge to the next), open or closed."""

    layer: str
    vertices: list
    closed: bool

    def spans(self):
        """Its pieces as (start, end, bulge)."""
        count = len(self.vertices) - (0 if self.closed else 1)
        for i in range(count):
            x, y, bulge = self.vertices[i]
            nx, ny, _ = self.vertices[(i + 1) % len(self.vertices)]
            yield (x, y), (nx, ny), bulge

    def points(self):
        """The chain as a fine polygon line, arcs within CHORD."""
        return flatten(self.spans())


@dataclass
class Drawing:
    chains: list
    circles: list  # (layer, (x, y), radius)
    spots: list  # (layer, (x, y))


def flatten(spans):
    line = []
    for start, end, bulge in spans:
        if not line:
            line.append(start)
        line += arc_points(start, end, bulge)
    return line


def arc_points(start, end, bulge):
    """Points after `start` up to and including `end`; a bulge is the tangent of a quarter sweep."""
    chord = math.dist(start, end)
    if abs(bulge) < 1e-12 or chord == 0:
        return [end]
    sweep = 4 * math.atan(bulge)
    radius = chord / (2 * math.sin(abs(sweep) / 2))
    middle = ((start[0] + end[0]) / 2, (start[1] + end[1]) / 2)
    off = chord * (1 - bulge**2) / (4 * bulge)
    centre = (middle[0] - (end[1] - start[1]) / chord * off, middle[1] + (end[0] - start[0]) / chord * off)
    step = 2 * math.acos(max(1 - CHORD / radius, 0.5))
    steps = max(2, math.ceil(abs(sweep) / step))
    first = math.atan2(start[1] - centre[1], start[0] - centre[0])
    inner = [
        (centre[0] + radius * math.cos(first + sweep * i / steps),
         centre[1] + radius * math.sin(first + sweep * i / steps))
        for i in range(1, steps)
    ]  # fmt: skip
    return [*inner, end]


def read(path: Path) -> Drawing:
    """Every chain, circle and spot of a file's model space, in drawing order."""
    drawing = Drawing([], [], [])
    for entity in ezdxf.readfile(path).modelspace():
        kind, layer = entity.dxftype(), entity.dxf.layer
        if kind == "LWPOLYLINE":
            vertices = [tuple(v) for v in entity.get_points("xyb")]
            drawing.chains.append(Chain(layer, vertices, entity.closed))
        elif kind == "POLYLINE":
            vertices = [(*v.dxf.location.vec2, v.dxf.bulge) for v in entity.vertices]
            drawing.chains.append(Chain(layer, vertices, entity.is_closed))
        elif kind == "CIRCLE":
            drawing.circles.append((layer, tuple(entity.dxf.center.vec2), entity.dxf.radius))
        elif kind == "POINT":
            drawing.spots.append((layer, tuple(entity.dxf.location.vec2)))
    return drawing
