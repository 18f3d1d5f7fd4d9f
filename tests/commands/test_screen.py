"""How text looks: never wider than the screen, the same without colour, in plain letters where it must be."""

from __future__ import annotations

import re

import pytest
from click.testing import CliRunner

from knockon.queries.ui.command_line import knockon
from knockon.queries.ui.terminal.blocks import BAD, Box, Grid, Heading, Para
from knockon.queries.ui.terminal.plain import clean
from knockon.queries.ui.terminal.screen import Screen, encodable, render
from tests.commands.running import FULL, SWAP, demo, real

ANSI = re.compile(r"\x1b\[[0-9;]*m")
BLOCKS = (
    Para("A paragraph that is long enough to be wrapped on a narrow screen, and has ½ and ± in it.", mark="12."),
    Heading("A heading"),
    Grid(
        (("1", "knuckle, disc", "57.15 mm (2.250 in)"), ("10", "a longer name than fits", "x")),
        ("", "part", "size"),
        (0,),
    ),
    Box(("GOES TOGETHER, DO NOT USE", "said louder")),
    Para("bad", tone=BAD),
)


@pytest.mark.parametrize(
    "question",
    [SWAP, FULL, ("fits", "ROWAN-301", "ROWAN-241"), ("partners", "ROWAN-241"), ("part", "ALDER-132"), ("check",),
     ("kit", "K2", "--for", "tansy-m080", "--want", "rotor=LARCH-201"), ("tell-apart", "ALDER-213", "ALDER-911"),
     ("combinations", "tansy-front-axle", "--with", "rotor=LARCH-201", "--first", "2")],
    ids=" ".join,
)  # fmt: skip
def test_piped_text_fits_100_columns_and_holds_no_colour(question: tuple[str, ...]) -> None:
    ran = demo(*question)
    assert ran.lines[0] == "Records: the demo world (invented)"
    assert max(map(len, ran.lines)) <= 100
    assert "\x1b" not in ran.out
    assert not any(line != line.rstrip() for line in ran.lines)


@pytest.mark.parametrize("width", [40, 60, 100])
def test_no_line_is_wider_than_the_screen(width: int) -> None:
    assert max(map(len, render(BLOCKS, Screen(width)).splitlines())) <= width


def test_colour_adds_nothing_but_colour() -> None:
    coloured = render(BLOCKS, Screen(colour=True))
    assert "\x1b[" in coloured
    plain = [line.rstrip() for line in ANSI.sub("", coloured).splitlines()]
    assert plain == render(BLOCKS, Screen()).splitlines()


def test_plain_letters_where_the_stream_has_no_others() -> None:
    text = render(BLOCKS, Screen(encoding="ascii"))
    assert text.isascii()
    assert "1/2 and +/- in it" in " ".join(text.split())
    assert "| GOES TOGETHER, DO NOT USE" in text
    ran = real("fits", "ROWAN-301", "ROWAN-241", environment={"PYTHONIOENCODING": "ascii"})
    assert (ran.status, ran.out.isascii()) == (1, True)
    assert "| GOES TOGETHER, DO NOT USE" in ran.out


def test_accents_are_dropped_and_the_rest_is_marked() -> None:
    assert encodable("café 28 µm ±0.05 → 漢", "ascii") == "cafe 28 um +/-0.05 -> ?"
    assert encodable("±0.05", "latin-1") == "±0.05"
    assert encodable("plain", "no-such-encoding") == "plain"


def test_control_characters_are_shown_not_sent() -> None:
    assert clean("a\x1b[31mb\tc\x07") == "a�[31mb c�"


def test_the_group_works_under_any_runner() -> None:
    result = CliRunner().invoke(knockon, ["fits", "ROWAN-301", "ROWAN-241"])
    assert result.exit_code == 1
    assert "GOES TOGETHER, DO NOT USE" in result.output
