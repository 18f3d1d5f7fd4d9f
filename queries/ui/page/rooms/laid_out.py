"""Which answer is laid out how: those that have a room of their own making, and all others from their text."""

from __future__ import annotations

import shlex
from collections.abc import Callable, Sequence
from itertools import takewhile

from knockon.queries.ui.page.pieces import Piece
from knockon.queries.ui.page.rooms.cards import goods_room, job_room, order_room, record_room
from knockon.queries.ui.page.rooms.from_blocks import pieces_of
from knockon.queries.ui.page.rooms.home import home_room
from knockon.queries.ui.page.rooms.measure import measure_room, measured_room
from knockon.queries.ui.page.rooms.swap import swap_room
from knockon.queries.ui.page.rooms.vehicle import vehicle_room
from knockon.queries.ui.terminal.blocks import Block, Gap, Para
from knockon.queries.ui.terminal.outlet import Answered, Outlet

View = Callable[[Answered, str], tuple[str, list[Piece]]]
VIEWS: dict[str, View] = {
    "goods-in": goods_room,
    "job-card": job_room,
    "measure": measure_room,
    "measured": measured_room,
    "order": order_room,
    "overview": home_room,
    "record": record_room,
    "swap": swap_room,
    "vehicle": vehicle_room,
}
CARDS = frozenset({"goods-in", "job-card", "order", "record"})
MOST_SAID = 8
TITLED = frozenset(
    {
        "measure",
        "order",
        "job-card",
        "kit",
        "needs",
        "goods-in",
        "record",
        "part",
        "swap-instead-of",
        "swap-side-by-side",
    }
)
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


def said_of(outlet: Outlet) -> tuple[str, ...]:
    """What a card says of what was done to it: the paragraphs in front of its first gap."""
    found = outlet.answered
    if found is None or found.name not in CARDS:
        return ()
    if found.name == "order":
        about = found.answer.of_plan
        first = found.blocks[0] if about is not None and about.just_placed else None
        return (first.text,) if isinstance(first, Para) else ()
    before = list(takewhile(lambda block: not isinstance(block, Gap), found.blocks))
    if len(before) == len(found.blocks) or len(before) > MOST_SAID:
        return ()
    return tuple(block.text for block in before if isinstance(block, Para))


def titled(name: str, blocks: Sequence[Block]) -> tuple[str, Sequence[Block]]:
    """The first paragraph as the title where it is one, and what follows."""
    first = next(iter(blocks), None)
    if (name in TITLED or name == "swap") and isinstance(first, Para) and not first.mark:
        return first.text, blocks[1:]
    return "", blocks
