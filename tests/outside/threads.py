"""Trade functions for the independent expansion: the threads the checks use, with their sources.

Clearance holes: ISO 273 (metric), ASME B18.2.8 (inch); tapping drills: ISO 2306 and the drill chart
of Machinery's Handbook; edge distances: AISC 360-16 tables J3.4 and J3.4M, 1.5 times the bolt below
them (common practice). Bends: sheet-metal shop formulas, Machinery's Handbook.
"""

import math

import linkage

INCH = 25.4
# thread: (nominal, (close, normal, loose), tapping drill, edge)
THREADS = {
    "M5": (5, (5.3, 5.5, 5.8), 4.2, 7.5),
    "M6": (6, (6.4, 6.6, 7.0), 5.0, 9),
    "M8": (8, (8.4, 9.0, 10.0), 6.8, 12),
    "M10": (10, (10.5, 11.0, 12.0), 8.5, 15),
    "M12": (12, (13.0, 13.5, 14.5), 10.2, 18),
    "M12x1.5": (12, (13.0, 13.5, 14.5), 10.5, 18),
    "M12x1.25": (12, (13.0, 13.5, 14.5), 10.8, 18),
    "M14": (14, (15.0, 15.5, 16.5), 12.0, 21),
    "M14x1.5": (14, (15.0, 15.5, 16.5), 12.5, 21),
    "M16": (16, (17.0, 17.5, 18.5), 14.0, 22),
    "3/8-16": (0.375 * INCH, (25 / 64 * INCH, 13 / 32 * INCH, 27 / 64 * INCH), 0.3125 * INCH, 0.5625 * INCH),
    "1/4-20": (0.25 * INCH, (17 / 64 * INCH, 9 / 32 * INCH, 19 / 64 * INCH), 0.201 * INCH, 0.375 * INCH),
    "7/16-20": (0.4375 * INCH, (29 / 64 * INCH, 15 / 32 * INCH, 31 / 64 * INCH), 25 / 64 * INCH, 0.65625 * INCH),
    "3/8-24": (0.375 * INCH, (25 / 64 * INCH, 13 / 32 * INCH, 27 / 64 * INCH), 0.332 * INCH, 0.5625 * INCH),
    "5/16-18": (0.3125 * INCH, (21 / 64 * INCH, 11 / 32 * INCH, 23 / 64 * INCH), 0.257 * INCH, 0.46875 * INCH),
    "1/2-20": (0.5 * INCH, (17 / 32 * INCH, 0.5625 * INCH, 39 / 64 * INCH), 29 / 64 * INCH, 0.75 * INCH),
    "1/2-13": (0.5 * INCH, (17 / 32 * INCH, 0.5625 * INCH, 39 / 64 * INCH), 27 / 64 * INCH, 0.75 * INCH),
    "5/8-11": (0.625 * INCH, (21 / 32 * INCH, 0.6875 * INCH, 47 / 64 * INCH), 17 / 32 * INCH, 0.875 * INCH),
}  # fmt: skip
# Outside of plain washers, mm: ISO 7089 (looked up).
WASHERS = {"M5": 10, "M6": 12, "M8": 16, "M10": 20, "M12": 24, "M16": 30}
# Pitch and roller of chains, mm: ASME B29.1, ISO 606 (40, 41, 08B looked up; 420 as the trade has it).
CHAINS = {"40": (12.7, 7.92), "41": (12.7, 7.77), "420": (12.7, 7.77), "08B": (12.7, 8.51)}
FITS = {"fine": 0, "close": 0, "medium": 1, "normal": 1, "coarse": 2, "loose": 2}


def thread(name):
    return THREADS[name]


TRADE = {
    "clearance": lambda name, fit="medium": thread(name)[1][FITS[fit]],
    "tap_drill": lambda name: thread(name)[2],
    "edge": lambda name: thread(name)[3],
    "spacing": lambda name: 8 / 3 * thread(name)[0],
    "diameter": lambda name: float(thread(name)[0]),
    "chord": lambda n, circle: circle * math.sin(math.pi / n),
    "circle_from_chord": lambda n, chord: chord / math.sin(math.pi / n),
    "arm_angle": lambda track, wheelbase: math.atan(track / 2 / wheelbase),
    "tie_rod": linkage.tie_rod,
    "best_arm_angle": linkage.best_arm_angle,
    "arm_stress": lambda force, length, thickness, height: 6 * force * length / (thickness * height**2),
    "yield": lambda material, thickness=0.0: 235e3,
    "elasticity": lambda material: 210e6,
    "washer": lambda name: float(WASHERS[name]),
    "usual_class": lambda name: "8.8" if name.startswith("M") else "grade 5",
    "clamp": lambda value, low, high: min(max(value, low), high),
    "chain_pitch": lambda chain: CHAINS[chain][0],
    "chain_width": lambda chain: {"40": 7.85, "41": 6.25, "420": 6.35, "08B": 7.75}[chain],
    "chain_roller": lambda chain: CHAINS[chain][1],
    "sprocket_bottom": lambda pitch, roller, teeth: pitch / math.sin(math.pi / teeth) - roller,
    "sprocket_hub": lambda pitch, teeth: pitch * (1 / math.tan(math.pi / teeth) - 1) - 0.76,
    "sprocket_pitch_circle": lambda pitch, teeth: pitch / math.sin(math.pi / teeth),
    # DIN 6935: K is 0.325 + 0.25 lg(r / t), at most a half.
    "k_factor": lambda radius, thickness, material="": min(0.325 + 0.25 * math.log10(radius / thickness), 0.5),
    "bend_allowance": lambda angle, radius, thickness, k: angle * (radius + k * thickness),
    "setback": lambda angle, radius, thickness: math.tan(angle / 2) * (radius + thickness),
    "bend_deduction": lambda angle, radius, thickness, k: 2 * math.tan(angle / 2) * (radius + thickness)
    - angle * (radius + k * thickness),
}
