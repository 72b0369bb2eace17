"""Counts words on words, words on drill marks and crossing leaders in pictures of crowded sheets.

    python sheet_words.py PLATEWRIGHT [FOLDER]

Ten jobs that fill a sheet are cut; each sheet's picture is read as SVG: words are the paths with a title,
drill marks crosses aslant, a leader a line that a filled dot stands at the start of. Wanted: no words on
words, none on drill marks, and of the leaders less than one in twenty in a crossing. FOLDER keeps the pictures.
"""

import math
import re
import subprocess
import sys
import tempfile
import xml.etree.ElementTree as ElementTree
from pathlib import Path

SVG = "{http://www.w3.org/2000/svg}"
MOST_CROSSED = 1 / 20
TOUCH = 0.02  # of a letter's height: boxes that overlap by less only touch

FLANGE = 'recipe = "flange"\nthickness = "6 mm"\n'
JOBS = {
    "flanges": [(FLANGE, 60)],
    "small-flanges": [(FLANGE + 'outside = "80 mm"\nshaft = "16 mm"\nbolt_circle = "48 mm"\nbolt = "M6"\n', 150)],
    "hub-adapters": [('recipe = "hub-adapter"\nthickness = "10 mm"\n', 24)],
    "pedal-brackets": [('recipe = "pedal-bracket"\nthickness = "6 mm"\n', 24)],
    "spring-perches": [('recipe = "spring-perch"\nthickness = "6 mm"\n', 24)],
    "steering-arms": [('recipe = "steering-arm"\nthickness = "12 mm"\n', 16)],
    "kerf-tests": [('recipe = "kerf-test"\nthickness = "6 mm"\n', 80)],
    "wheels": [('recipe = "steering-wheel"\nthickness = "6 mm"\n', 8)],
    "windows": [
        ('recipe = "steering-wheel"\nthickness = "6 mm"\n', 4),
        (FLANGE + 'outside = "80 mm"\nshaft = "16 mm"\nbolt_circle = "48 mm"\nbolt = "M6"\n', 60),
    ],
    "all": [
        (FLANGE, 12),
        ('recipe = "pedal-bracket"\nthickness = "6 mm"\n', 6),
        ('recipe = "spring-perch"\nthickness = "6 mm"\n', 6),
        ('recipe = "kerf-test"\nthickness = "6 mm"\n', 10),
    ],
}


def points_of(data):
    """The ends of a path's pieces, one list a chain."""
    chains, numbers = [], []
    for command, rest in re.findall(r"([MLAZ])([^MLAZ]*)", data):
        numbers = [float(n) for n in re.findall(r"-?\d*\.?\d+", rest)]
        if command == "M":
            chains.append([])
        if command != "Z":
            chains[-1].append(tuple(numbers[-2:]))
    return chains


def box(chains):
    xs = [x for chain in chains for x, _ in chain]
    ys = [y for chain in chains for _, y in chain]
    return min(xs), min(ys), max(xs), max(ys)


def is_cross(chains):
    if len(chains) != 2 or any(len(chain) != 2 for chain in chains):
        return False
    (a, b), (c, d) = chains
    same = math.dist(((a[0] + b[0]) / 2, (a[1] + b[1]) / 2), ((c[0] + d[0]) / 2, (c[1] + d[1]) / 2)) < 0.02
    aslant = abs(abs(a[0] - b[0]) - abs(a[1] - b[1])) < 0.02
    upright = abs((b[0] - a[0]) * (d[0] - c[0]) + (b[1] - a[1]) * (d[1] - c[1])) < 0.02 * math.dist(a, b)
    return same and aslant and upright


def meet(a, b, by=0.0):
    return a[0] + by < b[2] and b[0] + by < a[2] and a[1] + by < b[3] and b[1] + by < a[3]


def cross(one, other):
    def side(p, q, r):
        return (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0])

    (a, b), (c, d) = one, other
    return side(a, b, c) * side(a, b, d) < 0 and side(c, d, a) * side(c, d, b) < 0


def count(svg):
    """Words, words on words, words on drill marks, leaders, leaders in a crossing."""
    words, marks, leaders, line = [], [], [], None
    paths = list(ElementTree.parse(svg).getroot().iter(f"{SVG}path"))
    edge = next(path.get("stroke") for path in paths if path.get("stroke"))  # the ink of the sheet's edge, which leaders have and leads do not
    for path in paths:
        chains = points_of(path.get("d"))
        title = path.find(f"{SVG}title")
        if title is not None:
            words.append((title.text, box(chains)))
        elif is_cross(chains):
            marks.append(box(chains))
        elif line and path.get("fill") == edge and path.get("stroke") is None and len(chains) == 1:
            low_x, low_y, high_x, high_y = box(chains)
            middle = ((low_x + high_x) / 2, (low_y + high_y) / 2)
            # A circle in two halves: its ends lie at its sides.
            if math.dist(middle, line[0]) < 0.05 * math.dist(*line) + 0.01:
                leaders.append(line)
        single = path.get("stroke") == edge and len(chains) == 1 and len(chains[0]) == 2 and "Z" not in path.get("d")
        line = tuple(chains[0]) if single and title is None else None
    heights = sorted(b[3] - b[1] for _, b in words)
    by = TOUCH * heights[len(heights) // 2] if heights else 0.0
    pairs = [(i, j) for i in range(len(words)) for j in range(i) if meet(words[i][1], words[j][1], by)]
    on_marks = [w for w, b in words if any(meet(b, mark, by) for mark in marks)]
    crossed = {k for i in range(len(leaders)) for j in range(i) if cross(leaders[i], leaders[j]) for k in (i, j)}
    return len(words), len(pairs), len(on_marks), len(leaders), len(crossed)


def main():
    if len(sys.argv) not in (2, 3):
        sys.exit(__doc__)
    keep = Path(sys.argv[2]) if len(sys.argv) == 3 else None
    wrong = 0
    print(f"{'sheet':<18}{'words':>7}{'on words':>10}{'on marks':>10}{'leaders':>9}{'crossed':>9}")
    with tempfile.TemporaryDirectory() as scratch:
        for name, parts in JOBS.items():
            job = Path(scratch) / f"{name}.toml"
            blocks = [f"[[part]]\n{part}quantity = {copies}\n" for part, copies in parts]
            job.write_text(f'[job]\nname = "{name}"\n' + "\n".join(blocks))
            out = keep / name if keep else Path(scratch) / name
            command = [sys.argv[1], "cut", job, "--seconds", "0", "--png", "--out", out]
            subprocess.run(command, check=True, stdout=subprocess.DEVNULL)
            pictures = sorted((out / "sheets").glob("*.svg"), key=lambda it: -it.stat().st_size)
            words, on_words, on_marks, leaders, crossed = count(pictures[0])
            print(f"{name:<18}{words:>7}{on_words:>10}{on_marks:>10}{leaders:>9}{crossed:>9}", flush=True)
            wrong += on_words + on_marks + (crossed > MOST_CROSSED * leaders)
    print("all as wanted" if not wrong else "NOT as wanted")
    sys.exit(1 if wrong else 0)


if __name__ == "__main__":
    main()
