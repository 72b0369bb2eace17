"""Layouts of `platewright nest` beside those of the `spyrrow` library, on the same outlines.

    python -m venv venv && venv/bin/pip install spyrrow shapely
    cargo build --release
    venv/bin/python benches/nesting/compare.py FILE.json ... --seconds 5 20

Equal wall time, two workers each, one after the other; every layout is checked with shapely: nothing
overlaps by more than a millionth of the strip's width, the distances of the file are kept, every copy
is there. The library knows no windows: where an instance has some, ours runs twice, with windows taken
away ("solid") and with them ("windows"). The ratio is of lengths, theirs over ours: above 1 is shorter.
"""

import argparse
import json
import math
import pathlib
import subprocess
import sys
import tempfile
import time

import shapely
import spyrrow
from shapely import affinity
from shapely.geometry import Polygon

HERE = pathlib.Path(__file__).resolve().parent
PROGRAM = HERE.parents[1] / "target" / "release" / "platewright"


# What a file of the literature says of itself beside the task.
NOTES = ("source", "units", "note", "total_item_area", "total_net_area", "item_count")


def ours(instance, seconds, seed):
    """The answer of this project's program."""
    items = [{key: value for key, value in item.items() if key != "kind"} for item in instance["items"]]
    instance = {key: value for key, value in instance.items() if key not in NOTES} | {"items": items}
    with tempfile.NamedTemporaryFile("w", suffix=".json") as file:
        json.dump(instance, file)
        file.flush()
        command = [PROGRAM, "nest", file.name, "--seconds", str(seconds), "--seed", str(seed), "--json"]
        started = time.monotonic()
        ran = subprocess.run(command, capture_output=True, text=True, check=True)
        return json.loads(ran.stdout), time.monotonic() - started


def theirs(instance, seconds, seed):
    """The answer of the library, in the same form."""
    margin = instance.get("edge_margin", 0) or 0
    gap = instance.get("min_item_separation", 0) or 0
    tolerance = 1 + (instance.get("width_tolerance", 0) or 0)
    # The library keeps the gap between items from the edges too; the rest of the margin is made up.
    inset = margin - gap
    items = [
        spyrrow.Item(
            str(item["id"]),
            [tuple(p) for p in item["polygon"]],
            demand=item["quantity"],
            allowed_orientations=item["allowed_rotations_deg"],
        )
        for item in instance["items"]
    ]
    width = instance["strip_width"] * tolerance - 2 * inset
    problem = spyrrow.StripPackingInstance(instance["name"], strip_height=width, items=items)
    settings = {"total_computation_time": int(seconds), "num_workers": 2, "seed": seed}
    if gap:
        settings["min_items_separation"] = gap
    started = time.monotonic()
    solution = problem.solve(spyrrow.StripPackingConfig(**settings))
    took = time.monotonic() - started
    answer = {
        "length": solution.width + 2 * inset,
        "placements": [
            {"id": p.id, "x": p.translation[0] + inset, "y": p.translation[1] + inset, "turn_deg": p.rotation}
            for p in solution.placed_items
        ],
    }
    return answer, took


def faults(instance, answer):
    """What is wrong with an answer, in a few words; empty if nothing is."""
    width = instance["strip_width"]
    slack = 1e-6 * width
    margin = instance.get("edge_margin", 0) or 0
    gap = instance.get("min_item_separation", 0) or 0
    items = {str(item["id"]): item for item in instance["items"]}
    wrong = set()
    lying = []
    for placement in answer["placements"]:
        item = items[str(placement["id"])]
        shape = Polygon(item["polygon"], item.get("holes") or [])
        shape = affinity.rotate(shape, placement["turn_deg"], origin=(0, 0))
        shape = affinity.translate(shape, placement["x"], placement["y"])
        left, low, right, high = shape.bounds
        top = width * (1 + (instance.get("width_tolerance", 0) or 0))
        if min(left, low) < margin - slack or right > answer["length"] - margin + slack or high > top - margin + slack:
            wrong.add("leaves the strip")
        lying.append(shape)
    for name, item in items.items():
        if sum(str(p["id"]) == name for p in answer["placements"]) != item["quantity"]:
            wrong.add(f"wrong number of {name}")
    tree = shapely.STRtree(lying)
    for index, shape in enumerate(lying):
        for other in tree.query(shape.buffer(gap + slack)):
            if other <= index:
                continue
            if gap and shape.distance(lying[other]) < gap - slack:
                wrong.add("too near")
            elif not gap and shape.intersection(lying[other]).buffer(-slack).area > 0:
                wrong.add("overlap")
    return sorted(wrong)


def solid(instance):
    """The same outlines without windows."""
    items = [{key: value for key, value in item.items() if key != "holes"} for item in instance["items"]]
    return {**instance, "items": items}


def main():
    options = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawTextHelpFormatter)
    options.add_argument("files", nargs="+", type=pathlib.Path)
    options.add_argument("--seconds", nargs="+", type=int, default=[5])
    options.add_argument("--seed", type=int, default=0)
    options = options.parse_args()
    print(f"{'instance':24}{'s':>4}{'theirs':>12}{'ours':>12}{'ratio':>9}{'our use %':>11}{'took s':>8}  check")
    ratios = {}
    for path in options.files:
        instance = json.loads(path.read_text())
        windows = any(item.get("holes") for item in instance["items"])
        area = sum(Polygon(item["polygon"]).area * item["quantity"] for item in instance["items"])
        for seconds in options.seconds:
            reference, _ = theirs(instance, seconds, options.seed)
            wrong = [f"theirs: {fault}" for fault in faults(solid(instance), reference)]
            for kind in ["solid", "windows"] if windows else ["solid"]:
                used = solid(instance) if kind == "solid" else instance
                answer, took = ours(used, seconds, options.seed)
                found = wrong + [f"ours: {fault}" for fault in faults(used, answer)]
                ratio = reference["length"] / answer["length"]
                ratios.setdefault((kind, seconds), []).append(ratio)
                name = instance["name"] + (" in windows" if kind == "windows" else "")
                use = 100 * area / (instance["strip_width"] * answer["length"])
                print(
                    f"{name:24}{seconds:>4}{reference['length']:>12.3f}{answer['length']:>12.3f}{ratio:>9.4f}"
                    f"{use:>11.2f}{took:>8.1f}  {'; '.join(found) or 'sound'}",
                    flush=True,
                )
    for (kind, seconds), values in ratios.items():
        mean = math.exp(sum(map(math.log, values)) / len(values))
        print(f"{kind}, {seconds} s: geometric mean of {len(values)} ratios {mean:.4f}, least {min(values):.4f}")


if __name__ == "__main__":
    sys.exit(main())
