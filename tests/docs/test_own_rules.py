"""docs/own-rules.md: the page quotes the whole example file, explains every line of it, and its verdicts are real."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from knockon.graph.records import load
from knockon.graph.judge.verdicts import Verdict
from knockon.queries.intake.check import check_records
from knockon.queries.fits.fits import judge_parts

DOCS = Path(__file__).parents[2] / "docs"
EXAMPLE = DOCS / "own-rules"
PAGE = (DOCS / "own-rules.md").read_text(encoding="utf-8")
FILE = (EXAMPLE / "bobbins.ttl").read_text(encoding="utf-8")
LINES = dict(enumerate(FILE.splitlines(), 1))
EXPLAINED = re.findall(r"^\| (\d+) \| `(.+?)` \| (.+) \|$", PAGE, re.MULTILINE)
VERDICTS = re.findall(r"^\| ([A-Z0-9-]+) ([A-Z0-9-]+) \| (.+?) \|", PAGE, re.MULTILINE)


@pytest.fixture(autouse=True)
def _no_cache(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("KNOCKON_CACHE", "off")


def test_the_page_quotes_the_whole_file() -> None:
    blocks = re.findall(r"```turtle\n(.*?)```", PAGE, re.DOTALL)
    assert "\n".join(blocks) == FILE


def test_every_line_is_explained_by_a_word_of_it() -> None:
    assert [int(number) for number, _, _ in EXPLAINED] == [n for n, line in LINES.items() if line.strip()]
    assert [(n, word) for n, word, _ in EXPLAINED if word not in LINES[int(n)]] == []
    assert all(len(text.split()) > 1 for _, _, text in EXPLAINED)


def test_the_page_quotes_the_tables() -> None:
    quoted = re.findall(r"`own-rules/([\w/]+\.csv)`:\n\n```csv\n(.*?)```", PAGE, re.DOTALL)
    assert len(quoted) == 3
    for name, text in quoted:
        assert text == (EXAMPLE / name).read_text(encoding="utf-8")


def test_the_example_is_in_order() -> None:
    answer = check_records(EXAMPLE)
    assert answer.findings == ()
    assert answer.counts["nodes checked"] > 10


def test_the_verdicts_of_the_page() -> None:
    catalogue = load(EXAMPLE).catalogue
    assert {verdict for _, _, verdict in VERDICTS} == {
        "fits", "does not fit", "goes together, do not use", "not known",
    }  # fmt: skip
    for first, second, verdict in VERDICTS:
        assert judge_parts(catalogue, [first, second]).verdict == verdict, (first, second)
        assert f"$ knockon --records own-rules fits {first} {second}\n" in PAGE


@pytest.mark.parametrize(("line", "old", "new"), [(103, "required", "requierd"), (117, "spring", "spirng")])
def test_the_slips_that_the_page_offers_to_try(line: int, old: str, new: str, tmp_path: Path) -> None:
    assert f"{new}` in line {line}" in PAGE
    text = FILE.splitlines()
    text[line - 1] = text[line - 1].replace(old, new)
    for path in EXAMPLE.rglob("*.csv"):
        copy = tmp_path / path.relative_to(EXAMPLE)
        copy.parent.mkdir(exist_ok=True)
        copy.write_bytes(path.read_bytes())
    (tmp_path / "bobbins.ttl").write_text("\n".join(text) + "\n", encoding="utf-8")
    records = load(tmp_path)
    assert [(f.file, f.row) for f in records.findings if new in f"{f.written} {f.problem}"] == [("bobbins.ttl", line)]
    assert judge_parts(records.catalogue, ["BOB-20", "CASE-A"]).verdict is Verdict.NOT_KNOWN


def test_it_can_be_found() -> None:
    assert "(docs/own-rules.md)" in (DOCS.parent / "README.md").read_text(encoding="utf-8")
    assert "(own-rules.md)" in (DOCS / "start.md").read_text(encoding="utf-8")
