"""Families whose plates bend in their plane: how each is loaded and held, and what it reckons."""

import math
import random

import numpy as np

from elements_made import MEDIUM, length, millimetres, value
from elements_mesh import ring
from elements_plane import Pulled, round_hole

FORCE = 1500.0
X, Y = np.eye(2)


def towards(degrees):
    turn = math.radians(degrees)
    return np.array([math.cos(turn), math.sin(turn)])


def square_to(way):
    return np.array([-way[1], way[0]])


def steering_arm(make, d):
    made = make("steering-arm", f'sides = "left"\nboss_fixing = "weld"\nload = "{FORCE} N"\nusual_load = "{FORCE} N"\n', d, "-left")
    boss, eye = sorted(range(len(made.holes)), key=lambda it: -ring(made.holes[it])[1])[:2]
    along = ring(made.holes[eye])[0] - ring(made.holes[boss])[0]
    pull = FORCE * square_to(along / np.hypot(*along))
    bent = Pulled(made.outside, made.holes, made.thickness, [(eye, pull)], held=[boss])
    # The stress of the load to and fro is twice that of the load.
    return {"steering arm": (bent.peak(), made.stress("the arm at the boss, bent to and fro") / 2),
            "steering arm, its eye": (bent.peak(round_hole(made.holes[eye]), eyes=True),
                                      made.stress("the eye beside its hole, with its notch"))}


def random_arm():
    width = random.uniform(30, 60)
    return {"thickness": millimetres(8, 16), "arm_length": millimetres(90, 200), "boss_hole": millimetres(18, 32),
            "boss_outside": f"{width * random.uniform(1.2, 1.6):.2f} mm", "boss_width": f"{width:.2f} mm",
            "eye_width": f"{width * random.uniform(0.6, 0.9):.2f} mm", "eye_outside": millimetres(40, 60),
            "fillet": millimetres(8, 30)}


DEMO_ARM = {"thickness": "10 mm", "arm_length": "127 mm", "boss_hole": "25.4 mm", "boss_outside": "60 mm",
            "boss_width": "44 mm", "track": "1000.125 mm", "wheelbase": "1600 mm"}


def bell_crank(make, d):
    made = make("bell-crank", f'pull = "{FORCE} N"\n', d, "")
    first, second, at = length(d["first_arm"]), length(d["second_arm"]), towards(length(d["angle"]))
    # Each pull is square to its arm, and both turn the crank against each other.
    one = FORCE * Y
    other = -FORCE * first / second * square_to(at)
    eyes = made.hole((first, 0)), made.hole(second * at)
    pins = [(eyes[0], one), (eyes[1], other), (made.hole((0, 0)), -one - other)]
    bent = Pulled(made.outside, made.holes, made.thickness, pins)
    harder = round_hole(made.holes[eyes[int(first > second)]])
    return {"bell crank": (bent.peak(), max(made.stress(it) for it in ("an arm at the pivot", "an arm beside the boss"))),
            "bell crank, its eyes": (bent.peak(harder, eyes=True), made.stress("an eye beside its hole, with its notch"))}


def random_crank():
    pivot, pin = random.uniform(12, 24), random.uniform(7, 12)
    boss = pivot * random.uniform(2.2, 3)
    return {"thickness": millimetres(6, 12), "first_arm": millimetres(60, 150), "second_arm": millimetres(50, 150),
            "angle": f"{random.uniform(60, 170):.2f} deg", "pivot": f"{pivot:.2f} mm", "boss": f"{boss:.2f} mm",
            "pin": f"{pin:.2f} mm", "eye": f"{pin * random.uniform(3, 3.5):.2f} mm",
            "width": f"{boss * random.uniform(0.7, 0.95):.2f} mm", "fillet": millimetres(8, 20)}


PLAIN_CRANK = {"first_arm": "80 mm", "second_arm": "60 mm", "angle": "90 deg"}


def hand_lever(make, d):
    made = make("hand-lever", f'hand_force = "{FORCE} N"\nside_force = "0 N"\n', d, "-lever")
    lever, arm = length(d["lever"]), length(d["pull_arm"])
    hand, pull = FORCE * X, FORCE * lever / arm * X
    pins = [(made.hole((0, -arm)), pull), (made.hole((0, 0)), -hand - pull)]
    bent = Pulled(made.outside, made.holes, made.thickness, pins, [((0, lever), 35.0, hand)])
    ways = "the lever at its boss, bent by the hand both ways", "the lever beside the pawl's pin"
    return {"hand lever": (bent.peak(), max(made.stress(it) for it in ways))}


