"""Proves that the outside checks pass a right run and fail each kind of wrong one.

Builds a small run by hand: a frame with a window and a drilled hole, a tab that lies in the window,
and a second, turned frame; then spoils one thing at a time. So it does with a random plate.
"""

import copy
import json
import logging
import math
import sys
import tempfile
from pathlib import Path

import ezdxf

import audit
import corpus
import programs
import random_plates
import sheet_words
import virtual_cut

KERF = 1.6
QUARTER = math.tan(math.pi / 8)  # bulge of a quarter arc


def rounded(width, height, radius, grow=0.0):
    """A rounded rectangle about the origin as bulged vertices, counter-clockwise, grown."""
    w, h, r = width / 2 + grow, height / 2 + grow, radius + grow
    return [
        (-w + r, -h, 0), (w - r, -h, QUARTER), (w, -h + r, 0), (w, h - r, QUARTER),
        (w - r, h, 0), (-w + r, h, QUARTER), (-w, h - r, 0), (-w, -h + r, QUARTER),
    ]  # fmt: skip


def reverse(loop):
    """The same closed loop the other way round."""
    count = len(loop)
    return [(*loop[-i][:2], -loop[(-i - 1) % count][2]) for i in range(count)]


def run_path(loop, lead_from):
    """Pierce, straight lead-in to the first vertex, the whole loop, torch off."""
    return [(*lead_from, 0.0), *loop, (*loop[0][:2], 0.0)]


def outside_path(width, height, radius):
    """Clockwise around the outside; the lead comes in along the bottom edge from the right."""
    loop = reverse(rounded(width, height, radius, KERF / 2))
    start = next(i for i, v in enumerate(loop) if v[0] > 0 and v[1] < 0 and abs(v[2]) < 1e-9)
    loop = loop[start:] + loop[:start]
    return run_path(loop, (loop[0][0] + 3, loop[0][1] - 4))


def opening_path(width, height, radius):
    loop = rounded(width, height, radius, -KERF / 2)
    return run_path(loop, (loop[0][0] + 2, loop[0][1] + 4))


def hole_path(x, y, radius):
    """Counter-clockwise from the centre by a half-circle lead, with an overcut."""
    r = radius - KERF / 2
    over = 2 / r
    ring = [(x + r, y, 1.0), (x - r, y, 1.0), (x + r, y, math.tan(over / 4))]
    return [(x, y, 1.0), *ring, (x + r * math.cos(over), y + r * math.sin(over), 0.0)]


def tabbed_paths(width, height, radius, tab):
    """The outside of a rounded rectangle in two runs, a tab in the middle of its long sides; each run is
    pierced outside and led square onto the edge behind the tab before."""
    w, h, r = width / 2 + KERF / 2, height / 2 + KERF / 2, radius + KERF / 2
    off = (tab + KERF) / 2
    below = [
        (-off, -h - 5, 0), (-off, -h, 0), (-w + r, -h, -QUARTER), (-w, -h + r, 0),
        (-w, h - r, -QUARTER), (-w + r, h, 0), (-off, h, 0),
    ]  # fmt: skip
    return [below, [(-x, -y, bulge) for x, y, bulge in below]]


def moved(vertices, placement):
    turn = math.radians(placement["turn_deg"])
    sin, cos = math.sin(turn), math.cos(turn)
    return [
        (x * cos - y * sin + placement["x_mm"], x * sin + y * cos + placement["y_mm"], bulge)
        for x, y, bulge in vertices
    ]


