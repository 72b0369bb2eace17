"""Plates in their plane that are loaded along an edge of their own: legs, teeth, saddles and what fills a boss."""

import math
import random

import numpy as np
from shapely import Point, Polygon

from elements_in_plane import X, Y, DEMO_ARM, random_arm, square_to, towards
from elements_across import DEMO_PERCH, PERCH, most_clamp, random_perch
from elements_made import SMALL, length, millimetres
from elements_mesh import ring
from elements_plane import Pulled, on

FORCE = 1500.0


def along(way):
    """A direction as a traction, or as what of one is counted."""
    return lambda x: np.multiply.outer(way, np.ones_like(x[0]))


def round_place(at, far):
    return lambda x: np.hypot(x[0] - at[0], x[1] - at[1]) < far


def beside(places, far):
    return lambda x: ~np.any([round_place(at, far)(x) for at in places], axis=0)


def gusset(make, d):
    """The first leg's weld holds; the tube on the second is stiff, and pulls along the free edge. The ends of welds are sharp
    corners: metal within a nose's width of them is not judged."""
    made = make("gusset", f'load = "{FORCE} N"\n', d, "")
    first, second, nose, relief, angle = (length(d[it]) for it in ("first_leg", "second_leg", "nose", "relief", "angle"))
    leg = towards(angle)
    # The drawing stands anywhere: the corner comes to the origin.
    low = made.outside[:, 1].min()
    corner = np.array([made.outside[made.outside[:, 1] < low + 0.01, 0].max() - first, low])
    outside, holes = made.outside - corner, [it - corner for it in made.holes]
    tips = np.array([(first, nose), second * leg - nose * square_to(leg)])
    way = (tips[0] - tips[1]) / math.dist(*tips)
    on_leg = lambda x: np.abs(x[0] * leg[1] - x[1] * leg[0]) < 0.01
    bent = Pulled(outside, holes, made.thickness, stiff=(on_leg, tips[1], -FORCE * way), held=lambda x: np.abs(x[1]) < 1e-4)
    ends = [relief * X, relief * leg, first * X, second * leg]
    return {"gusset": (bent.peak(beside(ends, nose)), made.stress("the plate between corner and free edge"))}


def random_gusset():
    first = random.uniform(80, 200)
    return {"thickness": millimetres(3, 8), "first_leg": f"{first:.2f} mm", "second_leg": f"{first * random.uniform(0.7, 1.4):.2f} mm",
            "angle": f"{random.uniform(60, 120):.2f} deg", "nose": millimetres(10, 16), "relief": millimetres(5, 18),
            "curve": random.choice(["0 mm", millimetres(2, 14)]), "hole": random.choice(["0 mm", millimetres(10, 26)])}


PLAIN_GUSSET = {"thickness": "5 mm", "angle": "90 deg", "first_leg": "120 mm", "second_leg": "120 mm", "nose": "12 mm", "relief": "15 mm",
                "curve": "10 mm", "hole": "25 mm"}

CHAINS = {"25": (6.35, 3.3), "35": (9.525, 5.08), "40": (12.7, 7.92), "41": (12.7, 7.77), "50": (15.875, 10.16), "08B": (12.7, 8.51),
          "05B": (8.0, 5.0)}


