"""Writes a job with a part of every family that a program has, by its own list.

    python every_family.py PLATEWRIGHT > job.toml

Each part stands as its defaults have it, so that the job grows with the shelf; the plates of every material and
thickness have sheets of their own.
"""

import json
import subprocess
import sys


def main():
    if len(sys.argv) != 2:
        raise SystemExit(__doc__)
    listed = subprocess.run([sys.argv[1], "recipes", "--json"], check=True, capture_output=True, text=True)
    names = [it["name"] for it in json.loads(listed.stdout)["recipes"]]
    print('[job]\nname = "every family"\ntable = "shop-plasma"')
    for name in names:
        print(f'\n[[part]]\nrecipe = "{name}"')
    print(f"{len(names)} families", file=sys.stderr)
    # As many as the program was made with, or the list is not whole.
    if len(names) < 30:
        raise SystemExit("FAILED: the shelf has less than thirty families")


if __name__ == "__main__":
    main()