def good_run():
    """Placements, and paths as (layer, plate vertices, index of the placement)."""
    placements = [
        {"plate": "frame", "copy": 0, "x_mm": 80.0, "y_mm": 60.0, "turn_deg": 0.0},
        {"plate": "frame", "copy": 1, "x_mm": 208.0, "y_mm": 92.0, "turn_deg": 37.0},
        {"plate": "tab", "copy": 0, "x_mm": 82.0, "y_mm": 61.0, "turn_deg": 10.0},
    ]
    window, hole = opening_path(70, 40, 6), hole_path(-45, 30, 5)
    frame = outside_path(110, 80, 10)
    paths = [
        ("SMALL_HOLE", hole_path(0, 0, 4), 2), ("OUTSIDE", outside_path(40, 20, 3), 2),
        ("SMALL_HOLE", hole, 0), ("INSIDE", window, 0), ("OUTSIDE", frame, 0),
        ("INSIDE", window, 1), ("SMALL_HOLE", hole, 1), ("OUTSIDE", frame, 1),
    ]  # fmt: skip
    return {"placements": placements, "paths": [[layer, moved(v, placements[i])] for layer, v, i in paths]}


TABS = [{"x_mm": 0.0, "y_mm": -40.0, "width_mm": 0.8}, {"x_mm": 0.0, "y_mm": 40.0, "width_mm": 0.8}]


def tabbed_run():
    """The same with both frames tied to the sheet."""
    run = good_run()
    for index in (7, 4):
        placement = run["placements"][1 if index == 7 else 0]
        pair = [["OUTSIDE", moved(v, placement)] for v in tabbed_paths(110, 80, 10, 0.8)]
        run["paths"][index : index + 1] = pair
    run["tabs"] = TABS
    return run


def spoil_tab(run, by):
    """One end of a run moved along the edge, in the frame that lies straight."""
    layer, vertices = run["paths"][4]
    x, y, bulge = vertices[-1]
    run["paths"][4] = [layer, [*vertices[:-1], (x + by, y, bulge)]]


# How a run says what is cut in its skeleton.
SKELETON = {"cuts": 1, "pieces_kg": [0.72, 0.80], "lift_kg": 1.0, "cut_off_runs": 1}


def scrap_run():
    """The same with the slug of the turned frame's window cut in two, the skeleton cut between the frames, and
    what is left parted at x = 285."""
    run = good_run()
    across = moved([(6, -10, 0), (0, -18.4, 0), (0, 18.4, 0)], run["placements"][1])
    run["paths"].insert(5, ["SCRAP", across])
    run["paths"].append(["SCRAP", [(137.5, 0, 0), (137.5, 180, 0)]])
    run["paths"].append(["SCRAP", [(285, 180, 0), (285, 0, 0)]])
    run["slugs"] = [{"opening": "window", "cuts": 1, "longest_mm": 49.7}]
    run["skeleton"] = SKELETON
    run["left"] = 300 - 285 - KERF / 2
    return run


DRILLED = (45.0, 30.0)
PLATES = [
    {
        "name": "frame", "quantity": 2, "file": "plates/frame.dxf", "openings": [{"diameter_mm": 10.0}, {"diameter_mm": 6.0}, {}],
        "drill_list": [{"x_mm": 45.0, "y_mm": 30.0, "hole_mm": 6.0, "drill_mm": 6.0, "pilot_mm": None, "work": "drill 6"}],
    },
    {
        "name": "tab", "quantity": 1, "file": "plates/tab.dxf", "openings": [{"diameter_mm": 10.0}],
        "drill_list": [{"x_mm": 0.0, "y_mm": 0.0, "hole_mm": 10.0, "drill_mm": 10.0, "pilot_mm": 8.0, "work": "ream 10"}],
    },
]  # fmt: skip
NETS = {
    "frame": (rounded(110, 80, 10), rounded(70, 40, 6), [((-45, 30), 5.0), (DRILLED, 3.0)]),
    "tab": (rounded(40, 20, 3), None, [((0, 0), 5.0)]),
}


