"""Blocks laid out without colour are, line for line, what rich makes of them."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from knockon.queries.ui.terminal.blocks import Block, Box, Gap, Grid, Heading, Para
from knockon.queries.ui.terminal.screen import Screen, _styled
from knockon.queries.ui.terminal.unstyled import NeedsRich, laid_out

TEXT = st.text(st.sampled_from("ab-/.,:=\"'×½≥→漢é\u0301 \n     "), max_size=60)
WORDS = st.lists(st.text("abcdefgh-=.", min_size=1, max_size=24), max_size=30).map(" ".join)
SAID = st.one_of(TEXT, WORDS)
CELLS = st.lists(st.lists(SAID.map(lambda t: t[:50]), min_size=2, max_size=4).map(tuple), min_size=1, max_size=5)


def _grid(rows: list[tuple[str, ...]], has_head: bool, right: tuple[int, ...], indent: int) -> Grid:
    return Grid(tuple(rows), rows[0] if has_head else (), right, indent)


BLOCKS: st.SearchStrategy[Block] = st.one_of(
    st.builds(Heading, SAID),
    st.builds(Para, SAID, mark=st.sampled_from(["", "-", "10.", "1."]), indent=st.integers(0, 6)),
    st.builds(_grid, CELLS, st.booleans(), st.sampled_from([(), (1,), (0, 2)]), st.integers(0, 8)),
    st.builds(lambda lines: Box(tuple(lines)), st.lists(SAID, min_size=1, max_size=4)),
    st.just(Gap()),
)


def lines(found: list[str]) -> list[str]:
    return [line.rstrip() for line in found]


@given(st.lists(BLOCKS, max_size=5), st.integers(40, 100), st.booleans())
def test_what_is_laid_out_is_what_rich_lays_out(blocks: list[Block], width: int, is_unicode: bool) -> None:
    screen = Screen(width, encoding="utf-8" if is_unicode else "latin-1")
    try:
        found = laid_out(blocks, width, is_unicode)
    except NeedsRich:
        return
    assert lines(found) == lines(_styled(blocks, screen))
