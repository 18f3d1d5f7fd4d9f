"""What would change the choice: the kit that comes nearest to the cheapest order, and at which price it would win."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import ROUND_CEILING, Decimal

import msgspec
from msgspec.structs import replace

from knockon.queries.buy.bill import CENT, as_money, bills_of
from knockon.queries.buy.market import Market
from knockon.queries.buy.search import Found, Search

MOST = 4
"""So many rivals are sought; each takes a search of its own."""


class Rival(msgspec.Struct, frozen=True):
    """The cheapest order that has a kit which the cheapest of all has not (``bought``), or that does without one which
    it has. ``more``: by how much it is dearer. It wins where the price of one kit is ``below``, or ``above``; both
    blank where no price of the kit alone makes it win."""

    kit: str
    supplier: str
    bought: bool
    quantity: int
    price: str
    total: str
    more: str
    below: str = ""
    above: str = ""


def rivals_of(search: Search, best: Found) -> Iterator[Rival]:
    """The rivals, the nearest first. Raises TimeUp."""
    market = search.market
    kits = [i for i, sold in enumerate(market.sold) if sold.is_kit and search.purchase.most_of(i)]
    found = []
    for _ in range(MOST):
        if not kits:
            break
        with_another = search.with_other_kits(kits, best.counts)
        if with_another is None:
            break
        other = [i for i in kits if bool(with_another.counts[i]) != bool(best.counts[i])]
        found += [_rival(market, best, with_another, i, len(other) == 1) for i in other]
        kits = [i for i in kits if i not in other]
    yield from found


def _rival(market: Market, best: Found, other: Found, kit: int, alone: bool) -> Rival:
    """One rival; ``alone``: it differs in no other kit."""
    sold = market.sold[kit]
    bought = not best.counts[kit]
    quantity = other.counts[kit] if bought else best.counts[kit]
    price = _winning_price(market, best, other, kit) if alone else None
    return Rival(
        kit=sold.name,
        supplier=sold.supplier,
        bought=bought,
        quantity=quantity,
        price=as_money(sold.price),
        total=as_money(other.total),
        more=as_money(other.total - best.total),
        below=as_money(price) if price is not None and bought else "",
        above=as_money(price) if price is not None and not bought else "",
    )


def _winning_price(market: Market, best: Found, other: Found, kit: int) -> Decimal | None:
    """The price of one kit at which both cost the same; where cents do not meet, the last at which the best still
    wins. None where the other order never wins, or nobody would send it."""
    sold, bought = market.sold[kit], not best.counts[kit]
    has, quantity = (other, other.counts[kit]) if bought else (best, best.counts[kit])
    wanted = best.total if bought else other.total
    rate = 1 + market.terms[sold.supplier].rate
    price = sold.price
    for _ in range(20):  # each round allows for postage and tax as they are at the last price
        total = _total_at(market, has, kit, price)
        if total is None:
            return None
        if total == wanted:
            return price
        step = (wanted - total) / (quantity * rate)
        nearer = (price + step).quantize(CENT, ROUND_CEILING)
        if nearer == price:
            return price
        price = nearer
        if price < 0:
            return None
    return price


def _total_at(market: Market, found: Found, kit: int, price: Decimal) -> Decimal | None:
    """What an order costs at another price of a kit; None where its supplier would not send it."""
    sold = tuple(replace(s, price=price) if i == kit else s for i, s in enumerate(market.sold))
    changed = replace(market, sold=sold)
    bills = bills_of(changed, found.counts, found.served)
    own = next(b for b in bills if b.supplier == market.sold[kit].supplier)
    least = market.terms[own.supplier].smallest_order
    return None if least is not None and own.goods < least else sum((b.total for b in bills), Decimal(0))
