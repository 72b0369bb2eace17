#!/usr/bin/env python3
"""The drawings that general-purpose libraries test themselves with are read as the libraries read them, or refused
with the reason.

    library_drawings.py PLATEWRIGHT FOLDER [--table]

FOLDER holds the source distributions of ezdxf, svglib, svgpathtools and dxfgrabber, as the package index hands them
out: their test drawings are made for readers, not for plates, so most have open lines and are refused. Of every one
that is read, ezdxf or svgelements is asked what its closed outlines bound, and shapely compares: area within 0.01 mm of
its outline, extents, and the number of plates. Whatever is refused must say why in one
message, in time, without a panic. --table prints the table of DEVELOPERS.md.
"""

import logging
import re
import subprocess
import sys
import tarfile
import tempfile
import zipfile
from collections import Counter
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import ezdxf
from ezdxf import disassemble, path as ezpath, recover
from shapely.geometry import LineString, Polygon
from shapely.ops import polygonize, unary_union
from svgelements import SVG, Close, Line, Move, Path as Outline, Shape

logging.getLogger("ezdxf").setLevel(logging.ERROR)
NEAR = 0.01  # mm
# Read otherwise than by the library, and why that is meant.
TAKEN_OTHERWISE = {
    "mtext_text_frame.dxf": "the frame of a text is a closed polyline in model space: an outline, which ezdxf counts to the text",
}
FLAT = 1e-3  # of what is compared, drawing units


def unpacked(folder, into):
    for archive in sorted(folder.iterdir()):
        opened = zipfile.ZipFile(archive) if archive.suffix == ".zip" else tarfile.open(archive)
        if isinstance(opened, tarfile.TarFile):
            opened.extractall(into, filter="data")
        else:
            opened.extractall(into)
    for file in sorted(into.rglob("*")):
        if file.suffix.lower() in (".dxf", ".svg") and file.is_file():
            yield file


def metal(rings):
    """What rings bound, one within another an opening; what is drawn twice counts once."""
    shapes = []
    for ring in rings:
        shape = Polygon(ring).buffer(0)
        if not any(shape.symmetric_difference(it).area < 1e-6 * shape.area for it in shapes):
            shapes.append(shape)
    whole = Polygon()
    for shape in shapes:
        whole = whole.symmetric_difference(shape)
    return whole


def by_ezdxf(file):
    """What the closed outlines of model space bound, in drawing units, as ezdxf sees it."""
    doc, _ = recover.readfile(file)
    seen = [it for it in disassemble.recursive_decompose(doc.modelspace()) if drawn(doc, it)]
    rings, lines = [], []
    for entity in seen:
        try:
            made = ezpath.make_path(entity)
        except TypeError:
            continue
        points = [(p.x, p.y) for p in made.flattening(FLAT)]
        if len(points) > 3 and (made.is_closed or entity.dxftype() == "CIRCLE"):
            rings.append(points)
        elif len(points) > 1:
            lines.append(LineString(points))
    rings += [it.exterior.coords for it in polygonize(unary_union(lines))] if lines else []
    return metal(rings)


def drawn(doc, entity):
    """Whether what bounds metal is to be seen: on layers that are on, in lines without gaps."""
    layer = doc.layers.get(entity.dxf.layer) if entity.dxf.layer in doc.layers else None
    if layer is not None and (layer.is_off() or layer.is_frozen()):
        return False
    return not entity.dxf.get("invisible", 0)


def by_svgelements(file):
    """What the closed outlines of an SVG bound, in its pixels."""
    rings = []
    for shape in SVG.parse(str(file)).elements():
        if not isinstance(shape, Shape) or shape.values.get("visibility") == "hidden":
            continue
        for loop in Outline(shape).as_subpaths():
            pieces = [it for it in loop if not isinstance(it, Move)]
            points = []
            for piece in pieces:
                steps = 1 if isinstance(piece, Line | Close) else 2000
                points += [piece.point(k / steps) for k in range(steps)]
            closed = isinstance(pieces[-1], Close) or abs(pieces[-1].end - pieces[0].start) < 0.05 if pieces else False
            if closed and len(points) > 2:
                rings.append([(p.x, -p.y) for p in points])
    return metal(rings)


