"""Runs the released programs: the Linux one where there is nothing else at all, the Windows one under Wine. The
same commands have to give the same bytes, and what only Windows knows (drive letters, names of devices, long
paths, files that others hold open, line ends) has to end well.

    release.py ARCHIVES SCRATCH     the folder that .ci/release leaves, and one for what is made

Both programs come out of their archives and run in folders with nothing else in them.
"""

import fcntl
import json
import os
import pty
import random
import select
import shutil
import struct
import subprocess
import sys
import tarfile
import tempfile
import termios
import time
import zipfile
from pathlib import Path

HERE = Path(__file__).resolve().parent
JOBS = ["orchard-cart", "bracket-tonight", "how-much-sheet", "hub-plate-redrill"]
# The exit code of a run that was ended early.
EARLY = 4
# Wine is told not to ask for browsers and frameworks, and to take the random numbers from beside the program.
WINE = {"WINEDEBUG": "-all", "WINEDLLOVERRIDES": "mscoree,mshtml=;bcryptprimitives=n"}


class Side:
    """One of the two programs, and the folder that its archive was unpacked into."""

    def __init__(self, archives, scratch, system):
        self.is_windows = system == "windows"
        self.folder = scratch / system
        self.folder.mkdir()
        [archive] = archives.glob(f"platewright-*-{system}-*.*")
        opened = zipfile.ZipFile(archive) if self.is_windows else tarfile.open(archive)
        opened.extractall(self.folder)
        [self.home] = self.folder.iterdir()
        self.program = self.home / ("platewright.exe" if self.is_windows else "platewright")
        self.env = {**os.environ, "NO_COLOR": "1", "COLUMNS": "100"}
        if self.is_windows:
            self.env |= WINE | {"WINEPREFIX": str(scratch / "prefix")}
            make = "x86_64-w64-mingw32-gcc"
            source = HERE / "windows"
            subprocess.run([make, "-O2", "-shared", "-o", self.home / "bcryptprimitives.dll", source / "random.c", "-ladvapi32"], check=True)
            for helper in ("beside", "console"):
                subprocess.run([make, "-O2", "-o", self.home / f"{helper}.exe", source / f"{helper}.c"], check=True)
            quiet = {"stdout": subprocess.DEVNULL, "stderr": subprocess.DEVNULL}
            subprocess.run(["wineboot", "-i"], env=self.env, check=True, timeout=300, **quiet)
            # Keeps Wine's services up: what is killed while they start can leave the next waiting for them.
            self.kept_up = subprocess.Popen(["wine", "cmd"], env=self.env, stdin=subprocess.PIPE, stdout=subprocess.PIPE,
                                            stderr=subprocess.DEVNULL)
            self.kept_up.stdout.read(1)

    def end(self):
        subprocess.run(["wineserver", "-k"], env=self.env, check=False)
        self.kept_up.kill()
        self.kept_up.wait()

    def words(self, *words):
        return [*(["wine"] if self.is_windows else []), str(self.program), *words]

    def run(self, *words, code=0, into=None):
        # Not into pipes: Wine's services hold on to those of the program that started them.
        with tempfile.TemporaryFile() as out, tempfile.TemporaryFile() as err:
            done = subprocess.run(self.words(*words), cwd=into or self.home, env=self.env, stdout=out, stderr=err, timeout=600)
            out.seek(0)
            err.seek(0)
            out, err = (it.read().decode().replace("\r\n", "\n") for it in (out, err))
        # Wine's own processes have their troubles on a busy machine.
        err = "".join(it for it in err.splitlines(True) if not it.startswith("wine: "))
        assert done.returncode == code, f"{words}: exit code {done.returncode}, not {code}\n{out}{err}"
        return out, err


def tree(folder):
    files = {str(it.relative_to(folder)): it.read_bytes() for it in folder.rglob("*") if it.is_file()}
    return {name: bytes for name, bytes in files.items() if not name.endswith("lock")}