def tooth(make, d):
    """A roller in its gap pulls square to its radius on one tooth: a cosine about the pull as far as gap and roller touch. Of the
    wheel a few teeth are left."""
    made = make("chain-wheel", 'torque = "20 N.m"\nbolt_count = 0\nwindows = 0\n', d, "")
    pitch, roller = CHAINS[d["chain"]]
    circle = pitch / math.sin(math.pi / d["teeth"])
    pull, gap = 2 * 20e3 / circle, np.array([circle / 2, 0.0])
    inner = max((circle - roller) / 2 - 2 * pitch, 0.25 * circle)
    some = Polygon(made.outside).difference(Point(0, 0).buffer(inner, 64)).intersection(
        Polygon([(0.1 * inner, -3.5 * pitch), (circle, -3.5 * pitch), (circle, 3.5 * pitch), (0.1 * inner, 3.5 * pitch)]))
    outside = np.array(some.exterior.coords)[:-1]
    seat = lambda x: round_place(gap, 0.53 * roller)(x) & (x[1] > 0)
    press = lambda x: np.array([(x[0] - gap[0]) * x[1], x[1] ** 2])
    bent = Pulled(outside, [], made.thickness, edges=[(seat, press, along(Y), pull)], area=pitch**2 / 60,
                  held=lambda x: (np.hypot(*x) < inner + 0.05) | (np.abs(x[0] - 0.1 * inner) < 1e-6) | (np.abs(np.abs(x[1]) - 3.5 * pitch) < 1e-6))
    return {"chain wheel, a tooth": (bent.peak(round_place(gap, 1.5 * pitch)),
                                     made.stress("a tooth, bent by all the pull of the chain"))}


def random_tooth():
    chain = random.choice(sorted(CHAINS))
    return {"thickness": millimetres(2, 8), "chain": chain, "teeth": random.randint(11, 60), "shaft": "6 mm"}


PLAIN_TOOTH = {"thickness": "6 mm", "chain": "40", "teeth": 48, "shaft": "40 mm"}


