"""Fifty readers and a writer on the page: ``python tests/bench/bench_page.py [MINUTES]``.

Each reader opens a room of the demo world's copy every two seconds or so; the writer writes a reading and withdraws it
every half minute, so that every kept answer is out of date then. It prints how many answers came, how long they took
(those that were kept, and those that had to be found), how many went wrong, and how much memory the page's processes
take from minute to minute.
"""

from __future__ import annotations

import argparse
import random
import re
import shutil
import statistics
import subprocess
import sys
import tempfile
import threading
import time
from pathlib import Path

import httpx

from knockon.graph.files.shipped import shipped

READERS = 50
SWAP = "want=rotor%3DLARCH-201"
ROOMS = (
    "/", f"/swap/tansy-m080?{SWAP}", f"/swap/tansy-m080/measure?{SWAP}", "/vehicle/tansy-m080", "/part/LARCH-201",
    "/fits?parts=ROWAN-301%0AROWAN-241", "/notes", "/disputes", "/search?words=hub", "/list/parts", "/look",
)  # fmt: skip
MEASURE = f"/swap/tansy-m080/measure?{SWAP}"


class Seen:
    """What the readers saw."""

    def __init__(self) -> None:
        self.seconds: list[float] = []
        self.waited: list[float] = []
        self.wrong: list[str] = []
        self.written = 0
        self.lock = threading.Lock()


def read(base: str, seen: Seen, until: float, seed: int) -> None:
    chance = random.Random(seed)
    with httpx.Client(base_url=base, timeout=120) as client:
        while time.monotonic() < until:
            room, began, asked = chance.choice(ROOMS), time.monotonic(), 0
            try:
                while (answer := client.get(room)).status_code == 202:
                    asked += 1
                    time.sleep(1)
                with seen.lock:
                    if answer.status_code != 200:
                        seen.wrong.append(f"{room}: {answer.status_code}")
                    (seen.waited if asked else seen.seconds).append(time.monotonic() - began)
            except httpx.HTTPError as error:
                with seen.lock:
                    seen.wrong.append(f"{room}: {error!r}")
            time.sleep(chance.uniform(1, 3))


def write(base: str, seen: Seen, until: float) -> None:
    with httpx.Client(base_url=base, timeout=120) as client:
        number = 0
        while time.monotonic() < until:
            while (room := client.get(MEASURE)).status_code == 202:
                time.sleep(1)
            token = re.search(r'name="token" value="(\w+)"', room.text)
            do = ("measured", "withdraw-reading")[number % 2]
            fields = {"token": token[1] if token else "", "do": do, "form": do, "what": "rear drum, drum: diameter",
                      "by": "m080", "value": "177.8 mm"}  # fmt: skip
            answer = client.post(MEASURE, data=fields, headers={"origin": base})
            with seen.lock:
                seen.written += 1
                if answer.status_code != 303:
                    seen.wrong.append(f"{do}: {answer.status_code}")
            number += 1
            time.sleep(30)


def megabytes(page: int) -> float:
    """Memory of the page and of its processes (RSS)."""
    listed = subprocess.run(["ps", "-e", "-o", "pid=,ppid=,rss="], capture_output=True, text=True, check=True).stdout
    rows = [tuple(map(int, line.split())) for line in listed.splitlines()]
    return sum(rss for pid, parent, rss in rows if page in (pid, parent)) / 1024


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("minutes", type=float, nargs="?", default=1.0, help="how long they read and write")
    minutes = parser.parse_args().minutes
    with tempfile.TemporaryDirectory() as folder:
        records = Path(folder) / "records"
        shutil.copytree(shipped("data_demo"), records)
        words = [sys.executable, "-m", "knockon", "--records", str(records), "page", "--port", "0"]
        page = subprocess.Popen(words, stderr=subprocess.PIPE, text=True)
        assert page.stderr is not None
        found = re.search(r"http://\S+[^/\s]", page.stderr.readline())
        assert found
        seen, until = Seen(), time.monotonic() + minutes * 60
        threads = [threading.Thread(target=read, args=(found[0], seen, until, seed)) for seed in range(READERS)]
        threads.append(threading.Thread(target=write, args=(found[0], seen, until)))
        for thread in threads:
            thread.start()
        memory = []
        while time.monotonic() < until:
            time.sleep(min(60.0, max(1.0, until - time.monotonic())))
            memory.append(megabytes(page.pid))
        for thread in threads:
            thread.join()
        page.terminate()
        page.wait(20)
    parts = statistics.quantiles(seen.seconds, n=100)
    print(f"{minutes:g} minutes, {READERS} readers, 1 writer")
    print(f"answers at once: {len(seen.seconds)}, median {parts[49]:.3f} s, 95 of 100 within {parts[94]:.3f} s")
    print(f"answers after a page that says what is being done: {len(seen.waited)}")
    print(f"written: {seen.written}, went wrong: {len(seen.wrong)} {sorted(set(seen.wrong))[:5]}")
    print(f"memory minute by minute, MB: {' '.join(f'{m:.0f}' for m in memory)}")


if __name__ == "__main__":
    main()
