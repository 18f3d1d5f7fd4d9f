"""What the cheapest order of a plan costs, in a sentence or two."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

from knockon.queries.plan.cheapest_order import CheapestOrder
from knockon.queries.ui.naming import Naming, count, listed
from knockon.queries.ui.sentences.plan import order as say


def order_in_short(naming: Naming, ordered: CheapestOrder | None) -> str:
    """Its total with what is in it, and where it buys other numbers than the plan shows; nothing of one that does not
    supply every line, whose total would say little."""
    if ordered is None or ordered.lacks:
        return ""
    return " ".join(_sentences(naming, ordered))


def _sentences(naming: Naming, ordered: CheapestOrder) -> Iterator[str]:
    money = f"{ordered.total} {ordered.currency}".strip()
    yield say.ORDER_COSTS.format(money=money, parts=listed([*_parts(ordered)]))
    if not ordered.optimal:
        yield say.ORDER_NOT_PROVEN
    if ordered.differs:
        numbers, others = (naming.in_hands(d[i] for d in ordered.differs) for i in (1, 2))
        yield say.ORDER_DIFFERS.format(numbers=listed(numbers), others=listed(others))


def _parts(ordered: CheapestOrder) -> Iterator[str]:
    parcels = count(ordered.parcels, "parcel")
    kits = " ".join(("kit" if len(ordered.kits) == 1 else "kits", listed(ordered.kits)))
    yield say.WITH_KITS.format(parcels=parcels, kits=kits) if ordered.kits else parcels
    amounts = {say.POSTAGE: ordered.postage, say.SURCHARGES: ordered.surcharges, say.TAX: ordered.tax}
    yield from (template.format(money=amount) for template, amount in amounts.items() if Decimal(amount))
