"""Families whose plates bend across their plane: how each is loaded and held, and what it reckons.

Bolts push and hold with a face of 1.6 times their size (a nut, a head or a washer); within one size of their middle nothing is
judged. A weld holds a throat's width of its plate."""

import math
import random

import numpy as np

from elements_in_plane import (DEMO_WHEEL, PLAIN_SHACKLE, PLAIN_TAB, FORCE, random_shackle, random_tab, random_wheel, towards)
from elements_made import COARSE, length, millimetres, value
from elements_mesh import circle, mesh, ring
from elements_plate import HOLE, Bent, box, none_of, rectangle, within

# Bolts at random, and how thick they are.
BOLTS = {"M10": 10.0, "M12x1.5": 12.0, "1/2-20": 12.7, "M14x1.5": 14.0}


class Bolts:
    """Bolts of one size."""

    def __init__(self, places, size):
        self.places, self.size = list(places), size
        self.faces = [within(it, 0.8 * size) for it in self.places]
        self.lines = [circle(it, 0.8 * size, 12) for it in self.places]

    def clear(self, *others):
        """Where neither these bolts nor others are near."""
        return none_of([within(at, it.size) for it in (self, *others) for at in it.places])


def hub_adapter(make, d):
    """The wheel's bolts push and pull as a moment does, 4 M / (n D) at the most; the hub's hold."""
    made = make("hub-adapter", 'side_force = "2 kN"\ntyre_radius = "300 mm"\n', d, "", COARSE)
    start = length(d["clocking"])
    place = lambda it, turn: [length(d[f"{it}_circle"]) / 2 * towards(turn + at * 360 / d[f"{it}_count"])
                              for at in range(d[f"{it}_count"])]
    hub, wheel = (Bolts(place(it, turn), BOLTS[d[f"{it}_bolt"]]) for it, turn in (("hub", 0.0), ("wheel", start)))
    m = mesh(made.outside, made.holes, hub.lines + wheel.lines, area=100)
    bent = Bent(m, made.thickness, beds=hub.faces)
    at = np.array(wheel.places)
    found = []
    # The ground under a bolt, and midway between two.
    for ground in (towards(start), towards(start + 180 / len(at))):
        forces = 2000.0 * 300.0 * (at @ ground) / np.sum((at @ ground) ** 2)
        found.append(bent.load(zip(wheel.faces, forces)).peak(hub.clear(wheel)))
    return {"hub adapter, across": (max(found), made.stress("the plate between its two circles, bent in a corner"))}


def random_adapter():
    hub, wheel = random.sample(sorted(BOLTS), 2)
    circles = random.uniform(95, 125), random.uniform(100, 210)
    hub_circle, wheel_circle = circles if random.random() < 0.6 else circles[::-1]
    counts = random.choice([(4, 4), (5, 5), (3, 3), (6, 6), (4, 5), (5, 4), (6, 3), (3, 6)])
    best = 180 * math.gcd(*counts) / (counts[0] * counts[1])
    return {"thickness": millimetres(8, 16), "outside": f"{max(circles) + random.uniform(42, 60):.2f} mm",
            "hub_count": counts[0], "hub_circle": f"{hub_circle:.2f} mm", "hub_bolt": hub,
            "wheel_count": counts[1], "wheel_circle": f"{wheel_circle:.2f} mm", "wheel_bolt": wheel,
            "register": f"{min(circles) * random.uniform(0.4, 0.65):.2f} mm", "clocking": f"{best:.4f} deg"}


DEMO_ADAPTERS = [
    {"thickness": "10 mm", "outside": "171.45 mm", "hub_count": 4, "hub_circle": "100 mm", "hub_bolt": "M12x1.5", "wheel_count": 4,
     "wheel_circle": "114.3 mm", "wheel_bolt": "1/2-20", "register": "60.1 mm", "clocking": "45 deg"},
    {"thickness": "10 mm", "outline": "scalloped", "outside": "182 mm", "hub_count": 5, "hub_circle": "120.65 mm",
     "hub_bolt": "M12x1.5", "wheel_count": 5, "wheel_circle": "114.3 mm", "wheel_bolt": "1/2-20", "clocking": "36 deg",
     "register": "69.85 mm", "scallop_depth": "10 mm", "scallop_radius": "25.4 mm"}]

PERCH = 'rod = "M12"\ntube_clearance = "2 mm"\nspring_clearance = "2 mm"\nweld = "4 mm"\nside_force = "2 kN"\n'


