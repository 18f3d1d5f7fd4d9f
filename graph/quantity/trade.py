"""Quantities with their basis, and prices with their tax and terms."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING, Any

from knockon.graph.quantity.cells.amounts import Amount
from knockon.graph.quantity.cells.cell import Cell
from knockon.graph.quantity.cells.grammar import NotInGrammarError, all_amounts, amounts_in, parse, rules_in, words_in
from knockon.graph.quantity.cells.model import Quantity
from knockon.graph.quantity.sizes.doubts import check_amount
from knockon.graph.quantity.splines import WORDS, whole

if TYPE_CHECKING:
    from lark import Tree

_GROUPS = {"p": "pair", "s": "set", "k": "kit"}
_SIDES = 2
_CURRENCIES = {
    "cr": "cr",
    "credit": "cr",
    "credits": "cr",
    "gbp": "gbp",
    "eur": "eur",
    "euro": "eur",
    "euros": "eur",
    "usd": "usd",
}
_PER = {
    "ea": "each",
    "each": "each",
    "apiece": "each",
    "piece": "each",
    "off": "each",
    "item": "each",
    "one": "each",
    "pr": "pair",
    "corner": "side",
}


def _tree(cell: Cell, grammar: str, why: str) -> Tree[Any]:
    try:
        tree: Tree[Any] = parse(grammar, cell.text)
    except NotInGrammarError:
        raise cell.error(why) from None
    for amount in all_amounts(tree):
        if grammar != "prices" or not _is_thousands(amount):
            check_amount(cell, amount)
    return tree


def _is_thousands(amount: Amount) -> bool:
    """1,250 or 1.250: no price has three decimals, so the sign parts thousands."""
    return amount.step == Fraction(1, 1000) and not amount.vulgar and not amount.flags


def read_quantity(cell: Cell) -> dict[str, Quantity]:
    """The readings "" (pieces), "basis" and "each" of a quantity.

    "basis": the code piece, pair, side, set or kit. "each": pieces in one basis. Where that is not
    known, as of a kit, "" counts the kits and says so in its flags. Raises CellError.
    """
    tree = _tree(cell, "quantities", "not a number of pieces")
    counts = [_count(cell, child) for child in rules_in(tree)]
    if tree.data == "pieces":
        return _quantity(cell, counts[0], "piece", Fraction(1))
    if tree.data == "each_side":
        return _quantity(cell, _SIDES, "side", counts[0], "both sides of an axle counted")
    word = words_in(tree)[0].lower().rstrip(".")
    basis = _GROUPS[word[0]]
    sized = _is_sized(tree)
    _check_plural(cell, word, [int(count) for count in counts[: len(counts) - sized]])
    number = counts.pop(0) if len(counts) > sized else Fraction(1)
    each = counts[0] if sized else Fraction(2) if basis == "pair" else None
    if each == 0:
        raise cell.error(f"a {basis} of nothing")
    if basis == "pair" and each != 2:
        raise cell.error("a pair is of two")
    return _quantity(cell, number, basis, each)


def _check_plural(cell: Cell, word: str, numbers: list[int]) -> None:
    """Four set may be four sets or a set of four; sets may be any number of them."""
    many = word.endswith("s")
    if many and not numbers:
        raise cell.error(f"how many {word}?")
    if not many and word in ("set", "kit") and numbers and numbers[0] > 1:
        raise cell.error(f"{numbers[0]} of them, or one of {numbers[0]}?", *_either(numbers[0], word))


def _either(number: int, word: str) -> tuple[str, str]:
    return f"{number} {word}s", f"{word} of {number}"


def _is_sized(tree: Tree[Any]) -> bool:
    """Whether a count stands behind the group: `set of 4`."""
    return tree.children[-1] in rules_in(tree)


def _count(cell: Cell, tree: Tree[Any]) -> Fraction:
    (child,) = tree.children
    if isinstance(child, Amount):
        return whole(cell, child)
    return Fraction(1 + WORDS.index(str(child).lower()))


def _quantity(
    cell: Cell, number: Fraction | int, basis: str, each: Fraction | None, *flags: str
) -> dict[str, Quantity]:
    number = Fraction(number)
    if each is None:
        flags = (*flags, f"contents of the {basis} unknown until it is itemised")
        size = cell.unknown(f"pieces in a {basis}")
    else:
        size = cell.interval(each, each)
        number *= each
    return {"": cell.interval(number, number, flags=flags), "basis": cell.coded(basis), "each": size}


def read_money(cell: Cell) -> dict[str, Quantity]:
    """The readings of a price: "" (the amount), "currency", "tax", "per", "terms", "surcharge".

    "tax": excluded or included. "per": each, pair, set, kit, side, axle. "terms": exchange or
    outright. "surcharge": an amount. Each of them is unknown where it is not written. Raises
    CellError.
    """
    tree = _tree(cell, "prices", "not a price")
    terms: dict[str, Tree[Any]] = {}
    for term in rules_in(tree):
        name = _TERMS[term.data]
        if name in terms:
            raise cell.error("says one thing twice")
        terms[name] = term
    price = terms[""]
    return {
        "": _money(cell, price),
        "currency": _coded(cell, _currency(price)),
        "tax": _coded(cell, terms["tax"].data.removeprefix("tax_") if "tax" in terms else ""),
        "per": _coded(cell, _per(terms["per"]) if "per" in terms else ""),
        "terms": _coded(cell, terms["terms"].data if "terms" in terms else ""),
        "surcharge": _money(cell, terms["surcharge"]) if "surcharge" in terms else cell.unknown(),
    }


_TERMS = {
    "price": "",
    "pounds": "",
    "euros": "",
    "dollars": "",
    "tax_excluded": "tax",
    "tax_included": "tax",
    "per": "per",
    "exchange": "terms",
    "outright": "terms",
    "surcharge": "surcharge",
}


def _money(cell: Cell, tree: Tree[Any]) -> Quantity:
    amount = amounts_in(tree)[0]
    if amount.vulgar:
        raise cell.error("a fraction is not a price")
    if amount.comma and _is_thousands(amount):
        value = amount.value * 1000
        return cell.interval(value, value, flags=(f"read as {value}",))
    if amount.step.denominator > 100:
        rounded = cell.text.replace(amount.written, f"{float(amount.value):.2f}")
        raise cell.error("a price has two decimals", rounded, cell.text.replace(".", ""))
    return cell.interval(amount.value, amount.value, flags=amount.flags)


def _currency(price: Tree[Any]) -> str:
    if price.data != "price":
        return {"pounds": "gbp", "euros": "eur", "dollars": "dollar"}[price.data]
    return next((_CURRENCIES[word.lower().rstrip(".")] for word in words_in(price)), "")


def _per(term: Tree[Any]) -> str:
    word = str(term.children[0]).lower().strip("/. ").split()[-1].rstrip(".").lstrip("/")
    return _PER.get(word, word)


def _coded(cell: Cell, code: str) -> Quantity:
    return cell.coded(code) if code else cell.unknown()
