"""True-size templates, measured on the pixels that poppler makes of them.

Page boxes against the paper (ISO 216 A4; Letter is 8.5 x 11 in), the bars against 100 mm and 4 in,
and, on tiles joined by their crosses, every hole centre against the coordinates of the recipe below.

    python paper.py PLATEWRIGHT
"""

import json
import re
import subprocess
import sys
import tempfile
from pathlib import Path

import numpy
from PIL import Image

Image.MAX_IMAGE_PIXELS = None
DPI = 300
PX = 25.4 / DPI
WITHIN = 0.1  # mm
PAPERS = {"A4": (210.0, 297.0), "Letter": (215.9, 279.4)}

FAMILY = """
title = "Disc or bar with holes"
about = "A plate for checks of templates."
cautions = ["safety-critical", "steering"]
[dimension.thickness]
says = "thickness"
default = "6 mm"
[dimension.length]
says = "length"
default = "900 mm"
[dimension.height]
says = "height"
default = "300 mm"
[[plate]]
[[plate.step]]
add = "rectangle"
width = "length"
height = "height"
"""
HOLE = """
[[plate.step]]
cut = "disc"
purpose = "bolt"
diameter = "{d} mm"
at = ["{x} mm", "{y} mm"]
"""

# Length and height of a plate, and its holes: x, y, diameter; invented.
PLATES = {
    "small": (20.0, 20.0, [(-4.25, 3.0, 5.0), (5.0, -4.5, 4.0)]),
    "large": (
        900.0,
        300.0,
        [(-430.0, -120.0, 12.0), (-401.3, 117.7, 8.0), (-150.0, 12.5, 20.0), (0.0, 0.0, 10.5),
         (33.333, -90.125, 13.5), (210.7, 140.0, 9.0), (431.9, -131.1, 11.0), (425.0, 125.0, 13.0)],
    ),
}


def run(*words):
    return subprocess.run(words, check=True, capture_output=True, text=True).stdout


def render(pdf, folder, dpi=DPI):
    """Every page as an array of ink from 0 to 1, row 0 at the top."""
    run("pdftoppm", "-r", str(dpi), "-gray", str(pdf), str(folder / "page"))
    files = sorted(folder.glob("page-*.pgm"))
    pages = [1.0 - numpy.asarray(Image.open(file), dtype=float) / 255.0 for file in files]
    for file in files:
        file.unlink()
    return pages


def ink(page, box):
    """The ink within a box of mm from the lower left corner, and the mm of its upper left pixel."""
    x0, y0, x1, y1 = box
    height = page.shape[0]
    columns = slice(max(0, round(x0 / PX)), round(x1 / PX))
    rows = slice(max(0, height - round(y1 / PX)), height - round(y0 / PX))
    return page[rows, columns], columns.start * PX, (height - rows.start) * PX


def centroid(weights, start, step):
    """Middle of the ink along an axis, mm; None if there is none."""
    if weights.sum() < 0.5:
        return None
    places = start + step * (numpy.arange(len(weights)) + 0.5)
    return float((weights * places).sum() / weights.sum())


def cross(page, x, y, near, far):
    """The centre of an upright cross near a place: each arm is seen from `near` to `far` mm out."""
    wide = 1.2
    seen_x, seen_y = [], []
    for sign in (1, -1):
        low, high = sorted((sign * near, sign * far))
        part, left, _ = ink(page, (x - wide, y + low, x + wide, y + high))
        seen_x.append(centroid(part.sum(axis=0), left, PX))
        part, _, top = ink(page, (x + low, y - wide, x + high, y + wide))
        seen_y.append(centroid(part.sum(axis=1), top, -PX))
    if None in seen_x + seen_y:
        return None
    return numpy.array([numpy.mean(seen_x), numpy.mean(seen_y)])


class Fine:
    """Crosses of a document seen closer: at 300 dots an inch a thin line is drawn up to half a dot, 0.04
    mm, beside its place, and that adds up over the tiles of a row."""

    DPI = 1200
    PX = 25.4 / DPI

    def __init__(self, pdf, folder, template):
        self.pdf, self.folder, self.tall = pdf, folder, template["page_height_mm"]

    def cross(self, number, near_by, near, far):
        """The centre of a cross on a page, from 0, near a place in page mm; as `cross` above."""
        reach = far + 0.3
        left = round((near_by[0] - reach) / self.PX)
        top = round((self.tall - near_by[1] - reach) / self.PX)
        count = round(2 * reach / self.PX)
        patch = self.folder / "patch"
        run("pdftoppm", "-r", str(self.DPI), "-gray", "-singlefile", "-f", str(number + 1), "-l", str(number + 1),
            "-x", str(left), "-y", str(top), "-W", str(count), "-H", str(count), str(self.pdf), str(patch))
        image = 1.0 - numpy.asarray(Image.open(patch.with_suffix(".pgm")), dtype=float) / 255.0
        middle, wide = count / 2, 0.5 / self.PX
        band = slice(round(middle - wide), round(middle + wide))
        arms = [slice(round(middle + a / self.PX), round(middle + b / self.PX))
                for a, b in ((-far, -near), (near, far))]
        across = [centroid(image[arm, band].sum(axis=0), (left + band.start) * self.PX, self.PX) for arm in arms]
        up = [centroid(image[band, arm].sum(axis=1), self.tall - (top + band.start) * self.PX, -self.PX)
              for arm in arms]
        return numpy.array([numpy.mean(across), numpy.mean(up)])


