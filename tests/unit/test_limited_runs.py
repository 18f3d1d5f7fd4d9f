"""Benchmarks tell every command: how long it took, that it did not end, that it wanted too much, that it failed."""

from __future__ import annotations

import json
import math
import os
from pathlib import Path

import pytest

from tests.bench.bench_scale import Cell, growth
from tests.bench.limited import Limits, median_of, run
from tests.bench.tables import cells_of, table

LIMITS = Limits(1, 2.0, 1)


@pytest.mark.parametrize(
    ("program", "why"),
    [
        ("while True: pass", "time"),
        ("import time\nwhile True: time.sleep(0); sum(range(10**5))", "time"),
        ("bytearray(10**10)", "memory"),
        ("raise SystemExit('no such thing')", None),
        ("1/0", "failed"),
    ],
)
def test_what_did_not_end_has_no_time_and_says_why(program: str, why: str | None) -> None:
    cost = run(["-c", program], LIMITS, os.environ)
    assert math.isinf(cost.seconds) == (why is not None)
    assert str(cost.told.get("why", "")).startswith(why or "")
    assert bool(cost.told.get("why")) == (why is not None)


def test_what_a_process_prints_of_itself_is_told() -> None:
    cost = run(["-c", "print('so far')\nprint('{\"seconds\": 0.25}')"], LIMITS, os.environ)
    assert cost.told == {"seconds": 0.25}
    assert not math.isinf(cost.seconds), "it ended"
    assert cost.megabytes > 1


def test_an_answer_that_left_something_undecided_says_so() -> None:
    texts = [json.dumps({"result": {"not_decided": left}}, indent=1) for left in ([], [{"what": "plan"}])]
    told = [run(["-c", f"print({text!r})"], LIMITS, os.environ).told for text in texts]
    assert told == [{}, {"why": "not all decided in its own time"}]


def test_the_first_run_is_not_counted_and_a_long_one_is_run_once(tmp_path: Path) -> None:
    count = tmp_path / "count"
    program = f"open({str(count)!r}, 'a').write('.')"
    median_of(lambda: run(["-c", program], LIMITS, os.environ), LIMITS._replace(runs=3))
    assert count.read_text(encoding="utf-8") == "...."


def test_growth_is_the_exponent_between_two_sizes() -> None:
    small = Cell("zipf", 100, "load", "inside", 1.0, 0, None, "")
    assert growth(small, small._replace(parts=1000, seconds=100.0)) == pytest.approx(2)
    assert growth(small, small._replace(parts=1000, seconds=None)) is None


def test_tables_tell_both_worlds_what_did_not_end_and_what_is_missed() -> None:
    made = {
        "import rdflib": 0.1,
        "limits": {"seconds": 10, "gigabytes": 8.0},
        "cells": [
            Cell("zipf", 1000, "fits", "command", 0.2, 0, None, "")._asdict(),
            Cell("distinct", 1000, "fits", "command", 2.2, 0, None, "")._asdict(),
            Cell("zipf", 1000, "swap", "command", None, 0, None, "time")._asdict(),
            Cell("zipf", 300, "swap", "command", 0.3, 0, None, "not all decided")._asdict(),
        ],
    }
    assert table("command", cells_of([made]), ["command"]).splitlines()[2:] == [
        "| fits |  | 2.00 / 22; aim 11: missed, 2.02 times it |  |",
        "| swap | 3.00 (not all decided) | more than 100; aim 15: missed |  |",
    ]
