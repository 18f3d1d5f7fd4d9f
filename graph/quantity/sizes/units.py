"""Exact factors from one unit to another, by pint over fractions."""

from __future__ import annotations

from fractions import Fraction
from functools import cache
from typing import TYPE_CHECKING

from knockon.graph.files.shipped import shipped

if TYPE_CHECKING:
    import pint

_BY_DEFINITION = {
    ("inch", "millimetre"): Fraction(254, 10),
    ("thousandth", "millimetre"): Fraction(254, 10_000),
    ("bar", "kilopascal"): Fraction(100),
    ("psi", "kilopascal"): Fraction("0.45359237") * Fraction("9.80665") / Fraction("0.0254") ** 2 / 1000,
}
"""Spares most folders the import of pint; a test compares these with units.txt."""


@cache
def _registry() -> pint.UnitRegistry[Fraction]:
    # Imported here: pint costs more than reading a whole folder of plain cells.
    import pint

    definitions = shipped("graph", "quantity", "sizes", "units.txt").read_text(encoding="utf-8").splitlines()
    return pint.UnitRegistry(definitions, non_int_type=Fraction)


@cache
def factor(unit: str, base: str) -> Fraction:
    """What one `unit` is in the unit `base`, exactly; both are names of units.txt.

    Raises pint's DimensionalityError for units of two sorts.
    """
    if unit == base:
        return Fraction(1)
    known = _BY_DEFINITION.get((unit, base))
    return converted(unit, base) if known is None else known


def converted(unit: str, base: str) -> Fraction:
    """What one `unit` is in `base`, both names of units.txt, by pint."""
    quantity = _registry().Quantity(Fraction(1), unit).to(base)
    return Fraction(quantity.magnitude)
