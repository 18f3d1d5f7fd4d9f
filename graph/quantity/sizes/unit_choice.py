"""Which unit a size is in where its cell does not say: from its neighbour, the header, or not at all."""

from __future__ import annotations

from fractions import Fraction
from functools import lru_cache

from msgspec.structs import replace

from knockon.graph.quantity.cells.amounts import FRACTION_DENOMINATORS, Amount
from knockon.graph.quantity.cells.cell import Cell, Datatype
from knockon.graph.quantity.cells.grammar import NotInGrammarError
from knockon.graph.quantity.cells.model import CellError
from knockon.graph.quantity.sizes.tree import Measure, Size, Unit, size_cell
from knockon.graph.quantity.sizes.units import factor

MILLIMETRE = Unit("millimetre", "")
INCH = Unit("inch", "")

_DEVIATING = frozenset({"plus or minus", "limits"})
_FINE = frozenset({"thousandth", "micrometre"})
"""Units of a deviation, not of the size before it: 25.4 ±2 thou is not of 25.4 thou."""


def with_units(cell: Cell, measure: Measure, shared: Unit | None = None) -> tuple[Measure, tuple[str, ...]]:
    """`measure` with a unit on each of its sizes, and a flag where that was inferred.

    `shared` is the unit written elsewhere in the cell. Raises CellError where the unit is missing
    or not one of the column's datatype.
    """
    given = [size.unit for size in measure.sizes if size.unit is not None]
    for unit in given:
        check_unit(cell, unit)
    first = measure.sizes[0]
    if measure.form in _DEVIATING and first.unit is None and given and given[0].name in _FINE:
        unit, flags = _outside(cell, replace(measure, form="plain", sizes=(first,)))
        return _filled(replace(measure, sizes=(replace(first, unit=unit), *measure.sizes[1:])), given[0]), flags
    if given or shared:
        return _filled(measure, given[0] if given else shared), ()
    unit, flags = _outside(cell, measure)
    return _filled(measure, unit), flags


def check_unit(cell: Cell, unit: Unit) -> None:
    """Raises CellError for a unit of another datatype, and for one that means two things."""
    if unit.name == "mil" and cell.datatype.name == "length":
        before, _, behind = cell.text.partition(unit.written)
        offers = tuple(f"{before.strip()} {name}{behind}" for name in ("mm", "thou"))
        raise cell.error(f"{unit.written} is a thousandth of an inch to some and a mm to others", *offers)
    if unit.name == "tenth" and cell.datatype.name == "length":
        number = cell.text.partition(unit.written)[0].strip()
        tenth = f"{int(number) / 10:g}" if number.isdecimal() and len(number) < 4 else ""
        offers = tuple(f"{tenth} {name}" for name in ("mm", "thou") if tenth)
        raise cell.error(f"{unit.written}: of a mm to some, of a thousandth of an inch to others", *offers)
    if unit.written == "'" and cell.datatype.name == "length":
        number = cell.text.replace("'", "")
        raise cell.error("one mark means feet. Did you mean inches?", f"{number} in", f"{number} ft")
    if unit.name == "megapascal" and unit.written.startswith("m") and not cell.context.strict:
        offer = cell.text.replace(unit.written, "MPa")
        raise cell.error(f"{unit.written}: a thousandth of a pascal, or a million of them?", offer)
    if unit.name not in cell.datatype.units:
        raise cell.error(f"{unit.written!r} is not a unit of {cell.datatype.name}")


def _filled(measure: Measure, unit: Unit | None) -> Measure:
    return replace(measure, sizes=tuple(size if size.unit else replace(size, unit=unit) for size in measure.sizes))


