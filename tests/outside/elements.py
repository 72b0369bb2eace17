"""Plates bent in and across their plane, by finite elements, against what their families reckon.

Each family is drawn by the program, as it stands or as the demo has it, and forty times at random; its net DXF is meshed with
triangles. In its plane (`elements_in_plane.py`) a plate is of second order in plane stress: forces lie on half of a hole as a
pin's do (a cosine), a hand or a foot on the edges about its middle. Across it (`elements_across.py`) it is Kirchhoff's plate
of Argyris' elements, which first prove themselves on published plates. The peak von Mises stress away from loaded and held edges
may be no more than a tenth over what the family reckons, which `check` tells. At the end stands what each margin of plate metal is
held to (`elements_held.py`); one that has neither a comparison nor a reason is a fault. `--plates 0` looks only at plain plates.

    python elements.py PLATEWRIGHT [--seed WORD] [--plates COUNT] [NAME OF A FUNCTION OF A FAMILY …]

Factors were fitted to the plates drawn as they are without a word, and looked at with others.
"""

import argparse
import json
import os
import random
import sys
import tempfile
from multiprocessing import Pool
from pathlib import Path

# One plate a core: threads of a solver would only wait for each other.
for kind in ("OPENBLAS", "OMP", "MKL"):
    os.environ[f"{kind}_NUM_THREADS"] = "1"

import elements_across
import elements_edges
import elements_feet
import elements_folds
import elements_held
import elements_in_plane
import elements_sideways
from elements_made import FINE, Made, Refused
from elements_plate import prove

PLATES = 40
MOST = 1.10

FAMILIES = [family for kind in (elements_in_plane, elements_across, elements_edges, elements_sideways, elements_feet,
                                 elements_folds)
            for family in kind.FAMILIES]


def one(task):
    """Of one plate: its dimensions, peak and formula of all that is looked at, and the margins that were asked for; None where a
    rule refuses it."""
    platewright, folder, family, number, dimensions = task
    asked = []

    def make(recipe, words, d, plate, chords=FINE):
        made = Made(platewright, folder, f"plate-{family}-{number}", recipe, words, d, plate, chords)
        asked.append(made.asked)
        return made

    try:
        return dimensions, FAMILIES[family][0](make, dimensions), set().union(*asked)
    except Refused:
        return None


def main(platewright, names, seed, plates):
    prove()
    wrong, compared = [], {}
    with tempfile.TemporaryDirectory() as scratch, Pool() as pool:
        for family, (look, plain, at_random) in enumerate(FAMILIES):
            if names and look.__name__ not in names:
                continue
            # Of its own, so that one family alone has the same plates.
            random.seed(look.__name__ + seed)
            wanted = plates + len(plain)
            tried = plain + [at_random() for _ in range(10 * plates)]
            tasks = [(platewright, Path(scratch), family, number, it) for number, it in enumerate(tried)]
            rows = []
            # Each batch is waited for: a program left running would write where the scratch folder is being removed.
            while tasks and len(rows) < wanted:
                batch, tasks = tasks[:wanted - len(rows)], tasks[wanted - len(rows):]
                found = pool.map(one, batch, chunksize=1)
                assert rows or all(found[:len(plain)]), f"{look.__name__}: a plain one is refused"
                rows += [row for row in found if row]
            assert len(rows) == wanted, f"{look.__name__}: most are refused"
            compared.setdefault(look.__name__, set()).update(*(row[2] for row in rows))
            for what in rows[0][1]:
                ratios = [row[1][what][0] / row[1][what][1] for row in rows]
                peak, reckoned = rows[0][1][what]
                print(f"{what}: {len(rows)} by finite elements: peak over formula {min(ratios):.2f} to {max(ratios):.2f}, "
                      f"the first {peak:.1f} MPa of {reckoned:.1f}", flush=True)
                wrong += [(what, row[0], *row[1][what]) for row, it in zip(rows, ratios) if it > MOST]
    for what, dimensions, found, reckoned in wrong:
        print(f"FAULT {what} {found / reckoned:.2f}: {found:.1f} MPa of {reckoned:.1f}: {json.dumps(dimensions)}")
    unheld = [] if names else elements_held.list_of(compared)
    print("".join(f"FAULT {it}\n" for it in unheld), end="")
    return 1 if wrong or unheld else 0


if __name__ == "__main__":
    given = argparse.ArgumentParser()
    given.add_argument("platewright")
    given.add_argument("--seed", default="")
    given.add_argument("--plates", type=int, default=PLATES)
    given.add_argument("names", nargs="*")
    given = given.parse_intermixed_args()
    sys.exit(main(given.platewright, given.names, given.seed, given.plates))
