"""Draws labelled sketches, dimensioned drawings and pictures of plates at random settings and counts words that lie where they must not.

    python sketches.py PLATEWRIGHT [SETTINGS_EACH [SEED]]

Of every family that is shipped, so many sketches (20 unless given), and the drawing and the picture of every plate of the same
settings: dimensions scaled, counts, threads and choices changed at random, as far as the recipe allows. Read back
from the SVG, which knows its words by the title of their strokes, with geometry of its own: words on words, words
on any line or filled shape, words off the page. All must be zero. In drawings, leaders that run over a hole on
their way are counted: fewer than one in twenty. Every dimension that says it measures a place must be named in the
words of the sketch. Call-outs of folds touch no fold's line, and overall sizes are as long on the paper as their
words and the scale say, along the page or, where the view says that it is turned, up the page. Needs shapely.
"""

import json
import math
import random
import re
import shutil
import subprocess
import sys
import tempfile
import xml.etree.ElementTree as ET
from pathlib import Path

from shapely.geometry import LineString, Polygon, box
from shapely.strtree import STRtree

SVG = "{http://www.w3.org/2000/svg}"
TOKEN = re.compile(r"[MLAZ]|-?\d*\.?\d+(?:e-?\d+)?")
THREADS = ["M5", "M6", "M8", "M10", "M12", "1/4-20", "3/8-16", "1/2-13"]
STEPS = 12  # chords of an arc
MOST_OVER_HOLES = 1 / 20  # of the leaders
OVER = 0.5  # mm on paper of a leader within a hole


def arc(start, radius, large, sweep, end):
    """Points along an arc of a circle, as SVG 2, appendix B.2.4 gives its centre."""
    (x1, y1), (x2, y2) = start, end
    dx, dy = (x1 - x2) / 2, (y1 - y2) / 2
    half = math.hypot(dx, dy)
    if half == 0:
        return [end]
    radius = max(radius, half)
    factor = math.sqrt(max(radius * radius - half * half, 0.0)) / half
    if large == sweep:
        factor = -factor
    cx, cy = (x1 + x2) / 2 + factor * dy, (y1 + y2) / 2 - factor * dx
    first = math.atan2(y1 - cy, x1 - cx)
    turn = math.atan2(y2 - cy, x2 - cx) - first
    if sweep and turn < 0:
        turn += math.tau
    if not sweep and turn > 0:
        turn -= math.tau
    angles = [first + turn * k / STEPS for k in range(1, STEPS + 1)]
    return [(cx + radius * math.cos(a), cy + radius * math.sin(a)) for a in angles]


def chains(path):
    """The chains of a path as lists of points."""
    words = TOKEN.findall(path)
    found, here, k, command = [], None, 0, None
    while k < len(words):
        if words[k] in "MLAZ":
            command = words[k]
            k += 1
            if command == "Z":
                found[-1].append(found[-1][0])
            continue
        if command == "A":
            radius, large, sweep = float(words[k]), words[k + 3] == "1", words[k + 4] == "1"
            end = (float(words[k + 5]), float(words[k + 6]))
            found[-1].extend(arc(here, radius, large, sweep, end))
            k += 7
        else:
            end = (float(words[k]), float(words[k + 1]))
            k += 2
            if command == "M":
                found.append([end])
                command = "L"
            else:
                found[-1].append(end)
        here = end
    return found


def read(text):
    """The page, boxes of words with their text, lines, and the leaders among them."""
    root = ET.fromstring(text)
    _, _, width, height = map(float, root.get("viewBox").split())
    words, lines = [], []
    # The number of a finding stands on a disc that covers what is under it.
    discs = [it for group in root.iter(f"{SVG}g") if group.get("class") == "finding" for it in group.iter(f"{SVG}path")]
    for path in root.iter(f"{SVG}path"):
        title = path.find(f"{SVG}title")
        points = chains(path.get("d"))
        half = float(path.get("stroke-width", 0)) / 2
        if title is not None and path in discs:
            continue
        if title is not None:
            xs = [x for chain in points for x, _ in chain]
            ys = [y for chain in points for _, y in chain]
            words.append((box(min(xs) - half, min(ys) - half, max(xs) + half, max(ys) + half), title.text))
            continue
        for chain in points:
            line = LineString(chain) if len(chain) > 1 else None
            if line is None:
                continue
            if path.get("fill") != "none" and len(chain) < 6:
                lines.append(Polygon(chain).buffer(half))
            else:
                lines.append(line.buffer(half) if half else line)
    return box(0, 0, width, height), words, lines


