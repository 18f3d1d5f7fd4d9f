"""What the program says from below the screens, and what its pages say, in plain English."""

from __future__ import annotations

import csv
import re
from pathlib import Path

import pytest

from tests.texts.spoken import BANNED, ROOT, against_the_rules, is_sentence, literals

BELOW = sorted(p for top in ("graph", "queries") for p in (ROOT / top).rglob("*.py") if "ui" not in p.parts)
PAGES = sorted((*(ROOT / "docs").glob("*.md"), ROOT / "README.md", ROOT / "DEVELOPERS.md"))
DATA = sorted(
    [
        *(ROOT / "graph").rglob("*.ttl"),
        *(ROOT / "graph" / "layouts").rglob("*.csv"),
        *(ROOT / "graph" / "vocabulary").glob("*.csv"),
    ]
)
NOT_YET = {
    "README.md",
    "docs/clubs.md",
    "docs/decisions.md",
    "docs/importing.md",
    "docs/layouts.md",
    "docs/mutants.md",
    "docs/records.md",
    "docs/verdicts.md",
}
"""What still breaks the rules. Take yours out when it is done; it ends empty."""


def _name(path: Path) -> str:
    return path.relative_to(ROOT).as_posix()


def faults_of_module(path: Path) -> list[str]:
    """Which sentences of a module break which rule."""
    said = ((line, text) for line, text in literals(path) if is_sentence(text))
    return [f"line {line}: {wrong}" for line, text in said for wrong in against_the_rules(text)]


def faults_of_page(path: Path) -> list[str]:
    """Which banned words stand on a page, outside its code."""
    prose = re.sub(r"```.*?```|`[^`\n]*`", "", path.read_text(encoding="utf-8"), flags=re.DOTALL)
    return [f"{found.group(0)!r} in {prose[: found.start()].splitlines()[-1:]}" for found in BANNED.finditer(prose)]


@pytest.mark.parametrize("path", BELOW, ids=_name)
def test_a_module_speaks_plain_english(path: Path) -> None:
    assert bool(faults_of_module(path)) == (_name(path) in NOT_YET), faults_of_module(path)


@pytest.mark.parametrize("path", PAGES, ids=_name)
def test_a_page_uses_no_banned_word(path: Path) -> None:
    assert bool(faults_of_page(path)) == (_name(path) in NOT_YET), faults_of_page(path)


def faults_of_data(path: Path) -> list[str]:
    """Which sentences of a Turtle file, or of a ready-made layout's table, break which rule."""
    text = path.read_text(encoding="utf-8")
    if path.suffix == ".ttl":
        said = re.findall(r'"((?:[^"\\]|\\.)*)"', text)
    else:
        said = [cell for row in csv.reader(text.splitlines()) for cell in row]
    return [wrong for one in said if is_sentence(one) for wrong in against_the_rules(one)]


@pytest.mark.parametrize("path", DATA, ids=_name)
def test_data_that_answers_quote_speak_plain_english(path: Path) -> None:
    assert not faults_of_data(path)
