"""One page each: what every command about plans and parts shows first, and what can be pasted from it."""

from __future__ import annotations

import shlex

import pytest

from tests.commands.running import SWAP, demo, pasted, run

WANT = ("--for", "tansy-m080", "--want", "rotor=LARCH-201")
PAGES = [
    SWAP,
    ("swap", "tansy-mk-b", "--want", "master cylinder=HAZEL-301"),
    ("swap", "tansy-m080", "--want", "drive flange=ROWAN-942", "--keep", "outer joint"),
    ("swap", "tansy-m080", "--want", "disc", "--side-by-side"),
    ("swap", "tansy-mk-b", "--want", "rotor.diameter>=300 mm", "--side-by-side"),
    ("kit", "K1", *WANT),
    ("kit", "K2", *WANT),
    ("kit", "shelf-m080", *WANT),
    ("combinations", "tansy-front-axle", "--with", "rotor=LARCH-201"),
    ("tell-apart", "ROWAN-201", "ROWAN-901"),
    ("tell-apart", "ALDER-213", "ALDER-911"),
    ("identify", "--type", "outer-joint", "external spline: teeth=25, across=27.41 mm ±0.03 mm", "end thread: 3/4 UNF"),
    ("identify", "external spline: 25 teeth"),
    ("identify", "thread: M6"),
    ("vehicle", "tansy-m080"),
    ("vehicle", "tansy-mk-a"),
    ("list", "parts"),
    ("list", "joints"),
    ("list", "notes"),
]

ANSWERED = ("kit", "tell-apart", "identify", "vehicle")


@pytest.mark.parametrize("question", PAGES, ids=" ".join)
def test_the_first_page_is_one_screen(question: tuple[str, ...]) -> None:
    lines = demo(*question).lines
    assert len(lines) <= 60
    assert max(map(len, lines)) <= 100


@pytest.mark.parametrize("question", [p for p in PAGES if p[0] in ANSWERED], ids=" ".join)
def test_what_the_page_says_to_type_next_answers(question: tuple[str, ...]) -> None:
    page = demo(*question)
    commands = pasted(page)
    assert commands and all(c.startswith("knockon ") for c in commands)
    for command in commands:
        ran = run(*shlex.split(command)[1:])
        assert ran.status in (0, 1) and ran.err == ""
        assert ran.out != page.out