def most_clamp(made):
    """A perch's greatest clamp of its four legs, from the least of it: 1.3 and 0.63 of what is meant."""
    return value(made.margin("the U-bolts, clamping", "-seat")["carries"]) / 0.63 * 1.3


def perch_seat(make, d):
    """Welded cheeks hold the seat. Two clamps, as the family takes them: on the edges of the spring, for the seat beyond the
    cheeks, and even over its width, for the seat between them, where the hole's edge peaks as the family says."""
    made = make("spring-perch", PERCH, d, "-seat", COARSE)
    thick, wide, spread, spring = (length(d[it]) for it in ("cheek_thickness", "cheek_width", "cheek_spread", "spring_width"))
    # The legs of a U-bolt stand one rod wider than it is inside.
    legs = length(d["tube"]) + 2 + 12
    clamp = most_clamp(made)
    cheeks = [sorted((side * spread / 2, side * (spread / 2 - thick))) for side in (-1, 1)]
    edges = [sorted((side * spring / 2, side * (spring / 2 - 2))) for side in (-1, 1)]
    m = mesh(made.outside, made.holes, [rectangle(*it, -wide / 2, wide / 2) for it in cheeks], area=60)
    bent = Bent(m, made.thickness, beds=[box(*it, -wide / 2, wide / 2) for it in cheeks])
    # The ends of a cheek are sharp corners: metal within its thickness of them is not judged.
    off = lambda x: np.hypot(np.abs(x[0]) - spread / 2 + thick / 2, np.abs(x[1]) - wide / 2) > thick
    bent.load([(box(*it, -legs / 2, legs / 2), clamp / 2) for it in edges])
    beyond = bent.peak(lambda x: (np.abs(x[0]) > spread / 2) & off(x))
    bent.load([(box(-spring / 2, spring / 2, -legs / 2, legs / 2), clamp)])
    between = bent.peak(lambda x: (np.abs(x[0]) < spread / 2 - thick) & off(x))
    reckoned = [share * made.stress(f"the seat plate {it} its cheeks, bent by the clamp of its U-bolts")
                for it, share in (("beyond", 1.0), ("between", HOLE)) if made.has(f"the seat plate {it} its cheeks")]
    return {"spring perch, its seat": (max(beyond, between), max(reckoned))}


def perch_cheek(make, d):
    """The weld holds a cheek round the tube; the seat and the other cheek keep its upper edge, as high as a throat, straight and
    from turning: it moves as one, and what moves it is half the push."""
    made = make("spring-perch", PERCH, d, "-cheek", COARSE)
    # The tube's middle lies below the upper edge by half the tube and the rise.
    top, tube = made.outside[:, 1].max(), length(d["tube"])
    middle = (made.middle()[0], top - length(d["rise"]) - tube / 2)
    m = mesh(made.outside, made.holes, [np.array([(made.outside[:, 0].min(), top - 4), (made.outside[:, 0].max(), top - 4)])], area=25)
    upper = lambda x: x[1] > top - 4
    bent = Bent(m, made.thickness, beds=[within(middle, tube / 2 + 4), upper]).load([(upper, 1000.0)])
    found = bent.peak(lambda x: ~within(middle, tube / 2 + 5)(x) & (x[1] < top - 5)) * 1000.0 / (1000.0 - bent.borne(upper))
    return {"spring perch, a cheek": (found, made.stress("the cheeks, pushed sideways"))}


def random_perch():
    tube, spring, thick = random.uniform(45, 70), random.uniform(40, 70), random.uniform(5, 10)
    return {"thickness": millimetres(8, 16), "tube": f"{tube:.2f} mm", "spring_width": f"{spring:.2f} mm",
            "cheek_thickness": f"{thick:.2f} mm", "cheek_width": f"{tube * random.uniform(1.1, 1.7):.2f} mm",
            "cheek_spread": f"{spring * random.uniform(0.6, 0.98):.2f} mm", "pin": millimetres(10, 16), "rise": millimetres(12, 60)}


DEMO_PERCH = {"thickness": "10 mm", "tube": "50.8 mm", "spring_width": "44.45 mm", "cheek_thickness": "6 mm", "cheek_width": "70 mm",
              "cheek_spread": "36 mm", "pin": "14 mm", "rise": "15 mm"}


