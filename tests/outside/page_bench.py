"""The page at the bench in a real Chromium, driven by clicks and keys alone from an empty folder.

    python page_bench.py PLATEWRIGHT AXE_MIN_JS [SHOTS]

A hub plate is begun from the shelf, typed, drawn, printed and cut; a job is put together, laid out and cut;
its plates are ticked off; readings become a pattern, and a second one is clocked on a plate. At 1300 and at 390 px, in light and in dark: no message on the console, no request
to another host, nothing wider than the window, no serious or critical finding of axe-core. Files are those of
the commands, byte by byte. With SHOTS, a folder, what was seen is kept there.
"""

import base64
import filecmp
import shutil
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from page import accessibility, start

WIDTHS = (1300, 390)
PATIENCE = 120  # s


class Bench:
    """A folder of its own with its page open in a tab."""

    def __init__(self, program, tab):
        self.folder = Path(tempfile.mkdtemp())
        self.program, self.tab = program, tab
        self.served = subprocess.Popen([program, "page", "--no-open"], cwd=self.folder, text=True,
                                       stdout=subprocess.PIPE, stderr=subprocess.DEVNULL)
        self.home = self.served.stdout.readline().split()[0]

    def command(self, *words):
        subprocess.run([self.program, *words], cwd=self.folder, check=True, capture_output=True)

    def open(self, path):
        self.tab.open(self.home.rstrip("/") + path)

    def wait(self, script, what):
        for _ in range(PATIENCE * 10):
            # While a page is being loaded it has no body.
            if self.tab.seen(f"(() => {{ try {{ return Boolean({script}) }} catch {{ return false }} }})()"):
                return
            time.sleep(0.1)
        raise SystemExit(f"waited in vain for {what}")

    def at(self, selector):
        """Scrolls to something and gives its middle."""
        self.wait(f"document.querySelector({selector!r})", selector)
        return self.tab.run(
            f"(() => {{ const it = document.querySelector({selector!r}); it.scrollIntoView({{block: 'center'}});"
            " const box = it.getBoundingClientRect(); return [box.x + box.width / 2, box.y + box.height / 2]; })()")

    def click(self, selector):
        x, y = self.at(selector)
        for kind in ("mousePressed", "mouseReleased"):
            self.tab.ask("Input.dispatchMouseEvent", type=kind, x=x, y=y, button="left", clickCount=1)

    def type(self, selector, words):
        """Clicks into a field, takes out what is there and types, key by key."""
        self.wait("document.readyState === 'complete'", "the page")
        # What comes in meanwhile may move the field away from under the pointer.
        for _ in range(20):
            self.click(selector)
            if self.tab.run(f"document.activeElement === document.querySelector({selector!r})"):
                break
        self.tab.run(f"document.querySelector({selector!r}).select()")
        for letter in words:
            self.tab.ask("Input.dispatchKeyEvent", type="keyDown", text=letter, key=letter)
            self.tab.ask("Input.dispatchKeyEvent", type="keyUp", key=letter)

    def enter(self):
        self.tab.key("Enter", 13)

    def end(self):
        self.served.terminate()
        self.served.wait(timeout=20)
        shutil.rmtree(self.folder)


def same(a, b):
    """Files that differ between two folders."""
    ours = {str(it.relative_to(a)) for it in a.rglob("*") if it.is_file() and ".platewright" not in it.parts}
    theirs = {str(it.relative_to(b)) for it in b.rglob("*") if it.is_file() and ".platewright" not in it.parts}
    yield from (f"only in one: {it}" for it in ours ^ theirs)
    yield from (f"differs: {it}" for it in ours & theirs if not filecmp.cmp(a / it, b / it, shallow=False))


def look(bench, axe, path, shots, wrong):
    """A page at both widths, in light and dark."""
    tab = bench.tab
    for width in WIDTHS:
        for scheme in ("light", "dark"):
            tab.ask("Emulation.setEmulatedMedia", features=[{"name": "prefers-color-scheme", "value": scheme}])
            tab.ask("Emulation.setDeviceMetricsOverride", width=width, height=900, deviceScaleFactor=1, mobile=width < 600)
            bench.open(path)
            time.sleep(0.5)
            wide = tab.run("document.documentElement.scrollWidth - document.documentElement.clientWidth")
            if wide > 0:
                wrong.append(f"{path} at {width}: {wide} px too wide")
            cut = tab.run("[...document.querySelectorAll('.folds')].filter((it) => it.parentElement.scrollWidth > it.parentElement.clientWidth).length")
            if cut:
                wrong.append(f"{path} at {width}: {cut} tables are cut off")
            for event in tab.events:
                told = event.get("params", {})
                if event.get("method") in ("Runtime.exceptionThrown", "Log.entryAdded", "Runtime.consoleAPICalled"):
                    wrong.append(f"{path}: {told}")
                if event.get("method") == "Network.requestWillBeSent":
                    url = told["request"]["url"]
                    if not url.startswith((bench.home, "data:")):
                        wrong.append(f"{path} asked for {url}")
            broken = tab.run("Promise.allSettled([...document.images].map((it) => { it.loading = 'eager'; return it.decode(); }))"
                             ".then((all) => all.flatMap((it, i) => it.status === 'rejected' ? [document.images[i].src] : []))")
            wrong.extend(f"{path} at {width}: the picture {it} cannot be shown" for it in broken)
            # The checker is put in from outside, past the page's own policy.
            wrong.extend(f"{path} at {width}, {scheme}: {it}" for it in accessibility(tab, axe))
            if shots:
                shot = tab.ask("Page.captureScreenshot")["data"]
                name = path.strip("/").replace("/", "-") or "folder"
                (shots / f"{name}-{width}-{scheme}.png").write_bytes(base64.b64decode(shot))
    tab.ask("Emulation.setDeviceMetricsOverride", width=1300, height=900, deviceScaleFactor=1, mobile=False)
    tab.ask("Emulation.setEmulatedMedia", features=[])


