"""Which unit a size is in where its cell does not say: from its neighbour, the header, or not at all."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from knockon.graph.quantity.cell import Cell
from knockon.graph.quantity.grammar import NotInGrammarError
from knockon.graph.quantity.model import CellError
from knockon.graph.quantity.size_tree import Measure, Size, Unit, size_cell
from knockon.graph.quantity.units import UNITS, factor

MILLIMETRE = Unit("millimetre", "")
INCH = Unit("inch", "")

_OFFERED = {
    "length": ("mm", "in"),
    "angle": ("deg",),
    "pressure": ("psi", "bar"),
    "torque": ("N m", "lbf ft"),
    "force": ("N", "lbf"),
}
"""Units that are offered, never applied, where one is missing."""


def with_units(cell: Cell, measure: Measure, shared: Unit | None = None) -> tuple[Measure, tuple[str, ...]]:
    """`measure` with a unit on each of its sizes, and a flag where that was inferred.

    `shared` is the unit written elsewhere in the cell. Raises CellError where the unit is missing
    or not one of the column's datatype.
    """
    given = [size.unit for size in measure.sizes if size.unit is not None]
    for unit in given:
        check_unit(cell, unit)
    if given or shared:
        return _filled(measure, given[0] if given else shared), ()
    unit, flags = _outside(cell, measure)
    return _filled(measure, unit), flags


def check_unit(cell: Cell, unit: Unit) -> None:
    """Raises CellError for a unit of another datatype, and for one that means two things."""
    if unit.name == "mil" and cell.datatype == "length":
        before, _, behind = cell.text.partition(unit.written)
        offers = (f"{before.strip()} {name}{behind}" for name in ("mm", "thou"))
        raise cell.error(f"{unit.written} is a thousandth of an inch to some and a mm to others", *offers)
    if unit.name not in UNITS[cell.datatype]:
        raise cell.error(f"{unit.written!r} is not a unit of {cell.datatype}")


def _filled(measure: Measure, unit: Unit | None) -> Measure:
    return replace(measure, sizes=tuple(size if size.unit else replace(size, unit=unit) for size in measure.sizes))


def _outside(cell: Cell, measure: Measure) -> tuple[Unit, tuple[str, ...]]:
    """The unit of a measure that has none written, from what is known beside the cell."""
    if cell.datatype in ("number", "ratio"):
        return Unit("count", ""), ()
    if cell.context.strict:
        raise missing(cell)
    header = _header_unit(cell)
    vulgar = any(size.amount.vulgar for size in measure.sizes)
    if header is not None:
        if vulgar and header.name != "inch":
            raise cell.error(
                f"a fraction in a column of {header.written}", f"{cell.text} in", f"{cell.text} {header.written}"
            )
        return header, ()
    if cell.datatype != "length" or cell.context.safety:
        raise missing(cell)
    return _inferred(cell, measure, vulgar=vulgar)


def missing(cell: Cell) -> CellError:
    """The error for a size without a unit, with the usual units offered."""
    offers = (f"{cell.text} {unit}" for unit in _OFFERED.get(cell.datatype, ()))
    return cell.error("unit missing", *offers)


def _header_unit(cell: Cell) -> Unit | None:
    """The header's unit, read by the same grammar as a unit behind a number."""
    if not cell.context.unit:
        return None
    try:
        header = size_cell(f"1 {cell.context.unit.strip('()[]. ')}").measures[0].sizes[0].unit
    except NotInGrammarError:
        header = None
    if header is None or header.name not in UNITS[cell.datatype]:
        raise cell.error(f"the header's unit {cell.context.unit!r} is not one of {cell.datatype}")
    return header


def _inferred(cell: Cell, measure: Measure, *, vulgar: bool) -> tuple[Unit, tuple[str, ...]]:
    """Inch or mm by the feature's range, or inch for a fraction; both with a flag."""
    fitting = [unit for unit in (MILLIMETRE, INCH) if _in_range(cell, measure, unit)]
    if cell.context.feature_range is None:
        if vulgar:
            return INCH, ("unit inferred: inch, as a fraction is written",)
        raise missing(cell)
    if vulgar:
        fitting = [unit for unit in fitting if unit is INCH]
    if len(fitting) != 1:
        raise missing(cell)
    low, high = cell.context.feature_range
    name = fitting[0].name
    return fitting[0], (f"unit inferred: {name}, to lie within {low:g} to {high:g} mm",)


def _in_range(cell: Cell, measure: Measure, unit: Unit) -> bool:
    if cell.context.feature_range is None:
        return True
    sizes = measure.sizes if measure.form == "span" else measure.sizes[:1]
    return all(in_range(cell, size.value * factor(unit.name, "length")) for size in sizes)


def in_range(cell: Cell, size_mm: Fraction) -> bool:
    """Whether `size_mm` lies in the range that makes sense for the feature, if one is known."""
    if cell.context.feature_range is None:
        return True
    low, high = cell.context.feature_range
    return low <= size_mm <= high


def worth(size: Size, datatype: str) -> Fraction:
    """The size in the base unit, exactly; it must have its unit."""
    assert size.unit is not None
    return size.value * factor(size.unit.name, datatype)


def last_place(size: Size, datatype: str) -> Fraction:
    """What one step of the size's last place is worth in the base unit."""
    assert size.unit is not None
    return size.amount.step * factor(size.unit.name, datatype)