def steering_wheel(make, d):
    """A push on the rim where a spoke ends; the boss bears one bolt beyond the bolts' circle of 74 mm."""
    made = make("steering-wheel", 'push = "200 N"\nbolt_circle = "74 mm"\nbolt = "M5"\n', d, "", COARSE)
    hand = (length(d["outside"]) - length(d["rim"])) / 2 * towards(length(d["spoke_start"]))
    palm = within(hand, length(d["rim"]) / 2)
    m = mesh(made.outside, made.holes, [circle((0, 0), 42, 24)], area=150)
    bent = Bent(m, made.thickness, beds=[within((0, 0), 42)]).load([(palm, 200.0)])
    return {"steering wheel, a spoke across": (bent.peak(none_of([within((0, 0), 43), palm])),
                                               made.stress("a spoke, bending towards the driver"))}


def shackle_sideways(make, d):
    """One eye is held, the other pushed."""
    made = make("shackle-plate", 'side_force = "600 N"\nbolt = "M12"\n', d, "", COARSE)
    bolts = Bolts([(0.0, 0.0), (0.0, length(d["centres"]))], 12.0)
    m = mesh(made.outside, made.holes, bolts.lines, area=40)
    bent = Bent(m, made.thickness, beds=bolts.faces[:1]).load([(bolts.faces[1], 300.0)])
    return {"shackle plate, sideways": (bent.peak(bolts.clear()), made.stress("the plates, bent sideways"))}


def bearing_carrier(make, d):
    """Welded along its upper edge; the bearing's bolts push."""
    made = make("bearing-carrier", 'side_force = "1 kN"\nweld = "4 mm"\n', d, "", COARSE)
    weld = made.outside[:, 1].max() - 4
    bolts = Bolts([ring(it)[0] for it in made.holes if ring(it)[1] < 10], 12.0)
    wide = made.outside[:, 0].min(), made.outside[:, 0].max()
    m = mesh(made.outside, made.holes, [np.array([(it, weld) for it in wide]), *bolts.lines], area=80)
    bent = Bent(m, made.thickness, beds=[lambda x: x[1] > weld]).load([(it, 1000.0 / len(bolts.faces)) for it in bolts.faces])
    return {"bearing carrier": (bent.peak(lambda x: bolts.clear()(x) & (x[1] < weld - 1)),
                                made.stress("the plate at the frame, bent by the push along the axle"))}


def random_carrier():
    return {"thickness": millimetres(6, 12), "drop": millimetres(75, 130), "base_width": millimetres(100, 170)}


def engine_plate(make, d):
    """What hangs out tilts the face's bolts, up or sideways; the frame's four bolts hold."""
    words = 'tension = "not at all"\nface = "as measured"\nface_count = 4\nface_bolt = "M8"\nmount_bolt = "M12"\n'
    made = make("engine-plate", words + 'pull = "800 N"\noverhang = "40 mm"\nmass_force = "500 N"\nreach = "120 mm"\n', d, "",
                COARSE)
    tilt = 800.0 * 40 + 500.0 * 120
    face = Bolts([length(d["face_circle"]) / 2 * towards(45 + 90 * it) for it in range(4)], 8.0)
    across, up = length(d["mount_across"]) / 2, length(d["mount_up"]) / 2
    frame = Bolts([(x * across, y * up) for x in (-1, 1) for y in (-1, 1)], 12.0)
    m = mesh(made.outside, made.holes, face.lines + frame.lines, area=150)
    bent = Bent(m, made.thickness, beds=frame.faces)
    at = np.array(face.places)
    found = [bent.load(zip(face.faces, tilt * at[:, axis] / np.sum(at[:, axis] ** 2))).peak(face.clear(frame)) for axis in (0, 1)]
    return {"engine plate": (max(found), made.stress("the plate between the face and the bolts to the frame, bent by what hangs out"))}


def random_engine_plate():
    face = random.uniform(75, 130)
    return {"thickness": millimetres(6, 12), "face_circle": f"{face:.2f} mm", "shaft_hole": f"{face * random.uniform(0.3, 0.6):.2f} mm",
            "mount_across": f"{face + random.uniform(30, 80):.2f} mm", "mount_up": f"{face + random.uniform(0, 60):.2f} mm"}


PLAIN_ENGINE_PLATE = {"thickness": "8 mm", "face_circle": "92.08 mm", "shaft_hole": "50 mm", "mount_across": "142 mm",
                      "mount_up": "102 mm"}


