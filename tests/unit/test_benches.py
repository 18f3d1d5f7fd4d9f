"""Every bench runs without being given anything, since that is how ``make bench`` runs it."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

BENCHES = sorted(Path(__file__).parents[1].joinpath("bench").glob("bench_*.py"))


@pytest.mark.parametrize("bench", BENCHES, ids=lambda path: path.stem)
def test_a_bench_asks_for_nothing(bench: Path) -> None:
    done = subprocess.run([sys.executable, bench, "--help"], capture_output=True, text=True, timeout=120, check=False)
    assert done.returncode == 0, done.stderr
    usage = " ".join(done.stdout.split("\n\n", 1)[0].split()).partition(".py")[2]
    while "[" in usage:  # what stands in brackets may be left out, also within one another
        inner = usage.rindex("[")
        usage = usage[:inner] + usage[usage.index("]", inner) + 1 :]
    assert usage.split() == []


def test_there_are_benches() -> None:
    assert BENCHES