def made(out):
    """The plates that were written, read back with ezdxf, in mm."""
    plates = []
    for file in sorted((out / "plates").glob("*.dxf")):
        rings = []
        for entity in ezdxf.readfile(file).modelspace().query('*[layer!="SCRIBE"]'):
            if entity.dxf.layer in ("OUTSIDE", "INSIDE", "SMALL_HOLE"):
                rings.append([(p.x, p.y) for p in ezpath.make_path(entity).flattening(FLAT)])
        plates.append(metal(rings))
    return plates


def height(shape):
    return shape.bounds[3] - shape.bounds[1]


def judged(item):
    program, file, out = item
    words = [program, "draw", file, "--thickness", "6 mm", "--no-scribe", "--out", out]
    done = subprocess.run(words, capture_output=True, text=True, timeout=60, errors="replace")
    if "does not say what unit it is in" in done.stderr:
        done = subprocess.run([*words, "--unit", "mm"], capture_output=True, text=True, timeout=60, errors="replace")
    said = [it for it in done.stderr.splitlines() if it.startswith("error: ")]
    if not (out / "plates").exists():
        wrong = done.returncode not in (1, 2, 3) or len(said) != 1 or re.search(r"panicked|mistake of ours", done.stderr)
        return "refused", said[0].removeprefix("error: this drawing cannot be used: ") if said else "", [done.stderr] if wrong else []
    if file.name in TAKEN_OTHERWISE:
        return "read", TAKEN_OTHERWISE[file.name], []
    expected = by_ezdxf(file) if file.suffix.lower() == ".dxf" else by_svgelements(file)
    plates = made(out)
    found, around = sum(it.area for it in plates), sum(it.length for it in plates)
    # Its unit is not what is compared: one plate tells it by its width, several by their area.
    across, wide = expected.bounds[2] - expected.bounds[0], plates[0].bounds[2] - plates[0].bounds[0]
    scale = wide / across if len(plates) == 1 else (found / expected.area) ** 0.5
    faults = []
    if abs(found - expected.area * scale**2) > NEAR * around:
        faults.append(f"area {found:.3f} mm², not {expected.area * scale**2:.3f}")
    # A cubic curve that stands for an arc is read as that arc: it is off it by so much of its radius.
    near = NEAR + 2.8e-4 * height(plates[0]) / 2
    if len(plates) == 1 and abs(height(plates[0]) - height(expected) * scale) > near:
        faults.append(f"{height(plates[0])} mm high, not {height(expected) * scale}")
    pieces = len(getattr(expected, "geoms", [expected]))
    if len(plates) != pieces:
        faults.append(f"{len(plates)} plates, not {pieces}")
    return "read", f"{len(plates)} plates, {found:.1f} mm²", faults


def main():
    program, folder = Path(sys.argv[1]).resolve(), Path(sys.argv[2]).resolve()
    with tempfile.TemporaryDirectory() as scratch:
        scratch = Path(scratch)
        files = list(unpacked(folder, scratch / "files"))
        items = [(program, file, scratch / f"out{number}") for number, file in enumerate(files)]
        with ThreadPoolExecutor(2) as pool:
            results = list(pool.map(judged, items))
    tally, wrong = Counter(), 0
    for file, (how, said, faults) in zip(files, results):
        origin = file.relative_to(scratch / "files").parts[0].rsplit("-", 1)[0]
        tally[origin, how] += 1
        if faults:
            wrong += 1
            print(f"{file.name}: {'; '.join(faults)}")
        elif "--all" in sys.argv:
            print(f"{file.name}: {how}: {said[:150]}")
    if "--table" in sys.argv:
        print("| test drawings of | files | read as the library reads them | refused with the reason |\n| --- | --- | --- | --- |")
        for origin in sorted({it for it, _ in tally}):
            read, refused = tally[origin, "read"], tally[origin, "refused"]
            print(f"| {origin} | {read + refused} | {read} | {refused} |")
    read = sum(count for (_, how), count in tally.items() if how == "read")
    print(f"{len(files)} drawings, {read} read, {wrong} not as they should be")
    sys.exit(1 if wrong or not read else 0)


if __name__ == "__main__":
    main()
