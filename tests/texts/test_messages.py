"""What the program says from below the screens, and what its pages say, in plain English."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from tests.texts.spoken import BANNED, ROOT, against_the_rules, is_sentence, literals

BELOW = sorted(p for top in ("graph", "queries") for p in (ROOT / top).rglob("*.py") if "ui" not in p.parts)
PAGES = sorted((*(ROOT / "docs").glob("*.md"), ROOT / "README.md", ROOT / "DEVELOPERS.md"))
NOT_YET = {
    "graph/exchange/clubs.py",
    "graph/exchange/handed_out.py",
    "graph/exchange/merging.py",
    "graph/exchange/rows.py",
    "graph/exchange/server.py",
    "graph/files/atomic.py",
    "graph/files/plain.py",
    "graph/formulas/bearings.py",
    "graph/formulas/brakes.py",
    "graph/formulas/hydraulics.py",
    "graph/formulas/registry.py",
    "graph/formulas/splines/involute.py",
    "graph/formulas/splines/standards.py",
    "graph/formulas/threads/fasteners.py",
    "graph/formulas/threads/limits.py",
    "graph/formulas/threads/pairs.py",
    "graph/formulas/threads/profile.py",
    "graph/judge/usual_sizes.py",
    "graph/mapping/belonging.py",
    "graph/mapping/csvw.py",
    "graph/mapping/rows.py",
    "graph/model/reference.py",
    "graph/model/schema.py",
    "graph/notes/readings.py",
    "graph/notes/write.py",
    "graph/quantity/sizes/measured.py",
    "graph/quantity/sizes/unit_choice.py",
    "graph/quantity/thread_names.py",
    "graph/quantity/threads.py",
    "graph/quarantine/all_or_none.py",
    "graph/quarantine/books.py",
    "graph/rdf/canonical.py",
    "graph/records/__init__.py",
    "graph/records/served.py",
    "graph/rulebook/conditions.py",
    "graph/sheets/opened.py",
    "graph/tables/files.py",
    "graph/tables/pending.py",
    "graph/tables/read.py",
    "graph/tables/rows.py",
    "graph/tables/terms.py",
    "graph/triples/lines.py",
    "queries/ask/ask.py",
    "queries/ask/server.py",
    "queries/club/disputes.py",
    "queries/club/note_disputes.py",
    "queries/fits/fits.py",
    "queries/fits/skipped.py",
    "queries/intake/accepting.py",
    "queries/intake/check_readings.py",
    "queries/intake/sheets/imports.py",
    "queries/intake/sheets/prices.py",
    "queries/intake/sheets/tables.py",
    "queries/intake/upgrade.py",
    "queries/plan/measure.py",
    "queries/plan/solving/request.py",
    "queries/workshop/bearings.py",
    "queries/workshop/fasteners.py",
    "queries/workshop/fits.py",
    "queries/workshop/hydraulics.py",
    "queries/workshop/pads.py",
    "queries/workshop/shims.py",
    "queries/workshop/splines.py",
    "queries/workshop/threads.py",
    "queries/workshop/wheel.py",
    "README.md",
    "docs/clubs.md",
    "docs/decisions.md",
    "docs/importing.md",
    "docs/layouts.md",
    "docs/mutants.md",
    "docs/records.md",
    "docs/verdicts.md",
    "docs/words.md",
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