def same(linux, windows, what):
    """Every file there in both, and the same to the byte."""
    ours, theirs = tree(linux), tree(windows)
    assert ours and ours.keys() == theirs.keys(), f"{what}: {sorted(ours.keys() ^ theirs.keys())}"
    unlike = [name for name in ours if ours[name] != theirs[name]]
    assert not unlike, f"{what}: not the same bytes: {unlike}"
    left = [it.name for it in (windows / ".platewright").iterdir()]
    assert sorted(left) == ["files.json", "lock"], f"{what}: left behind: {left}"
    return len(ours)


def jobs(linux, windows):
    """The main job and the three evenings."""
    count = 0
    for job in JOBS:
        for side in (linux, windows):
            path = f"jobs\\{job}.toml" if side.is_windows else f"jobs/{job}.toml"
            side.run("cut", path, "--out", f"out-{job}", "--program", "--png")
        count += same(linux.home / f"out-{job}", windows.home / f"out-{job}", job)
    said = [side.run("estimate", "jobs/how-much-sheet.toml")[0] for side in (linux, windows)]
    assert said[0] == said[1], "what estimate says"
    hole = ["redrill", "--outside", "190mm", "--bore", "60mm", "--has", "4 x 100 mm, M10", "--new", "5 x 150 mm, M12"]
    said = [side.run(*hole)[0] for side in (linux, windows)]
    assert said[0].replace("/", "\\") == said[1].replace("/", "\\"), f"what redrill says: {said}"
    count += same(linux.home / "out", windows.home / "out", "redrill")
    return f"{count} files the same to the byte"


def alone(linux, _):
    """A root file system with nothing in it but the archive."""
    words = ["chroot", str(linux.home), "/platewright", "cut", "jobs/orchard-cart.toml", "--out", "alone", "--program", "--png"]
    if os.geteuid():
        words = ["unshare", "--map-root-user", *words]
    subprocess.run(words, env={"PATH": "/usr/sbin:/usr/bin:/sbin:/bin"}, check=True, capture_output=True, timeout=600)
    ours, theirs = tree(linux.home / "out-orchard-cart"), tree(linux.home / "alone")
    assert ours == theirs, "not the same bytes"
    return f"the main job, {len(ours)} files the same to the byte"


def begun(linux, windows):
    """A part file as it begins, in each family."""
    for side in (linux, windows):
        for line in side.run("recipes", "--json")[0].splitlines():
            if '"name":' in line:
                name = line.split('"')[3]
                side.run("start", name, "--out", f"begun/{name}.toml")
    ours, theirs = tree(linux.home / "begun"), tree(windows.home / "begun")
    assert len(ours) >= 14 and ours == theirs, "part files as they begin"
    return f"{len(ours)} files the same to the byte"


PART = 'recipe = "flange"\nname = "{name}"\nthickness = "6 mm"\n'


def drive(windows, path):
    """A path as Windows has it: Wine's drive Z is the root."""
    return "Z:" + str(path).replace("/", "\\")


def paths(_, windows):
    """Drive letters, backslashes, spaces and letters of other scripts."""
    folder = windows.folder / "my parts, größer"
    folder.mkdir()
    (folder / "hub plate.toml").write_text(PART.format(name="hub plate"))
    out = drive(windows, folder / "files to cut")
    windows.run("cut", drive(windows, folder / "hub plate.toml"), "--out", out)
    assert (folder / "files to cut/plates/hub-plate.dxf").is_file()
    (folder / "job.toml").write_text('[[part]]\ndrawing = "files to cut\\\\plates\\\\hub-plate.dxf"\nthickness = "6 mm"\n')
    windows.run("check", "job.toml", into=folder)
    return "as on Linux"


