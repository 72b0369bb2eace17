"""Parts as the program draws and checks them, and what their families reckon."""

import json
import math
import random
import subprocess

import numpy as np

from elements_mesh import contours, ring


# How arcs become chords: mm that a chord may leave its arc, chords of a circle, and of an arc at the least.
SMALL, FINE, MEDIUM, COARSE = (0.005, 64, 16), (0.02, 64, 8), (0.05, 48, 4), (0.15, 16, 2)


def value(text):
    """An amount in MPa, N or N.m as the program prints it, in N and mm."""
    number, unit = text.split()[:2]
    return float(number) * {"MPa": 1.0, "N": 1.0, "kN": 1000.0, "N.m": 1000.0}[unit]


class Refused(Exception):
    """A rule of the family refuses what was drawn at random."""


class Made:
    """A part as the program draws and checks it."""

    def __init__(self, platewright, folder, name, recipe, words, dimensions, plate, chords):
        job = folder / f"{name}.toml"
        lines = "".join(f'{key} = "{value}"\n' for key, value in dimensions.items())
        job.write_text(f'[job]\nname = "{name}"\n[[part]]\nrecipe = "{recipe}"\nname = "{name}"\n{words}{lines}')
        run = lambda *args: subprocess.run([platewright, *args], capture_output=True, text=True)
        told = run("draw", job, "--out", folder / name)
        if told.returncode != 0:
            raise Refused
        drawing = folder / name / "plates" / f"{name}{plate}.dxf"
        self.recipe, self.asked = recipe, set()
        self.outside, self.holes = contours(drawing, *chords)
        plates = json.loads(run("check", job, "--json").stdout)["plates"]
        self.plates, self.name = {it["name"]: it for it in plates}, name
        own = self.plates[f"{name}{plate}"]
        self.margins = {it["says"]: it for it in own["margins"]}
        self.thickness = own["thickness_mm"]

    def hole(self, place):
        """The index of the hole at a place."""
        far = [math.dist(ring(it)[0], place) for it in self.holes]
        index = int(np.argmin(far))
        assert far[index] < 0.5, (place, far)
        return index

    def middle(self):
        return (self.outside.min(axis=0) + self.outside.max(axis=0)) / 2

    def has(self, says):
        return any(it.startswith(says) for it in self.margins)

    def margin(self, says, plate=None):
        """A margin of the plate; of another of the part if named."""
        self.asked.add((self.recipe, says))
        if plate is None:
            return self.margins[says]
        (margin,) = [it for it in self.plates[f"{self.name}{plate}"]["margins"] if it["says"] == says]
        return margin

    def stress(self, says, plate=None):
        """What the family reckons, MPa, of a margin whose load is a stress."""
        return value(self.margin(says, plate)["load"])


def millimetres(low, high):
    return f"{random.uniform(low, high):.2f} mm"


def length(text):
    return float(text.split()[0])