def counts(text):
    page, words, lines = read(text)
    boxes = [it for it, _ in words]
    tree, edges = STRtree(boxes), STRtree(lines)
    on_words = sum(1 for k, it in enumerate(boxes) for j in tree.query(it, "intersects") if j > k)
    on_lines = sum(len(edges.query(it, "intersects")) for it in boxes)
    off = sum(not page.contains(it) for it in boxes)
    return on_words, on_lines, off, [text for _, text in words]


def leaders(text):
    """How many leaders a drawing has, and how many of them run over a hole."""
    root = ET.fromstring(text)
    of = lambda kind: [it for it in root.iter(f"{SVG}g") if it.get("class") == kind]
    holes = [Polygon(chain) for it in of("opening") for chain in chains(it.find(f"{SVG}path").get("d"))]
    lines = [chains(it.find(f"{SVG}path").get("d"))[0] for it in of("call-out")]
    over = [line for line in lines if sum(LineString(line).intersection(it).length for it in holes) > OVER]
    return len(lines), len(over)


def on_folds(text):
    """How many call-outs of folds touch the line of a fold, with their leader or its arrow."""
    root = ET.fromstring(text)
    of = lambda kind: [it for it in root.iter(f"{SVG}g") if it.get("class") == kind]
    line = lambda it: LineString(chains(it.find(f"{SVG}path").get("d"))[0])
    folds = [line(it) for it in of("fold")]
    about = [it for it in of("call-out") if re.match(r"F\d+  ", it.find(f"{SVG}title").text)]
    led = lambda it: [LineString(chains(path.get("d"))[0]) for path in it.findall(f"{SVG}path")[:2]]
    return sum(any(shape.intersects(fold) for shape in led(it) for fold in folds) for it in about)


def untrue(text):
    """What is wrong with the overall sizes of a drawing: words, scale, length and direction on the paper."""
    root = ET.fromstring(text)
    words = [it.text for it in root.iter(f"{SVG}title")]
    times, over = next(it for it in words if re.fullmatch(r"[\d.]+:[\d.]+", it)).split(":")
    turned = any(it.startswith("view turned 90° counter-clockwise") for it in words)
    wrong = []
    for group in root.iter(f"{SVG}g"):
        if group.get("class") != "dimension":
            continue
        name = group.find(f"{SVG}title").text
        *lines, said = group.findall(f"{SVG}path")
        (x, y), (to_x, to_y) = chains(lines[2].get("d"))[0]
        said = said.find(f"{SVG}title").text
        length = float(said.lstrip("⌀").split(" ")[0]) * float(times) / float(over)
        level = (name == "overall width") != turned
        across, along = (abs(to_y - y), abs(to_x - x)) if level else (abs(to_x - x), abs(to_y - y))
        # Words are rounded to 0.01 mm; a scale that is no standard one to 0.01.
        if across > 0.01 or abs(along - length) > 0.02 + 0.006 * length * (float(over) not in (1, 2, 5, 10, 20, 50)):
            wrong.append(f"{name} {said} at {times}:{over} is {along:.2f} mm on the paper")
    return wrong, turned


def changed(dimension, choose):
    """Another value for a dimension, as --set takes it; nothing to leave it."""
    kind, default = dimension["kind"], dimension["default"].strip("'\"")
    if kind == "choice":
        return choose.choice(dimension["range"].split(", "))
    if kind == "yes-no":
        return choose.choice(["yes", "no"])
    if kind == "thread":
        return choose.choice(THREADS)
    if kind == "count":
        return str(max(0, int(default) + choose.randint(-2, 4)))
    if kind in ("length", "angle"):
        return f"({default}) * {choose.uniform(0.6, 1.6):.3f}"
    return None