def write(out, run, version):
    (out / "plates").mkdir(parents=True)
    (out / "sheets").mkdir()
    for name, (outside, window, holes) in NETS.items():
        document = ezdxf.new(version, units=4)
        space = document.modelspace()
        polyline(document, "OUTSIDE", outside, closed=True)
        if window:
            polyline(document, "INSIDE", window, closed=True)
        for at, radius in holes:
            space.add_circle(at, radius, dxfattribs={"layer": "INSIDE"})
        document.saveas(out / "plates" / f"{name}.dxf")
    document = ezdxf.new(version, units=4)
    polyline(document, "SHEET", [(0, 0, 0), (300, 0, 0), (300, 180, 0), (0, 180, 0)], closed=True)
    for placement in run["placements"][:2]:
        x, y, _ = moved([(*DRILLED, 0)], placement)[0]
        document.modelspace().add_point((x, y), dxfattribs={"layer": "CENTRE_MARK"})
    for layer, vertices in run["paths"]:
        polyline(document, layer, vertices, closed=False)
    document.saveas(out / "sheets" / "01.dxf")
    sheet = {"file": "sheets/01.dxf", "kerf_mm": KERF, "placements": run["placements"], "mass_kg": 2.5}
    if "skeleton" in run:
        (out / "remnants").mkdir()
        document = ezdxf.new(version, units=4)
        wide = run["left"]
        polyline(document, "SHEET", [(0, 0, 0), (wide, 0, 0), (wide, 180, 0), (0, 180, 0)], closed=True)
        document.saveas(out / "remnants" / "01.dxf")
        sheet |= {"skeleton": run["skeleton"], "remnant": {"file": "remnants/01.dxf"}}
    plates = [{**plate, **({"holding_tabs": run["tabs"]} if plate["name"] == "frame" else {})} for plate in PLATES] if "tabs" in run else PLATES
    plates = [{**plate, **({"cut_up_slugs": run.get("slugs", [])} if plate["name"] == "frame" else {})} for plate in plates]
    report = {"plates": plates, "sheets": [sheet], "unplaced": []}
    (out / "report.json").write_text(json.dumps(report))


def polyline(document, layer, vertices, closed):
    space, attributes = document.modelspace(), {"layer": layer}
    if document.dxfversion == "AC1009":
        space.add_polyline2d(vertices, format="xyb", close=closed, dxfattribs=attributes)
    else:
        space.add_lwpolyline(vertices, format="xyb", close=closed, dxfattribs=attributes)


def shift(run, index, dx, dy=0.0):
    layer, vertices = run["paths"][index]
    run["paths"][index] = [layer, [(x + dx, y + dy, b) for x, y, b in vertices]]


def spoil_lead(run):
    """The tab's lead starts in the frame around it."""
    layer, vertices = run["paths"][1]
    run["paths"][1] = [layer, [(82.0, 36.0, 0.0), *vertices[1:]]]


def spoil_pierce(run):
    layer, vertices = run["paths"][4]
    run["paths"][4] = [layer, [(vertices[1][0], -3.0, 0.0), *vertices[1:]]]


def spoil_radius(run):
    """A hole cut 0.1 mm too large in diameter, as with the kerf wrongly taken."""
    run["paths"][2] = ["SMALL_HOLE", moved(hole_path(-45, 30, 5.05), run["placements"][0])]


def spoil_direction(run, index):
    layer, vertices = run["paths"][index]
    contour = vertices[1:-1]
    run["paths"][index] = [layer, run_path(reverse(contour), vertices[0][:2])]


def spoil_fillet(run):
    """A rounded corner cut straight across."""
    layer, vertices = run["paths"][4]
    last = max(i for i, vertex in enumerate(vertices) if vertex[2])
    run["paths"][4] = [layer, [(x, y, 0.0 if i == last else b) for i, (x, y, b) in enumerate(vertices)]]


