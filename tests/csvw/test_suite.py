"""The W3C suite's own files, and the account of all its tests."""

import hashlib
from pathlib import Path

import pytest

from tests.csvw.suite import NOT_USED, USED, W3C, Used, entries, expanded, outcome_of, page


@pytest.mark.parametrize("test", USED, ids=[t.number for t in USED])
def test_a_test_of_the_suite(test: Used) -> None:
    assert outcome_of(test)[0] == test.expected


def test_every_test_is_accounted_for_once() -> None:
    counted = [t.number for t in USED] + [n for numbers in NOT_USED.values() for n in expanded(numbers)]
    assert sorted(counted) == entries()
    assert len(entries()) == 282


def test_every_file_is_the_suites_own() -> None:
    """By the checksums that are published of it: see LICENSE.md beside the files."""
    lines = (W3C / "MD5SUMS").read_text(encoding="utf-8").splitlines()
    sums = {name: checksum for checksum, name in map(str.split, lines)}
    files = {p for p in W3C.rglob("*") if p.suffix in (".json", ".csv")}
    assert {p.relative_to(W3C).as_posix() for p in files} == set(sums)
    for path in files:
        found = hashlib.md5(path.read_bytes(), usedforsecurity=False).hexdigest()
        assert found == sums[path.relative_to(W3C).as_posix()], path


def test_every_file_is_run() -> None:
    run = {t.path for t in USED}
    passed_over = {W3C / f"test{n}" / "csv-metadata.json" for n in ("015", "017", "018")}
    assert set(W3C.rglob("*.json")) == run | passed_over | {W3C / "test018" / "tree-ops.csv-metadata.json"}


def test_the_page_is_fresh() -> None:
    written = Path(__file__).with_name("README.md").read_text(encoding="utf-8")
    assert written == "\n".join(page()) + "\n", "run: python -m tests.csvw.suite > tests/csvw/README.md"