def ends(profile):
    """The two outermost ticks of a bar in a profile of ink along it, in pixels."""
    dark = numpy.flatnonzero(profile > profile.max() * 0.75)
    groups = numpy.split(dark, numpy.flatnonzero(numpy.diff(dark) > 1) + 1)
    middles = [numpy.average(g + 0.5, weights=profile[g]) for g in (groups[0], groups[-1])]
    return middles


def bars(page):
    """Lengths of the bars on a page, mm: found as the long straight lines of their lengths."""
    found = {"across": [], "up": []}
    for name, image in (("across", page), ("up", page.T)):
        dark = image > 0.4
        for line in range(dark.shape[0]):
            row = numpy.concatenate(([0], dark[line].view(numpy.int8), [0]))
            steps = numpy.diff(row)
            for start, stop in zip(numpy.flatnonzero(steps == 1), numpy.flatnonzero(steps == -1)):
                length = (stop - start) * PX
                if 98.0 < length < 104.0:
                    # The long ticks at the ends stand to one side, words to the other: the middles of
                    # the ticks are the bar's ends.
                    reach = round(1.9 / PX)
                    away = round(1.5 / PX)
                    best = 0.0
                    for rows in (slice(line + away, line + reach), slice(line - reach, line - away)):
                        area = image[rows, max(0, start - 8):stop + 8]
                        if area.size and area.sum(axis=0).max() > 0.5 * area.shape[0]:
                            a, b = ends(area.sum(axis=0))
                            best = max(best, (b - a) * PX)
                    if best:
                        found[name].append(best)
    return found


def check_bars(page, where):
    worst = 0.0
    for way, lengths in bars(page).items():
        for wanted in (100.0, 101.6):
            off = [abs(length - wanted) for length in lengths if abs(length - wanted) < 0.7]
            assert off, f"{where}: no bar of {wanted} mm {way} (found {lengths})"
            assert max(off) < WITHIN, f"{where}: the bar of {wanted} mm {way} is off by {max(off)}"
            worst = max(worst, max(off))
    return worst


def check_that_bars_can_fail(pdf, folder):
    """A page printed 0.3 % too large must not pass."""
    try:
        check_bars(render(pdf, folder, DPI * 1.003)[0], "too large")
    except AssertionError:
        return
    raise SystemExit("a page that is 0.3 % too large passed for true")


def check_boxes(pdf, paper, pages):
    told = run("pdfinfo", "-f", "1", "-l", str(pages), "-box", str(pdf))
    sizes = re.findall(r"size:\s+([\d.]+) x ([\d.]+) pts", told)
    assert len(sizes) == pages, told
    for size in sizes:
        mm = sorted(float(points) * 25.4 / 72 for points in size)
        for a, b in zip(mm, PAPERS[paper]):
            assert abs(a - b) < 0.01, f"{pdf}: {mm} is not {paper}"
    boxes = set(re.findall(r"(MediaBox|CropBox|TrimBox):\s+(.*)", told))
    assert len({" ".join(box.split()) for _, box in boxes}) == 1, boxes
    raw = pdf.read_bytes()
    assert b"/PrintScaling /None" in raw, "print scaling is not off"


def joined_crosses(template, pages, fine):
    """Where the corners of cells were seen on each tile, page mm, against the mm of the joined sheet."""
    columns, rows = template["columns"], template["rows"]
    width, height = template["cell_width_mm"], template["cell_height_mm"]
    maps = {}
    for row in range(rows):
        for column in range(columns):
            page = pages[row * columns + column]
            tall, wide = page.shape
            seen = {}
            for dx in (0, 1):
                for dy in (0, 1):
                    # Coarse place: the window is at the upper right, half an overlap out of the cell.
                    x = wide * PX - 7 - 7 - (0 if dx else width)
                    y = tall * PX - 7 - 7 - (0 if dy else height)
                    at = cross(page, x, y, 1.5, 4.5)
                    assert at is not None, f"no cross at {x}, {y} of tile {column}, {row}"
                    seen[dx, dy] = fine.cross(row * columns + column, at, 1.5, 4.5)
            maps[column, row] = seen
    return maps


