"""Reads the programs of a run as a machine would, and compares each with its sheet's drawing.

    python programs.py OUT_DIR

The torch is on from M3 to M5. Every run of the drawing must come back, in order, within 0.005 mm; nothing
is moved fast with the torch on, nothing cut with it off; a comment before each run has its number. Where lines are
scribed, every one of the drawing comes back so too, whatever words put the tool on and off.
Where a program has z, the torch is over the sheet in every rapid across it, and at the height of the cut
along a run. Words: RS274/NGC (NIST IR 6556, from memory).
"""

import json
import math
import re
import sys
from pathlib import Path

import ezdxf

import drawings

OFF = 0.005  # mm
STEP = 0.5  # mm between the places that are compared
CLEAR = 5.0  # mm over the sheet in a rapid, where there is z
WORD = re.compile(r"([A-Z])([-+]?\d*\.?\d+)")


class Machine:
    """Position, state, and the runs so far: each (number, points)."""

    def __init__(self):
        self.at = {"X": 0.0, "Y": 0.0, "Z": None}
        self.unit = self.absolute = None
        self.motion = 0
        self.feed = 0.0
        self.run = None
        self.number = None
        self.runs = []
        self.strokes = None  # of what is scribed, while and once it is
        self.scribing = False
        self.faults = []

    def line(self, text, where):
        for comment in re.findall(r"\((.*?)\)", text):
            if found := re.match(r"(\d+): ", comment):
                self.number = int(found.group(1))
                self.scribing = False
            if re.match(r"scribe \d+: ", comment):
                self.strokes, self.scribing = self.strokes or [], True
        words = [(a, float(b)) for a, b in WORD.findall(re.sub(r"\(.*?\)", "", text).replace(" ", ""))]
        values = {letter: value for letter, value in words if letter not in "GM"}
        codes = [(letter, value) for letter, value in words if letter in "GM"]
        if "F" in values:
            self.feed = values["F"]
        for letter, value in codes:
            if (letter, value) in (("G", 20), ("G", 21)):
                self.unit = 25.4 if value == 20 else 1.0
            elif letter == "G" and value in (90, 91):
                self.absolute = value == 90
            elif letter == "G" and value in (0, 1, 2, 3):
                self.motion = int(value)
            elif (letter, value) == ("G", 92):
                if "Z" in values:
                    self.at["Z"] = values["Z"] * self.unit
                return
            elif (letter, value) == ("G", 38.2):
                self.at["Z"] = 0.0  # the sheet
                return
            elif self.scribing and letter == "M":
                pass
            elif (letter, value) == ("M", 3):
                self.run = [(self.at["X"], self.at["Y"])]
            elif (letter, value) == ("M", 5):
                self.runs.append((self.number, self.run))
                self.run = None
        if any(letter in values for letter in "XYZ"):
            self.move(values, where)

    def move(self, values, where):
        if not self.unit or not self.absolute:
            self.faults.append(f"{where}: a move before the unit and G90")
            return
        before = dict(self.at)
        for letter in "XYZ":
            if letter in values:
                self.at[letter] = values[letter] * self.unit
        start, end = ((p["X"], p["Y"]) for p in (before, self.at))
        on = self.run is not None
        across = math.dist(start, end) > 0
        if self.scribing:
            if across and self.motion == 0:
                self.strokes.append([end])
            elif across:
                self.strokes[-1] += self.piece(start, end, values, where)
            return
        if across and on and self.motion == 0:
            self.faults.append(f"{where}: a rapid with the torch on")
        if across and not on and self.motion:
            self.faults.append(f"{where}: a cut with the torch off")
        if across and not on and self.at["Z"] is not None and min(self.at["Z"], before["Z"]) < CLEAR:
            self.faults.append(f"{where}: a rapid {self.at['Z']} mm over the sheet")
        if on and self.motion and self.feed <= 0:
            self.faults.append(f"{where}: a cut without a feed")
        if on and across and self.at["Z"] is not None and not 0 < self.at["Z"] < CLEAR:
            self.faults.append(f"{where}: a cut {self.at['Z']} mm over the sheet")
        if on and across:
            self.run += self.piece(start, end, values, where)

    def piece(self, start, end, values, where):
        if self.motion < 2:
            return [end]
        if not {"I", "J"} <= values.keys():
            self.faults.append(f"{where}: an arc without a centre")
            return [end]
        centre = (start[0] + values["I"] * self.unit, start[1] + values["J"] * self.unit)
        radius = math.dist(start, centre)
        if abs(math.dist(end, centre) - radius) > OFF:
            self.faults.append(f"{where}: an arc misses its end")
        a, b = (math.atan2(p[1] - centre[1], p[0] - centre[0]) for p in (start, end))
        turn = (b - a) % (2 * math.pi) if self.motion == 3 else -((a - b) % (2 * math.pi))
        steps = max(2, math.ceil(abs(turn) / (2 * math.acos(max(1 - drawings.CHORD / radius, 0.5)))))
        at = lambda k: (
            centre[0] + radius * math.cos(a + turn * k / steps),
            centre[1] + radius * math.sin(a + turn * k / steps),
        )
        return [at(k) for k in range(1, steps)] + [end]


