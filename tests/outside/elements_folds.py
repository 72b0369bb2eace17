"""Folds that are bent open or shut: the section across one, in plane stress, and what its family reckons there."""

import math
import random

import numpy as np

from elements_made import COARSE, length, millimetres
from elements_plane import Pulled

PUSH = 500.0
CHORDS = 24


def folded(thickness, radius, angle, reach, width):
    """Peak at a fold of a leg that is held 6 thicknesses before the fold and pushed square to itself, `reach` beyond the end of
    the fold. The fold's centre is the origin; it goes from below it on counter-clockwise."""
    turn = np.linspace(-math.pi / 2, angle - math.pi / 2, CHORDS + 1)
    ways = np.column_stack((np.cos(turn), np.sin(turn)))
    square, along = ways[-1], np.array([-ways[-1][1], ways[-1][0]])
    outer, before = radius + thickness, -6 * thickness
    end = reach + 2 * thickness
    outside = np.vstack([[(before, -outer)], outer * ways, [outer * square + end * along, radius * square + end * along],
                         radius * ways[::-1], [(before, -radius)]])
    bent = Pulled(outside, [], width, hands=[(outer * square + reach * along, thickness / 2, PUSH * square)],
                  held=lambda x: x[0] < before + 1e-6, area=thickness**2 / 60)
    return bent.peak(lambda x: (x[0] > -thickness) & (along @ x.reshape(2, -1) < thickness).reshape(x[0].shape))


def body_bracket(make, d):
    made = make("body-bracket", f'load = "{PUSH} N"\n', d, "", COARSE)
    angle, radius, thick = math.radians(length(d["angle"])), length(d["fold_radius"]), length(d["thickness"])
    # A leg counts from where the outsides of both would meet, square folds and beyond from the other's outside.
    reach = length(d["body_leg"]) - length(d["margin"]) - math.tan(min(angle, math.pi / 2) / 2) * (radius + thick)
    return {"body bracket, its fold": (folded(thick, radius, angle, reach, length(d["width"])),
                                       made.stress("the fold, bent open or shut by the body"))}


def random_bracket():
    thick = random.uniform(2.5, 6)
    return {"thickness": f"{thick:.2f} mm", "fold_radius": f"{thick * random.uniform(1.5, 3):.2f} mm", "width": millimetres(60, 120),
            "angle": f"{random.uniform(30, 110):.2f} deg", "body_leg": millimetres(60, 90), "frame_leg": millimetres(60, 90),
            "margin": millimetres(16, 20)}


PLAIN_BRACKET = {"thickness": "4 mm", "fold_radius": "6 mm", "width": "70 mm", "angle": "90 deg", "body_leg": "50 mm",
                 "frame_leg": "50 mm", "margin": "16 mm"}


def column_upright(make, d):
    made = make("column-support", f'push = "{PUSH} N"\n', d, "", COARSE)
    radius, thick = length(d["fold_radius"]), length(d["thickness"])
    return {"column support, its fold": (folded(thick, radius, math.pi / 2, length(d["height"]) - radius - thick, length(d["width"])),
                                         made.stress("the upright at its fold, bent by a push along the column"))}


def random_column():
    thick, width = random.uniform(4, 8), random.uniform(70, 110)
    return {"thickness": f"{thick:.2f} mm", "fold_radius": f"{thick * random.uniform(1.5, 2.5):.2f} mm", "width": f"{width:.2f} mm",
            "height": millimetres(80, 130), "back": millimetres(38, 50), "foot": millimetres(60, 85),
            "travel": random.choice(["0 mm", millimetres(2, 8)])}


PLAIN_COLUMN = {"thickness": "6 mm", "fold_radius": "9 mm", "width": "90 mm", "height": "90 mm", "back": "36 mm", "foot": "60 mm",
                "travel": "8 mm"}


def pedal_fold(make, d):
    """A cheek of a folded bracket; its other edges are looked at as those of a welded one."""
    words = f'build = "folded"\nlink = "cable"\npedal_force = "{5 * PUSH} N"\nstop = false\npedal = false\ngap = "60 mm"\n'
    words += 'foot = "26 mm"\nspring_reach = "36 mm"\nspring_below = "36 mm"\nbase_width = "110 mm"\n'
    made = make("pedal-bracket", words, d, "-bracket", COARSE)
    radius, thick = length(d["bend_radius"]), length(d["thickness"])
    reach, wide = length(d["reach"]) - radius - thick, length(d["above"]) + length(d["below"])
    return {"pedal bracket, its folds": (folded(thick, radius, math.pi / 2, reach, wide),
                                         made.stress("a cheek where it stands on the base, pushed from the side"))}


def random_folded_pedal():
    thick = random.uniform(3, 6)
    return {"thickness": f"{thick:.2f} mm", "bend_radius": f"{thick * random.uniform(1, 2):.2f} mm", "reach": millimetres(70, 110),
            "above": millimetres(30, 50), "below": millimetres(65, 90)}


PLAIN_FOLDED_PEDAL = {"thickness": "6 mm", "bend_radius": "9 mm", "reach": "80 mm", "above": "32 mm", "below": "72 mm"}

FAMILIES = [
    (body_bracket, [PLAIN_BRACKET], random_bracket),
    (column_upright, [PLAIN_COLUMN], random_column),
    (pedal_fold, [PLAIN_FOLDED_PEDAL], random_folded_pedal),
]
