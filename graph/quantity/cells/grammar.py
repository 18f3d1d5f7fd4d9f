"""The grammars of cells, built by lark when their first cell comes.

Importing this module imports lark: knockon.graph.quantity does so only when a cell needs it.
"""

from __future__ import annotations

from functools import cache
from importlib.resources import files

from lark import Lark, Token, Transformer, Tree
from lark.exceptions import UnexpectedInput

from knockon.graph.quantity.cells.amounts import (
    Amount,
    comma_amount,
    decimal_amount,
    fraction_amount,
    grouped_amount,
    mixed_amount,
)


class NotInGrammarError(ValueError):
    """The text is no sentence of the grammar; `position` is where it stops making sense."""

    def __init__(self, position: int) -> None:
        super().__init__(f"at character {position + 1}")
        self.position = position


_WITHOUT_NUMBERS = frozenset({"dates"})
"""Grammars in which 3/8 is no fraction."""


@cache
def _parser(name: str) -> Lark:
    parts = (name,) if name in _WITHOUT_NUMBERS else ("numbers", name)
    folder = files(__package__)
    grammar = "\n".join(folder.joinpath(f"{part}.lark").read_text(encoding="utf-8") for part in parts)
    return Lark(grammar, parser="lalr", start="cell", maybe_placeholders=True)


def parse(name: str, text: str) -> Tree[Token]:
    """The tree of `text` by the grammar `name`.lark, whose start is the rule cell.

    Raises NotInGrammarError. The work is linear in the length of `text`.
    """
    try:
        return _parser(name).parse(text)
    except UnexpectedInput as error:
        raise NotInGrammarError(error.pos_in_stream or 0) from None


class NumberTransformer(Transformer[Token, object]):
    """Makes amounts of the rules in numbers.lark; each other grammar's transformer builds on it."""

    def number(self, children: list[Token]) -> Amount:
        """`25.40`."""
        return decimal_amount(children[0])

    def comma_number(self, children: list[Token]) -> Amount:
        """`25,40`."""
        return comma_amount(children[0])

    def grouped(self, children: list[Token]) -> Amount:
        """`1,234.5`."""
        return grouped_amount(children[0], comma=False)

    def grouped_comma(self, children: list[Token]) -> Amount:
        """`1.234,5`."""
        return grouped_amount(children[0], comma=True)

    def fraction(self, children: list[Token]) -> Amount:
        """`3/8`."""
        return fraction_amount(children[0])

    def mixed(self, children: list[Token]) -> Amount:
        """`1 1/16`."""
        return mixed_amount(children[0])
