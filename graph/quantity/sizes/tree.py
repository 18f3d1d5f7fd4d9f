"""The parse of a measured size as plain data: sizes, measures, and the form of the whole cell."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING, Literal

import msgspec
from msgspec.structs import replace

from knockon.graph.quantity.cells.amounts import Amount
from knockon.graph.quantity.cells.grammar import Numbers, parse

if TYPE_CHECKING:
    from lark import Token

Form = Literal["plain", "plus or minus", "limits", "span", "about", "either", "derived"]


class Unit(msgspec.Struct, frozen=True):
    """A unit: its name in units.txt and the way it is written."""

    name: str
    written: str


class Size(msgspec.Struct, frozen=True):
    """A signed amount with the unit written behind it, if any."""

    amount: Amount
    unit: Unit | None
    sign: int = 1

    @property
    def value(self) -> Fraction:
        """The signed value in the unit as written."""
        return self.sign * self.amount.value


class Measure(msgspec.Struct, frozen=True):
    """One statement of a size: its form and the one to three sizes that make it; `dashed`: a span with a dash."""

    form: Form
    sizes: tuple[Size, ...]
    dashed: bool = False


class SizeCell(msgspec.Struct, frozen=True):
    """A whole cell: its form (a rule of sizes.lark) with its measures, labels and classes."""

    form: str
    measures: tuple[Measure, ...]
    words: tuple[str, ...] = ()


class _Sizes(Numbers):
    def unit(self, children: list[Token]) -> Unit:
        return Unit(children[0].type.lower(), str(children[0]))

    def size(self, children: list[object]) -> Size:
        sign, amount, unit = children
        assert isinstance(amount, Amount)
        return Size(amount, _unit(unit), -1 if sign == "-" else 1)

    deviation = size

    def bare(self, children: list[object]) -> Size:
        return self.size([None, *children])

    def plain(self, children: list[object]) -> Measure:
        return Measure("plain", _sizes(children))

    def plus_minus(self, children: list[object]) -> Measure:
        return Measure("plus or minus", _sizes(_shared_unit(children)))

    def limits(self, children: list[object]) -> Measure:
        first, *deviations = _sizes(_shared_unit(children))
        zero = () if deviations[1:] else (Size(Amount(Fraction(0), Fraction(1), "0", whole=True), None),)
        return Measure("limits", (first, *zero, *deviations))

    def span(self, children: list[object]) -> Measure:
        return Measure("span", _sizes(children), dashed=any(isinstance(child, str) for child in children))

    def about(self, children: list[object]) -> Measure:
        return Measure("about", _sizes(children))

    def stated(self, children: list[object]) -> SizeCell:
        return SizeCell("stated", _measures(children))

    def two_units(self, children: list[object]) -> SizeCell:
        return SizeCell("two units", _measures(children))

    def cell(self, children: list[SizeCell]) -> SizeCell:
        return children[0]

    def compound(self, children: list[object]) -> SizeCell:
        sign = -1 if children[0] == "-" else 1
        pairs = zip(children[1::2], children[2::2], strict=True)
        sizes = [Size(a, _unit(u), sign) for a, u in pairs if isinstance(a, Amount)]
        return SizeCell("compound", tuple(Measure("plain", (size,)) for size in sizes))

    def __default__(self, data: object, children: list[object], meta: object) -> SizeCell:
        words = tuple(str(child) for child in children if isinstance(child, str))
        return SizeCell(str(data).replace("_", " "), _measures(children), words)


def _unit(child: object) -> Unit | None:
    return child if isinstance(child, Unit) else None


def _shared_unit(children: list[object]) -> list[object]:
    """The sizes with the unit behind the bracket on those that have none: 25 (+0.02/-0) mm."""
    unit = next((child for child in children if isinstance(child, Unit)), None)
    if unit is None:
        return children
    return [replace(child, unit=child.unit or unit) if isinstance(child, Size) else child for child in children]


def _sizes(children: list[object]) -> tuple[Size, ...]:
    return tuple(child for child in children if isinstance(child, Size))


def _measures(children: list[object]) -> tuple[Measure, ...]:
    found = []
    for child in children:
        if isinstance(child, Amount):
            child = Size(child, None)
        if isinstance(child, Size):
            child = Measure("plain", (child,))
        if isinstance(child, Measure):
            found.append(child)
    return tuple(found)


def size_cell(text: str) -> SizeCell:
    """The form and the measures of `text`. Raises NotInGrammarError."""
    cell = parse("sizes", text, _Sizes)
    assert isinstance(cell, SizeCell)
    return cell
