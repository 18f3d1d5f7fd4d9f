"""Counts of teeth and other things, and the pitches of splines, whose base unit is the mm of a module."""

from __future__ import annotations

from collections.abc import Iterator

from knockon.graph.quantity.cells.cell import Datatype, Readings
from knockon.graph.quantity.cells.model import Quantity, ReadingContext
from knockon.graph.quantity.cells.sheet_date import SheetDate, fractions
from knockon.graph.quantity.splines import read_count, read_spline_pitch


def _quick_count(text: str, context: ReadingContext) -> Quantity | None:
    """`27`."""
    if len(text) > 4 or not (text.isascii() and text.isdigit()):
        return None
    value = float(text)
    return Quantity(low=value, high=value, written=text)


def _count(readings: Readings) -> Iterator[str]:
    low, high = (int(end or 0) for end in (readings[""].low, readings[""].high))
    yield f"{low}" if low == high else f"{low}..{high}"


COUNT = Datatype(name="count", expected="a whole number, such as 27", read=read_count, write=_count, quick=_quick_count)


def _pitch(readings: Readings) -> Iterator[str]:
    yield f"module {readings[''].low!r}"


def _pitch_from_date(date: SheetDate) -> Iterator[str]:
    yield from fractions(date)
    yield f"{date.month}/{date.day}"
    yield f"{date.day}/{date.month}"


SPLINE_PITCH = Datatype(
    name="spline pitch",
    expected="a spline pitch, such as 24/48 or module 1.0",
    read=read_spline_pitch,
    write=_pitch,
    parts={"": "mm"},
    beside={"teeth": "one tooth count"},
    from_date=_pitch_from_date,
)
