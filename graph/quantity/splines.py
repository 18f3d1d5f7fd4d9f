"""Counts of teeth and other things, and the pitches of splines."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

from lark import Tree

from knockon.graph.quantity.amounts import Amount
from knockon.graph.quantity.cell import Cell
from knockon.graph.quantity.grammar import NotInGrammarError, NumberTransformer, parse
from knockon.graph.quantity.model import Quantity
from knockon.graph.quantity.sizes import check_amount
from knockon.graph.quantity.thread_series import INCH_MM

WORDS = (
    "one two three four five six seven eight nine ten eleven twelve".split()  # noqa: SIM905
)
"""Numbers as words, from one on."""

_MOST = 9_999
_LARGEST_MODULE = 25


def _tree(cell: Cell, why: str) -> Tree[Any]:
    try:
        tree = NumberTransformer().transform(parse("splines", cell.text))
    except NotInGrammarError:
        raise cell.error(why) from None
    assert isinstance(tree, Tree)
    for amount in tree.scan_values(lambda value: isinstance(value, Amount)):
        check_amount(cell, amount)
    return tree


def read_count(cell: Cell) -> dict[str, Quantity]:
    """The reading "" of a whole number: `27`, `25 spl`, `24-26`. Raises CellError."""
    tree = _tree(cell, "not a whole number")
    if tree.data == "word":
        value = Fraction(1 + WORDS.index(str(tree.children[0]).lower()))
        return {"": cell.interval(value, value, flags=(f"read as {value}",))}
    if tree.data not in ("bare", "teeth", "span"):
        raise cell.error("more than a count" if tree.data == "teeth_and_pitch" else "not a count")
    counts = [whole(cell, child) for child in tree.children if isinstance(child, Amount)]
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
    written = [child for child in tree.children if isinstance(child, Amount)]
    if all(amount.whole for amount in written):
        return ()
    return (f"read as {' to '.join(str(int(amount.value)) for amount in written)}",)


def read_spline_pitch(cell: Cell) -> dict[str, Quantity]:
    """The reading "" of a spline pitch as module in mm, and "teeth" where a count is written too.

    The module is the circular pitch over pi: 25.4 / N for the inch pitch N/2N (ANSI B92.1), and the
    module itself for a metric one (ISO 4156). Raises CellError.
    """
    tree = _tree(cell, "not a spline pitch")
    amounts = [child for child in tree.children if isinstance(child, Amount)]
    readings: dict[str, Quantity] = {}
    if tree.data in ("teeth", "teeth_and_pitch"):
        if cell.context.strict:
            raise cell.error("a tooth count in a column of pitches")
        count = whole(cell, amounts.pop(0))
        readings["teeth"] = cell.interval(count, count)
    pitch = next((child for child in tree.children if isinstance(child, Tree)), None)
    if tree.data == "teeth":
        readings[""] = cell.unknown("pitch unknown: the tooth count alone does not tell it")
    elif pitch is not None:
        readings[""] = _stated(cell, pitch)
    else:
        readings[""] = _pair_of(cell, amounts)
    return readings


def _stated(cell: Cell, pitch: Tree[Any]) -> Quantity:
    amount = next(child for child in pitch.children if isinstance(child, Amount))
    if pitch.data == "module":
        if amount.vulgar:
            raise cell.error("a module is not a fraction")
        return _module(cell, amount.value)
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
    if not 0 < module <= _LARGEST_MODULE:
        raise cell.error("no spline has that pitch")
    return cell.interval(module, module)
