"""Laying blocks out without colour, where every letter takes one column: what most answers are, so that a short
command need not load rich. Line for line what rich makes of them."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Iterator, Sequence

from knockon.queries.ui.terminal.blocks import Block, Box, Gap, Grid, Heading, Para
from knockon.queries.ui.terminal.plain import clean

BETWEEN = 2
"""Blank columns between two of a table."""
BOX = (("┏", "━", "┓"), ("┃", " ", "┃"), ("┗", "━", "┛"))
ASCII_BOX = (("+", "-", "+"), ("|", " ", "|"), ("+", "-", "+"))
_WORDS = re.compile(r"\s*\S+\s*")


class NeedsRich(Exception):
    """A letter takes no column or two, or a table leaves a column no room."""


def laid_out(blocks: Iterable[Block], width: int, is_unicode: bool) -> list[str]:
    """The lines of the blocks. Raises NeedsRich."""
    lines: list[str] = []
    for block in blocks:
        if isinstance(block, Heading):
            lines += ["", *wrapped(_narrow(block.text).upper(), width)]
        elif isinstance(block, Para):
            lines += _paragraph(block, width)
        elif isinstance(block, Grid):
            lines += _table(block, width)
        elif isinstance(block, Box):
            lines += _box(block, width, BOX if is_unicode else ASCII_BOX)
        elif isinstance(block, Gap):
            lines.append("")
    return lines


def wrapped(text: str, width: int) -> Iterator[str]:
    """A text in lines of at most ``width`` columns, broken between words; a word longer than that is broken too."""
    line = ""
    for word in _WORDS.findall(text):
        bare = len(word.rstrip())
        if len(line) + bare > width and line:
            yield line.rstrip()
            line = ""
        if bare > width:
            while len(word) > width:  # with the blank after it, as rich does
                yield word[:width].rstrip()
                word = word[width:]
        line += word
    yield line.rstrip()


def _narrow(text: str) -> str:
    """The text, cleaned; raises NeedsRich where a letter of it takes no column, or two, and where more than one blank
    stands between its words."""
    return _one_line(text, 0)


def _one_line(text: str, width: int) -> str:
    """The same, of a text with any blanks if it fits into one line of this width."""
    text = clean(text)
    if not (text.isascii() or all(_takes_one_column(c) for c in text)):
        raise NeedsRich
    if "\n" in text or (len(text) > width and text != " ".join(text.split())):
        raise NeedsRich
    return text


def _takes_one_column(letter: str) -> bool:
    wide = unicodedata.east_asian_width(letter) in ("W", "F")
    return (not wide and unicodedata.category(letter)[0] not in ("C", "M", "Z")) or letter in " \n\xa0"


def _paragraph(block: Para, width: int) -> Iterator[str]:
    mark = _narrow(block.mark)
    hanging = max(2, len(mark)) + 1 if mark else 0
    room = max(1, width - block.indent - hanging)
    text = _one_line(block.text, room)
    for n, line in enumerate(wrapped(text, room) if len(text) > room else [text]):
        yield " " * block.indent + (mark if n == 0 else "").ljust(hanging) + line


def _table(block: Grid, width: int) -> Iterator[str]:
    rows = [[_narrow(cell) for cell in row] for row in ([block.head] if block.head else []) + list(block.rows)]
    columns = max((len(row) for row in rows), default=0)
    widest = [max((len(row[i]) for row in rows if i < len(row)), default=0) for i in range(columns)]
    widths = _narrowed(widest, width - block.indent)
    for n, row in enumerate(rows):
        for line in _row(row, widths, block.right, is_head=n == 0 and bool(block.head)):
            yield " " * block.indent + line


def _narrowed(widths: Sequence[int], room: int) -> list[int]:
    """The widths that the columns have in this room: the widest give way first, to the next widest, as in rich.

    Raises NeedsRich where a column would vanish.
    """
    after = [BETWEEN] * (len(widths) - 1) + [0]
    found = [min(width + blank, room) or 1 for width, blank in zip(widths, after, strict=False)]
    while (excess := sum(found) - room) > 0:
        widest = max(found)
        step = min(excess, widest - max((w for w in found if w != widest), default=0))
        giving = [i for i, w in enumerate(found) if w == widest]
        for left, i in zip(range(len(giving), 0, -1), giving, strict=True):
            taken = min(step, round(excess / left))
            found[i] -= taken
            excess -= taken
    narrowed = [width - blank for width, blank in zip(found, after, strict=False)]
    if any(now < 1 <= width for now, width in zip(narrowed, widths, strict=True)):
        raise NeedsRich
    return narrowed


def _row(row: Sequence[str], widths: Sequence[int], right: Sequence[int], is_head: bool) -> Iterator[str]:
    """The lines of a row; a head ends where its longest cell does, others begin there."""
    cells = [list(wrapped(cell, widths[i])) if len(cell) > widths[i] else [cell] for i, cell in enumerate(row)]
    height = max((len(lines) for lines in cells), default=0)
    cells = [[""] * (height - len(lines)) * is_head + lines for lines in cells]
    for n in range(height):
        pieces = (lines[n] if n < len(lines) else "" for lines in cells)
        placed = (p.rjust(widths[i]) if i in right else p.ljust(widths[i]) for i, p in enumerate(pieces))
        yield (" " * BETWEEN).join(placed)


def _box(block: Box, width: int, edges: Sequence[tuple[str, str, str]]) -> Iterator[str]:
    lines = [_narrow(line) for line in block.lines]
    if not all(lines):
        raise NeedsRich
    inner = min(width - 4, max(len(line) for line in lines))
    top, middle, bottom = edges
    yield top[0] + top[1] * (inner + 2) + top[2]
    for line in (one for said in lines for one in wrapped(said, inner)):
        yield f"{middle[0]} {line.ljust(inner)} {middle[2]}"
    yield bottom[0] + bottom[1] * (inner + 2) + bottom[2]
