"""Time and memory of the program at each of its limits, as a table in Markdown.

    python3 benches/limits/measure.py target/release/platewright [WORD]

Each row is made in a folder of its own with as much as the limit allows, and run once; with a WORD only
the rows whose name holds it. A row that takes more than 5 s or 500 MB is marked; so is one that does not
end as it should. On a busy
machine the time of all cores tells more than that of the clock. Only what is in Python's library is used; it runs where `resource` and `wait4` are there.
"""

import json
import math
import os
import pathlib
import subprocess
import sys
import tempfile
import time

PROGRAM = pathlib.Path(sys.argv[1]).resolve()
WORD = sys.argv[2] if len(sys.argv) > 2 else ""
MOST_SECONDS, MOST_MEGABYTES, PATIENCE = 5.0, 500.0, 120.0

HEAD = 'title = "T"\nabout = "t"\n[dimension.thickness]\nsays = "t"\ndefault = "6 mm"\n'
PLATE = HEAD + "[[plate]]\n"
LASER = 'recipe = "limit"\ntable = "shop-laser"\n'
SHEET = '[[stock]]\nthickness = "8 mm"\nsize = ["1220 mm", "2440 mm"]\n'


def step(text):
    return "[[plate.step]]\n" + text


def disc(diameter):
    return step(f'add = "disc"\ndiameter = "{diameter} mm"\n')


TOP = "0\nSECTION\n2\nHEADER\n9\n$INSUNITS\n70\n4\n0\nENDSEC\n0\nSECTION\n2\nENTITIES\n"
END = "0\nENDSEC\n0\nEOF\n"


def dxf(loop):
    """The DXF of a closed loop, in millimetres."""
    corners = "".join(f"10\n{x:.6f}\n20\n{y:.6f}\n" for x, y in loop)
    return f"{TOP}0\nLWPOLYLINE\n8\n0\n90\n{len(loop)}\n70\n1\n{corners}{END}"


