"""Opens a report page in a real Chromium and holds it to what a builder needs of it.

    python page.py OUT_DIR AXE_MIN_JS

In light and in dark: no message on the console, no request to anywhere but the page itself, no
serious or critical finding of axe-core, pictures on white whatever the page has. Printed on A4 and on
Letter: every page has the size of the paper, nothing is cut off at the side, a plate takes
less than a page, and no line is thinner than a printer shows. Every list sorts from the keyboard.
"""

import base64
import io
import json
import shutil
import subprocess
import sys
import tempfile
import time
import urllib.request
from pathlib import Path

import pypdf
import websocket
from PIL import Image

PAPERS = {"A4": (210.0, 297.0), "Letter": (215.9, 279.4)}  # ISO 216; ANSI/ASME Y14.1
MM = 25.4  # of an inch
POINT = 72.0  # of an inch
MARGIN = 12.0  # mm, as the page asks for
CSS_PIXEL = 96.0  # of an inch
THINNEST = 0.18  # mm, the thin line of an ISO 128-2 group (from memory)
LISTS = 6  # pages of lists, beside those for a sheet and some for a plate
SHEET = 2  # pages: its picture, and what comes free and is drilled
PLATE = 1.6  # pages: its sketch, openings and dimensions, and its calculation sheet
ON_SCREEN = 3.0  # WCAG 2.2, 1.4.11: lines against their ground


# What a browser says of a page that went while it was asked.
GONE = ("Inspected target navigated or closed", "Execution context was destroyed.")


class Gone(SystemExit):
    """The page that was asked is not there any more."""


class Tab:
    """A tab of the browser, driven over its own protocol."""

    def __init__(self, address):
        self.socket = websocket.create_connection(address, timeout=120, suppress_origin=True)
        self.count = 0
        self.events = []

    def ask(self, method, **parameters):
        self.count += 1
        self.socket.send(json.dumps({"id": self.count, "method": method, "params": parameters}))
        while True:
            answer = json.loads(self.socket.recv())
            if answer.get("id") == self.count:
                if "error" in answer:
                    told = answer["error"]
                    raise (Gone if told.get("message") in GONE else SystemExit)(f"{method}: {told}")
                return answer["result"]
            self.events.append(answer)

    def run(self, script):
        answer = self.ask("Runtime.evaluate", expression=script, awaitPromise=True, returnByValue=True)
        if "exceptionDetails" in answer:
            raise SystemExit(f"the page threw: {answer['exceptionDetails']}")
        return answer["result"].get("value")

    def seen(self, script):
        """The same, or nothing of a page that another takes the place of just then."""
        try:
            return self.run(script)
        except Gone:
            return None

    def open(self, address):
        self.events.clear()
        self.ask("Page.navigate", url=address)
        for _ in range(300):
            if self.seen("document.readyState") == "complete":
                time.sleep(0.3)  # what the page would fetch late
                self.run("1")
                return
            time.sleep(0.1)
        raise SystemExit("the page does not finish loading")

    def key(self, name, code):
        for kind in ("keyDown", "keyUp"):
            text = {"text": "\r"} if kind == "keyDown" and name == "Enter" else {}
            self.ask("Input.dispatchKeyEvent", type=kind, key=name, code=name,
                     windowsVirtualKeyCode=code, **text)


def start(folder):
    """A browser without a window, and a tab of it."""
    program = shutil.which("chromium") or shutil.which("chromium-browser")
    if not program:
        raise SystemExit("chromium is not installed")
    browser = subprocess.Popen(
        [program, "--headless=new", "--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage",
         "--no-first-run", "--remote-debugging-port=0", f"--user-data-dir={folder}", "about:blank"],
        stderr=subprocess.DEVNULL, stdout=subprocess.DEVNULL)
    told = Path(folder) / "DevToolsActivePort"
    for _ in range(300):
        if told.exists() and told.read_text().count("\n") >= 1:
            break
        time.sleep(0.1)
    else:
        browser.kill()
        raise SystemExit("chromium does not start")
    port = told.read_text().splitlines()[0]
    with urllib.request.urlopen(f"http://127.0.0.1:{port}/json") as answer:
        pages = [it for it in json.load(answer) if it["type"] == "page"]
    tab = Tab(pages[0]["webSocketDebuggerUrl"])
    for domain in ("Page", "Runtime", "Network", "Log"):
        tab.ask(f"{domain}.enable")
    return browser, tab


def strays(tab, page):
    """Messages on the console, and requests that are not for the page itself."""
    for event in tab.events:
        method, told = event.get("method"), event.get("params", {})
        if method == "Runtime.consoleAPICalled":
            yield f"console: {told['type']} {told['args']}"
        elif method == "Runtime.exceptionThrown":
            yield f"threw: {told['exceptionDetails']}"
        elif method == "Log.entryAdded":
            yield f"log: {told['entry']['text']}"
        elif method == "Network.requestWillBeSent":
            wanted = told["request"]["url"]
            if wanted != page and not wanted.startswith("data:"):
                yield f"asked for {wanted}"


