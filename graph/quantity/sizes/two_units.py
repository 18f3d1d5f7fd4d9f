"""One size written in two units, such as 28.6 mm (1 1/8 in): which of the two was measured."""

from __future__ import annotations

from fractions import Fraction

from msgspec.structs import replace

from knockon.graph.quantity.cells.cell import Cell
from knockon.graph.quantity.sizes.tree import Measure, Size
from knockon.graph.quantity.sizes.unit_choice import INCH, MILLIMETRE, check_unit, last_place, worth

_HUNDREDTHS = Fraction(5, 100)
"""How far apart, in mm, two statements of one length may be without a remark."""
_DISAGREEING = Fraction(1, 50)
"""From this share of a length on, rounding is no excuse: 12 mm is not half an inch."""
_CUT_OFF = Fraction(1, 10)
"""The coarsest last place, in the base unit, at which figures are cut off instead of rounded."""


def agreed(cell: Cell, first: Measure, second: Measure) -> tuple[Measure, tuple[str, ...]]:
    """The measure of the two that the other is a conversion of, and what to say about it.

    One is a conversion of the other if it is the other rounded to its own last place, or cut off
    there where that place is fine; a fraction is never a conversion of decimals. If each could be
    the other's conversion, a fraction stands before decimals, and else the one written first; where
    it then matters which, both ends stand.
    Raises CellError where they disagree.
    """
    if first.form != "plain" or second.form != "plain":
        raise cell.error("two statements of a size")
    one, other, flags = _with_units(cell, first.sizes[0], second.sizes[0])
    if not (_is_conversion(cell, other, of=one) or _is_conversion(cell, one, of=other)):
        raise cell.error("the two sizes disagree", _spelled(one), _spelled(other))
    chosen, left = one, other
    if not _is_conversion(cell, other, of=one) or other.amount.vulgar > one.amount.vulgar:
        chosen, left = other, one
    apart = abs(worth(chosen, cell.datatype) - worth(left, cell.datatype))
    if cell.datatype.name == "length" and apart > _DISAGREEING * abs(worth(chosen, cell.datatype)):
        raise cell.error("the two sizes disagree", _spelled(one), _spelled(other))
    if cell.datatype.name == "length" and apart > _HUNDREDTHS and _is_rough(cell, chosen, left):
        return _between(cell, one, other), (*flags, f"{_spelled(one)} and {_spelled(other)} agree only roughly")
    flags += (f"agrees with {_spelled(left)}",)
    return Measure("plain", (chosen,)), flags


def _is_rough(cell: Cell, chosen: Size, left: Size) -> bool:
    """Whether it is not plain which of two lengths that differ by more than hundredths was converted.

    25 mm or 1 in: either may be the other one, rounded. 25.4 mm or 1.002 in: cut off, or a slip.
    22 mm or 7/8 in: a whole number of mm is often a size of its own.
    """
    apart = abs(worth(chosen, cell.datatype) - worth(left, cell.datatype))
    rounded = apart <= last_place(left, cell.datatype) / 2
    return not rounded or left.amount.whole or _is_conversion(cell, chosen, of=left)


def _between(cell: Cell, one: Size, other: Size) -> Measure:
    low, high = sorted((one, other), key=lambda size: worth(size, cell.datatype))
    return Measure("either", (low, high))


def _is_conversion(cell: Cell, size: Size, *, of: Size) -> bool:
    short = abs(worth(of, cell.datatype)) - abs(worth(size, cell.datatype))
    if size.amount.vulgar or size.sign != of.sign:
        return worth(of, cell.datatype) == worth(size, cell.datatype)
    step = last_place(size, cell.datatype)
    return abs(short) <= step / 2 or 0 <= short < step <= _CUT_OFF


def _with_units(cell: Cell, one: Size, other: Size) -> tuple[Size, Size, tuple[str, ...]]:
    for unit in (one.unit, other.unit):
        if unit is not None:
            check_unit(cell, unit)
    if one.unit and other.unit:
        if one.unit.name == other.unit.name and one.amount.vulgar == other.amount.vulgar:
            raise cell.error("two sizes in one unit", *_as_limits(one, other))
        return one, other, ()
    if cell.datatype.name != "length" or cell.context.strict or cell.context.safety:
        raise cell.error("two sizes, and not both with a unit", *_as_limits(one, other))
    return _inferred(cell, one, other)


def _as_limits(one: Size, other: Size) -> tuple[str, ...]:
    """1.0000/.9995 in may be the limits of one size."""
    unit = other.unit or one.unit
    low, high = sorted((one, other), key=lambda size: size.value)
    if low.sign < 0 or low.value == high.value:
        return ()
    return (f"{low.amount.written}..{high.amount.written} {unit.written if unit else ''}".rstrip(),)


def _inferred(cell: Cell, one: Size, other: Size) -> tuple[Size, Size, tuple[str, ...]]:
    """Units for the sizes that lack one, if just one choice of mm and inch makes them agree."""
    if other.unit is None and other.amount.whole:
        why = "a second size, a number of pieces, or the number of a note?"
        raise cell.error(why, *((_spelled(one),) if one.unit else ()))
    pairs = [(MILLIMETRE, INCH), (INCH, MILLIMETRE)]
    if one.amount.vulgar != other.amount.vulgar:
        pairs.append((INCH, INCH))
    fitting: dict[tuple[str, ...], tuple[Size, Size]] = {}
    for left, right in pairs:
        first, second = replace(one, unit=one.unit or left), replace(other, unit=other.unit or right)
        if _is_conversion(cell, second, of=first) or _is_conversion(cell, first, of=second):
            fitting[_names(first, second)] = (first, second)
    if len(fitting) != 1:
        raise cell.error("two sizes, and not both with a unit", *_as_limits(one, other))
    names, (first, second) = fitting.popitem()
    return first, second, (f"units inferred from the agreement: {' and '.join(names)}",)


def _names(*sizes: Size) -> tuple[str, ...]:
    return tuple(size.unit.name for size in sizes if size.unit)


def _spelled(size: Size) -> str:
    assert size.unit is not None
    symbol = size.unit.written or ("in" if size.unit.name == "inch" else "mm")
    return f"{size.amount.written} {symbol}"
