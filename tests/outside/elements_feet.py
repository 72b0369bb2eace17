"""Plates between their bolts and what stands on them, bent across: feet, backs, ears and flanges.

What stands on a plate is stiff beside it: it is the bed, and the bolts push and pull as statics have it."""

import math
import random

import numpy as np
from shapely import Point, Polygon

from elements_across import Bolts
from elements_folds import PLAIN_COLUMN, random_column
from elements_in_plane import PLAIN_CALIPER, random_caliper, towards
from elements_made import COARSE, length, millimetres
from elements_mesh import circle, mesh, ring
from elements_plate import Bent, box, none_of, rectangle, within

BOLTS = {"M6": 6.0, "M8": 8.0, "M10": 10.0, "M12": 12.0}


def kingpin_back(make, d):
    """The lugs fill their slots and hold; the wheel's load and braking pull a bolt of the back, and push the one across from it."""
    words = 'fixing = "bolted"\nwheel_load = "2 kN"\nside_force = "1 kN"\nbrake_force = "1 kN"\ntyre_radius = "250 mm"\n'
    made = make("kingpin-bracket", words + 'between = "80 mm"\noffset = "60 mm"\nreach = "45 mm"\nthickness = "10 mm"\n', d, "-back",
                COARSE)
    holes = [it for it in made.holes if np.ptp(np.hypot(*(it - ring(it)[0]).T)) < 0.1]
    bolts = Bolts([ring(it)[0] for it in holes], BOLTS[d["bolt"]])
    off = np.array(bolts.places) - made.middle()
    across, up = np.abs(off).max(axis=0)
    moment, twist = 2000.0 * (45 + 60) + 1000.0 * 250, 1000.0 * (45 + 60)
    # A lug and its welds, as a rectangle that leans as the kingpin does.
    turn = np.array([towards(length(d["castor"])), towards(length(d["castor"]) + 90)])
    long, thick, half = length(d["foot"]) / 2, 5.0 + 5.0, 45.0
    corners = np.array([(-long, -thick), (long, -thick), (long, thick), (-long, thick)])

    def lug(side):
        def inside(x):
            along, square = np.tensordot(turn, x - np.reshape(made.middle(), (2,) + (1,) * (x.ndim - 1)), axes=1)
            return (np.abs(along) < long) & (np.abs(square - side * half) < thick)
        return inside

    lines = [made.middle() + (corners + (0, side * half)) @ turn for side in (-1, 1)]
    beds = [lug(side) for side in (-1, 1)]
    bent = Bent(mesh(made.outside, holes, lines + bolts.lines, area=120), made.thickness, beds=beds)
    bent.load(zip(bolts.faces, moment / (4 * up) * np.sign(off[:, 1]) + twist / (4 * across) * np.sign(off[:, 0])))
    return {"kingpin bracket, its back": (bent.peak(lambda x: bolts.clear()(x) & none_of(beds)(x)),
                                          made.stress("the back, bent between a lug and its bolts", "-upper-lug"))}


def random_back():
    return {"back_thickness": millimetres(8, 14), "bolt": random.choice(["M10", "M12"]), "foot": millimetres(65, 100),
            "castor": f"{random.uniform(0, 12):.2f} deg", "beyond": millimetres(14, 25), "margin": millimetres(20, 26)}


PLAIN_BACK = {"back_thickness": "10 mm", "bolt": "M12", "foot": "80 mm", "castor": "6 deg", "beyond": "15 mm", "margin": "21.6 mm"}


def pedal_base(make, d):
    """The cheeks hold the base; the bolts of one ear pull it. The end of a cheek is a sharp corner: metal within its thickness of it
    is not judged."""
    made = make("pedal-bracket", 'pedal_force = "500 N"\nmount_bolt = "M8"\nstop = false\n', d, "-base", COARSE)
    gap, thick, above, below = (length(d[it]) for it in ("gap", "thickness", "above", "below"))
    bolts = Bolts([at for at, size in map(ring, made.holes) if size < 6], 8.0)
    pulled = [face for at, face in zip(bolts.places, bolts.faces) if at[1] > made.middle()[1]]
    ratio, lever = length(d["pedal_length"]) / length(d["rod_length"]), length(d["ear"]) / 2
    pull = 500.0 * (ratio - 1) * max(above + lever, below + lever) / (above + below + 2 * lever)
    x, y = made.middle()
    long = (above + below) / 2
    beds = [(x + side * gap / 2 + min(0, side) * thick, x + side * gap / 2 + max(0, side) * thick, y - long, y + long) for side in (-1, 1)]
    m = mesh(made.outside, made.holes, [rectangle(*it) for it in beds] + bolts.lines, area=100)
    bent = Bent(m, made.thickness, beds=[box(*it) for it in beds]).load([(it, pull / 2) for it in pulled])
    ends = [within(((it[0] + it[1]) / 2, it[3]), 1.5 * thick) for it in beds]
    judged = none_of([box(*it) for it in beds] + ends)
    return {"pedal bracket, an ear of its base": (bent.peak(lambda x: bolts.clear()(x) & judged(x)),
                                                  made.stress("an ear of the base, bent by the pull of the pivot"))}