def _outside(cell: Cell, measure: Measure) -> tuple[Unit, tuple[str, ...]]:
    """The unit of a measure that has none written, from what is known beside the cell."""
    if cell.datatype.base_unit == "count":
        return Unit("count", ""), ()
    if cell.context.strict:
        raise missing(cell)
    header = header_unit(cell)
    vulgar = any(size.amount.vulgar for size in measure.sizes)
    for amount in (size.amount for size in measure.sizes if size.amount.vulgar):
        _check_bare_fraction(cell, amount)
    if header is not None:
        if vulgar and header.name != "inch":
            raise cell.error(
                f"a fraction in a column of {header.written}", f"{cell.text} in", f"{cell.text} {header.written}"
            )
        return header, ()
    if cell.datatype.name != "length" or (cell.context.safety and not vulgar):
        raise missing(cell)
    return _inferred(cell, measure, vulgar=vulgar)


def _check_bare_fraction(cell: Cell, amount: Amount) -> None:
    """Refuse 27/28 and 10/8 without a unit: they are as likely two numbers as a fraction of an inch."""
    improper = amount.value >= 1 and amount.written.partition("/")[0].strip().isdigit()
    if amount.value.denominator in FRACTION_DENOMINATORS and not improper:
        return
    raise cell.error(
        "a fraction of an inch, or two numbers?", cell.text.replace(amount.written, f"{amount.written} in")
    )


def missing(cell: Cell) -> CellError:
    """The error for a size without a unit, with the usual units offered: whole millimetres as coarse as they are."""
    whole = cell.datatype.name == "length" and cell.text.isdecimal()
    coarse = {"mm": "±0.5 mm"} if whole else {}
    offers = (f"{cell.text} {coarse.get(unit, unit)}" for unit in cell.datatype.offered_units)
    return cell.error("unit missing", *offers)


def header_unit(cell: Cell) -> Unit | None:
    """The header's unit, read by the same grammar as a unit behind a number."""
    if not cell.context.unit:
        return None
    header = _named(cell.context.unit.strip("()[]. "))
    if header is None or header.name not in cell.datatype.units:
        raise cell.error(f"the header's unit {cell.context.unit!r} is not one of {cell.datatype.name}")
    return header


@lru_cache(maxsize=256)
def _named(unit: str) -> Unit | None:
    """The unit of this name, kept: every cell of a column asks for its header's."""
    try:
        one = size_cell(f"1 {unit}").measures[0].sizes[0]
        return one.unit if one.amount.whole and one.value == 1 else None  # 1/16 in is no unit
    except NotInGrammarError:
        return None


def _inferred(cell: Cell, measure: Measure, *, vulgar: bool) -> tuple[Unit, tuple[str, ...]]:
    """Inch or mm by the feature's range, or inch for a fraction; both with a flag."""
    if vulgar:
        return INCH, ("unit inferred: inch, as a fraction is written",)
    if cell.context.feature_range is None:
        raise missing(cell)
    fitting = [unit for unit in (MILLIMETRE, INCH) if _in_range(cell, measure, unit)]
    if len(fitting) != 1:
        raise missing(cell)
    low, high = cell.context.feature_range
    name = fitting[0].name
    return fitting[0], (f"unit inferred: {name}, to lie within {low:g} to {high:g} mm",)


def _in_range(cell: Cell, measure: Measure, unit: Unit) -> bool:
    if cell.context.feature_range is None:
        return True
    sizes = measure.sizes if measure.form == "span" else measure.sizes[:1]
    return all(in_range(cell, size.value * factor(unit.name, cell.datatype.base_unit)) for size in sizes)


def in_range(cell: Cell, size_mm: Fraction) -> bool:
    """Whether `size_mm` lies in the range that makes sense for the feature, if one is known."""
    if cell.context.feature_range is None:
        return True
    low, high = cell.context.feature_range
    return low <= size_mm <= high


def worth(size: Size, datatype: Datatype) -> Fraction:
    """The size in the base unit, exactly; it must have its unit."""
    assert size.unit is not None
    return size.value * factor(size.unit.name, datatype.base_unit)


def last_place(size: Size, datatype: Datatype) -> Fraction:
    """What one step of the size's last place is worth in the base unit."""
    assert size.unit is not None
    return size.amount.step * factor(size.unit.name, datatype.base_unit)
