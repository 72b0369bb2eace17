"""Validates files with the schemas that the program prints, by a library that knows nothing of it.

    python schema.py PLATEWRIGHT

Every family, job and table that comes with the program, every TOML example of part-recipes/README.md that is a whole
file, and the part file that `start` writes for each family must pass. Each of them with one key misspelt, at any depth
where keys are not names of the builder's own, must be refused, and so must a word that is none of a closed list.
"""

import copy
import json
import re
import subprocess
import sys
import tempfile
import tomllib
from pathlib import Path

from jsonschema import Draft202012Validator

ROOT = Path(__file__).resolve().parents[2] / "part-recipes"
# Below these the builder chooses the keys, or they are the columns of a list that the recipe itself declares.
FREE = {"dimension", "table", "let", "point", "rows", "columns", "takes", "with", "opening", "default",
        "figure", "not_checked"}


def files():
    """(kind, name, document) of everything that must pass."""
    for kind, folder in (("recipe", "families"), ("job", "jobs"), ("table", "tables"), ("shared", "shared")):
        for path in sorted((ROOT / folder).glob("*.toml")):
            yield of(tomllib.loads(path.read_text()), path.stem, kind)
    for number, text in enumerate(re.findall(r"```toml\n(.*?)```", (ROOT / "README.md").read_text(), re.S)):
        try:
            document = tomllib.loads(text)
        except tomllib.TOMLDecodeError:
            continue
        if "plate" in document and "title" in document and "dimension" in document and "thickness" in document["dimension"]:
            if all("step" in plate for plate in document["plate"]):
                yield "recipe", f"example {number}", document
        elif isinstance(document.get("shape"), list):
            yield "shared", f"example {number}", document
        elif {"recipe", "drawing", "shape"} & set(document) or "part" in document:
            yield of(document, f"example {number}", "part")


def of(document, name, kind):
    if kind in ("job", "part"):
        kind = "job" if "part" in document or "job" in document else "part"
    return kind, name, document


def misspelt(document, path=()):
    """The document with one key misspelt, each way that this can be done."""
    for key, below in document.items():
        if not (path and path[-1] in FREE):
            wrong = copy.copy(document)
            wrong[key + "x"] = wrong.pop(key)
            yield (*path, key), wrong
        values = below if isinstance(below, list) else [below]
        for index, value in enumerate(values):
            if isinstance(value, dict):
                for where, changed in misspelt(value, (*path, key)):
                    whole = copy.copy(document)
                    if isinstance(below, list):
                        whole[key] = below[:index] + [changed] + below[index + 1 :]
                    else:
                        whole[key] = changed
                    yield where, whole


def main():
    if len(sys.argv) != 2:
        raise SystemExit(__doc__)
    schemas = {}
    for kind in ("recipe", "part", "job", "table", "shared"):
        said = subprocess.run([sys.argv[1], "schema", kind], check=True, capture_output=True, text=True).stdout
        Draft202012Validator.check_schema(json.loads(said))
        schemas[kind] = Draft202012Validator(json.loads(said))
    faults, passed, refused = [], 0, 0
    everything = list(files())
    with tempfile.TemporaryDirectory() as folder:
        for path in sorted((ROOT / "families").glob("*.toml")):
            subprocess.run([sys.argv[1], "start", path.stem], check=True, capture_output=True, cwd=folder)
            text = (Path(folder) / f"{path.stem}.toml").read_text()
            # With every default as if it had been written.
            whole = re.sub(r"(?m)^# (?=[a-z_0-9]+ = )", "", text)
            everything.append(("part", f"start {path.stem}", tomllib.loads(whole)))
    for kind, name, document in everything:
        schema = schemas[kind]
        for error in schema.iter_errors(document):
            faults.append(f"{kind} {name}: {list(error.absolute_path)}: {error.message[:200]}")
        passed += 1
        tried = set()
        for where, wrong in misspelt(document):
            if where in tried:
                continue
            tried.add(where)
            refused += 1
            if schema.is_valid(wrong):
                faults.append(f"{kind} {name}: {'.'.join(where)} misspelt is accepted")
    wrong_words = [
        ("recipe", {"title": "t", "group": "wheel", "dimension": {}, "plate": []}),
        ("part", {"recipe": "flange", "slotted": "nonne"}),
        ("part", {"recipe": "flanje"}),
        ("job", {"job": {"order": "fast"}, "part": []}),
        ("table", {"process": "saw"}),
    ]
    faults += [f"{kind} {document} is accepted" for kind, document in wrong_words if schemas[kind].is_valid(document)]
    print(f"{passed} files valid, {refused} with a key misspelt refused, {len(faults)} faults")
    for fault in faults[:40]:
        print("FAILED", fault)
    if faults or passed < 40:
        raise SystemExit(1)


if __name__ == "__main__":
    main()
