"""What is known before a row of a sheet is read, and what becomes of each of its cells."""

from __future__ import annotations

from collections.abc import Mapping as Map
from collections.abc import Set as AbstractSet

import msgspec

from knockon.graph.judge.sense import UsualSizes
from knockon.graph.quantity import PartIndex, Quantity

NEW, WORN = "new", "worn"


class Known(msgspec.Struct, frozen=True):
    """What the records already hold: ``keys`` by table, the part numbers, and names of vocabulary terms.

    ``ranges``: smallest and largest size in mm that makes sense, by (table, dimension).
    ``critical``: the (table, dimension) pairs in which a unit is never inferred.
    """

    keys: Map[str, AbstractSet[str]]
    parts: PartIndex | None
    terms: Map[str, frozenset[str]]
    ranges: Map[tuple[str, str], tuple[float, float]]
    critical: frozenset[tuple[str, str]]
    rows: Map[str, Map[str, Map[str, str]]] = msgspec.field(default_factory=dict)
    """The rows of parts, sources and kits, by table and name."""
    kinds: Map[str, frozenset[str]] = msgspec.field(default_factory=dict)
    """The feature tables that go with a part type, of each type of which that is known."""
    types: Map[str, str] = msgspec.field(default_factory=dict)
    """The part type of a set's member, by `SET/position`."""
    others: Map[str, Map[str, tuple[str, ...]]] = msgspec.field(default_factory=dict)
    """What else the trade calls the terms of the vocabulary, by sort and name."""
    sense: UsualSizes = msgspec.field(default_factory=lambda: UsualSizes({}))
    """The usual sizes outside which a size is asked back."""
    asks_back: bool = False
    """The sizes are readings of things that stand in their places: one unlike all recorded is asked back too."""


class ReadAs(msgspec.Struct, frozen=True):
    """How one column of a sheet is to be read."""

    unit: str = ""
    decimal_comma: bool = False
    driver: str = ""
    worn: bool = False
    """Its title says that its sizes are those of worn parts."""
    as_read: bool = False
    """A person took the size of this cell as it was read."""


class Read(msgspec.Struct, frozen=True):
    """One cell that was read: what goes into the table, and the help that it needed. ``marked``: the sizes that the
    cell says of a new or a worn part, each with its mark; ``text`` is the first of them. ``readings``: all that a cell
    of sizes, numbers or money was read as."""

    written: str
    text: str
    flags: tuple[str, ...]
    marked: tuple[tuple[str, str], ...] = ()
    readings: Map[str, Quantity] = msgspec.field(default_factory=dict)


class Fault(msgspec.Struct, frozen=True):
    """One cell that was not read."""

    column: str
    written: str
    why: str
    suggestions: tuple[str, ...] = ()