# What is spoiled, how, and the law that must speak up.
WRONG = [
    ("a contour moved by 0.05 mm", lambda run: shift(run, 4, 0.05), "size"),
    ("an opening moved by 0.05 mm", lambda run: shift(run, 3, 0.0, -0.05), "size"),
    ("a hole 0.1 mm too large", spoil_radius, "size"),
    ("an arc flattened to a chord", spoil_fillet, "size"),
    ("a lead that starts in another part", spoil_lead, "scrap"),
    ("a pierce off the sheet", spoil_pierce, "scrap"),
    ("an outside before its opening", lambda run: run["paths"].insert(2, run["paths"].pop(4)), "order"),
    ("a window before the part in it", lambda run: run["paths"].insert(0, run["paths"].pop(3)), "order"),
    ("an outside counter-clockwise", lambda run: spoil_direction(run, 7), "direction"),
    ("an opening clockwise", lambda run: spoil_direction(run, 3), "direction"),
    ("a hole not cut", lambda run: run["paths"].pop(6), "one path"),
    ("a hole cut twice", lambda run: run["paths"].insert(2, run["paths"][2]), "one path"),
    ("an outside on the wrong layer", lambda run: run["paths"][4].__setitem__(0, "INSIDE"), "one path"),
    ("no lead-in", lambda run: run["paths"][3][1].pop(0), "scrap"),
    ("a placement reported 0.05 mm off", lambda run: run["placements"][0].__setitem__("x_mm", 80.05), "size"),
    ("a placement reported turned", lambda run: run["placements"][1].__setitem__("turn_deg", 37.1), "size"),
    ("plates that overlap", lambda run: run["placements"][1].__setitem__("x_mm", 160.0), "placement"),
]  # fmt: skip


# The same for the run with tabs.
WRONG_TABS = [
    ("a tab 0.1 mm too narrow", lambda run: spoil_tab(run, 0.1), "tabs"),
    ("a tab 0.1 mm too wide", lambda run: spoil_tab(run, -0.1), "tabs"),
    ("a tab burnt through", lambda run: spoil_tab(run, 1.6), "tabs"),
    ("a tab that is not told", lambda run: run.__setitem__("tabs", TABS[:1]), "tabs"),
    ("a tab told elsewhere", lambda run: run.__setitem__("tabs", [TABS[0], {**TABS[1], "x_mm": 9.0}]), "tabs"),
    ("a run between tabs not cut", lambda run: run["paths"].pop(5), "one path"),
    ("a lead through a tab", lambda run: run["paths"][5][1].__setitem__(0, (80.0, 101.5, 0.0)), "tabs"),
]  # fmt: skip


def spoil_scrap(run, index, vertex, at):
    """One vertex of a cut in scrap put elsewhere."""
    layer, vertices = run["paths"][index]
    run["paths"][index] = [layer, [(*at, 0) if i == vertex else v for i, v in enumerate(vertices)]]


# The same for the run with cuts in scrap: the slug's is the sixth path, the skeleton's the tenth, the last parts what is left.
WRONG_SCRAP = [
    ("a slug cut up once it is loose", lambda run: run["paths"].insert(6, run["paths"].pop(5)), "slugs"),
    ("a slug not cut up", lambda run: run["paths"].pop(5), "slugs"),
    ("a slug cut into unequal pieces", lambda run: shift(run, 5, 9.0, 7.0), "slugs"),
    ("a cut across a slug that burns the plate", lambda run: spoil_scrap(run, 5, 2, moved([(0, 19.5, 0)], run["placements"][1])[0][:2]), "slugs"),
    ("a cut in the skeleton too soon", lambda run: run["paths"].insert(8, run["paths"].pop(9)), "skeleton"),
    ("a cut in the skeleton that begins in metal", lambda run: spoil_scrap(run, 9, 0, (137.5, 6.0)), "skeleton"),
    ("a cut in the skeleton through a plate", lambda run: shift(run, 9, -4.0), "skeleton"),
    ("a skeleton not cut", lambda run: run["paths"].pop(9), "skeleton"),
    ("what is left is cut 1 mm off", lambda run: shift(run, 10, 1.0), "skeleton"),
    ("what is left still hangs on", lambda run: spoil_scrap(run, 10, 1, (285.0, 9.0)), "skeleton"),
    ("a skeleton heavier than told", lambda run: run.__setitem__("skeleton", {**SKELETON, "pieces_kg": [0.6, 0.7]}), "skeleton"),
]  # fmt: skip


