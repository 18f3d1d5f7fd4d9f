"""ISO 286 fits: the limits of size of a tolerance class, the clearance of a hole and a shaft, and the sort of fit.

Sizes in mm, clearances in micrometres unless said otherwise; the deviations are the standard's (standards/iso286.py).
"""

from __future__ import annotations

import re

import msgspec

from knockon.graph.formulas.interval import Interval, Value, as_interval, width
from knockon.graph.formulas.registry import states
from knockon.graph.standards.iso286 import GAP, TIGHT, Deviations, ToleranceClassError, deviations

CLEARANCE = "clearance"
TRANSITION = "transition"
INTERFERENCE = "interference"

_FIT = re.compile(
    r"(?:(?:[Øø⌀]\s*)?(?P<size>\d+(?:[.,]\d+)?)\s*(?:mm)?\s+)?(?P<hole>[A-Z]{1,2}\d{1,2})\s*/\s*(?P<shaft>[a-z]{1,2}\d{1,2})"
)


class Fit(msgspec.Struct, frozen=True):
    """A hole and a shaft of one nominal size. ``clearance`` in micrometres; below zero is interference."""

    hole: Deviations
    shaft: Deviations
    clearance: Interval
    sort: str


def limits_of_size(found: Deviations) -> Interval:
    """The limits of size in mm, to the tenth of a micrometre.

    Source: ISO 286-1 and ISO 286-2 (tables).
    Valid range: over 0 up to 500 mm.
    """
    return Interval(round(found.nominal + found.lower / 1000, 7), round(found.nominal + found.upper / 1000, 7))


def fit(nominal: float, hole_class: str, shaft_class: str) -> Fit:
    """The fit of a hole and a shaft class at one nominal size in mm.

    Clearance least = EI - es, greatest = ES - ei. Sort: ``clearance`` where the least is 0 or more,
    ``interference`` where the greatest is 0 or less, else ``transition`` (so 10 H7/p6, whose
    greatest clearance is exactly 0, is interference). Raises ToleranceClassError, also where the
    first class is not one of holes or the second not one of shafts.
    Source: ISO 286-1 (definitions).
    """
    hole, shaft = deviations(nominal, hole_class), deviations(nominal, shaft_class)
    if not hole.hole or shaft.hole:
        raise ToleranceClassError(f"{hole_class}/{shaft_class}: the hole (capital letter) comes first, then the shaft")
    gap = Interval(hole.lower - shaft.upper, hole.upper - shaft.lower)
    return Fit(hole, shaft, gap, sort_of_fit(gap))


def sort_of_fit(clearance: Value) -> str:
    """``clearance``, ``transition`` or ``interference`` of a clearance (any unit, below zero is interference).

    Source: ISO 286-1 (definitions).
    """
    gap = as_interval(clearance)
    if gap.low >= 0:
        return CLEARANCE
    return INTERFERENCE if gap.high <= 0 else TRANSITION


@states(units="mm", unit="mm", source="ISO 286-1 (definitions): clearance = hole - shaft")
def fit_clearance(hole: Value, shaft: Value) -> Value:
    """Clearance of a hole and a shaft in mm; below zero it is interference.

    Parameters: limits of size of both in mm. Formula: hole - shaft (ISO 286-1, definitions).
    """
    return hole - shaft


def fit_in_words(hole: Value, shaft: Value) -> str:
    """The sort of fit in words, from limits of size in mm; it is open where neither is known to limits.

    Source: ISO 286-1 (definitions).
    Valid range: sizes above 0.
    """
    if width(hole) == 0 and width(shaft) == 0:
        return "no limits recorded, so the sort of fit is open"
    sort = sort_of_fit(fit_clearance(hole, shaft))
    return f"{'an' if sort == INTERFERENCE else 'a'} {sort} fit"


def parse_fit(text: str) -> tuple[float | None, str, str]:
    """Read ``25 H7/g6`` or ``H7/g6`` as (nominal size in mm or None, hole class, shaft class).

    Raises ToleranceClassError.
    Source of the notation: ISO 286-1.
    """
    match = _FIT.fullmatch(text.strip())
    if not match:
        raise ToleranceClassError(f"{text!r} is not a fit such as 25 H7/g6 (the hole first, with a capital letter)")
    size = float(match["size"].replace(",", ".")) if match["size"] else None
    return size, match["hole"], match["shaft"]


def classes_within(nominal: float, window: Interval, hole: bool) -> list[str]:
    """The tolerance classes, IT5 to IT11, whose limits at ``nominal`` lie within ``window`` (mm), widest first.

    Source: ISO 286-1 and ISO 286-2 (tables).
    Valid range: over 0 up to 500 mm.
    """
    letters = [*GAP, "js", "j", "k", *TIGHT]
    found: list[tuple[float, str]] = []
    for letter in letters:
        for grade in range(5, 12):
            name = f"{letter.upper() if hole else letter}{grade}"
            try:
                span = limits_of_size(deviations(nominal, name))
            except ToleranceClassError:
                continue
            if span in window:
                found.append((-span.width, name))
    return [name for _, name in sorted(found)]