def draw(program, recipe, settings, path):
    asked = [word for name, value in settings.items() for word in ("--set", f"{name}={value}")]
    made = subprocess.run([program, "recipes", recipe, "--sketch", path, "--replace", *asked],
                          capture_output=True, text=True)
    if made.returncode not in (0, 1, 2):
        raise SystemExit(f"{recipe} {settings}: exit {made.returncode}\n{made.stderr}")
    return path.read_text() if made.returncode == 0 else None


def drawings(program, recipe, settings, folder):
    """The drawing and the picture of each plate of a part."""
    part, out = folder / "part.toml", folder / "out"
    part.write_text(f'recipe = "{recipe}"\n')
    shutil.rmtree(out, ignore_errors=True)
    asked = [word for name, value in settings.items() for word in ("--set", f"{name}={value}")]
    made = subprocess.run([program, "draw", part, "--out", out, *asked], capture_output=True, text=True)
    if made.returncode not in (0, 1):
        raise SystemExit(f"draw {recipe} {settings}: exit {made.returncode}\n{made.stderr}")
    return [[it.read_text() for it in sorted((out / kind).glob("*.svg"))] for kind in ("drawings", "plates")]


def main():
    program = sys.argv[1]
    each = int(sys.argv[2]) if len(sys.argv) > 2 else 20
    choose = random.Random(int(sys.argv[3]) if len(sys.argv) > 3 else 1)
    ask = lambda *words: json.loads(subprocess.run([program, *words, "--json"], capture_output=True, text=True, check=True).stdout)
    total, drawn, plates, led, folded, turned = [0, 0, 0], 0, 0, [0, 0], 0, 0
    with tempfile.TemporaryDirectory() as scratch:
        scratch = Path(scratch)
        path = scratch / "sketch.svg"
        for recipe in [it["name"] for it in ask("recipes")["recipes"]]:
            dimensions = ask("recipes", recipe)["dimensions"]
            had, tries = 0, 0
            while had < each:
                tries += 1
                if tries > 60 * each:
                    raise SystemExit(f"{recipe}: only {had} of {tries} settings are allowed")
                some = choose.sample(dimensions, min(len(dimensions), choose.randint(1, 7)))
                settings = {it["name"]: changed(it, choose) for it in some}
                settings = {name: value for name, value in settings.items() if value is not None}
                path.unlink(missing_ok=True)
                text = draw(program, recipe, settings, path)
                if text is None:
                    continue
                had, drawn = had + 1, drawn + 1
                *bad, said = counts(text)
                for it in dimensions:
                    if not any(it["name"] in line for line in said):
                        raise SystemExit(f"{recipe} {settings}: {it['name']} is nowhere")
                shown = [("sketch", bad)]
                faces, pictures = drawings(program, recipe, settings, scratch)
                for text in faces:
                    plates += 1
                    shown.append(("drawing", counts(text)[:3]))
                    led = [a + b for a, b in zip(led, leaders(text))]
                    folded += on_folds(text)
                    wrong, is_turned = untrue(text)
                    turned += is_turned
                    if wrong:
                        raise SystemExit(f"{recipe} {settings}: {wrong}")
                shown += [("picture", counts(text)[:3]) for text in pictures]
                for what, bad in shown:
                    if any(bad):
                        print(f"{what} of {recipe} {settings}: words on words {bad[0]}, on lines {bad[1]}, off the page {bad[2]}")
                    total = [a + b for a, b in zip(total, bad)]
            print(f"{recipe}: {had} sketches, {tries} settings tried", flush=True)
    print(f"{drawn} sketches, {plates} drawings and pictures: words on words {total[0]}, on lines {total[1]}, off the page {total[2]}; "
          f"{led[1]} of {led[0]} leaders over holes, {folded} on folds; {turned} views turned")
    if any(total) or folded or led[1] > MOST_OVER_HOLES * led[0]:
        raise SystemExit(1)


main()
