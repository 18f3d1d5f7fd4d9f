"""What a cell becomes: quantities, the error that names what was expected, and the context of a reading."""

from __future__ import annotations

from typing import Literal

import msgspec

from knockon.graph.quantity.cells.part_index import PartIndex

Side = Literal["left", "right"]
DateOrder = Literal["day first", "month first"]


class Quantity(msgspec.Struct, frozen=True, kw_only=True):
    """One reading: an interval in the base unit of its datatype, or a code, or a stated lack of one.

    Base units: length mm, angle deg, pressure kPa, torque N m, force N, date days (1 = 1 January of
    year 1), money its currency, everything else 1. The interval is closed; both ends are None when
    the value is unknown, absent, not applicable or a code.
    """

    low: float | None = None
    high: float | None = None
    nominal: bool = False
    """A length or angle stated without limits or uncertainty."""
    code: str | None = None
    """A text value, in lower case with single blanks (part numbers keep their case)."""
    unknown: bool = False
    """Written as not known, or a part of a designation that was not written."""
    absent: bool = False
    """The thing itself is known to be absent."""
    not_applicable: bool = False
    written: str
    """Exactly what stands in the cell."""
    unit: str = ""
    """The unit as written, or an empty text."""
    flags: tuple[str, ...] = ()
    """Each help that the reading needed, in words."""


class CellError(ValueError):
    """A cell that cannot be read.

    `written` is the cell, `expected` says in words what would be read, `why` what is wrong, and
    `suggestions` are readings to offer: each is itself a readable cell, none is applied.
    """

    def __init__(self, written: str, expected: str, suggestions: tuple[str, ...] = (), why: str = "") -> None:
        super().__init__(written, expected, suggestions, why)
        self.written = written
        self.expected = expected
        self.suggestions = suggestions
        self.why = why

    def __str__(self) -> str:
        shown = self.written if len(self.written) <= 60 else self.written[:57] + "..."
        said = f"cannot read {shown!r}{f' ({self.why})' if self.why else ''}. Enter {self.expected}"
        return f"{said}. Did you mean {' or '.join(self.suggestions)}?" if self.suggestions else said

    @property
    def problem(self) -> str:
        """What is wrong, in a few words."""
        return self.why or "cannot be read"


class ReadingContext(msgspec.Struct, frozen=True):
    """What is known beside the cell. Without it nothing is filled in.

    `strict`: a table of our own, where units are written and spellings are plain.
    `unit`: the unit that the column's header states, or "".
    `decimal_comma`: the sheet's locale writes 27,52.
    `feature_range`: lowest and highest size in mm that makes sense for this dimension; it infers a
    missing unit (with a flag) where one of mm and inch fits and the other does not.
    `safety`: a safety-critical field, where a unit is never inferred.
    `driver`: the side of the vehicle on which the driver sits, which decides nearside and offside.
    `parts`: the part numbers that are known.
    `date_order`: how the sheet writes dates of figures only.
    """

    strict: bool = False
    unit: str = ""
    decimal_comma: bool = False
    feature_range: tuple[float, float] | None = None
    safety: bool = False
    driver: Side | None = None
    parts: PartIndex | None = None
    date_order: DateOrder | None = None


STRICT = ReadingContext(strict=True)
"""Tables of our own: a length without a unit is an error."""
LENIENT = ReadingContext()
"""A sheet of which nothing is known."""