def devices(_, windows):
    """Parts that are called as Windows calls its consoles and ports."""
    for name in ("con", "aux", "NUL", "com1"):
        (windows.home / "part.toml").write_text(PART.format(name=name))
        windows.run("cut", "part.toml", "--out", "devices")
        assert (windows.home / f"devices/plates/{name.lower()}-part.dxf").is_file(), name
    return "the files are called con-part.dxf and so on, on every system"


def long_paths(_, windows):
    """More than 260 letters."""
    deep = windows.home / "/".join(["a folder with a long name, such as programs make"] * 6)
    windows.run("cut", "part.toml", "--out", drive(windows, deep))
    report = deep / "report.html"
    assert len(str(report)) > 300 and report.is_file()
    windows.run("cut", "part.toml", "--out", drive(windows, deep))
    return f"{len(str(report))} letters written, and written again"


def texts(linux, windows):
    """Line ends of Windows and a byte-order mark, in recipes and drawings."""
    svg = '<svg xmlns="http://www.w3.org/2000/svg" width="90mm" height="60mm" viewBox="0 0 90 60">\n<rect x="5" y="5" width="80" height="50"/>\n<circle cx="45" cy="30" r="10"/>\n</svg>\n'
    dxf = (linux.home / "out-bracket-tonight/plates/pedal-bracket-cheek.dxf").read_text()
    both = {"friend.svg": svg, "friend.dxf": dxf, "part.toml": PART.format(name="größer")}
    for name, text in both.items():
        about = [] if name == "part.toml" else ["--thickness", "6 mm"]
        for side in (linux, windows):
            folder = side.home / "texts"
            folder.mkdir(exist_ok=True)
            if side.is_windows:
                mark = b"" if name.endswith("dxf") else b"\xef\xbb\xbf"
                (folder / name).write_bytes(mark + text.replace("\r\n", "\n").replace("\n", "\r\n").encode())
            else:
                (folder / name).write_text(text)
            side.run("draw", name, *about, "--out", f"out-{name}", into=folder)
        ours, theirs = (tree(side.home / f"texts/out-{name}") for side in (linux, windows))
        assert ours == theirs, f"{name}: {[it for it in ours if ours[it] != theirs.get(it)]}"
    return "read alike"


def held(_, windows):
    """A report that another program has open: nothing changes, and the message says why."""
    job = drive(windows, windows.home / "jobs/bracket-tonight.toml")
    windows.run("cut", job, "--out", "held")
    before = tree(windows.home / "held")
    flag = windows.home / "let-go"
    holding = subprocess.Popen(["wine", str(windows.home / "beside.exe"), "held\\report.html", "let-go"], cwd=windows.home, env=windows.env, stdout=subprocess.PIPE)
    assert holding.stdout.readline().strip() == b"held"
    _, said = windows.run("cut", job, "--out", "held", "--set", "thickness=6mm", code=3)
    assert "is open in another program" in said and "report.html" in said, said
    assert tree(windows.home / "held") == before, "the folder changed"
    flag.touch()
    holding.wait(timeout=90)
    windows.run("cut", job, "--out", "held", "--set", "thickness=6mm")
    assert tree(windows.home / "held") != before
    return "refused with its name, the folder as it was; written once it is closed"


def protected(_, windows):
    """A write-protected file of ours stays, and goes if that is asked for."""
    windows.run("cut", "part.toml", "--out", "protected")
    [plate] = (windows.home / "protected/plates").glob("*.dxf")
    plate.chmod(0o444)
    _, said = windows.run("cut", "part.toml", "--out", "protected", "--set", "outside=151mm", code=3)
    assert "is write-protected" in said, said
    windows.run("cut", "part.toml", "--out", "protected", "--set", "outside=151mm", "--replace")
    return "stays, and is replaced with --replace"


