"""One cell on its way through a reader, and what is known of its datatype."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from fractions import Fraction
from typing import Literal

import msgspec

from knockon.graph.quantity.cells.model import CellError, Quantity, ReadingContext
from knockon.graph.quantity.cells.sheet_date import SheetDate, fractions


def as_it_stands(written: str) -> Iterator[str]:
    """The cell as it is written."""
    yield written


Readings = Mapping[str, Quantity]
Sort = Literal["size", "trade", "word"]


class Datatype(msgspec.Struct, frozen=True, kw_only=True, eq=False):
    """What sort of thing a cell says, how it is read and written, and all that is known of such cells.

    The folder `datatypes` holds one for each; the names, base units and parts of those that a kind of feature may have
    stand in the vocabulary too (a test compares them).
    """

    name: str
    expected: str
    """What would be read, in words."""
    read: Callable[[Cell], dict[str, Quantity]]
    """Raises CellError, whose suggestions are not yet sifted."""
    write: Callable[[Readings], Iterator[str]] | None = None
    """Cells in the base unit that may say these readings; None: the code or the number of the one reading."""
    parts: Mapping[str, str] = msgspec.field(default_factory=lambda: {"": ""})
    """The readings that each cell gives, with the base unit as it stands behind a number; "" is the cell's own."""
    beside: Mapping[str, str] = msgspec.field(default_factory=dict)
    """Readings that a cell may give for another column, the one of their name, and what that column expects."""
    sort: Sort = "size"
    """A size that can be measured; a number of the trade (pieces, prices); or a word."""
    any_text: bool = False
    """Every text is a value: none is refused for what it looks like."""
    largest: int | None = None
    """Beyond this (in the base unit) a cell is a slip, not a size."""
    base_unit: str = ""
    """The base unit by its name in units.txt; blank of what has no units."""
    units: tuple[str, ...] = ()
    """The units that a cell may have, by their names in units.txt."""
    offered_units: tuple[str, ...] = ()
    """Units that are offered, never applied, where one is missing."""
    slip_units: tuple[str, ...] = ()
    """Units that are offered with what another slip may have meant."""
    forms: frozenset[str] = frozenset({"stated", "two units"})
    """The rules of sizes.lark that such a size may be written by."""
    nominal: bool = False
    """Stated without limits it is nominal, not exact."""
    wears: bool = False
    """A cell may say it of a new or of a worn part."""
    inch_fractions: bool = False
    """Written in whole inches and fractions, between which a blank may be lost."""
    quick: Callable[[str, ReadingContext], Quantity | None] | None = None
    """Reads the cells that fill most tables without the grammar, to the same; None for all others."""
    respelled: Callable[[str], Iterator[str]] = as_it_stands
    """A cell of a sheet as a table of our own may have it."""
    from_date: Callable[[SheetDate], Iterator[str]] | None = fractions
    """What may have been typed where a spreadsheet has a date; None where a date means nothing else."""

    @property
    def symbol(self) -> str:
        """The base unit of the cell's own reading, as it stands behind a number."""
        return self.parts.get("", "")

    def without_limits(self, readings: Readings) -> bool:
        """Whether readings state one value in a unit and no limits, so that a ± may stand behind it."""
        own = readings.get("")
        if own is None or own.low is None or not self.units or not self.symbol:
            return False
        return own.nominal if self.nominal else own.low == own.high


class Cell(msgspec.Struct, frozen=True):
    """A cell being read: `written` as it stands, `text` after tidying, `flags` from tidying."""

    written: str
    text: str
    datatype: Datatype
    context: ReadingContext
    flags: tuple[str, ...] = ()

    def error(self, why: str, *suggestions: str) -> CellError:
        """The error to raise, with `suggestions` that the caller of the reader still sifts."""
        return CellError(self.written, self.datatype.expected, suggestions, why)

    def interval(
        self,
        low: Fraction,
        high: Fraction,
        *,
        nominal: bool = False,
        unit: str = "",
        flags: tuple[str, ...] = (),
    ) -> Quantity:
        """A quantity from exact ends in the base unit. Raises CellError where no float holds them."""
        largest = self.datatype.largest
        if largest is not None and max(abs(low), abs(high)) > largest:
            raise self.error("too large to be meant")
        try:
            least, greatest = float(low), float(high)
        except OverflowError:
            raise self.error("a number beyond all measure") from None
        return Quantity(
            low=least, high=greatest, nominal=nominal, written=self.written, unit=unit, flags=self.flags + flags
        )

    def coded(self, code: str, flags: tuple[str, ...] = ()) -> Quantity:
        """A quantity that is a code."""
        return Quantity(code=code, written=self.written, flags=self.flags + flags)

    def unknown(self, *flags: str) -> Quantity:
        """A value, or a part of one, that the cell does not tell."""
        return Quantity(unknown=True, written=self.written, flags=self.flags + flags)

    def absent(self) -> Quantity:
        """The thing is known to be absent."""
        return Quantity(absent=True, written=self.written, flags=self.flags)

    def not_applicable(self) -> Quantity:
        """The column does not apply to this row."""
        return Quantity(not_applicable=True, written=self.written, flags=self.flags)