def verdict_of(run, version="R2000"):
    with tempfile.TemporaryDirectory() as folder:
        write(Path(folder) / "out", run, version)
        return virtual_cut.verify(Path(folder) / "out")


def test_virtual_cut(complain):
    for version in ("R2000", "R12"):
        verdict = verdict_of(good_run(), version)
        if verdict.failures or min(verdict.done.values()) == 0:
            complain(f"the right run fails in {version}: {verdict.failures}")
    for words, spoil, law in WRONG:
        spoiled(complain, good_run(), words, spoil, law)
    verdict = verdict_of(tabbed_run())
    if verdict.failures or verdict.done["tabs"] == 0:
        complain(f"the right run with tabs fails: {verdict.failures}")
    for words, spoil, law in WRONG_TABS:
        spoiled(complain, tabbed_run(), words, spoil, law)
    verdict = verdict_of(scrap_run())
    if verdict.failures or not (verdict.done["slugs"] and verdict.done["skeleton"]):
        complain(f"the right run with cuts in scrap fails: {verdict.failures}")
    for words, spoil, law in WRONG_SCRAP:
        spoiled(complain, scrap_run(), words, spoil, law)


def spoiled(complain, run, words, spoil, law):
    run = copy.deepcopy(run)
    spoil(run)
    failures = verdict_of(run).failures
    if not any(failure.startswith(f"{law}:") for failure in failures):
        complain(f"{words}: law '{law}' says nothing; {failures}")


def test_audit(complain):
    with tempfile.TemporaryDirectory() as folder:
        out = Path(folder) / "out"
        write(out, good_run(), "R2000")
        good = [fault for path in out.rglob("*.dxf") for fault in audit.audit(path)]
        report = json.loads((out / "report.json").read_text())
        if good or list(audit.round_holes(out, report)):
            complain(f"right drawings are faulted: {good}")
        document = ezdxf.new("R2000", units=4)
        ring = [(20 * math.cos(i / 15), 20 * math.sin(i / 15), 0) for i in range(94)]
        polyline(document, "OUTSIDE", ring, closed=True)
        document.saveas(out / "plates" / "tab.dxf")
        faults = audit.audit(out / "plates" / "tab.dxf")
        if not any("cut up" in fault for fault in faults):
            complain(f"a flattened circle passes: {faults}")
        polyline(document, "RED", [(0, 0, 1), (9, 0, 1)], closed=True)
        document.saveas(out / "plates" / "tab.dxf")
        if not any("not ours" in fault for fault in audit.audit(out / "plates" / "tab.dxf")):
            complain("a foreign layer passes")
        if not any("polyline" in fault for fault in audit.round_holes(out, report)):
            complain("a hole drawn as a polyline passes")
        text = (out / "sheets" / "01.dxf").read_text()
        (out / "sheets" / "01.dxf").write_text(text.replace("$INSUNITS\n 70\n4", "$INSUNITS\n 70\n1", 1))
        if not any("millimetres" in fault for fault in audit.audit(out / "sheets" / "01.dxf")):
            complain("a file in inches passes")


# A ring with its hole 2 mm off the middle, as the program writes a random plate down.
RING = {
    "seed": 0,
    "recipe": """[dimension.thickness]
default = "6 mm"
[[plate]]
[[plate.step]]
add = "disc"
diameter = "60 mm"
[[plate.step]]
cut = "disc"
diameter = "50 mm"
at = ["2 mm", "0 mm"]
""",
    "contours": [[[30, 0, 1], [-30, 0, 1]], [[27, 0, -1], [-23, 0, -1]]],
    "least": [3, 28.5, 0],
    "kerf": 1.5,
    "refused as narrow": False,
}
WRONG_RINGS = [
    ("the outside is 0.02 mm too small", {"contours": [[[29.98, 0, 1], [-29.98, 0, 1]], RING["contours"][1]]}),
    ("the hole is lost", {"contours": RING["contours"][:1]}),
    ("the hole lies elsewhere", {"contours": [RING["contours"][0], [[25, 0, -1], [-25, 0, -1]]]}),
    ("the least width is not the least", {"least": [7, -26.5, 0]}),
    ("the least width lies elsewhere", {"least": [3, 28, 0]}),
    ("no least width is known", {"least": None, "kerf": 3.5, "refused as narrow": True}),
    ("it hangs by less than the kerf", {"kerf": 3.5}),
    ("it is refused as narrow, and is wide enough", {"refused as narrow": True}),
    ("it is refused as in pieces", {"refused": "falls into 2 pieces"}),
    ("it is refused as nothing", {"refused": "nothing is left"}),
]