def killed(_, windows):
    """The program ended at any moment, as when the power fails: the next run puts everything right."""
    job = drive(windows, windows.home / "jobs/bracket-tonight.toml")
    windows.run("cut", job, "--out", "whole")
    windows.run("cut", job, "--out", "whole", "--set", "thickness=6mm")
    wanted = tree(windows.home / "whole")
    chance = random.Random(7)
    broken = 0
    for _ in range(12):
        windows.run("cut", job, "--out", "killed")
        words = windows.words("cut", job, "--out", "killed", "--set", "thickness=6mm")
        going = subprocess.Popen(words, cwd=windows.home, env=windows.env, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
        time.sleep(chance.uniform(0.05, 0.5))
        broken += going.poll() is None
        going.kill()
        going.wait()
        for name, bytes in tree(windows.home / "killed").items():
            assert bytes or "on-their-way" in name, f"{name} is empty"
        windows.run("cut", job, "--out", "killed", "--set", "thickness=6mm")
        assert tree(windows.home / "killed") == wanted, "not as it would be without"
    assert broken, "it was always done before"
    return f"{broken} of 12 runs ended early, all put right by the next"


def interrupted(_, windows):
    """Ctrl-C during a search: the best so far is kept, and the exit code says so."""
    job = drive(windows, windows.home / "jobs/how-much-sheet.toml")
    words = ["wine", str(windows.home / "console.exe"), "6000", drive(windows, windows.program), "cut", job, "--out", "early", "--seconds", "100"]
    began = time.monotonic()
    code = subprocess.run(words, cwd=windows.home, env=windows.env, capture_output=True, timeout=300).returncode
    took = time.monotonic() - began
    assert code == EARLY, f"exit code {code}"
    assert took < 90, f"it went on for {took:.0f} s"
    report = json.loads((windows.home / "early/report.json").read_text())
    made = {it["path"] for it in report["files"]}
    assert report["sheets"] and all((windows.home / "early" / it).is_file() for it in made)
    return f"ended with exit code {code}, {len(made)} files of the best layout"


def code_pages(_, windows):
    """Letters of other scripts in a console, whatever its code page."""
    for page in ("437", "1252", "932"):
        ours, theirs = pty.openpty()
        fcntl.ioctl(theirs, termios.TIOCSWINSZ, struct.pack("HHHH", 40, 120, 0, 0))
        command = f"chcp {page} & platewright.exe check größer.toml"
        going = subprocess.Popen(["wine", "cmd", "/c", command], cwd=windows.home, env=windows.env,
                                 stdin=theirs, stdout=theirs, stderr=theirs, start_new_session=True)
        os.close(theirs)
        said = b""
        while select.select([ours], [], [], 60)[0]:
            try:
                more = os.read(ours, 65536)
            except OSError:  # The other end is closed.
                break
            said += more
        going.wait(timeout=60)
        os.close(ours)
        assert page.encode() in said and "größer.toml".encode() in said, f"{page}: {said}"
    return "as they are"


def usage(linux, windows):
    """Help, version, wrong words and a file that is not there."""
    for words, code in ((["--help"], 0), (["cut", "--help"], 0), (["explain"], 0), (["reckon", "4-1/2 in"], 0), (["licences"], 0), (["cut"], 2), (["cut", "nothing.toml"], 3)):
        said = ["".join(side.run(*words, code=code)) for side in (linux, windows)]
        said[1] = said[1].replace("platewright.exe", "platewright")
        if code != 3:  # The system's own words tell what is missing.
            assert said[0] == said[1], f"{words}: {said}"
    return "the same words and exit codes"


def main():
    archives, scratch = (Path(it).resolve() for it in sys.argv[1:3])
    shutil.rmtree(scratch, ignore_errors=True)
    scratch.mkdir(parents=True)
    linux, windows = (Side(archives, scratch, system) for system in ("linux", "windows"))
    try:
        for check in (jobs, alone, begun, usage, paths, devices, long_paths, texts, held, protected, killed, interrupted, code_pages):
            began = time.monotonic()
            said = check(linux, windows)
            print(f"{check.__doc__.splitlines()[0].rstrip('.')}: {said} ({time.monotonic() - began:.0f} s)", flush=True)
    finally:
        windows.end()


main()
