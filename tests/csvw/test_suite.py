"""The W3C suite's own files, and the account of all its tests."""

from pathlib import Path

import pytest

from tests.csvw.suite import NOT_USED, USED, W3C, Used, entries, expanded, outcome_of, page

HAD = [t for t in USED if t.commit]


@pytest.mark.parametrize("test", HAD, ids=[t.number for t in HAD])
def test_a_test_of_the_suite(test: Used) -> None:
    assert outcome_of(test) == test.expected


def test_every_test_is_accounted_for_once() -> None:
    counted = [t.number for t in USED] + [n for numbers in NOT_USED.values() for n in expanded(numbers)]
    assert sorted(counted) == entries()
    assert len(entries()) == 282


def test_every_file_is_run() -> None:
    files = {p.name for p in W3C.glob("*.json")}
    assert files == {t.file or f"test{t.number}-metadata.json" for t in HAD}


def test_the_page_is_fresh() -> None:
    written = (Path(__file__).parents[2] / "docs" / "csvw.md").read_text(encoding="utf-8")
    assert written == "\n".join(page()) + "\n", "run: python -m tests.csvw.suite > docs/csvw.md"