def test_random_plates(complain):
    def why(line):
        return random_plates.judged(json.dumps(line))[2]

    if why(RING):
        complain(f"a right ring is faulted: {why(RING)}")
    for words, spoiled_by in WRONG_RINGS:
        if not why(RING | spoiled_by):
            complain(f"of a random plate passes: {words}")


PROGRAM = """G21
G90
(1: plate 1, tag, contour 1 outside, OUTSIDE)
G0 X10 Y0
G0 Z4
M3
G4 P0.5
G1 Z1.5 F600
G1 X10 Y10 F1500
G3 X0 Y20 I-10 J0
M5
G0 Z20
M2
"""
WRONG_PROGRAMS = [
    ("an end 0.01 mm off", "X10 Y10 F", "X10.01 Y10 F"),
    ("an arc the other way", "G3", "G2"),
    ("an arc that misses its end", "I-10", "I-10.1"),
    ("a rapid with the torch on", "G1 X10 Y10 F1500", "G0 X10 Y10"),
    ("no unit", "G21\n", ""),
    ("the torch never on", "M3\n", ""),
    ("another number", "(1:", "(2:"),
    ("a cut 20 mm over the sheet", "G1 Z1.5", "G1 Z20"),
    ("a way across low over the sheet", "G0 X10 Y0\nG0 Z4", "G0 Z1\nG0 X10 Y0\nG0 Z4"),
]


SCRIBED = PROGRAM.replace("(1: plate", "(scribe 1: tag copy 1)\nG0 X1 Y1\nM64 P0\nG1 X5 Y1 F3000\nM65 P0\n(1: plate", 1)
WRONG_SCRIBED = [
    ("a scribed line 0.01 mm off", "X5 Y1", "X5 Y1.01"),
    ("a scribed line left out", "G1 X5 Y1 F3000\n", ""),
    ("one scribed twice", "M65 P0\n", "M65 P0\n(scribe 2: tag copy 1)\nG0 X1 Y1\nG1 X5 Y1\n"),
]


def test_programs(complain):
    with tempfile.TemporaryDirectory() as folder:
        drawing, program = Path(folder) / "tag.dxf", Path(folder) / "tag.nc"
        document = ezdxf.new("R2000")
        polyline(document, "OUTSIDE", [(10, 0, 0), (10, 10, QUARTER), (0, 20, 0)], False)
        document.saveas(drawing)

        def faults(text):
            program.write_text(text)
            return programs.compare(program, drawing)[0]

        if told := faults(PROGRAM):
            complain(f"a right program is faulted: {told}")
        for words, right, wrong in WRONG_PROGRAMS:
            assert right in PROGRAM, words
            if not faults(PROGRAM.replace(right, wrong)):
                complain(f"of a program passes: {words}")
        document.modelspace().add_line((1, 1), (5, 1), dxfattribs={"layer": "SCRIBE"})
        document.saveas(drawing)
        if told := faults(SCRIBED):
            complain(f"a right program that scribes is faulted: {told}")
        for words, right, wrong in WRONG_SCRIBED:
            assert right in SCRIBED, words
            if not faults(SCRIBED.replace(right, wrong)):
                complain(f"of a program that scribes passes: {words}")


