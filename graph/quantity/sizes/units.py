"""Exact factors from a written unit to the base unit of its datatype, by pint over fractions."""

from __future__ import annotations

from fractions import Fraction
from functools import cache
from importlib.resources import files
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import pint

BASE_UNITS = {
    "length": "millimetre",
    "angle": "degree",
    "pressure": "kilopascal",
    "torque": "newton_metre",
    "force": "newton",
    "number": "count",
    "ratio": "count",
}
"""The unit in which each measured datatype is kept."""

BASE_SYMBOLS = {
    "length": "mm",
    "angle": "deg",
    "pressure": "kPa",
    "torque": "N m",
    "force": "N",
    "number": "",
    "ratio": "",
}
"""How the base unit is written behind a number."""


UNITS = {
    "length": ("millimetre", "centimetre", "metre", "micrometre", "inch", "thousandth", "foot"),
    "angle": ("degree", "radian", "arc_minute"),
    "pressure": (
        "psi",
        "bar",
        "millibar",
        "kilopascal",
        "megapascal",
        "pascal",
        "kilogram_force_per_square_centimetre",
    ),
    "torque": (
        "newton_metre",
        "pound_force_foot",
        "pound_per_foot",
        "pound_force_inch",
        "kilogram_force_metre",
        "kilogram_force_centimetre",
    ),
    "force": ("newton", "kilonewton", "pound_force", "kilogram_force"),
    "number": ("percent",),
    "ratio": ("percent",),
}
"""The units that a column of each datatype may hold, by their names in units.txt."""

_BY_DEFINITION = {
    ("inch", "length"): Fraction(254, 10),
    ("thousandth", "length"): Fraction(254, 10_000),
    ("bar", "pressure"): Fraction(100),
    ("psi", "pressure"): Fraction("0.45359237") * Fraction("9.80665") / Fraction("0.0254") ** 2 / 1000,
}
"""Spares most folders the import of pint; a test compares these with units.txt."""


@cache
def _registry() -> pint.UnitRegistry[Fraction]:
    # Imported here: pint costs more than reading a whole folder of plain cells.
    import pint

    definitions = files(__package__).joinpath("units.txt").read_text(encoding="utf-8").splitlines()
    return pint.UnitRegistry(definitions, non_int_type=Fraction)


@cache
def factor(unit: str, datatype: str) -> Fraction:
    """What one `unit` is in the base unit of `datatype`, exactly.

    `unit` is one of UNITS[datatype]; raises pint's DimensionalityError for one of another sort.
    """
    base = BASE_UNITS[datatype]
    if unit == base:
        return Fraction(1)
    if (unit, datatype) in _BY_DEFINITION:
        return _BY_DEFINITION[unit, datatype]
    return converted(unit, base)


def converted(unit: str, base: str) -> Fraction:
    """What one `unit` is in `base`, both names of units.txt, by pint."""
    quantity = _registry().Quantity(Fraction(1), unit).to(base)
    return Fraction(quantity.magnitude)
