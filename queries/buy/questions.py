"""What is not known of an order, supplier by supplier: exactly what has to be asked before it is placed."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

import msgspec

from knockon.queries.buy.market import Market, Sold
from knockon.queries.fits.checking.size_names import SizeOf
from knockon.queries.plan.solving.problem import Problem
from knockon.queries.plan.solving.unproven import unproven_checks

if TYPE_CHECKING:
    from knockon.queries.buy.search import Found

NOT_ITEMISED, SIZE, STOCK, LEAD_DAYS, WEIGHT = "not itemised", "size", "stock", "lead days", "weight"
POSTAGE, TAX = "postage", "tax"


class Question(msgspec.Struct, frozen=True):
    """What to ask a supplier: ``about`` says what sort of thing is not known, of which part or kit (blank: of the
    parcel), and where it is a size, which; ``quantity``: how many are ordered."""

    supplier: str
    about: str
    of: str = ""
    quantity: int = 0
    what: str = ""


def questions_on(problem: Problem, market: Market, found: Found) -> tuple[Question, ...]:
    """The questions on an order: what is in a kit that is not itemised, sizes of its parts on which a check is open,
    whether there are enough, when they come, and what the parcel costs."""
    bought = [(s, n) for s, n in zip(market.sold, found.counts, strict=True) if n]
    asked = [*_contents(bought), *_sizes(problem, found, bought), *_terms(market, found, bought)]
    return tuple(sorted(dict.fromkeys(asked), key=lambda q: q.supplier))


def _contents(bought: list[tuple[Sold, int]]) -> Iterator[Question]:
    for sold, n in bought:
        if sold.not_itemised:
            yield Question(sold.supplier, NOT_ITEMISED, sold.name, n, sold.not_itemised)


def _sizes(problem: Problem, found: Found, bought: list[tuple[Sold, int]]) -> Iterator[Question]:
    """Sizes that a check lacks, of what is bought; names of patterns nobody can measure."""
    numbers = {c.thing: c.number for c in found.filling.chosen.values() if not c.stays}
    sellers: dict[str, list[tuple[str, int]]] = {}
    for sold, n in bought:
        for number, each in sold.holds:
            sellers.setdefault(number, []).append((sold.supplier, each * n))
    for evidence in unproven_checks(problem, found.filling):
        if evidence.kind == "joint" and all(line.by_name for line in evidence.lines if line.need == "required"):
            continue
        for size in evidence.to_measure:
            number = numbers.get(size.thing, "") if isinstance(size, SizeOf) else ""
            for supplier, n in sellers.get(number, ()):
                yield Question(supplier, SIZE, number, n, f"{size.feature}: {size.dimension}")


def _terms(market: Market, found: Found, bought: list[tuple[Sold, int]]) -> Iterator[Question]:
    """Stock, days, weight, postage and tax that nobody recorded."""
    for sold, n in bought:
        if sold.stock is None and not sold.is_kit:
            yield Question(sold.supplier, STOCK, sold.name, n)
        if sold.lead_days is None and not sold.is_kit:
            yield Question(sold.supplier, LEAD_DAYS, sold.name, n)
        if market.terms[sold.supplier].steps:
            yield from (Question(sold.supplier, WEIGHT, number) for number in sold.unweighed)
    for bill in found.bills:
        terms = market.terms[bill.supplier]
        if terms.postage is None and not terms.steps:
            yield Question(bill.supplier, POSTAGE)
        if terms.tax_missing:
            yield Question(bill.supplier, TAX)
