"""Lengths, in mm: the one size of which a missing unit may be inferred, and that wears."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from functools import lru_cache

from knockon.graph.quantity.cells.amounts import FRACTION_DENOMINATORS
from knockon.graph.quantity.cells.cell import Datatype
from knockon.graph.quantity.cells.model import Quantity, ReadingContext
from knockon.graph.quantity.cells.sheet_date import SheetDate, fractions
from knockon.graph.quantity.sizes.measured import read_size

_PLAIN_FACTORS = {"mm": Fraction(1), "in": Fraction(254, 10)}
_LARGEST = 10_000


def _quick(text: str, context: ReadingContext) -> Quantity | None:
    """`25.4 mm` and `1.125 in`; in a sheet also `25.4` in a column of mm or inches."""
    if "±" in text:
        plain = context.strict and not (context.decimal_comma or context.feature_range)
        return _plus_minus(text) if plain else None
    number, _, unit = text.partition(" ")
    if not unit and not context.strict and (context.unit == "in" or not number.isdigit()):
        unit = context.unit  # whole millimetres are coarse, and so not plain
    factor = _PLAIN_FACTORS.get(unit)
    if factor is None or not _is_plain(number) or (context.decimal_comma and "." in number):
        return None
    value = float(number) if unit == "mm" else float(Fraction(number) * factor)
    if value > _LARGEST:
        return None
    if context.feature_range and not context.feature_range[0] < value < context.feature_range[1]:
        return None  # at its ends the exact size decides
    return Quantity(low=value, high=value, nominal=True, written=text, unit=unit)


@lru_cache(maxsize=65_536)
def _plus_minus(text: str) -> Quantity | None:
    """`25.4 mm ±0.05 mm` and `25.4 ±0.05 mm`, in one unit; ends from exact numbers, as the grammar's are."""
    size, _, spread = text.partition(" ±")
    number, _, unit = size.partition(" ")
    deviation, _, spread_unit = spread.partition(" ")
    factor = _PLAIN_FACTORS.get(spread_unit)
    if factor is None or unit not in ("", spread_unit) or not (_is_plain(number) and _is_plain(deviation)):
        return None
    value, by = Fraction(number) * factor, Fraction(deviation) * factor
    if by > value or value + by > _LARGEST:
        return None
    return Quantity(low=float(value - by), high=float(value + by), written=text, unit=spread_unit)


def _is_plain(number: str) -> bool:
    whole, point, decimals = number.partition(".")
    return (
        number.isascii()
        and len(number) <= 12
        and (whole.isdigit() or (not whole and bool(point)))
        and (whole == "0" or not whole.startswith("0"))
        and (decimals.isdigit() if point else True)
    )


def _respelled(written: str) -> Iterator[str]:
    if not written.replace(".", "", 1).isdigit():  # which without a unit is no length
        yield written
    yield f"{written.strip()} in"
    yield f"{written.strip()} mm"


def _from_date(date: SheetDate) -> Iterator[str]:
    """Inches: a fraction, or with the year behind day or month a whole number and a fraction."""
    yield from (f"{fraction} in" for fraction in fractions(date))
    one, other = sorted((date.day, date.month))
    if one == 1 and other not in FRACTION_DENOMINATORS and date.short_year < 0:
        yield f"1/{other} in"  # 11-Jan: hardly a size, but what was typed
    for whole, above in ((date.month, date.day), (date.day, date.month)):
        if above < date.short_year and date.short_year in FRACTION_DENOMINATORS:
            yield f"{whole} {above}/{date.short_year} in"


LENGTH = Datatype(
    name="length",
    expected="a length with its unit, such as 25.4 mm, 1 1/16 in or 25.40 ±0.05 mm",
    read=read_size,
    largest=_LARGEST,
    parts={"": "mm"},
    base_unit="millimetre",
    units=("millimetre", "centimetre", "metre", "micrometre", "inch", "thousandth", "foot"),
    offered_units=("mm", "in"),
    slip_units=(" mm", " in"),
    forms=frozenset({"stated", "two units", "fit", "compound"}),
    nominal=True,
    wears=True,
    inch_fractions=True,
    quick=_quick,
    respelled=_respelled,
    from_date=_from_date,
)
