"""The records that a bench measures: the folder it was given, or some made up for this run alone."""

from __future__ import annotations

import argparse
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from tests.bench.worlds import make_world


@contextmanager
def folder_asked(description: str | None) -> Iterator[tuple[Path, int]]:
    """The folder and the number of runs that the command line names; without a folder, 1,000 parts are made up."""
    parser = argparse.ArgumentParser(description=description)
    parser.add_argument("folder", type=Path, nargs="?", help="a records folder; without it, one is made up")
    parser.add_argument("--parts", type=int, default=1000, help="candidate parts where the records are made up")
    parser.add_argument("--runs", type=int, default=3)
    asked = parser.parse_args()
    if asked.folder:
        yield asked.folder, asked.runs
        return
    with tempfile.TemporaryDirectory(prefix="knockon-bench-") as scratch:
        print(f"records of {asked.parts:,} parts, made up for this run\n")
        yield make_world(Path(scratch, "records"), asked.parts, seed=1), asked.runs