def random_base():
    gap = random.uniform(40, 60)
    return {"thickness": millimetres(4, 8), "gap": f"{gap:.2f} mm", "base_width": f"{gap + random.uniform(25, 50):.2f} mm",
            "mount_spread": f"{gap + random.uniform(-15, 12):.2f} mm", "ear": millimetres(28, 45), "above": millimetres(28, 45),
            "below": millimetres(60, 80), "pedal_length": "230 mm", "rod_length": "50.8 mm"}


PLAIN_BASE = {"thickness": "6 mm", "gap": "44.45 mm", "base_width": "90 mm", "mount_spread": "50 mm", "ear": "30 mm", "above": "32 mm",
              "below": "76 mm", "pedal_length": "230 mm", "rod_length": "50.8 mm"}


def column_foot(make, d):
    """The fold is held. The foot tilts over its end or over its fold, pulled by both bolts; a push across pulls one of them and
    presses the other."""
    made = make("column-support", 'push = "600 N"\nside_force = "300 N"\nbolt = "M10"\n', d, "", COARSE)
    thick, radius, high, back = (length(d[it]) for it in ("thickness", "fold_radius", "height", "back"))
    wide, low = length(d["width"]), made.outside[:, 1].min()
    # From the end of the foot up to the bolts and to the curve, as lengths of the inside tell.
    line, curve = low + length(d["foot"]) - back, low + length(d["foot"]) - radius
    bolts = Bolts([it.mean(axis=0) for it in made.holes if it.mean(axis=0)[1] < -20], 10.0)
    assert all(abs(y - line) < 0.5 for _, y in bolts.places), (bolts.places, line)
    part = Polygon(made.outside).intersection(box_of(-wide, wide, low - 1, curve + 6))
    outside = np.array(part.exterior.coords)[:-1]
    end = rectangle(-wide / 2 + 10, wide / 2 - 10, low, low + 2)
    m = mesh(outside, [it for it in made.holes if it.mean(axis=0)[1] < -20],
             [np.array([(-wide, curve), (wide, curve)]), *bolts.lines], area=60)
    bent = Bent(m, made.thickness, beds=[lambda x: x[1] > curve])
    judged = lambda x: bolts.clear()(x) & (x[1] < curve - 1) & (x[1] > low + 4)
    pull = 600.0 * high
    far = box(-wide / 2, wide / 2, low, low + 3)
    over_fold = bent.load([(it, pull / back / 2) for it in bolts.faces]).peak(judged)
    over_end = bent.load([(far, pull / (line - low))] + [(it, -pull / (line - low) / 2) for it in bolts.faces]).peak(judged)
    spread = np.ptp([x for x, _ in bolts.places])
    twisted = bent.load([(it, np.sign(x) * 300.0 * high / spread) for it, (x, _) in zip(bolts.faces, bolts.places)]).peak(judged)
    return {"column support, its foot": (max(over_fold, over_end), made.stress("the foot, bent between its bolts and the fold")),
            "column support, pushed across": (twisted, made.stress("upright and foot at their fold, bent and twisted by a push across"))}


def box_of(left, right, low, high):
    return Polygon(rectangle(left, right, low, high))


def guard_ear(make, d):
    """The strip round the guard's edge, 2 mm thick and set in by 1 mm, holds it; the ear of the small wheel is pushed at its bolt. The guard is cut off
    where it no longer counts."""
    words = 'chain = "40"\nsmall_teeth = 10\nlarge_teeth = 20\ncentres = "150 mm"\nsmall_hole = "0 mm"\npush = "100 N"\n'
    made = make("chain-guard", words, d, "", COARSE)
    # The large wheel is at the origin.
    place, size = min(map(ring, made.holes), key=lambda it: it[0][0])
    bolt, ear = Bolts([place], BOLTS[d["bolt"]]), max(length(d["margin"]), size + 3 * made.thickness)
    edge = -150.0 - place[0] - ear
    outside = np.array(Polygon(made.outside).intersection(Point(place).buffer(4 * ear)).exterior.coords)[:-1]
    (hole,) = [it for it in made.holes if math.dist(ring(it)[0], place) < 1]
    turn = math.pi + np.linspace(-4, 4, 21) * ear / edge
    arcs = [np.column_stack((r * np.cos(turn) - 150, r * np.sin(turn))) for r in (edge - 1, edge - 3)]
    from_wheel = lambda x: np.hypot(x[0] + 150, x[1])
    strip = lambda x: (from_wheel(x) < edge - 1) & (from_wheel(x) > edge - 3)
    m = mesh(outside, [hole], [np.vstack([arcs[0], arcs[1][::-1]]), *bolt.lines], area=ear**2 / 8)
    bent = Bent(m, made.thickness, beds=[strip]).load([(bolt.faces[0], 100.0)])
    return {"chain guard, an ear": (bent.peak(lambda x: bolt.clear()(x) & ~strip(x) & within(place, 2.5 * ear)(x)),
                                    made.stress("an ear, bent by who leans on the guard"))}


