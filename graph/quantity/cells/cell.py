"""One cell on its way through a reader: what is written, what is known beside it, what it becomes."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from knockon.graph.quantity.cells.model import CellError, Quantity, ReadingContext

EXPECTED = {
    "length": "a length with its unit, such as 25.4 mm, 1 1/16 in or 25.40 ±0.05 mm",
    "angle": "an angle with its unit, such as 82 deg",
    "count": "a whole number, such as 27",
    "ratio": "a ratio, such as 1:8",
    "pressure": "a pressure with its unit, such as 10 psi or 0.7 bar",
    "torque": "a torque with its unit, such as 50 N m or 40 lbf ft",
    "force": "a force with its unit, such as 200 N",
    "number": "a number, such as 0.38",
    "code": "a word or a short text",
    "thread": "a thread, such as M10x1, 3/8-24 UNF or 3/4 UNF",
    "spline pitch": "a spline pitch, such as 24/48 or module 1.0",
    "quantity": "a number of pieces, such as 2, 1 pair or set of 4",
    "money": "a price, such as 12.50 each",
    "part number": "a part number",
    "hand": "left, right or either",
    "date": "a date, such as 2012-11-02, May 2011 or 2014",
}
"""What would be read, in words, by datatype."""

_LARGEST = {
    "length": 10_000,
    "angle": 360,
    "pressure": 1_000_000,
    "torque": 1_000_000,
    "force": 10**9,
    "ratio": 1_000_000,
    "number": 10**15,
    "money": 10**7,
}
"""Beyond these (in the base unit) a cell is a slip, not a size."""


@dataclass(frozen=True, slots=True)
class Cell:
    """A cell being read: `written` as it stands, `text` after tidying, `flags` from tidying."""

    written: str
    text: str
    datatype: str
    context: ReadingContext
    flags: tuple[str, ...] = ()

    def error(self, why: str, *suggestions: str) -> CellError:
        """The error to raise, with `suggestions` that the caller of the reader still sifts."""
        return CellError(self.written, EXPECTED[self.datatype], suggestions, why)

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
        largest = _LARGEST.get(self.datatype)
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
