"""What a room is shown with, and what the page knows of itself."""

from __future__ import annotations

import msgspec

from knockon.queries.ui.page.addresses import Room
from knockon.queries.ui.page.pieces import Field, Form, Link, Outcome, Piece


class Site(msgspec.Struct, frozen=True):
    """What the records are called, and why nothing can be written (blank: it can)."""

    named: str
    why_read_only: str = ""


class Sent(msgspec.Struct, frozen=True):
    """A form that was sent and not written: what was typed, which field is wrong and why, and ``more`` fields that it
    has now."""

    name: str
    do: str
    typed: dict[str, str]
    wrong: tuple[str, str]
    more: tuple[Field, ...] = ()


class Where(msgspec.Struct, frozen=True):
    """A room as it is asked: the places of its address, its query, and the rooms near it."""

    room: Room
    places: dict[str, str]
    query: dict[str, list[str]]
    near: tuple[Link, ...] = ()


class Shown(msgspec.Struct, frozen=True):
    """A room with its answer: the form that asks it, rooms near it, what was ``told`` after writing, the ``whole``
    answer that opens under the first page, and a form that was ``sent``."""

    title: str
    outcome: Outcome
    ask: Form | None = None
    rooms: tuple[Link, ...] = ()
    told: tuple[Piece, ...] = ()
    whole: tuple[Piece, ...] = ()
    sent: Sent | None = None