def picture(*paths):
    """The counts of a picture of a sheet's edge, 0,0 to 100,100, and some paths."""
    edge = '<path d="M0 0L100 0L100 100L0 100Z" fill="none" stroke="#111111"/>'
    with tempfile.NamedTemporaryFile("w", suffix=".svg") as file:
        file.write(f'<svg xmlns="http://www.w3.org/2000/svg">{edge}{"".join(paths)}</svg>')
        file.flush()
        return sheet_words.count(file.name)


def test_sheet_words(complain):
    def word(x, y):
        return f'<path d="M{x} {y}L{x + 4} {y + 3}" fill="none" stroke="#111111"><title>7</title></path>'

    def mark(x, y):
        return f'<path d="M{x - 1} {y - 1}L{x + 1} {y + 1}M{x - 1} {y + 1}L{x + 1} {y - 1}" fill="none" stroke="#22"/>'

    def leader(x, y, to_x, to_y):
        dot = f"M{x + 0.4} {y}A0.4 0.4 0 0 0 {x - 0.4} {y}A0.4 0.4 0 0 0 {x + 0.4} {y}Z"
        line = f'<path d="M{x} {y}L{to_x} {to_y}" fill="none" stroke="#111111"/>'
        return f'{line}<path d="{dot}" fill="#111111"/>'

    apart = leader(10, 50, 20, 60) + leader(30, 50, 40, 60)
    for what, paths, wanted in [
        ("words apart", [word(10, 10), word(30, 10)], (2, 0, 0, 0, 0)),
        ("words on words", [word(10, 10), word(12, 11)], (2, 1, 0, 0, 0)),
        ("a word beside a mark", [word(10, 10), mark(40, 40)], (1, 0, 0, 0, 0)),
        ("a word on a mark", [word(10, 10), mark(12, 11)], (1, 0, 1, 0, 0)),
        ("leaders apart", [apart], (0, 0, 0, 2, 0)),
        ("leaders that cross", [leader(10, 10, 30, 30), leader(10, 30, 30, 10)], (0, 0, 0, 2, 2)),
    ]:
        if (found := picture(*paths)) != wanted:
            complain(f"{what}: counted {found}, not {wanted}")


def test_corpus(complain):
    lug = corpus.PLATES["lug"]
    edge, (hole,) = lug[0], lug[1]

    def with_hole(**changes):
        return [edge, [{**hole, **changes}], *lug[2:]]

    placed = corpus.placed(lug, 0, (3, -7))
    for what, found, words in [
        ("a plate moved", placed, None),
        ("a hole 0.02 mm aside", with_hole(centre=(15.02, 20)), "a hole at"),
        ("a hole 0.02 mm larger in radius", with_hole(radius=4.22), "a hole at"),
        ("a hole too few", lug[:1] + lug[2:], "openings"),
        ("a plate 0.02 mm wider", [corpus.rounded(0, 0, 80.02, 40, 6), *lug[1:]], "width"),
        ("a sharper corner", [corpus.rounded(0, 0, 80, 40, 5), *lug[1:]], "area"),
        ("a hole of chords", [edge, [corpus.line(a, b) for a, b in zip(corpus.chords(hole, 0.02), corpus.chords(hole, 0.02)[1:] + corpus.chords(hole, 0.02)[:1])], *lug[2:]], "circle"),
    ]:
        said = "; ".join(corpus.differences(found, lug))
        if bool(said) != bool(words) or (words and words not in said):
            complain(f"{what}: \"{said}\"")


def main():
    logging.getLogger("ezdxf").setLevel(logging.ERROR)  # R12 has no units, and says so each time
    complaints = []
    test_virtual_cut(complaints.append)
    test_audit(complaints.append)
    test_random_plates(complaints.append)
    test_programs(complaints.append)
    test_sheet_words(complaints.append)
    test_corpus(complaints.append)
    for complaint in complaints:
        print("FAILED", complaint)
    print(f"selftest: {len(WRONG) + len(WRONG_TABS) + len(WRONG_SCRAP) + len(WRONG_RINGS) + len(WRONG_PROGRAMS)} spoiled runs, {len(complaints)} failures")
    sys.exit(bool(complaints))


if __name__ == "__main__":
    main()
