"""Which answer is laid out how: those that have a room of their own making, and all others from their text."""

from __future__ import annotations

import shlex
from collections.abc import Callable, Sequence

from knockon.queries.ui.page.pieces import Piece
from knockon.queries.ui.page.rooms.from_blocks import pieces_of
from knockon.queries.ui.page.rooms.home import home_room
from knockon.queries.ui.page.rooms.swap import swap_room
from knockon.queries.ui.terminal.blocks import Block, Para
from knockon.queries.ui.terminal.outlet import Answered, Outlet

View = Callable[[Answered, str], tuple[str, list[Piece]]]
VIEWS: dict[str, View] = {"overview": home_room, "swap": swap_room}
TITLED = frozenset({"measure", "order", "job-card", "kit", "needs", "goods-in", "record", "part", "swap-side-by-side"})
"""Answers whose text begins with what it is about."""


def laid_out(outlet: Outlet, words: Sequence[str]) -> tuple[str, tuple[Piece, ...]]:
    """(title, pieces) of what a command left; blank where the room itself knows its title."""
    found = outlet.answered
    if found is None:
        return "", tuple(pieces_of(outlet.blocks))
    command = shlex.join(["knockon", *(w for w in words if w != "--")])
    shown = any(w.startswith(("--why", "--measure", "--evidence", "--notes", "--others", "--full")) for w in words)
    if found.name in VIEWS and not shown:
        title, pieces = VIEWS[found.name](found, command)
        return title, tuple(pieces)
    title, blocks = titled(found.name, found.blocks)
    return title, tuple(pieces_of(blocks))


def titled(name: str, blocks: Sequence[Block]) -> tuple[str, Sequence[Block]]:
    """The first paragraph as the title where it is one, and what follows."""
    first = next(iter(blocks), None)
    if (name in TITLED or name == "swap") and isinstance(first, Para) and not first.mark:
        return first.text, blocks[1:]
    return "", blocks