def random_lever():
    return {"thickness": millimetres(6, 12), "lever": millimetres(220, 400), "grip": millimetres(22, 34),
            "boss": millimetres(42, 70), "pull_arm": millimetres(45, 90)}


PLAIN_LEVER = {"lever": "260 mm", "pull_arm": "45 mm"}


def pedal(make, d):
    made = make("pedal-bracket", f'pedal_force = "{FORCE} N"\n', d, "-pedal")
    long, rod = length(d["pedal_length"]), length(d["rod_length"])
    foot, push = FORCE * X, -FORCE * long / rod * X
    pins = [(made.hole((0, -rod)), push), (made.hole((0, 0)), -foot - push)]
    bent = Pulled(made.outside, made.holes, made.thickness, pins, [((0, -long), 20.0, foot)])
    margin = made.margin("the pedal's arm at the rod's pin, in bending")
    # Both are moments: yield times the load over what is carried, as first yield is what the family goes by.
    return {"pedal": (bent.peak(), 235.0 * value(margin["load"]) / value(margin["carries"]))}


def random_pedal():
    return {"pedal_thickness": millimetres(7, 12), "pedal_length": millimetres(180, 300), "rod_length": millimetres(45, 80),
            "pedal_width": millimetres(32, 50)}


PLAIN_PEDAL = {"pedal_length": "230 mm", "rod_length": "50.8 mm"}


def shackle(make, d):
    made = make("shackle-plate", f'spring_load = "{2 * FORCE} N"\nbolt = "M12"\n', d, "")
    pins = [(made.hole((0, length(d["centres"]))), FORCE * Y), (made.hole((0, 0)), -FORCE * Y)]
    bent = Pulled(made.outside, made.holes, made.thickness, pins)
    return {"shackle plate, its eyes": (bent.peak(eyes=True), made.stress("an eye beside its hole, with its notch"))}


def random_shackle():
    eye = random.uniform(34, 60)
    return {"thickness": millimetres(6, 12), "centres": millimetres(70, 140), "eye": f"{eye:.2f} mm",
            "waist": f"{eye * random.uniform(0.7, 0.95):.2f} mm", "fillet": millimetres(15, 40)}


PLAIN_SHACKLE = {"thickness": "8 mm", "centres": "75 mm", "eye": "40 mm", "waist": "36 mm", "fillet": "25 mm"}


def idler_arm(make, d):
    """A spring holds the arm; the wheel stands as near to the plate as it may, so that it hardly twists it."""
    made = make("idler-arm", f'tension = "spring"\npull = "{FORCE} N"\nturned = "60 deg"\noverhang = "2 mm"\n', d, "")
    arm, spring = length(d["arm"]), length(d["spring_arm"])
    hook = FORCE * arm / spring
    pins = [(made.hole((arm, 0)), FORCE * Y), (made.hole((-spring, 0)), hook * Y), (made.hole((0, 0)), -(FORCE + hook) * Y)]
    bent = Pulled(made.outside, made.holes, made.thickness, pins)
    return {"idler arm": (bent.peak(), made.stress("the arm at its boss, in bending and twist"))}


def random_idler():
    return {"thickness": millimetres(6, 12), "arm": millimetres(70, 150), "spring_arm": millimetres(50, 100),
            "spring_hole": millimetres(6, 9), "fillet": millimetres(8, 20), "boss": millimetres(38, 55)}


PLAIN_IDLER = {"thickness": "6 mm", "arm": "90 mm", "spring_arm": "50 mm", "spring_hole": "6 mm", "fillet": "8 mm",
               "boss": "40.8 mm"}


