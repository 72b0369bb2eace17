"""Compares the program's plates with an independent expansion of the same families.

    python compare_families.py PLATEWRIGHT

Has the program cut every variant of tests/family-variants.toml and compares each net drawing with
the same dimensions expanded by recipes.py: outline within 0.005 mm both ways, the same round holes, wherever the origin is.
"""

import json
import math
import re
import subprocess
import sys
import tempfile
import tomllib
from functools import partial
from multiprocessing import Pool
from pathlib import Path

from shapely import affinity
from shapely.geometry import Polygon

import drawings
from recipes import expand
from sweep import depth
from virtual_cut import circle

VARIANTS = Path(__file__).resolve().parents[1] / "family-variants.toml"
TOLERANCE = 0.005  # mm, outline against outline
NOT_DIMENSIONS = ("recipe", "name", "quantity", "material", "opening")


def slug(words):
    return re.sub(r"[^a-z0-9]+", "-", words.lower()).strip("-")


def expected(part):
    """Every plate of a variant by the name that the program gives it."""
    given = {key: value for key, value in part.items() if key not in NOT_DIMENSIONS}
    made = expand(part["recipe"], given, plates_alone=True)
    for plate in made.plates:
        name = "-".join(filter(None, (slug(part["name"]), slug(plate.name))))
        if plate.hands is None:
            yield name, plate.metal, plate.holes
            continue
        if "left" in plate.hands:
            yield f"{name}-left", plate.metal, plate.holes
        if "right" in plate.hands:
            mirrored = affinity.scale(plate.metal, -1, 1, origin=(0, 0))
            yield f"{name}-right", mirrored, [(-x, y, d) for x, y, d in plate.holes]


def drawn(path):
    drawing = drawings.read(path)
    holes = [(x, y, 2 * r) for layer, (x, y), r in drawing.circles if layer == "INSIDE"]
    rounds = {layer: [circle(at, r) for name, at, r in drawing.circles if name == layer]
              for layer in ("OUTSIDE", "INSIDE")}  # fmt: skip
    chains = {layer: [c.points() for c in drawing.chains if c.layer == layer] for layer in rounds}
    outside = (rounds["OUTSIDE"] + chains["OUTSIDE"])[0]
    return Polygon(outside, rounds["INSIDE"] + chains["INSIDE"]), holes


def shifts(metal, holes, found, drawn_holes):
    """Ways from the net drawing, whose origin is the plate's datum, to the recipe's own origin."""
    if not drawn_holes:
        yield metal.bounds[0] - found.bounds[0], metal.bounds[1] - found.bounds[1]
    for x, y, d in holes:
        if drawn_holes and abs(d - drawn_holes[0][2]) < 1e-4:
            yield x - drawn_holes[0][0], y - drawn_holes[0][1]


def on_recipe(metal, holes, path):
    """The net drawing moved so that all of its holes are where they are expected, if there is a way."""
    found, drawn_holes = drawn(path)
    for dx, dy in shifts(metal, holes, found, drawn_holes):
        moved = [(x + dx, y + dy, d) for x, y, d in drawn_holes]
        if all(any(math.dist(hole, other) < 1e-4 for other in holes) for hole in moved):
            return affinity.translate(found, dx, dy), moved
    return found, drawn_holes


def differences(metal, holes, path):
    if metal.geom_type != "Polygon":
        yield f"what is expected falls apart: {metal.geom_type}"
        return
    found, drawn_holes = on_recipe(metal, holes, path)
    over, under = depth(found.difference(metal), metal), depth(metal.difference(found), found)
    if max(over, under) > TOLERANCE:
        yield f"outlines differ: {over:.4f} mm too much, {under:.4f} mm too little"
    for hole in drawn_holes:
        if not any(math.dist(hole, other) < 1e-4 for other in holes):
            yield f"a hole of {hole[2]:.4f} at {hole[0]:.4f}, {hole[1]:.4f} is not expected"
    if len(found.interiors) != len(metal.interiors):
        yield f"{len(found.interiors)} openings drawn, {len(metal.interiors)} expected"


def compared(files, part):
    """The names of a variant's plates, and what is wrong with them."""
    names, faults = [], []
    for name, metal, holes in expected(part):
        names.append(name)
        found = differences(metal, holes, files[name]) if name in files else ["not made"]
        faults += [f"{name}: {fault}" for fault in found]
    return names, faults


def main():
    if len(sys.argv) != 2:
        raise SystemExit(__doc__)
    with tempfile.TemporaryDirectory() as folder, Pool() as pool:
        out = Path(folder) / "out"
        subprocess.run([sys.argv[1], "cut", VARIANTS, "--out", out, "--seconds", "0"], check=True, stdout=subprocess.DEVNULL)
        files = {p["name"]: out / p["file"] for p in json.loads((out / "report.json").read_text())["plates"]}
        parts = tomllib.loads(VARIANTS.read_text())["part"]
        looked = pool.map(partial(compared, files), parts, chunksize=1)
    names = {name for found, _ in looked for name in found}
    faults = [fault for _, found in looked for fault in found]
    faults += [f"{name}: not expected" for name in files if name not in names]
    print(f"{len(names)} plates compared, {len(faults)} differences")
    for fault in faults:
        print("FAILED", fault)
    if faults or not names:
        raise SystemExit(1)


if __name__ == "__main__":
    main()
