"""Cuts random sheets with everything that a table can ask for, and burns each with the virtual cut.

    python at_the_table.py PLATEWRIGHT [SHEETS [FIRST_SEED]]

Each seed makes a job of random drawn plates (rectangles and triangles with windows, discs with bores) and a table
that is a shipped one with keys at random, and half of the jobs share cuts: slats and slugs, the cut that parts what is left, the mass that can be
lifted, loops and feed at corners, how runs begin, the order. Its sheets are cut with their programs and looked at by
`virtual_cut.py` and `programs.py`. Begins with seeds that broke a law once, and goes on until so many sheets are looked at (20 unless told), and fails if
any law is broken, or if a kind of work never came up among fifty or more.
"""

import json
import random
import subprocess
import sys
import tempfile
from collections import Counter
from pathlib import Path

import ezdxf

import programs
import virtual_cut

# Runs that started elsewhere than their plate's own went through what is left along an outline.
ONCE_WRONG = (5288, 5644)
TABLES = Path(__file__).resolve().parents[2] / "part-recipes" / "tables"


def plate(path, rng):
    """A drawing of a plate at random; gives its size."""
    document = ezdxf.new("R2000", units=4)
    space = document.modelspace()
    kind = rng.choice(["frame", "frame", "triangle", "disc", "strip", "strip"])
    x, y = rng.uniform(90, 420), rng.uniform(90, 320)
    if kind == "disc":
        space.add_circle((0, 0), x / 2, dxfattribs={"layer": "OUTSIDE"})
        if rng.random() < 0.7:
            space.add_circle((0, 0), x / 2 * rng.uniform(0.2, 0.8), dxfattribs={"layer": "INSIDE"})
        y = x
    elif kind == "triangle":
        tip = rng.uniform(0, x)
        space.add_lwpolyline([(0, 0), (x, 0), (tip, y)], close=True, dxfattribs={"layer": "OUTSIDE"})
    elif kind == "strip":
        y = rng.uniform(40, 80)
        space.add_lwpolyline([(0, 0), (x, 0), (x, y), (0, y)], close=True, dxfattribs={"layer": "OUTSIDE"})
        space.add_circle((x / 2, y / 2), y / 4, dxfattribs={"layer": "INSIDE"})
    else:
        space.add_lwpolyline([(0, 0), (x, 0), (x, y), (0, y)], close=True, dxfattribs={"layer": "OUTSIDE"})
        rim = rng.uniform(14, 30)
        corners = [(rim, rim), (x - rim, rim), (x - rim, y - rim), (rim, y - rim)]
        if rng.random() < 0.3:
            corners = [(rim, rim), (x - rim, rim), (x / 2, y - rim)]
        space.add_lwpolyline(corners, close=True, dxfattribs={"layer": "INSIDE"})
    document.saveas(path)
    return x, y


def table(rng):
    """A shipped table with keys at random: its text, a thickness that it cuts, and the keys."""
    name, thicknesses = rng.choice([("shop-plasma", [4, 6, 10, 14]), ("shop-laser", [3, 6, 10]), ("shop-oxy-fuel", [10, 16, 20])])
    text = (TABLES / f"{name}.toml").read_text()
    head = [f'slats = "{rng.choice([60, 80, 100, 150])} mm"', f'slugs = "{rng.choice(["leave", "cut up", "cut up", "tabs"])}"']
    head.append(f'cut_off = "{rng.choice(["no", "straight", "outline"])}"')
    if rng.random() < 0.6:
        head.append(f'lift = "{rng.choice([5, 10, 25])} kg"')
    if "order" not in text:
        head.append(f'order = "{rng.choice(["plate by plate", "shortest", "spread heat"])}"')
    row = []
    if rng.random() < 0.4:
        row += [f'corner_loop = "{rng.uniform(3, 10):.1f} mm"']
    if rng.random() < 0.6:
        row += [f"corner_feed = {rng.uniform(0.3, 0.9):.2f}"]
    row.append(f'start = "{rng.choice(["pierce", "drilled", "edge"])}"')
    row.append('start_drill = "3 mm"')
    keys = head + row
    text = "\n".join(head) + "\n" + text.replace("[[cut]]", "[[cut]]\n" + "\n".join(row))
    return text, rng.choice(thicknesses), keys