def random_guard():
    return {"thickness": millimetres(1.5, 4), "bolt": random.choice(["M6", "M8"]), "room": millimetres(18, 30),
            "margin": millimetres(16, 22)}


PLAIN_GUARD = {"thickness": "2 mm", "bolt": "M6", "room": "20 mm", "margin": "12 mm"}


def flange(make, d):
    """A chain's pull beside the flange pulls and pushes the bolts of its first circle as a moment does; those of the second hold,
    or the weld round the bore, 4 mm wide."""
    made = make("flange", 'pull = "1 kN"\noverhang = "50 mm"\n', d, "", COARSE)
    count, first, second = d["bolt_count"], length(d["bolt_circle"]), length(d["second_circle"])
    place = lambda count, circle: [circle / 2 * towards(it * 360 / count) for it in range(count)]
    bolts, size = Bolts(place(count, first), BOLTS[d["bolt"]]), length(d["shaft"]) / 2 + 4
    if d["second_count"]:
        turn = length(d["second_turn"])
        held = Bolts([second / 2 * towards(turn + it * 360 / d["second_count"]) for it in range(d["second_count"])], 8.0)
        lines, beds, off = held.lines, held.faces, bolts.clear(held)
    else:
        lines, beds = [circle((0, 0), size, 32)], [within((0, 0), size)]
        off = lambda x: bolts.clear()(x) & ~within((0, 0), size + 1)(x)
    bent = Bent(mesh(made.outside, made.holes, lines + bolts.lines, area=100), made.thickness, beds=beds)
    at = np.array(bolts.places)
    found = []
    for way in (towards(0), towards(180 / count)):
        found.append(bent.load(zip(bolts.faces, 50e3 * (at @ way) / np.sum((at @ way) ** 2))).peak(off))
    return {"flange, across": (max(found), made.stress("the plate between bolts and hub, bent to and fro by the pull at every turn") / 2)}


def random_flange():
    shaft = random.uniform(25, 45)
    first = random.uniform(100, 140)
    flange = {"thickness": millimetres(6, 12), "outside": f"{first + random.uniform(30, 45):.2f} mm", "shaft": f"{shaft:.2f} mm",
              "bolt_count": random.choice([4, 5, 6, 8]), "bolt_circle": f"{first:.2f} mm", "bolt": random.choice(["M8", "M10"]),
              "second_count": 0, "second_circle": f"{first * random.uniform(0.6, 0.75):.2f} mm", "second_bolt": "M8"}
    two = {"second_count": random.choice([4, 6]), "second_turn": f"{random.uniform(0, 45):.2f} deg"}
    return flange if random.random() < 0.5 else flange | two


PLAIN_FLANGE = {"thickness": "8 mm", "outside": "140 mm", "shaft": "40 mm", "bolt_count": 6, "bolt_circle": "110 mm", "bolt": "M10",
                "second_count": 0, "second_circle": "70 mm", "second_bolt": "M6"}

def caliper_twist(make, d):
    """The disc stands off the bracket: the drag tilts the caliper, whose bolts pull and push. The axle's flange holds up to a bolt's
    size beyond its circle. What the drag does in the bracket's plane is left out."""
    words = 'sides = "left"\nbrake_torque = "400 N.m"\nturn = "45 deg"\nlug_bolt = "M10"\nstand_off = "{} mm"\n'
    says = "the bracket above its flange, bent by the drag of the pads"
    flat = make("caliper-bracket", words.format(0), d, "-left", COARSE).stress(says)
    made = make("caliper-bracket", words.format(20), d, "-left", COARSE)
    reckoned = math.sqrt(made.stress(says) ** 2 - flat**2)
    lugs, span, pads, flange = (length(d[it]) for it in ("lug_radius", "lug_spacing", "pad_radius", "flange_circle"))
    bolts = Bolts([(lugs, side * span / 2) for side in (-1, 1)], 10.0)
    held = flange / 2 + 12
    m = mesh(made.outside, made.holes, [circle((0, 0), held, 48), *bolts.lines], area=100)
    bent = Bent(m, made.thickness, beds=[within((0, 0), held)])
    pull = 400e3 / pads * 20 / span
    bent.load(zip(bolts.faces, (-pull, pull)))
    return {"caliper bracket, twisted": (bent.peak(lambda x: bolts.clear()(x) & (np.hypot(*x) > held + 1)), reckoned)}


FAMILIES = [
    (kingpin_back, [PLAIN_BACK], random_back),
    (pedal_base, [PLAIN_BASE], random_base),
    (column_foot, [PLAIN_COLUMN], random_column),
    (guard_ear, [PLAIN_GUARD], random_guard),
    (flange, [PLAIN_FLANGE], random_flange),
    (caliper_twist, [PLAIN_CALIPER], random_caliper),
]
