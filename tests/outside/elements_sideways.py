"""Levers and cheeks that are pushed from the side: how each is loaded and held, and what it reckons."""

import random

from elements_across import Bolts
from elements_made import COARSE, length, millimetres
from elements_mesh import mesh, ring
from elements_in_plane import PLAIN_LEVER, PLAIN_PEDAL, random_lever, random_pedal
from elements_plate import HOLE, Bent, none_of, within

PUSH = 200.0


def peaks(bent, made, judged):
    """The peak where `judged` holds, and at the edges of holes that bear nothing over Goodier's factor for them, if that is more."""
    holes = [within(at, 2 * size) for at, size in map(ring, made.holes)]
    clear = none_of(holes)
    return max(bent.peak(lambda x: judged(x) & clear(x)), bent.peak(lambda x: judged(x) & ~clear(x)) / HOLE)


def pedal_sideways(make, d):
    """The pivot's bolt and washers hold the arm, a foot pushes its pad. The rod's pin leaves less of the arm."""
    made = make("pedal-bracket", f'pedal_force = "{5 * PUSH} N"\n', d, "-pedal", COARSE)
    pivot, pad = Bolts([(0.0, 0.0)], 10.0), within((0, -length(d["pedal_length"])), 8)
    bent = Bent(mesh(made.outside, made.holes, pivot.lines, area=60), made.thickness, beds=pivot.faces).load([(pad, PUSH)])
    return {"pedal, pushed from the side": (peaks(bent, made, none_of([within((0, 0), 10), pad])),
                                            made.stress("the pedal's arm at the pivot or the rod's pin, pushed from the side"))}


def random_pinned_pedal():
    return random_pedal() | {"rod_pin": millimetres(6, 9.8)}


def hand_lever_sideways(make, d):
    """The pivot's bolt and washers hold the lever, a hand pushes its end."""
    made = make("hand-lever", f'hand_force = "0 N"\nside_force = "{PUSH} N"\n', d, "-lever", COARSE)
    pivot, hand = Bolts([(0.0, 0.0)], 12.0), within((0, length(d["lever"])), 10)
    bent = Bent(mesh(made.outside, made.holes, pivot.lines, area=60), made.thickness, beds=pivot.faces).load([(hand, PUSH)])
    ways = "the lever at its boss, bent by the hand both ways", "the lever beside the pawl's pin"
    return {"hand lever, pushed from the side": (peaks(bent, made, none_of([within((0, 0), 12), hand])),
                                                 max(map(made.stress, ways)))}


def cheek_sideways(make, d):
    """Welded to the base along its foot; the pivot's bolt, at the origin, pushes."""
    made = make("pedal-bracket", f'pedal_force = "{5 * PUSH} N"\nstop = false\n', d, "-cheek", COARSE)
    weld = made.outside[:, 0].min() + 3
    pivot = Bolts([(0.0, 0.0)], 10.0)
    bent = Bent(mesh(made.outside, made.holes, pivot.lines, area=25), made.thickness, beds=[lambda x: x[0] < weld])
    bent.load([(pivot.faces[0], PUSH)])
    return {"pedal's cheek, pushed from the side": (peaks(bent, made, lambda x: pivot.clear()(x) & (x[0] > weld + 1)),
                                                    made.stress("a cheek where it stands on the base, pushed from the side"))}


def random_cheek():
    return {"thickness": millimetres(4, 8), "reach": millimetres(60, 100), "above": millimetres(28, 50),
            "below": millimetres(50, 90), "foot": millimetres(18, 30), "pivot_boss": millimetres(30, 40)}


PLAIN_CHEEK = {"thickness": "6 mm", "reach": "70 mm", "above": "32 mm", "below": "76 mm", "foot": "20 mm", "pivot_boss": "34 mm"}

FAMILIES = [
    (pedal_sideways, [PLAIN_PEDAL], random_pinned_pedal),
    (hand_lever_sideways, [PLAIN_LEVER], random_lever),
    (cheek_sideways, [PLAIN_CHEEK], random_cheek),
]