def holes(count, pitch, radius, across):
    """The DXF of a plate with so many round holes in rows."""
    rows = math.ceil(count / across)
    w, h = (across + 1) * pitch, (rows + 1) * pitch
    at = [((i % across + 1) * pitch, (i // across + 1) * pitch) for i in range(count)]
    circles = "".join(f"0\nCIRCLE\n8\n0\n10\n{x}\n20\n{y}\n40\n{radius}\n" for x, y in at)
    return dxf([(0, 0), (w, 0), (w, h), (0, h)]).replace(END, circles + END)


def drawing(text):
    return {"limit.dxf": text, "limit.toml": PLATE + step('add = "drawing"\nfile = "limit.dxf"\n'), "part.toml": LASER}


def wave(corners, radius):
    """A loop of so many corners in waves about a circle."""
    loop = []
    for i in range(corners):
        a = math.tau * i / corners
        r = radius + 5.0 * math.sin(60 * a)
        loop.append((radius + 10 + r * math.cos(a), radius + 10 + r * math.sin(a)))
    return loop


def parts(count):
    sizes = (f'[[part]]\nrecipe = "flange"\nname = "f{i}"\nthickness = "8 mm"\noutside = "{140 + i * 0.05:.2f} mm"\n'
             for i in range(count))
    return SHEET + "".join(sizes)


def copies(count, more=""):
    return SHEET + f'[[part]]\nrecipe = "flange"\nthickness = "8 mm"\nquantity = {count}\n{more}'


def strip(kinds, each, corners):
    items = []
    for k in range(kinds):
        loop = [(math.cos(math.tau * i / corners) * (20 + k % 7 + 3 * (i % 2)), math.sin(math.tau * i / corners) * 15)
                for i in range(corners)]
        items.append({"id": k, "quantity": each, "allowed_rotations_deg": [0, 180], "polygon": loop})
    return json.dumps({"name": "limit", "strip_width": 1000, "min_item_separation": 1, "items": items})


ROWS = []


def row(limit, files, *commands, ends=(0,)):
    ROWS.extend((limit, files, command.split(), ends) for command in commands)


row("dimensions of a family: 200",
    {"limit.toml": HEAD + "".join(f'[dimension.d{i}]\nsays = "t"\ndefault = "{i + 1} mm"\n' for i in range(199))
     + "[[plate]]\n" + disc(80), "part.toml": LASER}, "cut part.toml")
row("named values of a family: 500",
    {"limit.toml": HEAD + "[let]\nv0 = \"80 mm\"\n" + "".join(f'v{i} = "v{i - 1} + 0 mm"\n' for i in range(1, 500))
     + "[[plate]]\n" + step('add = "disc"\ndiameter = "v499"\n'), "part.toml": LASER}, "cut part.toml")
row("plates of a family: 50",
    {"limit.toml": HEAD + "".join(f'[[plate]]\nname = "p{i}"\n' + disc(80 + i) for i in range(50)), "part.toml": LASER},
    "cut part.toml --seconds 0")
row("steps of a plate: 500",
    {"limit.toml": PLATE + disc(900) + "".join(
        step(f'cut = "disc"\ndiameter = "8 mm"\nat = ["{(i % 22 - 10.5) * 26} mm", "{(i // 22 - 11) * 26} mm"]\n')
        for i in range(499)), "part.toml": LASER}, "cut part.toml")
row("copies of a step: 2000, discs about a circle that all overlap",
    {"limit.toml": PLATE + step('add = "disc"\ndiameter = "300 mm"\naround = { count = 2000, circle = "100 mm" }\n'),
     "part.toml": LASER}, "draw part.toml")
row("copies of all steps of a plate: 5000, holes about circles",
    {"limit.toml": PLATE + disc(1400) + "".join(
        step(f'cut = "disc"\ndiameter = "1.2 mm"\naround = {{ count = 1249, circle = "{1360 - 10 * k} mm" }}\n')
        for k in range(4)), "part.toml": LASER}, "draw part.toml", "cut part.toml")
row("corners of a polygon: 2000",
    {"limit.toml": PLATE + step('add = "polygon"\npoints = [' + ",".join(
        f'["{x:.4f} mm", "{y:.4f} mm"]' for x, y in wave(2000, 600)) + "]\n"), "part.toml": LASER},
    "draw part.toml", "cut part.toml")
row("pieces of path data: 5000",
    {"limit.toml": PLATE + step('add = "drawing"\npath = "M ' + " L ".join(
        f"{x:.4f} {y:.4f}" for x, y in wave(4999, 700)) + ' Z"\n'), "part.toml": LASER}, "draw part.toml")
row("lines and arcs of a drawing: 10000, of them 9996 holes", drawing(holes(9996, 8, 1.5, 100)),
    "draw part.toml", "check part.toml", "cut part.toml", "paper part.toml")
row("lines and arcs of a drawing: 10000, 9996 holes of which are narrow for the torch",
    drawing(holes(9996, 8, 0.75, 100)) | {"part.toml": 'recipe = "limit"\ntable = "shop-plasma"\n'}, "check part.toml")
row("lines and arcs of a drawing: 10000, one outline of 9996 corners", drawing(dxf(wave(9996, 700))),
    "draw part.toml", "cut part.toml")
row("edges of a plate to redrill: 4000, of 1998 holes", drawing(holes(1998, 8, 1.5, 50)),
    "redrill limit.dxf --new 4x100mm,M10", ends=(0, 1))
row("parts of a job: 200 different", {"job.toml": parts(200)},
    "check job.toml", "estimate job.toml --seconds 0", "cut job.toml --seconds 0", "cut job.toml --seconds 10")
row("lines of stock: 100",
    {"job.toml": "".join(f'[[stock]]\nthickness = "8 mm"\nsize = ["{1000 + i} mm", "{2000 + i} mm"]\n' for i in range(100))
     + copies(200)[len(SHEET):]}, "cut job.toml --seconds 0")
row("copies: 1000 of one part", {"job.toml": copies(1000)}, "cut job.toml --seconds 0", "cut job.toml --seconds 10")
row("copies: 1000 small ones on one sheet",
    {"limit.toml": PLATE + step('add = "rectangle"\nwidth = "18 mm"\nheight = "12 mm"\n')
     + step('cut = "disc"\ndiameter = "6 mm"\n'),
     "job.toml": '[[stock]]\nthickness = "6 mm"\nsize = ["1500 mm", "3000 mm"]\n[[part]]\nrecipe = "limit"\nquantity = 1000\n'},
    "cut job.toml --seconds 0", "cut job.toml --seconds 10")
row("sheets of a job: 250",
    {"limit.toml": PLATE + step('add = "rectangle"\nwidth = "1100 mm"\nheight = "2300 mm"\n'),
     "job.toml": SHEET.replace("8 mm", "6 mm") + '[[part]]\nrecipe = "limit"\nquantity = 250\n'},
    "cut job.toml --seconds 0")
row("outlines of a strip: 20000 of one kind", {"strip.json": strip(1, 20000, 12)},
    "nest strip.json --seconds 0", "nest strip.json --seconds 1")
row("outlines of a strip: 5000 of 50 kinds", {"strip.json": strip(50, 100, 24)},
    "nest strip.json --seconds 0", "nest strip.json --seconds 1")
row("outlines of a strip: 800 kinds", {"strip.json": strip(800, 1, 24)},
    "nest strip.json --seconds 0", "nest strip.json --seconds 1")
row("corners of all outlines of a strip: 20000, of 4 kinds", {"strip.json": strip(4, 25, 5000)},
    "nest strip.json --seconds 0", "nest strip.json --seconds 1")


def measured(files, command):
    with tempfile.TemporaryDirectory() as folder:
        for name, text in files.items():
            (pathlib.Path(folder) / name).write_text(text)
        out = ["--out", "out"] if command[0] in ("draw", "cut", "paper") else []
        began = time.monotonic()
        told = open(pathlib.Path(folder) / "told", "w+")
        run = subprocess.Popen([PROGRAM, *command, *out], cwd=folder, stdout=told, stderr=told)
        while True:
            pid, status, usage = os.wait4(run.pid, os.WNOHANG)
            took = time.monotonic() - began
            if pid:
                break
            if took > PATIENCE:
                run.kill()
                os.wait4(run.pid, 0)
                return None, None, None, None, ""
            time.sleep(0.01)
        told.seek(0)
        return took, usage.ru_utime + usage.ru_stime, usage.ru_maxrss / 1024, os.waitstatus_to_exitcode(status), told.read()


print("| limit | command | s | of all cores, s | MB |\n| --- | --- | --- | --- | --- |")
for limit, files, command, ends in ROWS:
    if WORD not in limit:
        continue
    took, worked, megabytes, code, told = measured(files, command)
    words = "`" + " ".join(command) + "`"
    if took is None:
        print(f"| {limit} | {words} | **not ended in {PATIENCE:.0f}** | | |", flush=True)
        continue
    wanted = max([0.0] + [float(b) for a, b in zip(command, command[1:]) if a == "--seconds"])
    seconds = f"{took:.1f}" if took <= max(MOST_SECONDS, 1.2 * wanted, wanted + 1) else f"**{took:.1f}**"
    memory = f"{megabytes:.0f}" if megabytes <= MOST_MEGABYTES else f"**{megabytes:.0f}**"
    print(f"| {limit} | {words} | {seconds} | {worked:.1f} | {memory} |", flush=True)
    if code not in ends:
        print(f"  exit code {code}: {told[-600:]}", flush=True)
