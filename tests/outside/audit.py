"""Audits every drawing of a run with an independent DXF library.

    python audit.py OUT_DIR

A file must open with no errors and no repairs, stay in the layers the program names, hold true arcs
(no long runs of short straight pieces that turn a little each), and in a net drawing a round hole
must be a circle.
"""

import json
import math
import sys
from pathlib import Path

import ezdxf

import drawings

LAYERS = {"OUTSIDE", "INSIDE", "SMALL_HOLE", "SCRAP", "CENTRE_MARK", "SCRIBE", "BEND", "SHEET", "NOTE"}
SHORT = 3.0  # mm: straight pieces no longer than this, turning less than TURN, look like a cut-up arc
TURN = math.radians(20)
RUN = 6  # how many of them in a row


def audit(path):
    """What is wrong with a file, in words."""
    document = ezdxf.readfile(path)
    auditor = document.audit()
    faults = [f"error: {entry.message}" for entry in auditor.errors]
    faults += [f"repair: {entry.message}" for entry in auditor.fixes]
    strays = {entity.dxf.layer for entity in document.modelspace()} - LAYERS
    if strays:
        faults.append(f"layers {sorted(strays)} are not ours")
    if document.dxfversion >= "AC1015" and document.header.get("$INSUNITS") != 4:
        faults.append("the file does not say that it is in millimetres")
    if not len(document.modelspace()):
        faults.append("the file is empty")
    faults += [f"an arc on layer {c.layer} was cut up" for c in drawings.read(path).chains if cut_up(c)]
    return faults


def cut_up(chain):
    run, before = 0, None
    for start, end, bulge in chain.spans():
        heading = math.atan2(end[1] - start[1], end[0] - start[0])
        if bulge or math.dist(start, end) > SHORT:
            run, before = 0, None
            continue
        turn = None if before is None else abs((heading - before + math.pi) % (2 * math.pi) - math.pi)
        run = run + 1 if turn is not None and 1e-6 < turn < TURN else 0
        before = heading
        if run >= RUN:
            return True
    return False


def round_holes(out, report):
    """Round holes of the net drawings that are no circles."""
    for plate in report["plates"]:
        drawing = drawings.read(out / plate["file"])
        circles = [at for layer, at, _ in drawing.circles if layer != "SCRIBE"]
        for chain in drawing.chains:
            if is_circle(chain):
                yield f"{plate['file']}: a circle on layer {chain.layer} is drawn as a polyline"
        wanted = sum(1 for opening in plate["openings"] if opening.get("diameter_mm"))
        if len(circles) < wanted:
            yield f"{plate['file']}: {wanted} round openings reported, {len(circles)} circles drawn"


def is_circle(chain):
    if not chain.closed or not all(bulge for _, _, bulge in chain.spans()):
        return False
    points = chain.points()
    centre = [(min(axis) + max(axis)) / 2 for axis in zip(*points)]
    radii = [math.dist(p, centre) for p in points]
    return max(radii) - min(radii) < 0.01


def main():
    if len(sys.argv) != 2:
        raise SystemExit(__doc__)
    out = Path(sys.argv[1])
    report = json.loads((out / "report.json").read_text())
    files = sorted(out.rglob("*.dxf"))
    named = {out / entry["file"] for entry in report["plates"] + report["sheets"]}
    faults = [f"{path.relative_to(out)}: named in the report but not written" for path in named - set(files)]
    for path in files:
        faults += [f"{path.relative_to(out)}: {fault}" for fault in audit(path)]
    faults += round_holes(out, report)
    print(f"{len(files)} drawings audited, {len(faults)} faults")
    for fault in faults:
        print("FAILED", fault)
    if faults or not files:
        raise SystemExit(1)


if __name__ == "__main__":
    main()
