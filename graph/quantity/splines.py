"""Counts of teeth and other things, and the pitches of splines."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING, Any

from msgspec.structs import replace

from knockon.graph.quantity.cells.amounts import Amount
from knockon.graph.quantity.cells.cell import Cell
from knockon.graph.quantity.cells.grammar import NotInGrammarError, all_amounts, amounts_in, parse, rules_in, words_in
from knockon.graph.quantity.cells.model import Quantity
from knockon.graph.quantity.sizes.doubts import check_amount, without_doubtful_point
from knockon.graph.standards.thread_series import INCH_MM

if TYPE_CHECKING:
    from lark import Tree

WORDS = (
    "one two three four five six seven eight nine ten eleven twelve".split()  # noqa: SIM905
)
"""Numbers as words, from one on."""

_MOST = 9_999
_SMALLEST_MODULE, _LARGEST_MODULE = Fraction(1, 10), 25
_USUAL_MODULES = 10
"""ISO 4156 goes from 0.25 to 10, ANSI B92.1 from 2.5/5 to 128/256."""
_PRESSURE_ANGLES = frozenset({30, Fraction(75, 2), 45})


def _tree(cell: Cell, why: str) -> Tree[Any]:
    if "mod." in cell.text.casefold():  # mod.8
        cell = without_doubtful_point(cell)
    try:
        tree: Tree[Any] = parse("splines", cell.text)
    except NotInGrammarError:
        raise cell.error(why) from None
    for amount in all_amounts(tree):
        check_amount(cell, amount)
    return tree


def read_count(cell: Cell) -> dict[str, Quantity]:
    """The reading "" of a whole number: `27`, `25 spl`, `24-26`. Raises CellError."""
    tree = _tree(cell, "not a whole number")
    if tree.data == "word":
        value = Fraction(1 + WORDS.index(str(tree.children[0]).lower()))
        return {"": cell.interval(value, value, flags=(f"read as {value}",))}
    if tree.data not in ("bare", "teeth", "span"):
        raise cell.error("more than a count" if tree.data in ("teeth_and_pitch", "pitch_and_teeth") else "not a count")
    counts = [whole(cell, amount) for amount in amounts_in(tree)]
    if counts[0] > counts[-1]:
        raise cell.error("the range runs backwards")
    return {"": cell.interval(counts[0], counts[-1], flags=_count_flags(cell, tree))}


def whole(cell: Cell, amount: Amount) -> Fraction:
    """The whole number that `amount` is. Raises CellError."""
    if amount.vulgar or amount.value.denominator != 1:
        raise cell.error("a count is a whole number")
    if amount.value > _MOST:
        raise cell.error("too many to be meant")
    return amount.value


def _count_flags(cell: Cell, tree: Tree[Any]) -> tuple[str, ...]:
    written = amounts_in(tree)
    if all(amount.whole for amount in written):
        return ()
    return (f"read as {' to '.join(str(int(amount.value)) for amount in written)}",)


def read_spline_pitch(cell: Cell) -> dict[str, Quantity]:
    """The reading "" of a spline pitch as module in mm, and "teeth" where a count is written too.

    The module is the circular pitch over pi: 25.4 / N for the inch pitch N/2N (ANSI B92.1), and the
    module itself for a metric one (ISO 4156; DIN 5480, W25x1x24). Raises CellError.
    """
    tree = _tree(cell, "not a spline pitch")
    if tree.data == "involute":
        return _involute(cell, tree)
    amounts = amounts_in(tree)
    flags: tuple[str, ...] = ()
    readings: dict[str, Quantity] = {}
    if tree.data in _WITH_TEETH:
        written = amounts.pop(_WITH_TEETH[tree.data])
        if tree.data == "times":
            flags = (f"{written.written} read as teeth",)
        readings["teeth"] = _teeth(cell, written, flags)
    pitch = next(iter(rules_in(tree)), None)
    if tree.data == "teeth":
        readings[""] = cell.unknown("pitch unknown: the tooth count alone does not tell it")
    elif pitch is not None:
        readings[""] = _stub(cell, pitch) if pitch.data == "stub" else _stated(cell, pitch)
    else:
        readings[""] = _pair_of(cell, amounts)
    return readings


_WITH_TEETH = {"teeth": 0, "teeth_and_pitch": 0, "times": 0, "pitch_and_teeth": -1}
"""Which of a form's own numbers counts the teeth."""