def accessibility(tab, axe):
    """Serious and critical findings of axe-core."""
    tab.run(axe + "; 0")
    found = tab.run("axe.run(document).then((it) => it.violations.map((v) => "
                    "[v.impact, v.id, v.nodes.length, v.nodes[0].html.slice(0, 200)]))")
    for impact, name, count, first in found:
        if impact in ("serious", "critical"):
            yield f"axe, {impact}: {name}, {count} times, first {first}"
        else:
            print(f"  axe, {impact}: {name}, {count} times")


def luminance(pixel):
    """Relative luminance (WCAG 2.2; IEC 61966-2-1 transfer) of red, green, blue from 0 to 255."""
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in (it / 255 for it in pixel)]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def pictures(tab):
    """Pictures stand on white whatever the page is, and their lines stand out, as pixels on screen."""
    count = tab.run("document.querySelectorAll('figure svg').length")
    for index in range(count):
        box = tab.run(f"(() => {{ const it = document.querySelectorAll('figure svg')[{index}].getBoundingClientRect();"
                      " return [it.x + scrollX, it.y + scrollY, it.width, it.height]; })()")
        clip = {"x": box[0] + 2, "y": box[1] + 2, "width": box[2] - 4, "height": box[3] - 4, "scale": 1}
        shot = tab.ask("Page.captureScreenshot", clip=clip, captureBeyondViewport=True)["data"]
        image = Image.open(io.BytesIO(base64.b64decode(shot))).convert("RGB")
        counts = sorted(image.getcolors(1 << 24), reverse=True)
        ground = luminance(counts[0][1])
        dark = sum(n for n, colour in counts if (ground + 0.05) / (luminance(colour) + 0.05) >= ON_SCREEN)
        if ground < 0.75:
            yield f"picture {index} stands on {counts[0][1]}"
        if dark < 0.003 * image.width * image.height:
            yield f"picture {index} has only {dark} pixels of lines that stand out"


def thin(tab):
    """Lines that would be printed too thin, by the size that each picture has on the page."""
    return tab.run("[...document.querySelectorAll('figure svg')].flatMap((svg) => {"
                   " const scale = svg.getBoundingClientRect().width / svg.viewBox.baseVal.width;"
                   " return [svg, ...svg.querySelectorAll('[stroke-width]')].map((it) =>"
                   f" it.getAttribute('stroke-width') * scale / {CSS_PIXEL} * {MM}); }})"
                   f".filter((mm) => mm < {THINNEST} * 0.97).slice(0, 3)")


def overhang(tab, width):
    """Elements of the printed page that reach past a width in CSS pixels."""
    return tab.run("[...document.querySelectorAll('main *, header *')]"
                   f".filter((it) => it.getBoundingClientRect().right > {width} + 1)"
                   ".slice(0, 3).map((it) => it.outerHTML.slice(0, 120))")


def printed(tab, paper, size):
    """What is wrong with the page on a paper."""
    width, height = size
    tab.ask("Emulation.setEmulatedMedia", media="print")
    inner = (width - 2 * MARGIN) / MM * CSS_PIXEL
    tab.ask("Emulation.setDeviceMetricsOverride", width=int(inner), height=1000,
            deviceScaleFactor=1, mobile=False)
    for element in overhang(tab, inner):
        yield f"{paper}: reaches past the margin: {element}"
    for mm in thin(tab):
        yield f"{paper}: a line is {mm:.3f} mm thick"
    sheets, plates = (tab.run(f"document.querySelectorAll('article.{it}').length") for it in ("sheet", "plate"))
    answer = tab.ask("Page.printToPDF", paperWidth=width / MM, paperHeight=height / MM,
                     printBackground=True, preferCSSPageSize=False)
    tab.ask("Emulation.clearDeviceMetricsOverride")
    tab.ask("Emulation.setEmulatedMedia", media="")
    with tempfile.TemporaryFile() as file:
        file.write(base64.b64decode(answer["data"]))
        pages = pypdf.PdfReader(file).pages
        print(f"  {paper}: {len(pages)} pages for {sheets} sheets and {plates} plates")
        if len(pages) > SHEET * sheets + PLATE * plates + LISTS:
            yield f"{paper}: {len(pages)} pages for {sheets} sheets and {plates} plates"
        for number, page in enumerate(pages, 1):
            box = [float(it) / POINT * MM for it in page.mediabox[2:]]
            if abs(box[0] - width) > 0.5 or abs(box[1] - height) > 0.5:
                yield f"{paper}, page {number}: {box[0]:.1f} x {box[1]:.1f} mm"
        text = "".join("".join(page.extract_text() for page in pages).split())
    # The last column of every list must be on the paper: the words in the last cells of all rows.
    last = tab.run("[...document.querySelectorAll('tbody tr')].map((it) => it.lastElementChild.innerText)")
    lost = {cell for cell in last if "".join(cell.split()) not in text}
    # Words that a page break or a line break within a word pulls apart are read in another order.
    if len(lost) > 0.02 * len(last):
        yield f"{paper}: {len(lost)} of {len(last)} last cells are not on the paper, such as {sorted(lost)[:3]}"


