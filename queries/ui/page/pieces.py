"""What a room of the page is made of. Plain records, so that they pass from one process to another; no HTML in here."""

from __future__ import annotations

from collections.abc import Sequence

import msgspec

from knockon.queries.ui.terminal.blocks import PLAIN


class Heading(msgspec.Struct, frozen=True, tag=True):
    """Opens a section; ``level`` 2 or deeper, since the room's own title is 1."""

    text: str
    level: int = 2


class Text(msgspec.Struct, frozen=True, tag=True):
    """A paragraph; behind a ``mark`` an entry of a list."""

    text: str
    mark: str = ""
    indent: int = 0
    tone: str = PLAIN


class Table(msgspec.Struct, frozen=True, tag=True):
    """Rows under a head, which may be empty; ``right``: columns set flush right; ``label``: what is in it."""

    rows: tuple[tuple[str, ...], ...]
    head: tuple[str, ...] = ()
    right: tuple[int, ...] = ()
    label: str = ""


class Notice(msgspec.Struct, frozen=True, tag=True):
    """Lines in a frame whose shape differs by ``tone``; the first is the loudest. ``danger``: nothing on the page is
    louder."""

    lines: tuple[str, ...]
    tone: str
    danger: bool = False


class Link(msgspec.Struct, frozen=True):
    """Where to go, and what is there."""

    label: str
    address: str
    beside: str = ""


class Go(msgspec.Struct, frozen=True, tag=True):
    """Where to go from here."""

    links: tuple[Link, ...]


class Picture(msgspec.Struct, frozen=True, tag=True):
    """A drawing as SVG, which says itself what it shows."""

    svg: str


class Fold(msgspec.Struct, frozen=True, tag=True):
    """What opens where it stands."""

    summary: str
    pieces: tuple[Piece, ...]
    open: bool = False


class Leaf(msgspec.Struct, frozen=True):
    """A line of a tree: what it is, why in a few words, what opens under it, and what it forces."""

    line: str
    because: str = ""
    pieces: tuple[Piece, ...] = ()
    below: tuple[Leaf, ...] = ()


class Tree(msgspec.Struct, frozen=True, tag=True):
    """Lines, each with those that it forces under it."""

    leaves: tuple[Leaf, ...]


class Columns(msgspec.Struct, frozen=True, tag=True):
    """Pieces beside each other where there is room, such as left and right; each under its title."""

    titles: tuple[str, ...]
    columns: tuple[tuple[Piece, ...], ...]


class Field(msgspec.Struct, frozen=True):
    """One thing to fill in. ``kind``: text, area, choice, check, file or hidden; ``many``: several, a line each."""

    name: str
    label: str
    kind: str = "text"
    value: str = ""
    hint: str = ""
    choices: tuple[str, ...] = ()
    many: bool = False
    required: bool = False
    big: bool = False


class Button(msgspec.Struct, frozen=True):
    """One way to send a form; ``name`` and ``value`` say which."""

    label: str
    name: str = ""
    value: str = ""


class Form(msgspec.Struct, frozen=True, tag=True):
    """Fields with their buttons. ``do``: what is written, blank where the form only asks; ``address``: where it goes,
    blank for this room; ``name`` tells the forms of a room apart."""

    name: str
    fields: tuple[Field, ...]
    buttons: tuple[Button, ...]
    do: str = ""
    address: str = ""
    title: str = ""


class Screen(msgspec.Struct, frozen=True):
    """One of several screens, with its name in the list of them."""

    name: str
    pieces: tuple[Piece, ...]


class Screens(msgspec.Struct, frozen=True, tag=True):
    """Screens of which one is shown at a time."""

    screens: tuple[Screen, ...]


Piece = Screens | Heading | Text | Table | Notice | Go | Picture | Fold | Tree | Columns | Form


class Outcome(msgspec.Struct, frozen=True):
    """What became of a question: exit ``status``, the answer's name, its ``title`` and ``pieces`` or, where the
    document was asked, what was ``written``; what was ``said`` of what it did, and
    ``beside`` it; the ``mistake`` and what it is ``about``."""

    status: int
    answer: str = ""
    title: str = ""
    pieces: tuple[Piece, ...] = ()
    written: bytes = b""
    said: tuple[str, ...] = ()
    beside: tuple[str, ...] = ()
    mistake: str = ""
    about: str = ""

    @property
    def size(self) -> int:
        """About how many bytes it takes."""
        return 500 + len(self.written) + weight(self.pieces)


def weight(pieces: Sequence[object]) -> int:
    """About how many bytes some pieces take as they are sent."""
    return len(msgspec.msgpack.encode(pieces))
