"""Keeps the best of what fuzzing has learnt, for the ordinary tests to replay.

    python tests/fuzz/keep.py PROGRAM CORPUS

PROGRAM is the instrumented build, CORPUS the folder that `tests/fuzz/run` was given. For each target the
fewest inputs that reach all that the corpus reaches are found, and as many of these as a file may hold, of
all lengths, written to `corpus/TARGET.txt`: an input a line, whatever is not plain ASCII as \\xNN.
"""

import os
import pathlib
import subprocess
import sys
import tempfile

HERE = pathlib.Path(__file__).resolve().parent
# Bytes of an input, and of a file of them.
LONGEST, MOST = 1024, 64 * 1024


def escaped(data):
    """An input as one line of plain ASCII."""
    plain = (chr(b) if 32 <= b < 127 and b != 92 else f"\\x{b:02x}" for b in data)
    return "".join(plain)


def main():
    program, corpus = sys.argv[1], pathlib.Path(sys.argv[2])
    kept = HERE / "corpus"
    kept.mkdir(exist_ok=True)
    for learnt in sorted(corpus.iterdir()):
        with tempfile.TemporaryDirectory() as merged:
            subprocess.run(
                [program, "-merge=1", f"-max_len={LONGEST}", merged, learnt],
                env={**os.environ, "TARGET": learnt.name},
                check=True,
                stderr=subprocess.DEVNULL,
            )
            inputs = {path.read_bytes()[:LONGEST] for path in pathlib.Path(merged).iterdir()}
        lines = sorted(map(escaped, inputs), key=lambda line: (len(line), line))
        lines = lines[:: 1 + sum(len(line) + 1 for line in lines) // MOST]
        (kept / f"{learnt.name}.txt").write_text("\n".join(lines) + "\n")
        print(f"{learnt.name}: {len(lines)} of {len(inputs)} inputs kept")


if __name__ == "__main__":
    main()