def first_evening(bench, wrong):
    """A hub plate: begun by its picture, typed, followed by the picture, printed and cut."""
    tab = bench.tab
    bench.open("/")
    bench.type("form:has([value='hub-adapter']) [name=name]", "front hub")
    bench.enter()
    bench.wait("document.body.dataset.file === 'front hub.toml'", "the page of the new part")
    before = tab.run("document.getElementById('pictures').innerHTML")
    bench.type("[name=outside]", "7-1/4 in")
    bench.wait(f"document.getElementById('pictures').innerHTML !== {before!r} && "
               "document.getElementById('pictures').textContent.includes('184.15 mm')", "the picture to follow the keys")
    if "7-1/4" in (bench.folder / "front hub.toml").read_text():
        wrong.append("what is only being typed is written")
    bench.enter()
    bench.wait("document.querySelector('[name=outside]').dataset.saved === '7-1/4 in'", "the value to be written")
    with tempfile.TemporaryDirectory() as beside:
        by_command = Path(beside) / "front hub.toml"
        bench.command("start", "hub-adapter", "-o", str(by_command))
        text = by_command.read_text().replace('# outside = "170 mm"', 'outside = "7-1/4 in"')
    if text != (bench.folder / "front hub.toml").read_text():
        wrong.append("the file is not what an editor would have made of it")
    # An editor changes the file while a value is typed: the page follows without being loaded again, and what
    # is typed stays, in its field and in the picture.
    bench.type("[name=outside]", "7-3/4 in")
    (bench.folder / "front hub.toml").write_text(text.replace('# register = "54 mm"', 'register = "60.1 mm"'))
    bench.wait("document.querySelector('[name=register]').value === '60.1 mm'", "the change of the editor")
    typed = tab.run("[document.querySelector('[name=outside]').value, document.getElementById('pictures').textContent]")
    if typed[0] != "7-3/4 in" or "196.85 mm" not in typed[1]:
        wrong.append("what an editor changes takes away what is being typed")
    tab.key("Escape", 27)
    bench.wait("document.getElementById('pictures').textContent.includes('184.15 mm')", "the picture of the file again")
    for what, words in (("paper", ("paper",)), ("cut", ("cut", "--seconds", "0"))):
        shutil.rmtree(bench.folder / "out", ignore_errors=True)
        if what == "cut":
            bench.type("#seconds", "0")
        tab.run("document.getElementById('written').innerHTML = ''")
        bench.click(f"[data-do={what}]")
        bench.wait("document.getElementById('written').textContent.includes('Wrote')", f"the files of {what}")
        bench.command(words[0], "front hub.toml", *words[1:], "--out", f"{what}-by-command")
        wrong.extend(f"{what}: {it}" for it in same(bench.folder / "out", bench.folder / f"{what}-by-command"))


def distance(bench, wrong):
    """Two places of the picture, pointed at: the hub plate is 184.15 mm across."""
    tab = bench.tab
    bench.open("/file/front%20hub.toml")
    bench.click(".seen summary")
    bench.type("#between [name=from]", "middle of centre bore")
    bench.type("#between [name=to]", "outside")
    bench.enter()
    bench.wait("document.getElementById('distance').textContent.includes('92.075 mm')", "the distance of named places")
    # The bore's middle is the plate's, and so the middle of its outline in the picture.
    x, y, wide = tab.run(
        "(() => { const svg = document.querySelector('[data-plate] svg'); svg.scrollIntoView({block: 'center'});"
        " const box = svg.querySelector('path[fill]').getBoundingClientRect();"
        " return [box.x + box.width / 2, box.y + box.height / 2, box.width]; })()")
    for at in (x, x + wide / 2 - 0.4):
        for kind in ("mousePressed", "mouseReleased"):
            tab.ask("Input.dispatchMouseEvent", type=kind, x=at, y=y, button="left", clickCount=1)
        time.sleep(1)
    told = tab.run("document.getElementById('distance').textContent")
    if "92.075 mm" not in told:
        wrong.append(f"pointed at the middle and at the edge: {told}")


