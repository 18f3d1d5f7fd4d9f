"""What a text answer is made of before it is laid out: headings, paragraphs, tables, boxes. No terminal in here."""

from __future__ import annotations

from collections.abc import Iterable

import msgspec

# Tones: how a block sounds. Each must read the same without colour.
PLAIN, STRONG, GOOD, WARN, BAD, QUIET = "", "strong", "good", "warn", "bad", "quiet"


class Heading(msgspec.Struct, frozen=True):
    """A line that opens a section."""

    text: str


class Para(msgspec.Struct, frozen=True):
    """A paragraph, wrapped; ``mark`` hangs in front of it (a number, a dash)."""

    text: str
    mark: str = ""
    indent: int = 0
    tone: str = PLAIN


class Typed(Para, frozen=True):
    """A line of a command to type: ``command`` is the whole of it, on its first line; a line that goes on has none."""

    command: str = ""


class Grid(msgspec.Struct, frozen=True):
    """A table; ``head`` may be empty; ``right`` are the columns set flush right."""

    rows: tuple[tuple[str, ...], ...]
    head: tuple[str, ...] = ()
    right: tuple[int, ...] = ()
    indent: int = 0


class Box(msgspec.Struct, frozen=True):
    """Lines that nobody may overlook; the first is the loudest."""

    lines: tuple[str, ...]
    tone: str = BAD


class Gap(msgspec.Struct, frozen=True):
    """One blank line."""


Block = Heading | Para | Grid | Box | Gap


def bullets(texts: Iterable[str], indent: int = 0, tone: str = PLAIN) -> list[Block]:
    """One paragraph a text, each behind a dash."""
    return [Para(text, mark="-", indent=indent, tone=tone) for text in texts]
