"""A calculation as the same JSON document that other answers have; no records are read for it."""

from __future__ import annotations

from msgspec.structs import replace

from knockon.graph.formulas.interval import Interval
from knockon.queries.ui.document import Document, RecordsRead, written
from knockon.queries.workshop.answer import Amount, Calculation

NAME = "calculate"
_PLACES = 9


def encode(calculation: Calculation, status: int) -> bytes:
    """The document, laid out in lines; numbers to nine decimals, null where there is no limit."""
    rounded = replace(
        calculation,
        given=tuple(map(_rounded, calculation.given)),
        results=tuple(map(_rounded, calculation.results)),
        influences=tuple(replace(i, share=round(i.share, _PLACES)) for i in calculation.influences),
    )
    nothing_read = RecordsRead(invented=False, set_aside=0)
    return written(Document(NAME, nothing_read, status, rounded))


def _rounded(amount: Amount) -> Amount:
    value = amount.value
    return replace(amount, value=Interval(round(value.low, _PLACES), round(value.high, _PLACES)))
