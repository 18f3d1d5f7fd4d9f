"""What a purchase costs, in exact decimals: goods, surcharges, postage and tax, supplier by supplier."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from decimal import ROUND_HALF_UP, Decimal

import msgspec

from knockon.queries.buy.market import Market, Sold, Terms

CENT = Decimal("0.01")
NOTHING = Decimal(0)


class Bill(msgspec.Struct, frozen=True):
    """What one supplier is paid; ``weight``: of the parcel in kilograms, None where a part of it has none recorded."""

    supplier: str
    goods: Decimal
    surcharges: Decimal
    postage: Decimal
    tax: Decimal
    weight: Decimal | None

    @property
    def total(self) -> Decimal:
        """All together."""
        return self.goods + self.surcharges + self.postage + self.tax


def bills_of(market: Market, counts: Sequence[int], served: Mapping[int, int]) -> tuple[Bill, ...]:
    """The bills of a purchase: ``counts`` of what the market sells, in its order, and for how many units of an offer,
    by its place there, an old part ``served``."""
    found = []
    for supplier in dict.fromkeys(s.supplier for s, n in zip(market.sold, counts, strict=True) if n):
        own = [(i, s, n) for i, (s, n) in enumerate(zip(market.sold, counts, strict=True)) if s.supplier == supplier]
        terms = market.terms[supplier]
        goods = sum((s.price * n for _, s, n in own), NOTHING)
        owed = (s.surcharge * (s.units * n - served.get(i, 0)) for i, s, n in own if s.surcharge and not s.is_kit)
        surcharges = sum(owed, NOTHING)
        weight = _weight([(s, n) for _, s, n in own if n])
        postage = _postage(terms, goods, weight)
        tax = ((goods + surcharges + postage) * terms.rate).quantize(CENT, ROUND_HALF_UP) if terms.rate else NOTHING
        found.append(Bill(supplier, goods, surcharges, postage, tax, weight))
    return tuple(found)


def _weight(parcel: Sequence[tuple[Sold, int]]) -> Decimal | None:
    if any(s.weight is None for s, _ in parcel):
        return None
    return sum((s.weight * n for s, n in parcel if s.weight is not None), NOTHING)


def _postage(terms: Terms, goods: Decimal, weight: Decimal | None) -> Decimal:
    """A parcel is free from a value of goods on, at that value too; by weight it takes the first step that it does not
    exceed. What is heavier, or has no weight recorded, takes the last."""
    if terms.free_over is not None and goods >= terms.free_over:
        return NOTHING
    if not terms.steps:
        return terms.postage or NOTHING
    last = terms.steps[-1][1]
    return last if weight is None else next((postage for limit, postage in terms.steps if weight <= limit), last)


def as_money(amount: Decimal) -> str:
    """An amount as text: two decimals, more only where it has them."""
    return str(amount.quantize(CENT) if amount == amount.quantize(CENT) else amount.normalize())
