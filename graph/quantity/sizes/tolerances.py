"""Limits of a size with an ISO 286 tolerance class, such as 25 k6."""

from __future__ import annotations

from fractions import Fraction

from knockon.graph.quantity.cells.cell import Cell
from knockon.graph.standards.iso286 import limits


def fit_limits(cell: Cell, size_mm: Fraction, tolerance_class: str) -> tuple[Fraction, Fraction]:
    """The smallest and the largest size in mm of `size_mm` in `tolerance_class`, by ISO 286.

    Raises CellError where the standard has no such class at that size.
    """
    try:
        deviations_um = limits(float(size_mm), tolerance_class)
    except ValueError as error:
        raise cell.error(f"no ISO 286 limits for {tolerance_class} at this size: {error}") from None
    lower, upper = (size_mm + Fraction(str(deviation)) / 1000 for deviation in deviations_um)
    return lower, upper
