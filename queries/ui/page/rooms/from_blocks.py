"""The blocks of a text as pieces of a room: paragraphs, tables and frames stay, commands to paste become links."""

from __future__ import annotations

import shlex
from collections.abc import Iterable, Sequence

from knockon.queries.ui.page.addresses import address_of, bare_words
from knockon.queries.ui.page.pieces import Fold, Go, Heading, Link, Notice, Piece, Table, Text
from knockon.queries.ui.sentences import page as say
from knockon.queries.ui.terminal.blocks import BAD, Block, Box, Grid, Para, Typed
from knockon.queries.ui.terminal.blocks import Heading as HeadingBlock


def pieces_of(blocks: Iterable[Block], level: int = 2) -> list[Piece]:
    """The pieces that blocks become, in their order; headings are of a ``level``."""
    found: list[Piece] = []
    for block in blocks:
        if isinstance(block, Typed):
            link = link_to(block.command) if block.command else None
            if link is not None:
                before = found.pop() if found and isinstance(found[-1], Go) else Go(())
                found.append(Go((*before.links, link)) if isinstance(before, Go) else before)
        elif isinstance(block, HeadingBlock):
            found.append(Heading(block.text, level))
        elif isinstance(block, Grid):
            found.append(Table(block.rows, block.head, block.right))
        elif isinstance(block, Box):
            found.append(Notice(block.lines, block.tone, danger=True))
        elif isinstance(block, Para):
            found.append(_paragraph(block))
    return found


def _paragraph(block: Para) -> Piece:
    if block.tone == BAD and not block.indent:
        return Notice((block.text,), BAD)
    return Text(block.text, block.mark, block.indent, block.tone)


def link_to(command: str) -> Link | None:
    """Where a command to type is asked on the page; None where no room asks it."""
    address = address_of(command)
    return Link(label_of(command), address) if address else None


def label_of(command: str) -> str:
    """What a command to type shows, in words."""
    words = ["knockon", *bare_words(command)]
    command = shlex.join(words)
    options = [word for word in words if word.startswith("--") and f"{words[1]} {word}" in say.SHOWS]
    if options:
        asked = command.partition(f"{options[-1]} ")[2].strip("\"'")
        return say.SHOWS[f"{words[1]} {options[-1]}"].format(asked=asked)
    return say.SHOWS.get(words[1], command)


def folded(pieces: Sequence[Piece]) -> list[Piece]:
    """Sections that open where they stand: what comes before the first heading stays as it is."""
    found: list[Piece] = []
    title, inside = "", list[Piece]()
    for piece in (*pieces, Heading("")):
        if isinstance(piece, Heading):
            found += [Fold(title, tuple(inside))] if title and inside else inside
            title, inside = piece.text, []
        else:
            inside.append(piece)
    return found
