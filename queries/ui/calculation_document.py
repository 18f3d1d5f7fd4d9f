"""A calculation as one JSON document: the same question gives the same bytes."""

from __future__ import annotations

from dataclasses import replace

import msgspec

from knockon.graph.interval import Interval
from knockon.queries.workshop.answer import Amount, Calculation

_PLACES = 9


class CalculationDocument(msgspec.Struct, frozen=True):
    """One calculation. ``status`` is the exit status: 0 a good answer, 1 a no or not decided.

    Amounts are given as low and high in the unit named beside them; null where there is no limit.
    """

    answer: str
    status: int
    result: Calculation


def encode(calculation: Calculation, status: int) -> bytes:
    """The document, indented, with a line break at its end; numbers to nine decimals."""
    rounded = replace(
        calculation,
        given=tuple(map(_rounded, calculation.given)),
        results=tuple(map(_rounded, calculation.results)),
        influences=tuple(replace(i, share=round(i.share, _PLACES)) for i in calculation.influences),
    )
    document = CalculationDocument("calculate", status, rounded)
    return msgspec.json.format(msgspec.json.encode(document), indent=1) + b"\n"


def _rounded(amount: Amount) -> Amount:
    value = amount.value
    return replace(amount, value=Interval(round(value.low, _PLACES), round(value.high, _PLACES)))
