"""Each command answers on one screen first, and what that leaves out is shown on demand."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.commands.running import demo, run
from tests.commands.tiny import write_tiny

PAGES = [
    ("fits", "ROWAN-301", "ROWAN-241"),
    ("fits", "ROWAN-201", "--on", "tansy-mk-b"),
    ("part", "LARCH-201"),
    ("partners", "ROWAN-241"),
    ("disputes",),
    ("needs", "tansy-m080", "hub nut", "--want", "rotor=LARCH-201"),
    ("needs", "tansy-m080", "rear wheel cylinder", "--want", "rotor=LARCH-201"),
    ("note", "list"),
    ("check",),
    ("ask",),
]


@pytest.mark.parametrize("question", PAGES, ids=" ".join)
def test_a_first_page_stands_on_one_screen(question: tuple[str, ...]) -> None:
    lines = demo(*question).lines
    assert 0 < len(lines) <= 60 and max(map(len, lines)) <= 100


@pytest.mark.parametrize("question", [q for q in PAGES if q[0] not in ("check", "ask")], ids=" ".join)
def test_a_first_page_ends_with_commands_that_run(question: tuple[str, ...]) -> None:
    import shlex

    lines = demo(*question).lines
    first = next(i for i, line in enumerate(lines) if line.startswith("next: "))
    ways = [shlex.split(line.removeprefix("next: ")) for line in lines[first:]]
    assert ways and all(way[0] == "knockon" for way in ways)
    for way in ways:
        assert demo(*way[1:]).status in (0, 1) and demo(*way[1:]).out != demo(*question).out


def test_what_contradicts_says_on_demand_what_depends_on_it_and_in_whose_words() -> None:
    page, why, notes = (demo("disputes", *option).flowing for option in ((), ("--why",), ("--notes",)))
    depends = "bearing float, ALDER-213 with tansy-mk-b: now fits; if quillmere-drawings: .497 in is right, fits"
    assert depends in why and depends not in page
    assert "digital calipers, 3 places" in notes and "digital calipers, 3 places" not in page
    assert "3 answers depend on it. List them with --why." in page
    assert page.count("To settle it:") == 4


def test_a_list_of_notes_tells_the_rest_on_demand() -> None:
    page, full = demo("note", "list"), demo("note", "list", "--full")
    assert "25 notes, failures first. The first 18 are shown here." in page.flowing
    assert page.out.count("\n-  N") == 18 and full.out.count("\n-  N") == 25
    assert "Readings:" in full.out and "Readings:" not in page.out


def test_options_of_all_commands_are_said_once() -> None:
    assert "--no-pager" in demo("--help").out
    assert "--no-pager" not in demo("fits", "--help").out and "knockon --help" in demo("fits", "--help").out
    assert demo("fits", "ROWAN-301", "ROWAN-241", "--json").out.startswith("{")
    assert "knockon --help" in demo("note", "list", "--help").out


def test_a_name_like_no_other_is_answered_with_what_lists_all(tmp_path: Path) -> None:
    ran = demo("part", "@@@@")
    assert ran.status == 2 and "To see all: knockon list parts" in ran.err
    assert "Nearest: STUB-" in run("part", "STUB-Z", "--records", str(write_tiny(tmp_path))).err


@pytest.mark.parametrize("question", [("LARCH-201", "--on", "tansy-m080"), ("LARCH-203L", "LARCH-203R")], ids=" ".join)
def test_of_parts_that_do_not_go_together_what_does_is_one_command_away(question: tuple[str, ...]) -> None:
    ran = demo("fits", *question)
    assert ran.status == 1
    assert any(line.startswith(f"next: knockon partners {question[0]}") for line in ran.lines)
