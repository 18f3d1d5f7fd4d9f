"""A mapping, and the record tables that it may lead to."""

from __future__ import annotations

from collections.abc import Sequence

import msgspec

from knockon.graph.model.schema import VOCAB, Column, Table, Vocabulary

CONDITION = "condition"
"""A column that a sheet of sizes may have and no feature table has: whether the part measured was new or worn."""
LISTED_FOR, SUPERSEDED_BY = "listed for", "superseded by"
"""Columns that a sheet of parts or sizes may have, and that become claims."""
BESIDE = frozenset({CONDITION, LISTED_FOR, SUPERSEDED_BY})
"""Columns of which none goes into the table that the sheet fills."""


OF = " @"
"""Between a table's name and what tells apart the mappings of one sheet that fill it."""


class ColumnMap(msgspec.Struct, frozen=True):
    """A sheet's column ``title`` and the record column it fills; an empty ``name`` passes it over.

    ``unit``: the unit its header states. ``decimal_comma``: its numbers are written 27,52. ``also``: other titles that
    the column may have in a sheet; the first that is there counts. ``too``: further record columns that its cells fill.
    """

    title: str
    name: str
    unit: str = ""
    decimal_comma: bool = False
    also: tuple[str, ...] = ()
    too: tuple[str, ...] = ()

    @property
    def names(self) -> tuple[str, ...]:
        """The record columns that it fills, if any."""
        return (self.name, *self.too) if self.name else ()

    def place(self, titles: list[str]) -> int | None:
        """Where the column stands in a sheet with these titles, from 0; None if it has none of its titles."""
        return next((titles.index(t) for t in (self.title, *self.also) if t in titles), None)


class Mapping(msgspec.Struct, frozen=True):
    """How one sheet is read into one record table.

    ``sheet`` is empty for a text table. ``table`` is a table's name, ``features/`` before a feature kind's. ``fixed``
    gives the same value to a record column in every row. ``driver``: the side on which the driver sits, or empty. A
    flat sheet, with the sizes of several features side by side, has several mappings.
    """

    sheet: str
    table: str
    columns: tuple[ColumnMap, ...]
    fixed: tuple[tuple[str, str], ...] = ()
    driver: str = ""


def row_table(mapping: Mapping, beside: Sequence[Mapping]) -> str:
    """The name under which a mapping's rows are kept: its table, told apart where others of its sheet fill the same
    table, as ``features/journal @inner journal``."""
    alike = [m for m in beside if m.sheet == mapping.sheet and m.table == mapping.table]
    if len(alike) < 2:
        return mapping.table
    fixed = dict(mapping.fixed)
    return mapping.table + OF + (fixed.get("feature") or ", ".join(fixed.values()))


class Target(msgspec.Struct, frozen=True):
    """A record table that a sheet may fill: its shape and all its columns in the order of its file."""

    table: str
    shape: Table
    columns: tuple[Column, ...]

    @property
    def required(self) -> tuple[str, ...]:
        """The columns that every row must fill."""
        return ("part", "feature") if self.shape.is_kind else tuple(c.name for c in self.shape.columns if c.required)


def targets(vocabulary: Vocabulary) -> dict[str, Target]:
    """Every record table by the name that mappings use."""
    found = {t.table: Target(t.table, t, t.columns) for t in vocabulary.tables.values()}
    claimed = (
        Column(LISTED_FOR, VOCAB + "claim", "string", "The vehicle as made that the part is listed for."),
        Column(SUPERSEDED_BY, VOCAB + "claim", "string", "The number that took its place, with the condition."),
    )
    if "parts" in found:
        found["parts"] = Target("parts", found["parts"].shape, (*found["parts"].columns, *claimed))
    for kind in vocabulary.kinds.values():
        part = Column("part", VOCAB + "of", "thing", refers_to=("parts", "items", "set_members"))
        feature = Column("feature", VOCAB + "featureName", "string")
        source = Column("source", "http://www.w3.org/ns/prov#wasDerivedFrom", "string", refers_to=("sources",))
        columns = (part, feature, *kind.columns, source)
        if not any(c.name == CONDITION for c in kind.columns):
            columns += (Column(CONDITION, VOCAB + "condition", "string", "Whether the part measured was new or worn."),)
        found["features/" + kind.table] = Target("features/" + kind.table, kind, (*columns, *claimed))
    return dict(sorted(found.items()))