def second_evening(bench, wrong):
    """Readings to a pattern, the best clocking, the template."""
    tab = bench.tab
    bench.open("/readings")
    bench.type("[data-ask=chord] [name=readings]", "67.2 mm")
    bench.enter()
    bench.wait("document.getElementById('chord').textContent.includes('most likely')", "the pattern")
    said = subprocess.run([bench.program, "measure", "chord", "67.2mm", "--studs", "5"], check=True,
                          capture_output=True, text=True).stdout.splitlines()
    told = tab.run("document.getElementById('chord').textContent")
    wrong.extend(f"readings: the page does not say {it!r}" for it in said if it not in told)
    bench.open("/redrill")
    for name, words in (("new", "5 x 150 mm, M12"), ("outside", "190mm"), ("bore", "60mm"), ("has", "4 x 100 mm, M10")):
        bench.type(f"[name={name}]", words)
    bench.enter()
    bench.wait("document.querySelector('#clocked svg')", "the best angle")
    shutil.rmtree(bench.folder / "out", ignore_errors=True)
    bench.click("[name=write]")
    bench.wait("document.getElementById('written').textContent.includes('Wrote')", "the template")
    bench.command("redrill", "--outside", "190mm", "--bore", "60mm", "--has", "4 x 100 mm, M10",
                  "--new", "5 x 150 mm, M12", "--out", "redrill-by-command")
    wrong.extend(f"redrill: {it}" for it in same(bench.folder / "out", bench.folder / "redrill-by-command"))


def last_evening(bench, wrong):
    """A job: two parts, a sheet, laid out and cut, and ticked off."""
    tab = bench.tab
    bench.open("/")
    bench.type("#begin-job ~ form [name=name]", "trolley")
    bench.enter()
    bench.wait("document.body.dataset.view === 'job'", "the page of the job")
    for like in ("front hub.toml", "steering-arm"):
        tab.run(f"document.querySelector('[name=like]').value = {like!r}")
        count = tab.run("document.querySelectorAll('#lists [data-remove^=part]').length")
        bench.click("[data-ask=add-part] button")
        bench.wait(f"document.querySelectorAll('#lists [data-remove^=part]').length === {count + 1}", "the part")
    bench.type("[name=thickness]", "10 mm")
    bench.type("[data-ask=add-stock] [name=size]", "1220 mm x 2440 mm")
    bench.enter()
    bench.wait("document.querySelector('#lists [data-remove^=stock]')", "the sheet")
    bench.type("#seconds", "3")
    bench.click("[data-do=lay-out]")
    bench.wait("document.querySelector('#sheets svg')", "the sheets as they fill")
    bench.wait("document.querySelector('#sheets dl.totals')", "the sheets")
    shutil.rmtree(bench.folder / "out", ignore_errors=True)
    bench.type("#seconds", "0")
    bench.click("[data-do=cut]")
    bench.wait("document.getElementById('written').textContent.includes('Wrote')", "the files")
    bench.command("cut", "trolley.toml", "--seconds", "0", "--out", "job-by-command")
    wrong.extend(f"job: {it}" for it in same(bench.folder / "out", bench.folder / "job-by-command"))
    bench.open("/table")
    bench.click("[data-tick]")
    time.sleep(1)
    bench.open("/table")
    if not tab.run("document.querySelector('[data-tick]').checked"):
        wrong.append("what was ticked off is forgotten")


def main(program, axe, shots=None):
    axe = Path(axe).read_text()
    shots = Path(shots) if shots else None
    if shots:
        shots.mkdir(parents=True, exist_ok=True)
    wrong = []
    with tempfile.TemporaryDirectory(ignore_cleanup_errors=True) as profile:
        browser, tab = start(profile)
        tab.ask("Emulation.setFocusEmulationEnabled", enabled=True)
        bench = Bench(str(Path(program).resolve()), tab)
        try:
            look(bench, axe, "/", shots, wrong)
            tab.ask("Emulation.setDeviceMetricsOverride", width=1300, height=900, deviceScaleFactor=1, mobile=False)
            first_evening(bench, wrong)
            distance(bench, wrong)
            second_evening(bench, wrong)
            last_evening(bench, wrong)
            for path in ("/", "/file/front%20hub.toml", "/file/trolley.toml", "/file/trolley.toml/part-1", "/table", "/redrill", "/readings"):
                look(bench, axe, path, shots, wrong)
        finally:
            bench.end()
            browser.kill()
    for it in wrong:
        print(it)
    if wrong:
        raise SystemExit(f"{len(wrong)} faults of the page at the bench")
    print("the page at the bench: every view at 1300 and 390 px, files the same as the commands'")


if __name__ == "__main__":
    main(*sys.argv[1:])