def quadrant(make, d):
    """The pawl presses on the tip of a tooth, a quarter of its depth; the pivot and the foot's bolts hold."""
    made = make("hand-lever", 'hand_force = "400 N"\n', d, "-quadrant", SMALL)
    radius, depth, root, teeth = length(d["radius"]), length(d["depth"]), length(d["root"]), d["teeth"]
    pace = math.degrees(length(d["pitch"]) / radius)
    # The flank of a tooth in the middle, that points at the pivot.
    way = towards(90 - (teeth - 0.2) / 2 * pace + teeth // 2 * pace)
    off, out = (lambda x: x[0] * way[1] - x[1] * way[0]), (lambda x: x[0] * way[0] + x[1] * way[1])
    tip = lambda x: (np.abs(off(x)) < 0.02) & (out(x) > radius - depth / 4)
    outside = []
    for at, to in zip(made.outside, np.roll(made.outside, -1, axis=0)):
        outside.append(at)
        if max(abs(off(at)), abs(off(to))) < 0.02 and out(at) * out(to) > 0:
            outside += [at + (to - at) * it / 16 for it in range(1, 16)]
    force = 400.0 * length(d["lever"]) / radius
    bent = Pulled(np.array(outside), made.holes, made.thickness, edges=[(tip, along(-square_to(way)), along(-square_to(way)), force)],
                  held=[it for it, hole in enumerate(made.holes) if ring(hole)[1] > 3])
    bottom = (radius - depth) * way
    return {"hand lever, a tooth of its quadrant": (bent.peak(round_place(bottom, 1.5 * root + depth / 10)),
                                                    made.stress("a tooth at its root, bent and sheared by the pawl", "-lever"))}


def random_quadrant():
    pitch = random.uniform(8, 16)
    depth = pitch * random.uniform(0.4, 0.9)
    return {"thickness": millimetres(6, 12), "lever": millimetres(220, 400), "radius": millimetres(75, 120), "teeth": random.randint(4, 9),
            "pitch": f"{pitch:.2f} mm", "depth": f"{depth:.2f} mm", "root": f"{depth * random.uniform(0.1, 0.25):.2f} mm"}


PLAIN_QUADRANT = {"thickness": "8 mm", "lever": "260 mm", "radius": "90 mm", "teeth": 8, "pitch": "12 mm", "depth": "7.2 mm", "root": "1.5 mm"}


def boss(make, d):
    """What turns the arm comes out of its boss round the hole, as it does from a weld or a clamp: an even pull along the edge, and
    half of a cosine for the force; then the metal round the hole is judged, as the fillet of the arm has a margin of its own. Or
    bolts hold it, and all of the boss is judged."""
    bolts = d.get("boss_bolts", 0)
    made = make("steering-arm", f'sides = "left"\n{"" if bolts else WELDED}load = "{FORCE} N"\nusual_load = "{FORCE} N"\n', d, "-left")
    size = length(d["boss_outside"]) / 2
    hole = max(range(len(made.holes)), key=lambda it: ring(made.holes[it])[1])
    centre, radius = ring(made.holes[hole])
    eye = max(range(len(made.holes)), key=lambda it: math.dist(ring(made.holes[it])[0], centre))
    arm = ring(made.holes[eye])[0] - centre
    pull = FORCE * square_to(arm / np.hypot(*arm))
    if bolts:
        bent = Pulled(made.outside, made.holes, made.thickness, [(eye, pull)],
                      held=[it for it in range(len(made.holes)) if it not in (hole, eye)])
        found = bent.peak(round_place(centre, size))
    else:
        turn = lambda x: np.array([centre[1] - x[1], x[0] - centre[0]])
        bent = Pulled(made.outside, made.holes, made.thickness, [(eye, pull), (hole, -pull)],
                      edges=[(on(made.holes[hole]), turn, turn, -FORCE * np.hypot(*arm))])
        found = bent.peak(round_place(centre, (radius + size) / 2), eyes=True)
    return {"steering arm, its boss beside the hole": (found, made.stress("the boss beside its hole, in bending"))}


WELDED = 'boss_fixing = "weld"\n'


def random_boss():
    arm = random_arm()
    if random.random() < 0.6:
        return arm
    bolt = random.choice([8, 10, 12])
    circle = length(arm["boss_hole"]) + 3.5 * bolt + random.uniform(0, 8)
    outside = circle + 3.5 * bolt + random.uniform(0, 10)
    return arm | {"boss_outside": f"{outside:.2f} mm", "boss_width": f"{outside * random.uniform(0.6, 0.9):.2f} mm",
                  "boss_bolts": random.choice([3, 4, 6]), "boss_circle": f"{circle:.2f} mm", "boss_bolt": f"M{bolt}"}


def cheek(make, d):
    """The clamp presses evenly on the upper edge of a cheek between the legs of the U-bolts; the saddle holds. The ends of its arc are
    sharp corners: metal within the cheek's thickness of them is not judged."""
    made = make("spring-perch", PERCH, d, "-cheek")
    tube, wide, legs = length(d["tube"]), length(d["cheek_width"]), length(d["tube"]) + 2 + 12
    low, top, x = made.outside[:, 1].min(), made.outside[:, 1].max(), made.middle()[0]
    saddle = np.array([x, top - length(d["rise"]) - tube / 2])
    pressed = lambda at: (at[1] > top - 1e-6) & (np.abs(at[0] - x) < min(wide, legs) / 2)
    bent = Pulled(made.outside, made.holes, made.thickness, edges=[(pressed, along(-Y), along(-Y), most_clamp(made) / 2)],
                  held=round_place(saddle, tube / 2 + 1), area=4)
    reach = math.sqrt(max((tube / 2 + 0.25) ** 2 - (low - saddle[1]) ** 2, 0))
    ends = [np.array([x + side * reach, low]) for side in (-1, 1)]
    return {"spring perch, a cheek under its clamp": (bent.peak(beside(ends, made.thickness)),
                                                    made.stress("a cheek, squeezed by the clamp of the U-bolts"))}


def random_cheek():
    return random_perch() | {"wrap": f"{random.uniform(40, 80):.2f} deg"}


FAMILIES = [
    (gusset, [PLAIN_GUSSET], random_gusset),
    (tooth, [PLAIN_TOOTH], random_tooth),
    (quadrant, [PLAIN_QUADRANT], random_quadrant),
    (boss, [DEMO_ARM], random_boss),
    (cheek, [DEMO_PERCH | {"wrap": "75 deg"}], random_cheek),
]