def joined(template, maps):
    """Where each tile comes to lie when its crosses are laid on those of the tiles before it.

    Nothing of the layout is used but which tile is next to which: a builder has only the crosses.
    """
    laid = {(0, 0): numpy.zeros(2)}
    for row in range(template["rows"]):
        for column in range(template["columns"]):
            if (column, row) == (0, 0):
                continue
            shifts = []
            if column:
                left = (column - 1, row)
                shifts += [laid[left] + maps[left][1, dy] - maps[column, row][0, dy] for dy in (0, 1)]
            if row:
                below = (column, row - 1)
                shifts += [laid[below] + maps[below][dx, 1] - maps[column, row][dx, 0] for dx in (0, 1)]
            gaps = numpy.ptp(shifts, axis=0).max()
            assert gaps < WITHIN, f"the crosses of tile {column}, {row} miss their partners by {gaps} mm"
            laid[column, row] = numpy.mean(shifts, axis=0)
    return laid


def check_holes(template, pages, holes, fine):
    """Hole centres against the recipe: on each tile by its place in the layout, and on the sheet that
    the tiles make when they are joined by their crosses alone. Gives the worst difference, mm."""
    columns, rows = template["columns"], template["rows"]
    width, height = template["cell_width_mm"], template["cell_height_mm"]
    one = template["pages"] == 1
    maps = None if one else joined_crosses(template, pages, fine)
    laid_tiles = None if one else joined(template, maps)
    found, on_sheet = {}, {}
    for row in range(rows):
        for column in range(columns):
            page = pages[row * columns + column]
            tall, wide = page.shape
            if one:
                # A single page: its own lower left corner of the window, from the page's edge.
                shift = numpy.array([wide * PX - 7 - width, tall * PX - 7 - height])
            else:
                seen = maps[column, row]
                shift = numpy.mean(
                    [seen[dx, dy] - [dx * width, dy * height] for dx, dy in seen], axis=0
                )
                for (dx, dy), at in seen.items():
                    off = numpy.abs(at - shift - [dx * width, dy * height]).max()
                    assert off < WITHIN, f"crosses of tile {column}, {row} are off by {off}"
            corner = numpy.array(
                [template["corner_x_mm"] + column * width, template["corner_y_mm"] + row * height]
            )
            for index, (x, y, d) in enumerate(holes):
                on_page = numpy.array([x, y]) - corner + shift
                near, far = 0.6, max(1.2, d / 2 - 0.6)
                reach = far + 1.5
                inside = (
                    shift[0] - 7 + reach < on_page[0] < shift[0] + width + 7 - reach
                    and shift[1] - 7 + reach < on_page[1] < shift[1] + height + 7 - reach
                )
                if not inside:
                    continue
                at = cross(page, *on_page, near, far)
                assert at is not None, f"no cross in hole {index} on tile {column}, {row}"
                at = fine.cross(row * columns + column, at, near, far)
                found.setdefault(index, []).append(at - shift + corner - [x, y])
                if not one:
                    on_sheet.setdefault(index, []).append(at + laid_tiles[column, row] - [x, y])
    assert len(found) == len(holes), f"only holes {sorted(found)} were seen whole"
    # On the joined sheet only differences count: the mean of all is where it was laid.
    offs = numpy.array([off for seen in found.values() for off in seen])
    laid = offs.mean(axis=0) if one else numpy.zeros(2)
    worst = float(numpy.abs(offs - laid).max())
    if on_sheet:
        # The joined sheet lies anywhere: every hole must be off by the same.
        offs_on_sheet = numpy.array([off for seen in on_sheet.values() for off in seen])
        worst = max(worst, float(numpy.ptp(offs_on_sheet, axis=0).max()))
    assert worst < WITHIN, f"a hole centre is off by {worst} mm"
    return worst, len(offs)


def main(platewright):
    with tempfile.TemporaryDirectory() as scratch:
        scratch = Path(scratch)
        for name, (length, height, holes) in PLATES.items():
            family = FAMILY + "".join(HOLE.format(x=x, y=y, d=d) for x, y, d in holes)
            (scratch / f"{name}-plate.toml").write_text(family)
            part = scratch / f"{name}.toml"
            part.write_text(
                f'recipe = "{name}-plate"\nlength = "{length} mm"\nheight = "{height} mm"\n'
            )
            # The plate has no bore: it counts from the corner of its left and its lower edge.
            counted = [(x + length / 2, y + height / 2, d) for x, y, d in holes]
            for paper in PAPERS:
                for drill in ([], ["--drill"]):
                    out = scratch / "-".join([name, paper, *drill])
                    told = run(platewright, "paper", str(part), "--shelf", str(scratch), "--json",
                               "--paper", paper, "--out", str(out), *drill)
                    (template,) = json.loads(told)["templates"]
                    (pdf,) = (out / "paper").rglob(f"{template['plate']}.pdf")
                    check_boxes(pdf, paper, template["pages"])
                    check_that_bars_can_fail(pdf, scratch)
                    pages = render(pdf, scratch)
                    assert len(pages) == template["pages"]
                    bar = max(check_bars(page, f"{pdf.name} {n}") for n, page in enumerate(pages))
                    hole, count = check_holes(template, pages, counted, Fine(pdf, scratch, template))
                    what = "hole centres" if drill else "template"
                    print(f"{what} of {length:g} mm on {paper}: {len(pages)} pages, bars within "
                          f"{bar:.3f} mm, {count} hole centres within {hole:.3f} mm")


main(sys.argv[1])