def _teeth(cell: Cell, amount: Amount, flags: tuple[str, ...] = ()) -> Quantity:
    if cell.context.strict:
        raise cell.error("a tooth count in a column of pitches")
    count = whole(cell, amount)
    if count == 0:
        raise cell.error("no teeth")
    return cell.interval(count, count, flags=flags)


def _stub(cell: Cell, tree: Tree[Any]) -> Quantity:
    """2.5/5: a pitch that is no whole number, over its stub pitch."""
    pitch, stub = amounts_in(tree)
    if stub.value != 2 * pitch.value or pitch.value <= 0:
        raise cell.error("the second figure of a spline pitch is twice the first")
    return _module(cell, INCH_MM / pitch.value)


def _involute(cell: Cell, tree: Tree[Any]) -> dict[str, Quantity]:
    """DIN 5480: W25x1x24 8f, or with the pressure angle before the teeth, W25x1x30x24x8f."""
    diameter, module, *rest = amounts_in(tree)
    if any(amount.vulgar for amount in (diameter, module, *rest)):
        raise cell.error("a fraction in a metric designation")
    if len(rest) == 2 and rest.pop(0).value not in _PRESSURE_ANGLES:
        raise cell.error("the third of four figures is the pressure angle, 30, 37.5 or 45")
    reading = _module(cell, module.value)
    flags = [f"DIN 5480: the reference diameter {diameter.written} is written, not used"]
    fit = next(iter(words_in(tree)), None)
    if fit is not None:
        flags.append(f"tolerance class {fit} is written, not used")
    readings = {"": replace(reading, flags=(*reading.flags, *flags))}
    if rest:
        readings = {"teeth": _teeth(cell, rest[0]), **readings}
        most = diameter.value / module.value
        if not most - 3 <= rest[0].value < most:
            raise cell.error(f"{rest[0].written} teeth of module {module.written} do not make {diameter.written} mm")
    return readings


def _stated(cell: Cell, pitch: Tree[Any]) -> Quantity:
    amount = amounts_in(pitch)[0]
    if pitch.data == "module":
        if amount.vulgar:
            raise cell.error("a module is not a fraction")
        reading = _module(cell, amount.value)
        if amount.value > _USUAL_MODULES and "m" in (str(child).lower() for child in pitch.children):
            raise cell.error("a module, or a metric thread?", f"module {amount.written}")
        if str(pitch.children[-1]) == "m":
            return replace(reading, flags=(*reading.flags, f"m read as module: {amount.written}"))
        return reading
    if amount.vulgar:
        return _pair_of(cell, [amount])
    if amount.value <= 0:
        raise cell.error("a pitch of zero")
    return _module(cell, INCH_MM / amount.value)


def _pair_of(cell: Cell, amounts: list[Amount]) -> Quantity:
    """24/48: diametral pitch over stub pitch, which is twice as fine."""
    amount = amounts[0] if len(amounts) == 1 else None
    figures = amount.written.split("/") if amount else []
    if len(figures) != 2 or not all(figure.strip().isdigit() for figure in figures):
        if amount is None:
            raise cell.error("not a spline pitch", "/".join(each.written for each in amounts))
        shown = amount.written
        raise cell.error("a number alone is not a pitch", f"{shown} DP", f"module {shown}")
    pitch, stub = (int(figure) for figure in figures)
    if stub != 2 * pitch or pitch == 0:
        raise cell.error("the second figure of a spline pitch is twice the first", f"{pitch}/{2 * pitch}")
    return _module(cell, INCH_MM / pitch)


def _module(cell: Cell, module: Fraction) -> Quantity:
    if not _SMALLEST_MODULE <= module <= _LARGEST_MODULE:
        raise cell.error("no spline has that pitch")
    return cell.interval(module, module)
