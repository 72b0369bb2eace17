"""What each margin of a family's plates is held to: a comparison by finite elements, or a reason in words.

The families' own files are read, so that a margin that is new is asked about. One that goes by a code's formula for what is no
plate (bolts, welds, threads, clamped faces), or for an edge that a bolt bears on, is told from what it `carries`; every other
one is of plate metal.
"""

import re
import tomllib
from pathlib import Path

FAMILIES = Path(__file__).resolve().parents[2] / "part-recipes" / "families"
SHARED = FAMILIES.parent / "shared"

# Functions that tell what goes by a code or is no plate.
OTHERS = ("bearing", "shear_load", "tensile_load", "yield_load", "preload", "fillet_weld", "strip_load")

SAME = "the same stress, for another limit: "
PIN = "no plate: "
CODE = "even on its section, as codes count it: "

# Margins of plate metal, or that look like it, without a comparison of their own.
REASONS = {
    ("disc-adapter", "the plate between the two circles, in shear"): CODE + "a ring in shear, less its holes",
    ("splice-plate", "a leg across its first bolt hole"): CODE + "the net section of a tension member, and of one that bends",
    ("flange", "the side of the keyway"): CODE + "a key's side crushes as a whole",
    ("flange", "the key in shear"): PIN + "the key",
    ("steering-arm", "the side of the keyway"): CODE + "a key's side crushes as a whole",
    ("steering-arm", "the key in shear"): PIN + "the key",
    ("steering-arm", "the arm at the boss, in bending and twist"):
        "its bending is that of the arm bent to and fro; the twist of a flat bar is held to elements with the caliper bracket",
    ("steering-arm", "the weld round the boss, loaded to and fro"): PIN + "a weld",
    ("steering-arm", "how far the eye gives under the usual load"): "no stress: how far it gives",
    ("step-plate", "how far it gives under a foot"): "no stress: how far it gives",
    ("hub-adapter", "the plate between its two circles, bent to and fro at every turn"):
        SAME + "that of the plate bent in a corner",
    ("hub-adapter", "@ bolts, pulled to and fro at every turn"): PIN + "a bolt's thread",
    ("hub-adapter", "the plate under washers of @ bolts"): CODE + "pressure under a washer's face",
    ("steering-wheel", "a spoke, when someone pulls himself up by the rim"): SAME + "that of a spoke bent towards the driver",
    ("kingpin-bracket", "a lug's foot at its welds, bumped again and again"): SAME + "a third of that of the lug's foot",
    ("hand-lever", "the pawl's pin, in shear"): PIN + "a pin",
    ("pedal-bracket", "the spacer tube on the pivot bolt, in bending"): PIN + "a tube",
}


def margins():
    """Each margin of plate metal that a family works out: its family and what it says, @ for any word."""
    found, others = [], 0
    for file in sorted([*FAMILIES.glob("*.toml"), *SHARED.glob("*.toml")]):
        family = tomllib.loads(file.read_text())
        lets = {name: text for name, text in family.get("let", {}).items() if isinstance(text, str)}
        for hold in family.get("hold", []):
            if "not_checked" in hold:
                continue
            asks = set(re.findall(r"(\w+)\(", written_out(hold["carries"], lets)))
            if asks & set(OTHERS):
                others += 1
            else:
                found.append((file.stem, hold["says"]))
    return found, others


def written_out(text, lets, deep=6):
    """An expression with the named values of its family put in."""
    if deep == 0:
        return text
    put = lambda name: f"({written_out(lets[name[0]], lets, deep - 1)})" if name[0] in lets else name[0]
    return re.sub(r"[@\w]+", put, text)


def list_of(compared):
    """Prints what each margin of plate metal is held to; `compared`: what each comparison asked for, by its name. Tells of those
    that nothing holds, and of reasons that no margin has."""
    all_of_them, others = margins()
    wrong, used = [], set()
    for family, says in all_of_them:
        like = re.compile(re.escape(says).replace("@", ".+") + "$")
        by = sorted(name for name, asked in compared.items() if any(it == family and like.match(words) for it, words in asked))
        reason = REASONS.get((family, says))
        used |= {(family, says)} if reason else set()
        print(f"{family}: {says}: {', '.join(by) or reason or 'NOTHING'}")
        if not by and not reason:
            wrong.append(f"{family}: {says}: neither compared nor a reason in elements_held.py")
        if by and reason:
            wrong.append(f"{family}: {says}: compared, and has a reason why it is not")
    wrong += [f"{family}: {says}: a reason for no margin of plate metal" for family, says in REASONS.keys() - used]
    print(f"{others} more margins are of bolts, pins, welds, threads, clamped faces and edges that bolts bear on, by their codes")
    return wrong
