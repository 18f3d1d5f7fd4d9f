"""The worked examples of docs/calculations are what the commands print."""

from __future__ import annotations

import re
import shlex
from pathlib import Path

import pytest
from click.testing import CliRunner

from knockon.graph.formulas import formula, formula_names
from knockon.queries.ui.commands.workshop.calculate import calculate

PAGES = Path(__file__).parents[2] / "docs" / "calculations"
BLOCK = re.compile(r"```console\n(.*?)```", re.DOTALL)


def examples() -> list[tuple[str, str, str]]:
    """Page, command and printed answer of each example."""
    found = []
    for page in sorted(PAGES.glob("*.md")):
        for block in BLOCK.findall(page.read_text("utf-8")):
            for part in re.split(r"^\$ ", block, flags=re.MULTILINE)[1:]:
                command, _, answer = part.partition("\n")
                found.append((page.name, command, answer.rstrip("\n")))
    return found


EXAMPLES = examples()


def run(command: str) -> str:
    words = shlex.split(command)
    assert words[:2] == ["knockon", "calculate"]
    outcome = CliRunner().invoke(calculate, words[2:], prog_name="knockon calculate")
    assert outcome.exit_code in (0, 1), outcome.output
    return outcome.output


def test_the_page_of_figures_names_every_formula_that_records_may_name() -> None:
    page = (PAGES / "figures.md").read_text("utf-8")
    rows = dict(re.findall(r"^\| `(\w+)` \| ([^|]*) \|", page, re.MULTILINE))
    assert set(rows) == set(formula_names())
    for name, arguments in rows.items():
        assert [a.split()[0] for a in arguments.split(", ")] == list(formula(name).arguments)


def test_every_page_is_linked() -> None:
    readme = (PAGES / "README.md").read_text("utf-8")
    assert all(f"({page.name})" in readme for page in PAGES.glob("*.md") if page.name != "README.md")
    assert "calculations/README.md" in (PAGES.parent / "start.md").read_text("utf-8")


def test_every_subject_has_an_example() -> None:
    shown = {shlex.split(command)[2] for _, command, _ in EXAMPLES}
    assert shown | {"limits", "template"} == set(calculate.commands)
    assert len(EXAMPLES) > 25


@pytest.mark.parametrize(("page", "command", "answer"), EXAMPLES, ids=[c for _, c, _ in EXAMPLES])
def test_an_example_prints_what_the_page_shows(page: str, command: str, answer: str) -> None:
    assert run(command).rstrip("\n") == answer, page


@pytest.mark.parametrize("command", [c for _, c, _ in EXAMPLES])
def test_no_line_is_longer_than_100_columns(command: str) -> None:
    assert max(map(len, run(command).splitlines())) <= 100
