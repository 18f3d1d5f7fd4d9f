"""Threads: a designation that says major diameter, pitch, flank angle and hand."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from knockon.graph.quantity.cells.cell import Datatype, Readings
from knockon.graph.quantity.cells.sheet_date import SheetDate, fractions
from knockon.graph.quantity.threads import read_thread


def _thread(readings: Readings) -> Iterator[str]:
    major, pitch = readings["major"].low, readings["pitch"].low
    angle, hand = readings["flank angle"].low, readings["hand"].code
    behind = {"left": " LH", "right": " RH"}.get(hand or "", "")
    if major is None:
        return
    if angle == 60 or angle is None:
        inch = _inch_thread(major, pitch)
        if inch:
            yield inch + ("" if angle is None else " UN") + behind
    if angle == 60:
        yield f"M{major!r}" + (f"x{pitch!r}" if pitch is not None else "") + behind
    if angle == 30:
        yield f"Tr {major!r}" + (f"x{pitch!r}" if pitch is not None else "") + behind
    if angle == 55:
        yield _inch_thread(major, pitch) + " Whit" + behind


def _inch_thread(major: float, pitch: float | None) -> str:
    """`3/8-24` if the sizes are those of whole 64ths and whole threads per inch, else nothing."""
    if pitch is None:
        return ""
    inches = Fraction(major / 25.4).limit_denominator(64)
    per_inch = Fraction(25.4 / pitch).limit_denominator(2)
    whole, rest = divmod(inches, 1)
    size = " ".join(str(part) for part in (whole, rest) if part)
    return f"{size}-{float(per_inch):g}" if size else ""


def _from_date(date: SheetDate) -> Iterator[str]:
    """An inch size, with the year as threads per inch or of a series; and month and day, one of them a number size."""
    for fraction in fractions(date):
        if date.short_year > 0:
            yield f"{fraction}-{date.short_year}"
        yield f"{fraction} UNF"
        yield f"{fraction} UNC"
    yield f"{date.month}-{date.day}"
    yield f"{date.day}-{date.month}"


THREAD = Datatype(
    name="thread",
    expected="a thread, such as M10x1, 3/8-24 UNF or 3/4 UNF",
    read=read_thread,
    write=_thread,
    parts={"major": "mm", "pitch": "mm", "flank angle": "deg", "hand": ""},
    inch_fractions=True,
    from_date=_from_date,
)
