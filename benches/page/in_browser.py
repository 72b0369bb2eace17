"""How soon the page follows the keys, in a real Chromium: from a key to the new picture, and sheets as they fill.

    python benches/page/in_browser.py PLATEWRIGHT [FAMILY ...]

Needs `websocket-client`, `pypdf` and `pillow` (tests/outside/requirements.txt) and Chromium. For each family of the
shelf a length of its part is typed anew, key by key, thirty times; what counts is the time from the key's event to
the frame in which the new picture stands. Then a job is searched for ten seconds: pictures of its sheets in a
second, and the keys again meanwhile, in a second window. Wanted: 50 ms in nineteen cases of twenty, 5 pictures a
second.
"""

import json
import subprocess
import sys
import tempfile
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2] / "tests/outside"))
from page import start  # noqa: E402

KEYS = 30
# Types a value into the first field that takes a length, and waits until the pictures are other ones and drawn.
TYPE = """(async (n) => {
  const field = [...document.querySelectorAll('input[data-saved]')].find((it) => /^[0-9].*(mm|in)$/.test(it.placeholder || it.value) && !/name|quantity/.test(it.name));
  const pictures = document.getElementById('pictures');
  field.focus();
  const usual = parseFloat(field.placeholder || field.dataset.saved);
  const unit = (field.placeholder || field.dataset.saved).replace(/^[-0-9. ]+/, '');
  await new Promise((done) => setTimeout(done, 60));
  const begun = performance.now();
  const drawn = new Promise((done) => new MutationObserver((_, it) => { it.disconnect(); requestAnimationFrame(() => setTimeout(() => done(performance.now() - begun), 0)); }).observe(pictures, { childList: true, subtree: true }));
  field.value = `${(usual * (1 + 0.0005 * (n + 1))).toFixed(4)} ${unit}`;
  field.dispatchEvent(new InputEvent('input', { bubbles: true }));
  return Promise.race([drawn, new Promise((done) => setTimeout(() => done(null), 3000))]);
})"""


def share(times, of):
    ordered = sorted(times)
    return ordered[(len(ordered) - 1) * of // 100]


def main(program, *only):
    program = str(Path(program).resolve())
    with tempfile.TemporaryDirectory(ignore_cleanup_errors=True) as profile, tempfile.TemporaryDirectory() as folder:
        listed = json.loads(subprocess.run([program, "recipes", "--json"], capture_output=True, text=True, check=True).stdout)
        families = [it["name"] for it in (listed["recipes"] if isinstance(listed, dict) else listed)]
        for name in families:
            subprocess.run([program, "start", name, "--out", f"{folder}/{name}.toml"], check=True, capture_output=True)
        parts = "".join(f'\n[[part]]\nrecipe = "{name}"\nquantity = 4\n' for name in ("hub-adapter", "flange", "steering-arm", "spring-perch"))
        (Path(folder) / "job.toml").write_text('[job]\nname = "many"\n' + parts)
        served = subprocess.Popen([program, "page", "--no-open"], cwd=folder, text=True, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL)
        home = served.stdout.readline().split()[0].rstrip("/")
        browser, tab = start(profile)
        tab.ask("Emulation.setFocusEmulationEnabled", enabled=True)
        try:
            everything = []
            print(f"{'key to picture':24}{'median':>10}{'p95':>10}")
            for name in families:
                if only and name not in only:
                    continue
                tab.open(f"{home}/file/{name}.toml")
                times = [tab.run(f"{TYPE}({n})") for n in range(KEYS)]
                missing = times.count(None)
                times = [it for it in times if it is not None]
                everything += times
                told = f"{share(times, 50):7.1f} ms{share(times, 95):7.1f} ms" if times else "no picture"
                print(f"{name:24}{told}{f'  {missing} without' if missing else ''}")
            print(f"{'all':24}{share(everything, 50):7.1f} ms{share(everything, 95):7.1f} ms")
            tab.open(f"{home}/file/job.toml")
            tab.run("window.filled = 0; new MutationObserver(() => window.filled++).observe(document.getElementById('sheets'), { childList: true })")
            tab.run(f"fetch('/work/lay-out', {{ method: 'POST', headers: {{ 'content-type': 'application/json' }}, body: JSON.stringify({{ file: 'job.toml', seconds: 10 }}) }})")
            time.sleep(2)
            before = tab.run("window.filled")
            time.sleep(5)
            print(f"sheets as they fill: {(tab.run('window.filled') - before) / 5:.1f} pictures a second")
            tab.open(f"{home}/file/hub-adapter.toml")
            tab.run(f"fetch('/work/lay-out', {{ method: 'POST', headers: {{ 'content-type': 'application/json' }}, body: JSON.stringify({{ file: 'job.toml', seconds: 12 }}) }})")
            time.sleep(4)
            times = [tab.run(f"{TYPE}({n})") for n in range(KEYS)]
            times = [it for it in times if it is not None]
            print(f"{'keys while it searches':24}{share(times, 50):7.1f} ms{share(times, 95):7.1f} ms")
        finally:
            served.terminate()
            browser.kill()


main(*sys.argv[1:])
