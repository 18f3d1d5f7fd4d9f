"""Limits of a size with an ISO 286 tolerance class, such as 25 k6."""

from __future__ import annotations

from fractions import Fraction
from importlib import import_module

from knockon.graph.quantity.cell import Cell


def fit_limits(cell: Cell, size_mm: Fraction, tolerance_class: str) -> tuple[Fraction, Fraction]:
    """The smallest and the largest size in mm of `size_mm` in `tolerance_class`, by ISO 286.

    Raises CellError where the table of limits has no such cell.
    """
    try:
        limits = import_module("knockon.graph.formulas.iso286").limits
    except ModuleNotFoundError:
        raise cell.error("the limits of ISO 286 classes are not available") from None
    try:
        lower_um, upper_um = limits(float(size_mm), tolerance_class)
    except ValueError as error:
        raise cell.error(f"no ISO 286 limits for {tolerance_class} at this size: {error}") from None
    return (
        size_mm + Fraction(str(lower_um)) / 1000,
        size_mm + Fraction(str(upper_um)) / 1000,
    )
