"""What the program says from below the screens, and what its pages say, in plain English."""

from __future__ import annotations

import csv
import re
from pathlib import Path

import pytest

from tests.texts.spoken import BANNED, ROOT, against_the_rules, is_sentence, literals

BELOW = sorted(p for top in ("graph", "queries") for p in (ROOT / top).rglob("*.py") if "ui" not in p.parts)
OF_THEIR_TIME = ("decisions.md", "mutants.md")
"""Pages that keep what was decided and found at a time, in the words of that time."""
PAGES = sorted((*(ROOT / "docs").glob("*.md"), ROOT / "README.md", ROOT / "DEVELOPERS.md"))
PAGES = [page for page in PAGES if page.name not in OF_THEIR_TIME]
DATA = sorted(
    [
        *(ROOT / "graph").rglob("*.ttl"),
        *(ROOT / "graph" / "layouts").rglob("*.csv"),
        *(ROOT / "graph" / "vocabulary").glob("*.csv"),
    ]
)
CODES = {"docs/records.md": ("told",)}
"""Banned words that are codes of cells, on the page that lists the codes."""


def _name(path: Path) -> str:
    return path.relative_to(ROOT).as_posix()


def faults_of_module(path: Path) -> list[str]:
    """Which sentences of a module break which rule."""
    said = ((line, text) for line, text in literals(path) if is_sentence(text))
    return [f"line {line}: {wrong}" for line, text in said for wrong in against_the_rules(text)]


def faults_of_page(path: Path) -> list[str]:
    """Which banned words stand on a page, outside its code."""
    prose = re.sub(r"```.*?```|`[^`\n]*`", "", path.read_text(encoding="utf-8"), flags=re.DOTALL)
    banned = (found for found in BANNED.finditer(prose) if found.group(0) not in CODES.get(_name(path), ()))
    return [f"{found.group(0)!r} in {prose[: found.start()].splitlines()[-1:]}" for found in banned]


@pytest.mark.parametrize("path", BELOW, ids=_name)
def test_a_module_speaks_plain_english(path: Path) -> None:
    assert not faults_of_module(path)


@pytest.mark.parametrize("path", PAGES, ids=_name)
def test_a_page_uses_no_banned_word(path: Path) -> None:
    assert not faults_of_page(path)


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
