"""A date that a spreadsheet made of a cell, and what may have been typed."""

from __future__ import annotations

from collections.abc import Iterator

import msgspec

from knockon.graph.quantity.cells.amounts import FRACTION_DENOMINATORS


class SheetDate(msgspec.Struct, frozen=True):
    """Day, month and the last two figures of the year, -1 where none is written."""

    day: int
    month: int
    short_year: int


def fractions(date: SheetDate) -> Iterator[str]:
    """Month and day either way round, as a fraction: `3/8` of the third of August."""
    for above, below in ((date.month, date.day), (date.day, date.month)):
        if above < below and below in FRACTION_DENOMINATORS:
            yield f"{above}/{below}"