def job(folder, rng):
    text, thickness, keys = table(rng)
    (folder / "shed.toml").write_text(text)
    tabs = '\ntabs = { width = "2 mm", smallest = "100 m" }' if 'slugs = "tabs"' in text else ""
    shares = rng.random() < 0.5
    kinds = rng.randint(1, 4)
    share = f"shared_cuts = {json.dumps([f'plate {number}' for number in range(kinds)])}" if shares else ""
    lines = [f'[job]\nname = "random"\ntable = "shed"\nweb = "{rng.choice([4, 6, 10])} mm"\nmargin = "8 mm"{tabs}\n{share}']
    keys.append(share)
    x, y = rng.uniform(500, 1400), rng.uniform(500, 1200)
    lines.append(f'[[stock]]\nmaterial = "mild steel"\nthickness = "{thickness} mm"\nsize = ["{x:.0f} mm", "{y:.0f} mm"]')
    for number in range(kinds):
        plate(folder / f"plate{number}.dxf", rng)
        quantity = rng.choice([1, 2, 3, 4, 7, 12]) if shares else rng.randint(1, 4)
        lines.append(f'[[part]]\ndrawing = "plate{number}.dxf"\nname = "plate {number}"\nthickness = "{thickness} mm"\nquantity = {quantity}')
    (folder / "job.toml").write_text("\n\n".join(lines) + "\n")
    return keys


def look(platewright, seed, seen):
    """Cuts what a seed makes; gives its faults and how many sheets they are."""
    rng = random.Random(seed)
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        keys = job(folder, rng)
        command = [platewright, "cut", "job.toml", "--program", "--seconds", "0", "--out", "out"]
        done = subprocess.run(command, cwd=folder, capture_output=True, text=True)
        if done.returncode == 1:
            seen["refused"] += 1
            return ([f"a mistake of the program: {done.stderr}"] if "mistake" in done.stderr else []), 0
        if done.returncode:
            return [f"exit code {done.returncode}: {done.stderr}"], 0
        out = folder / "out"
        faults = list(virtual_cut.verify(out).failures)
        report = json.loads((out / "report.json").read_text())
        for sheet in report["sheets"]:
            drawing = out / sheet["file"]
            for program in drawing.parent.glob(f"{drawing.stem}*.nc"):
                faults += programs.compare(program, drawing)[0]
            told = sheet.get("skeleton", {})
            seen["sheets with skeletons cut"] += bool(told.get("cuts"))
            seen["sheets with what is left parted"] += bool(told.get("cut_off_runs"))
            seen["edges cut once for two plates"] += sheet.get("shared_cuts", {}).get("edges", 0)
            starts = Counter(run.get("start") for run in sheet["runs"])
            seen["runs begun at an edge"] += starts["edge"]
            seen["runs begun in drilled holes"] += starts["drilled"]
            seen["cuts across slugs"] += sum(run["cuts"].startswith("across the slug") for run in sheet["runs"])
        seen["slugs held by tabs"] += sum(bool(plate.get("holding_tabs")) for plate in report["plates"])
        seen["sheets"] += len(report["sheets"])
        return [f"{fault} ({'; '.join(keys)})" for fault in faults], len(report["sheets"])


def main():
    if len(sys.argv) < 2:
        raise SystemExit(__doc__)
    program = str(Path(sys.argv[1]).resolve())
    wanted = int(sys.argv[2]) if len(sys.argv) > 2 else 20
    first = int(sys.argv[3]) if len(sys.argv) > 3 else 1
    seen, failed, looked_at = Counter(), [], 0
    for seed in (*ONCE_WRONG, *range(first, first + 20 * wanted)):
        faults, sheets = look(program, seed, seen)
        failed += [f"seed {seed}: {fault}" for fault in faults]
        looked_at += max(sheets, 0)
        if looked_at >= wanted or len(failed) > 40:
            break
    for what, count in sorted(seen.items()):
        print(f"{count:6} {what}")
    missing = [what for what in ("cuts across slugs", "sheets with skeletons cut", "sheets with what is left parted",
                                 "runs begun at an edge", "runs begun in drilled holes", "slugs held by tabs", "edges cut once for two plates") if not seen[what]]
    if wanted >= 50 and missing:
        failed.append(f"never seen: {', '.join(missing)}")
    for fault in failed[:40]:
        print("FAILED", fault)
    raise SystemExit(bool(failed) or not looked_at)


if __name__ == "__main__":
    main()