def tube_foot(make, d):
    """The bolts on one side of a tube pull its foot; the tube's weld holds."""
    made = make("tube-end", 'place = "foot"\nload = "3 kN"\nbending = "100 N.m"\nbolt = "M10"\nweld = "3 mm"\n', d, "", COARSE)
    across, high, margin = length(d["across"]), length(d.get("other", d["across"])), length(d["margin"])
    x, y = made.middle()
    lift = 100e3 / (2 * (across + margin)) + 3000.0 / 4
    bolts = Bolts([at for at, _ in map(ring, made.holes) if at[0] > x + across / 2], 10.0)
    weld = x - across / 2 - 3, x + across / 2 + 3, y - high / 2 - 3, y + high / 2 + 3
    m = mesh(made.outside, made.holes, [rectangle(*weld), *bolts.lines], area=60)
    bent = Bent(m, made.thickness, beds=[box(*weld)]).load([(it, lift) for it in bolts.faces])
    return {"tube's foot": (bent.peak(lambda x: bolts.clear()(x) & (x[0] > weld[1] + 1)),
                            made.stress("the foot, bent between its bolts and the tube"))}


def random_foot():
    tube = {"thickness": millimetres(5, 12), "tube": "square", "across": millimetres(35, 80), "margin": millimetres(20, 40)}
    other = f"{length(tube['across']) * random.uniform(0.5, 0.9):.2f} mm"
    return tube if random.random() < 0.5 else tube | {"tube": "rectangular", "other": other}


PLAIN_FOOT = {"thickness": "6 mm", "tube": "rectangular", "across": "76.2 mm", "other": "25.4 mm", "margin": "25 mm"}


def tab_sideways(make, d):
    """A tab welded along its foot, pushed across at its eye."""
    made = make("mounting-tab", f'two = true\nload = "0 N"\nside_force = "{2 * FORCE} N"\nweld = "4 mm"\nbolt = "M10"\n', d, "-tab",
                COARSE)
    weld = made.outside[:, 1].min() + 4
    bolt = Bolts([ring(made.holes[0])[0]], 10.0)
    m = mesh(made.outside, made.holes, bolt.lines, area=25)
    bent = Bent(m, made.thickness, beds=[lambda x: x[1] < weld]).load([(bolt.faces[0], FORCE)])
    return {"mounting tab, sideways": (bent.peak(lambda x: bolt.clear()(x) & (x[1] > weld + 1)),
                                       made.stress("the foot of the tab, in bending and twist"))}


def step_plate(make, d):
    """A foot on the middle, 20 mm deep; the plate rests on two edges."""
    made = make("step-plate", 'load = "2 kN"\nfoot = "150 mm"\nspan = "110 mm"\ndepth = "150 mm"\nbolted = false\n', d, "", COARSE)
    x, y = made.middle()
    wide = length(d["width"]) / 2 - 1
    rests = y - 55, y + 55
    m = mesh(made.outside, made.holes, [np.array([(x - wide, it), (x + wide, it)]) for it in rests], area=150)
    bent = Bent(m, made.thickness, line_beds=[lambda x, it=it: np.abs(x[1] - it) < 1e-6 for it in rests])
    bent.load([(box(x - 75, x + 75, y - 10, y + 10), 2000.0)])
    return {"step plate": (bent.peak(lambda x: np.abs(x[1] - y) < 53), made.stress("the plate between its supports, bent by a foot"))}


def random_step():
    return {"thickness": millimetres(4, 8), "width": millimetres(220, 300), "hole": millimetres(14, 24), "pitch": millimetres(38, 48)}


PLAIN_STEP = {"thickness": "5 mm", "width": "300 mm", "hole": "18 mm", "pitch": "36 mm"}

FAMILIES = [
    (hub_adapter, DEMO_ADAPTERS, random_adapter),
    (perch_seat, [DEMO_PERCH], random_perch),
    (perch_cheek, [DEMO_PERCH], random_perch),
    (steering_wheel, [DEMO_WHEEL], random_wheel),
    (shackle_sideways, [PLAIN_SHACKLE], random_shackle),
    (bearing_carrier, [{}], random_carrier),
    (engine_plate, [PLAIN_ENGINE_PLATE], random_engine_plate),
    (tube_foot, [PLAIN_FOOT], random_foot),
    (tab_sideways, [PLAIN_TAB], random_tab),
    (step_plate, [PLAIN_STEP], random_step),
]