def sorts(tab):
    """Every list is sorted by the head of a column, with the keyboard; the first is looked at closely."""
    column = "[...document.querySelector('table.sortable').tBodies[0].rows].map((it) => it.cells[0].innerText)"
    tab.run("document.querySelector('table.sortable th button').focus()")
    tab.key("Enter", 13)
    up = tab.run(column)
    tab.key("Enter", 13)
    down = tab.run(column)
    told = tab.run("document.querySelector('table.sortable th').getAttribute('aria-sort')")
    if len(up) < 2 or up != sorted(up) or down != up[::-1] or told != "descending":
        yield f"the list does not sort: {up[:3]}, {down[:3]}, {told}"
    for index in range(tab.run("document.querySelectorAll('table.sortable').length")):
        head = f"document.querySelectorAll('table.sortable')[{index}].tHead.rows[0].lastElementChild"
        tab.run(f"{head}.querySelector('button').focus()")
        tab.key("Enter", 13)
        if tab.run(f"{head}.getAttribute('aria-sort')") != "ascending":
            yield f"list {index} does not sort from the keyboard"


WRONG = """<!DOCTYPE html><html lang="en"><head><meta charset="utf-8"><title>wrong</title></head><body>
<main><h1>wrong</h1><p style="color:#bbb;background:#fff">too faint</p>
<img src="http://127.0.0.1:9/nothing.png" alt=""><div style="width:2000px">wide</div>
<table class="sortable"><thead><tr><th><button>a</button></th></tr></thead>
<tbody><tr><td>2</td></tr><tr><td>1</td></tr></tbody></table>
<figure><svg viewBox="0 0 500 500" width="500" height="500"><rect width="500" height="500" fill="#333"/>
<path d="M0 0L500 500" stroke="#222" stroke-width="0.3"/></svg></figure></main>
<script>console.error("wrong")</script></body></html>"""


def prove(tab, axe, folder):
    """Each check must find the fault that a wrong page has for it."""
    page = Path(folder) / "wrong.html"
    page.write_text(WRONG)
    tab.open(page.as_uri())
    found = {
        "console": [it for it in strays(tab, page.as_uri()) if it.startswith("console")],
        "requests": [it for it in strays(tab, page.as_uri()) if it.startswith("asked")],
        "accessibility": list(accessibility(tab, axe)),
        "sorting": list(sorts(tab)),
        "paper": list(printed(tab, "A4", PAPERS["A4"])),
        "pictures": list(pictures(tab)),
        "thin lines": thin(tab),
    }
    return [f"the check of {name} misses a wrong page" for name, faults in found.items() if not faults]


def main():
    if len(sys.argv) != 3:
        raise SystemExit(__doc__)
    page = (Path(sys.argv[1]) / "report.html").resolve().as_uri()
    axe = Path(sys.argv[2]).read_text()
    faults = []
    with tempfile.TemporaryDirectory(ignore_cleanup_errors=True) as folder:
        browser, tab = start(folder)
        try:
            faults += prove(tab, axe, folder)
            for scheme in ("light", "dark"):
                tab.ask("Emulation.setEmulatedMedia",
                        features=[{"name": "prefers-color-scheme", "value": scheme}])
                tab.open(page)
                dark = tab.run("matchMedia('(prefers-color-scheme: dark)').matches")
                if dark != (scheme == "dark"):
                    faults.append(f"the browser does not show the page {scheme}")
                faults += [f"{scheme}: {it}" for it in strays(tab, page)]
                faults += [f"{scheme}: {it}" for it in accessibility(tab, axe)]
                faults += [f"{scheme}: {it}" for it in pictures(tab)]
            tab.open(page)
            faults += sorts(tab)
            for paper, size in PAPERS.items():
                faults += printed(tab, paper, size)
        finally:
            browser.terminate()
            browser.wait()
    print(f"report page looked at in light, in dark and on paper, {len(faults)} faults")
    for fault in faults:
        print("FAILED", fault)
    if faults:
        raise SystemExit(1)


if __name__ == "__main__":
    main()
