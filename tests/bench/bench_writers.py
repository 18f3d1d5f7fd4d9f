"""Eight writers of twenty notes each at one records folder: ``python tests/bench/bench_writers.py [WRITERS] [NOTES]``.

Prints whether all notes are there, and how long a writer waited for another one: the longest, the median, the sum.
"""

from __future__ import annotations

import argparse
import json
import os
import shutil
import statistics
import sys
import tempfile
import time
import traceback
from functools import partial
from pathlib import Path
from typing import Any

import filelock

from knockon.graph.notes.write import Draft, add_note
from knockon.graph.records import load_records

DEMO = Path(__file__).parents[2] / "data_demo"


def write_notes(folder: Path, writer: int, notes: int, told: Path) -> None:
    """Write notes one after another, each from records read anew; tell the seconds waited for the lock."""
    waited: list[float] = []
    acquire = filelock.BaseFileLock.acquire

    def timed(self: Any, *arguments: Any, **options: Any) -> Any:
        began = time.monotonic()
        try:
            return acquire(self, *arguments, **options)
        finally:
            waited.append(time.monotonic() - began)

    filelock.BaseFileLock.acquire = timed  # type: ignore[method-assign]
    for number in range(notes):
        draft = Draft(f"w{writer}", f"note {number} of writer {writer}", ("ALDER-201L",), outcome="worked")
        add_note(folder, draft, partial(load_records, folder))
    told.write_text(json.dumps(waited), encoding="utf-8")


def main(writers: int, notes: int) -> int:
    """Run the writers; 0 if every note is there."""
    os.environ["KNOCKON_CACHE"] = "off"
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place, "records")
        shutil.copytree(DEMO, folder, ignore=shutil.ignore_patterns("*.py", "__pycache__"))
        before, began, children = len(load_records(folder).notes), time.monotonic(), {}
        for writer in range(writers):
            told = Path(place, f"{writer}.json")
            child = os.fork()
            if child == 0:
                status = 1
                try:
                    write_notes(folder, writer, notes, told)
                    status = 0
                except BaseException:
                    traceback.print_exc()
                finally:  # never out of here: the folder is the first process's to clear away
                    os._exit(status)
            children[child] = told
        refused = sum(os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) != 0 for child in children)
        took = time.monotonic() - began
        waited = [s for told in children.values() if told.exists() for s in json.loads(told.read_text("utf-8"))]
        there = len(load_records(folder).notes) - before
    print(f"{writers} writers, {notes} notes each: {there} of {writers * notes} are there, {refused} writers refused")
    print(
        f"waited for the lock: longest {max(waited):.3f} s, median {statistics.median(waited):.4f} s,"
        f" together {sum(waited):.2f} s of {took:.1f} s"
    )
    return 0 if there == writers * notes and not refused else 1


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("writers", type=int, nargs="?", default=8)
    parser.add_argument("notes", type=int, nargs="?", default=20)
    asked = parser.parse_args()
    sys.exit(main(asked.writers, asked.notes))