def walk(line):
    """Places along a line every STEP, and its length."""
    lengths = [math.dist(a, b) for a, b in zip(line, line[1:])]
    whole = sum(lengths)
    places, passed, piece = [], 0.0, 0
    for k in range(math.ceil(whole / STEP) + 1):
        along = min(k * STEP, whole)
        while piece < len(lengths) - 1 and passed + lengths[piece] < along:
            passed += lengths[piece]
            piece += 1
        share = (along - passed) / lengths[piece] if lengths[piece] else 0.0
        (ax, ay), (bx, by) = line[piece], line[piece + 1]
        places.append((ax + (bx - ax) * share, ay + (by - ay) * share))
    return places, whole


def scribed(strokes, drawing):
    """Faults of the lines that are scribed: each of the drawing, once, on its way."""
    space = ezdxf.readfile(drawing).modelspace()
    wanted = [c.points() for c in drawings.read(drawing).chains if c.layer == "SCRIBE"]
    lines = [e for e in space if e.dxf.layer == "SCRIBE" and e.dxftype() == "LINE"]
    wanted += [[tuple(e.dxf.start)[:2], tuple(e.dxf.end)[:2]] for e in lines]
    circles = [e for e in space if e.dxf.layer == "SCRIBE" and e.dxftype() == "CIRCLE"]
    faults = []
    if len(strokes) != len(wanted) + len(circles):
        faults.append(f"{len(strokes)} lines are scribed, {len(wanted) + len(circles)} drawn")
    for line in wanted:
        places, _ = walk(line)
        near = [s for s in strokes if len(s) > 1 and max(math.dist(s[0], line[0]), math.dist(s[-1], line[-1])) < OFF]
        off = min((max((math.dist(a, b) for a, b in zip(places, walk(s)[0])), default=0.0) for s in near), default=math.inf)
        if off > OFF:
            faults.append(f"the scribed line from {line[0]} is {off:.3f} mm off")
    return faults


def compare(program, drawing):
    """Faults, the number of runs, and the worst gap in mm."""
    machine = Machine()
    for number, text in enumerate(program.read_text().splitlines(), 1):
        machine.line(text, f"{program.name}:{number}")
    first = int(found.group(1)) if (found := re.search(r"-from-(\d+)$", program.stem)) else 1
    wanted = [c for c in drawings.read(drawing).chains if not c.closed and c.layer != "SCRIBE"]
    wanted = wanted[first - 1 :]
    if machine.strokes is not None:
        machine.faults += scribed(machine.strokes, drawing)
    if len(machine.runs) != len(wanted):
        return machine.faults + [f"{program.name}: {len(machine.runs)} runs, {len(wanted)} drawn"], 0, 0.0
    worst = 0.0
    for order, ((number, run), chain) in enumerate(zip(machine.runs, wanted), first):
        if number != order:
            machine.faults.append(f"{program.name}: run {order} is called {number}")
        if not run or len(run) < 2:
            machine.faults.append(f"{program.name}: run {order} goes nowhere")
            continue
        (ours, length), (theirs, drawn) = walk(run), walk(chain.points())
        if abs(length - drawn) > OFF * len(run):
            machine.faults.append(f"{program.name}: run {order} is {length - drawn:+.4f} mm longer")
        worst = max([worst] + [math.dist(a, b) for a, b in zip(ours, theirs)])
    if worst > OFF:
        machine.faults.append(f"{program.name}: {worst:.4f} mm off the drawing")
    return machine.faults, len(wanted), worst


def main():
    if len(sys.argv) != 2:
        sys.exit(__doc__)
    out = Path(sys.argv[1])
    report = json.loads((out / "report.json").read_text())
    faults, runs, worst = [], 0, 0.0
    for sheet in report["sheets"]:
        drawing = out / sheet["file"]
        for program in sorted(drawing.parent.glob(f"{drawing.stem}*.nc")):
            told, count, off = compare(program, drawing)
            faults += told
            runs += count
            worst = max(worst, off)
    print("\n".join(faults))
    print(f"{runs} runs read back, {worst:.5f} mm off at worst, {len(faults)} faults")
    sys.exit(1 if faults or not runs else 0)


if __name__ == "__main__":
    main()