def caliper_bracket(make, d):
    """The drag of the pads on the caliper's two bolts; the flange's hold. The disc stands in the bracket's plane, so that
    nothing twists."""
    made = make("caliper-bracket", 'sides = "left"\nbrake_torque = "400 N.m"\nstand_off = "0 mm"\nturn = "45 deg"\n', d, "-left")
    lugs, span, pads, flange = (length(d[it]) for it in ("lug_radius", "lug_spacing", "pad_radius", "flange_circle"))
    held = [made.hole(flange / 2 * towards(90 * it - 45)) for it in range(4)]
    drag = 400e3 / pads
    couple = drag * (lugs - pads) / span
    pins = [(made.hole((lugs, side * span / 2)), side * couple * X + drag / 2 * Y) for side in (-1, 1)]
    bent = Pulled(made.outside, made.holes, made.thickness, pins, held=held)
    # Within a bolt of their circle the axle's flange bears; beside the caliper's bolts the plate has margins of its own.
    above = lambda x: (np.hypot(*x) > flange / 2 + 12) & (x[0] < lugs - length(d["lug_margin"]))
    beside = max(bent.peak(round_hole(made.holes[it]), eyes=True) for it, _ in pins)
    return {"caliper bracket": (bent.peak(above), made.stress("the bracket above its flange, bent by the drag of the pads")),
            "caliper bracket, beside the caliper's bolts": (
                beside, made.stress("the bracket beside a caliper's bolt, with its notch"))}


def random_caliper():
    disc = random.uniform(180, 260)
    return {"thickness": millimetres(8, 14), "disc": f"{disc:.2f} mm", "lug_spacing": millimetres(70, 110),
            "lug_radius": f"{disc / 2 + random.uniform(0, 10):.2f} mm", "pad_radius": f"{disc / 2 - random.uniform(15, 25):.2f} mm",
            "flange_circle": millimetres(85, 115), "fillet": millimetres(8, 30), "lug_margin": millimetres(16, 22)}


PLAIN_CALIPER = {"thickness": "10 mm", "disc": "200 mm", "lug_spacing": "88.9 mm", "lug_radius": "105 mm", "pad_radius": "82 mm",
                 "flange_circle": "100 mm", "fillet": "15 mm", "lug_margin": "18 mm"}


def standing(made, reach, foot, eye, force):
    """A plate welded along its foot and pulled along it at its eye, at `reach` above the foot. The ends of a weld are sharp
    corners: it is judged from a tenth of the foot up to the eye, which has a margin of its own."""
    hole, _ = ring(made.holes[0])
    low = hole[1] - reach
    bent = Pulled(made.outside, made.holes, made.thickness, [(0, force * X)], held=lambda x: x[1] < low + 0.01)
    root = bent.peak(lambda x: (x[1] > low + 0.1 * foot) & (x[1] < hole[1] - eye / 2))
    return root, bent.peak(round_hole(made.holes[0]), eyes=True)


def mounting_tab(make, d):
    made = make("mounting-tab", f'two = true\nload = "{2 * FORCE} N"\nside_force = "0 N"\n', d, "-tab")
    root, eye = standing(made, length(d["height"]), length(d["foot"]), length(d["eye"]), FORCE)
    return {"mounting tab": (root, made.stress("the foot of the tab, in bending and twist")),
            "mounting tab, its eye": (eye, made.stress("the eye beside its hole, with its notch"))}


def random_tab():
    return {"thickness": millimetres(5, 10), "foot": millimetres(40, 80), "height": millimetres(30, 60), "eye": millimetres(30, 38)}


PLAIN_TAB = {"thickness": "6 mm", "foot": "50 mm", "height": "35 mm", "eye": "32 mm"}


def kingpin_lug(make, d):
    """Braking alone: what bends a lug in its plane."""
    words = 'castor = "0 deg"\nwheel_load = "0 N"\nside_force = "0 N"\nbrake_force = "1 kN"\ntyre_radius = "250 mm"\n'
    made = make("kingpin-bracket", words + 'between = "80 mm"\n', d, "-upper-lug")
    couple = 1000 * (250 + 80 / 2) / 80
    root, eye = standing(made, length(d["reach"]), length(d["foot"]), length(d["eye"]), couple)
    return {"kingpin's lug": (root, made.stress("a lug at its foot, bent by the wheel's load along the kingpin and by braking")),
            "kingpin's lug, its eye": (eye, made.stress("an eye beside its hole, with its notch"))}


def random_lug():
    return {"thickness": millimetres(8, 12), "reach": millimetres(45, 75), "foot": millimetres(60, 100), "eye": millimetres(52, 62)}


PLAIN_LUG = {"reach": "45 mm", "foot": "80 mm", "eye": "51.2 mm"}


