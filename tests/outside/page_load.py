"""Many at once, and the end at any moment: the page at the bench under load and under kills.

    python page_load.py PLATEWRIGHT [SECONDS]

Two hundred clients, each on a connection of its own, turn dimensions, open pages and fetch pictures for so many
seconds (20 unless given), while a layout is searched: every answer is whole and well, and the program takes no more
memory at the end than after its first third, give or take a tenth. Then the program is killed sixty times at random
moments while values are written and sheets are cut: every file of the folder is one of the texts that were
written, and the next run puts the rest right.
"""

import http.client
import json
import random
import signal
import subprocess
import sys
import tempfile
import threading
import time
from pathlib import Path

CLIENTS = 200
KILLS = 60
PART = '# as measured\nrecipe = "flange"\noutside = "{} mm"\nbolt_circle = "95 mm"\n'
JOB = '[job]\nname = "many"\n\n[[part]]\nrecipe = "hub-adapter"\nquantity = 6\n\n[[part]]\nrecipe = "flange"\nquantity = 12\n'


class Served:
    def __init__(self, program, folder):
        self.child = subprocess.Popen([program, "page", "--no-open"], cwd=folder, text=True,
                                      stdout=subprocess.PIPE, stderr=subprocess.DEVNULL)
        self.port = int(self.child.stdout.readline().split("127.0.0.1:")[1].split("/")[0])

    def client(self):
        return http.client.HTTPConnection("127.0.0.1", self.port, timeout=120)

    def headers(self):
        return {"Content-Type": "application/json", "Origin": f"http://127.0.0.1:{self.port}"}

    def post(self, client, path, what):
        client.request("POST", path, json.dumps(what), self.headers())
        reply = client.getresponse()
        return reply.status, json.loads(reply.read())

    def memory(self):
        """What it holds, MB."""
        for line in Path(f"/proc/{self.child.pid}/status").read_text().splitlines():
            if line.startswith("VmRSS"):
                return int(line.split()[1]) / 1024
        raise SystemExit("it ended")

    def end(self, how=signal.SIGTERM):
        self.child.send_signal(how)
        self.child.wait(timeout=30)


def busy(served, seed, until, told, wrong):
    """One client: what a window asks, again and again."""
    dice = random.Random(seed)
    client = served.client()
    while time.monotonic() < until:
        try:
            ask = dice.randrange(5)
            if ask < 3:
                value = f"{dice.randrange(130, 260)} mm"
                patch = {"block": "whole", "key": "outside", "text": value, "was": "", "checksum": ""}
                status, answer = served.post(client, "/try", {"ask": "try", "file": "part.toml", "block": "whole",
                                                              "patch": patch, "focus": "outside"})
                if status != 200 or "<svg" not in answer["parts"].get("pictures", ""):
                    wrong.append(f"a picture of {value}: {status}, {str(answer)[:300]}")
            else:
                path = ("/", "/file/part.toml", "/picture/part.toml", "/file/job.toml", "/readings")[dice.randrange(5)]
                client.request("GET", path)
                reply = client.getresponse()
                body = reply.read()
                if reply.status != 200 or not (b"</html>" in body or b"</svg>" in body):
                    wrong.append(f"{path}: {reply.status}")
            told[seed] += 1
        except (OSError, http.client.HTTPException) as error:
            wrong.append(f"client {seed}: {error!r}")
            return
    client.close()


def many(program, seconds):
    wrong = []
    with tempfile.TemporaryDirectory() as folder:
        (Path(folder) / "part.toml").write_text(PART.format(180))
        (Path(folder) / "job.toml").write_text(JOB)
        served = Served(program, folder)
        served.post(served.client(), "/work/lay-out", {"file": "job.toml", "seconds": seconds})
        told = [0] * CLIENTS
        until = time.monotonic() + seconds
        clients = [threading.Thread(target=busy, args=(served, seed, until, told, wrong)) for seed in range(CLIENTS)]
        for it in clients:
            it.start()
        time.sleep(seconds / 3)
        first = served.memory()
        most = first
        while time.monotonic() < until:
            time.sleep(0.5)
            most = max(most, served.memory())
        for it in clients:
            it.join()
        print(f"{CLIENTS} clients, {seconds} s: {sum(told)} answers, {len(wrong)} wrong, the slowest client had "
              f"{min(told)}; {first:.0f} MB after a third, {most:.0f} MB at most")
        if most > 1.1 * first + 20:
            wrong.append(f"memory grew from {first:.0f} to {most:.0f} MB")
        if min(told) == 0:
            wrong.append("a client had no answer")
        served.end()
    return wrong


def kills(program):
    """Killed while values are written and sheets are cut."""
    dice = random.Random(7)
    wrong = []
    with tempfile.TemporaryDirectory() as folder:
        part = Path(folder) / "part.toml"
        part.write_text(PART.format(150))
        possible = {PART.format(it) for it in range(130, 261)}
        for kill in range(KILLS):
            served = Served(program, folder)

            def writes():
                client = served.client()
                try:
                    for _ in range(1000):
                        patch = {"block": "whole", "key": "outside", "text": f"{dice.randrange(130, 260)} mm",
                                 "was": "", "checksum": ""}
                        # As one who has just seen what stands there.
                        now = part.read_text()
                        patch["was"] = now.split('outside = "')[1].split('"')[0]
                        served.post(client, "/edit", {"file": "part.toml", "page": "whole", "patch": patch})
                        served.post(client, "/work/cut", {"file": "part.toml", "seconds": 0})
                except (OSError, http.client.HTTPException, ValueError):
                    pass

            at_work = threading.Thread(target=writes)
            at_work.start()
            time.sleep(dice.uniform(0.02, 0.5))
            served.end(signal.SIGKILL)
            at_work.join()
            if part.read_text() not in possible:
                wrong.append(f"kill {kill}: part.toml is none of the texts:\n{part.read_text()}")
            # The next cut puts right what the killed one left.
            done = subprocess.run([program, "cut", "part.toml", "--seconds", "0"], cwd=folder, capture_output=True, text=True)
            if done.returncode:
                wrong.append(f"kill {kill}: {done.stderr}")
                break
            report = json.loads((Path(folder) / "out/report.json").read_text())
            # Remnants stay: another job may be cut from them.
            listed = {it["path"] for it in report["files"] if not it["path"].startswith("remnants/")} | {"report.json"}
            out = Path(folder) / "out"
            there = {str(it.relative_to(out)) for it in out.rglob("*") if it.is_file() and not {".platewright", "remnants"} & set(it.parts)}
            if there != listed:
                wrong.append(f"kill {kill}: {sorted(there ^ listed)}")
        # The page, opened again, removes what was half written when it was killed.
        (Path(folder) / ".part.toml.platewright").write_text("half")
        Served(program, folder).end()
        stray = [it.name for it in Path(folder).iterdir() if it.name not in ("part.toml", "out", "at-the-table.json")]
        if stray:
            wrong.append(f"left in the folder: {stray}")
    print(f"{KILLS} kills: {len(wrong)} wrong")
    return wrong


def main():
    program = str(Path(sys.argv[1]).resolve())
    wrong = many(program, float(sys.argv[2]) if len(sys.argv) > 2 else 20.0) + kills(program)
    for it in wrong[:20]:
        print("WRONG:", it)
    sys.exit(bool(wrong))


main()
