"""A steering linkage for the independent expansion: complex numbers, and brute force for the best set.

The left wheel is the inner one, y runs forward, kingpins stand at -track / 2 and track / 2.
"""

import cmath
import math


def tie_rod(track, arm, set_):
    return track - 2 * arm * math.sin(set_)


def outer(inner, track, arm, set_):
    """The outer wheel's angle, found by bisection on the length of the tie rod."""
    left = arm * complex(math.sin(set_), -math.cos(set_))
    right = complex(-left.real, left.imag)
    rod = tie_rod(track, arm, set_)
    end = -track / 2 + left * cmath.exp(1j * inner)

    def too_long(angle):
        return abs(track / 2 + right * cmath.exp(1j * angle) - end) - rod

    low, high = inner - 1.0, inner + 0.3
    if too_long(low) * too_long(high) > 0:
        return None
    for _ in range(45):
        middle = (low + high) / 2
        if too_long(low) * too_long(middle) <= 0:
            high = middle
        else:
            low = middle
    return low


def worst(track, wheelbase, arm, set_, lock):
    """The largest error from cot(outer) = cot(inner) + track / wheelbase, to the lock."""
    steps = 60
    largest = 0.0
    for k in range(1, steps + 1):
        inner = lock * k / steps
        ideal = math.atan(1 / (1 / math.tan(inner) + track / wheelbase))
        turned = outer(inner, track, arm, set_)
        if turned is None:
            return math.inf
        largest = max(largest, abs(turned - ideal))
    return largest


def best_arm_angle(track, wheelbase, arm, lock):
    """The set with the least worst error: finer and finer grids."""
    low, high = 0.0, 1.0
    for _ in range(7):
        step = (high - low) / 20
        middle = min((low + step * k for k in range(21)), key=lambda s: worst(track, wheelbase, arm, s, lock))
        low, high = middle - step, middle + step
    return (low + high) / 2