def steering_wheel(make, d):
    """A hand along the rim where a spoke ends; and two that pull the rim apart, one of them between two spokes. The bolts to the
    boss hold."""
    made = make("steering-wheel", f'hand_force = "{FORCE} N"\nbolt_circle = "74 mm"\n', d, "", MEDIUM)
    held = [it for it, hole in enumerate(made.holes) if abs(np.hypot(*ring(hole)[0]) - 37) < 1]
    out, inside = length(d["outside"]) / 2, length(d["outside"]) / 2 - length(d["rim"])
    spoke, gap = (towards(length(d["spoke_start"]) + it * 180 / d["spokes"]) for it in (0, 1))
    pulled = lambda hands: Pulled(made.outside, made.holes, made.thickness, hands=hands, held=held, area=40)
    along = pulled([(out * spoke, 20.0, FORCE * square_to(spoke))])
    apart = pulled([(side * out * gap, 20.0, side * FORCE * gap) for side in (-1, 1)])
    return {"steering wheel, a spoke in its plane": (along.peak(), made.stress("a spoke, bending in the plane of the wheel")),
            "steering wheel, its rim": (apart.peak(lambda x: np.hypot(*x) > inside),
                                        made.stress("the rim, pulled at two opposite points"))}


def random_wheel():
    width = random.uniform(30, 50)
    return {"thickness": millimetres(6, 12), "outside": millimetres(280, 400), "rim": millimetres(20, 30),
            "hub": millimetres(90, 120), "spokes": random.choice([3, 3, 4, 5]), "spoke_start": "90 deg", "fillet": millimetres(8, 18),
            "style": random.choice(["straight", "tapered", "curved"]), "spoke_width": f"{width:.2f} mm",
            "spoke_tip": f"{width * random.uniform(0.6, 0.9):.2f} mm"}


DEMO_WHEEL = {"thickness": "8 mm", "outside": "340 mm", "rim": "24 mm", "hub": "100 mm", "spokes": 3, "spoke_start": "90 deg",
              "fillet": "14 mm", "style": "tapered", "spoke_width": "40 mm", "spoke_tip": "28 mm"}


def chain_wheel(make, d):
    """All teeth push alike, the bolts to the hub hold; only the spokes are judged."""
    made = make("chain-wheel", 'torque = "80 N.m"\nteeth = "48"\nbolt_circle = "70 mm"\nwindow_inside = "98 mm"\n', d, "", MEDIUM)
    held = [it for it, hole in enumerate(made.holes) if abs(np.hypot(*ring(hole)[0]) - 35) < 1]
    out = np.hypot(*made.outside.T).max()
    ways = [towards(7.5 * (it + 0.5)) for it in range(48)]
    hands = [(out * way, 5.0, 80e3 / out / 48 * square_to(way)) for way in ways]
    bent = Pulled(made.outside, made.holes, made.thickness, hands=hands, held=held, area=25)
    return {"chain wheel, a spoke": (bent.peak(lambda x: np.hypot(*x) < out - 14 - length(d["rim"]) / 2),
                                     made.stress("a spoke, bending in the plane of the wheel"))}


def random_chain_wheel():
    return {"thickness": millimetres(5, 8), "rim": millimetres(8, 16), "spoke": millimetres(10, 24),
            "windows": random.choice([4, 5, 6]), "window_corner": millimetres(3, 9)}


PLAIN_CHAIN_WHEEL = {"thickness": "6 mm", "rim": "12 mm", "spoke": "16 mm", "windows": 5, "window_corner": "6 mm"}

FAMILIES = [
    (steering_arm, [DEMO_ARM], random_arm),
    (bell_crank, [PLAIN_CRANK], random_crank),
    (hand_lever, [PLAIN_LEVER], random_lever),
    (pedal, [PLAIN_PEDAL], random_pedal),
    (shackle, [PLAIN_SHACKLE], random_shackle),
    (idler_arm, [PLAIN_IDLER], random_idler),
    (caliper_bracket, [PLAIN_CALIPER], random_caliper),
    (mounting_tab, [PLAIN_TAB], random_tab),
    (kingpin_lug, [PLAIN_LUG], random_lug),
    (steering_wheel, [DEMO_WHEEL], random_wheel),
    (chain_wheel, [PLAIN_CHAIN_WHEEL], random_chain_wheel),
]
