"""The grammars of cells, built by lark when their first cell comes: no other module of the readers knows lark."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from typing import TYPE_CHECKING, Any

from knockon.graph.files.shipped import shipped
from knockon.graph.quantity.cells.amounts import (
    Amount,
    comma_amount,
    decimal_amount,
    fraction_amount,
    grouped_amount,
    mixed_amount,
)
from knockon.graph.quantity.cells.built import parser_of

if TYPE_CHECKING:
    from lark import Lark, Token, Tree


class NotInGrammarError(ValueError):
    """The text is no sentence of the grammar; `position` is where it stops making sense."""

    def __init__(self, position: int) -> None:
        super().__init__(f"at character {position + 1}")
        self.position = position


_WITHOUT_NUMBERS = frozenset({"dates"})
"""Grammars in which 3/8 is no fraction."""


@cache
def _parser(name: str, rules: Callable[[], Numbers]) -> Lark:
    parts = (name,) if name in _WITHOUT_NUMBERS else ("numbers", name)
    grammar = "\n".join(
        shipped("graph", "quantity", "cells", f"{part}.lark").read_text(encoding="utf-8") for part in parts
    )
    return parser_of(grammar, rules())


class Numbers:
    """What the rules of numbers.lark become: amounts. Another grammar's rules build on it, a method a rule."""

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


def parse(name: str, text: str, rules: Callable[[], Numbers] = Numbers) -> Any:
    """What `rules` make of `text` by the grammar `name`.lark, whose start is the rule cell: a Tree, if nothing.

    Raises NotInGrammarError. The work is linear in the length of `text`.
    """
    from lark.exceptions import UnexpectedInput

    try:
        return _parser(name, rules).parse(text)
    except UnexpectedInput as error:
        raise NotInGrammarError(error.pos_in_stream or 0) from None


def amounts_in(tree: Tree[Any]) -> list[Amount]:
    """The amounts of a rule itself, in order."""
    return [child for child in tree.children if isinstance(child, Amount)]


def words_in(tree: Tree[Any]) -> list[Token]:
    """The words and signs of a rule itself, in order."""
    from lark import Token

    return [child for child in tree.children if isinstance(child, Token)]


def rules_in(tree: Tree[Any]) -> list[Tree[Any]]:
    """The rules within a rule, in order."""
    from lark import Tree

    return [child for child in tree.children if isinstance(child, Tree)]


def all_amounts(tree: Tree[Any]) -> list[Amount]:
    """The amounts of a rule and of the rules within it."""
    return list(tree.scan_values(lambda value: isinstance(value, Amount)))
