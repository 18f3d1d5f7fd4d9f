"""The order list as a table, with offers, and the workshop consumables."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from decimal import ROUND_HALF_UP, Decimal

from knockon.queries.answers import BestOffer, OrderGroup, OrderLine
from knockon.queries.plan.swap import Plan
from knockon.queries.ui.naming import count, listed
from knockon.queries.ui.sentences.plan import order as say
from knockon.queries.ui.terminal.blocks import Block, Grid, Heading, Para


def money(value: float | Decimal) -> str:
    """A price in the records' currency, in hundredths, halves up."""
    return str(Decimal(str(value)).quantize(Decimal("0.01"), ROUND_HALF_UP))


def order_heading(has_sides: bool) -> Heading:
    """The heading of an order list."""
    return Heading(say.ORDER_BOTH_SIDES if has_sides else say.ORDER_LIST)


def order_blocks(
    machine: str, plan: Plan, consumables: Sequence[OrderLine], has_sides: bool, in_all: str = ""
) -> list[Block]:
    """The order list, then the workshop consumables as their own block. ``in_all``: what its cheapest order costs."""
    if not plan.groups:
        return []
    rows = [row for i, group in enumerate(plan.groups, 1) for row in _order_rows(i, group)]
    head = ("", say.GROUP, say.QUANTITY, say.NUMBER_AND_NAME, say.USE, say.OFFER_EACH)
    blocks: list[Block] = [order_heading(has_sides), Grid(tuple(rows), head, right=(0, 2))]
    lines = [line for group in plan.groups for line in group.lines]
    if any(line.offer is not None for line in lines):
        total = say.TOTAL.format(money=money(sum(line.total() for line in lines)))
        blocks.append(Para(" ".join((total, *not_offered(lines))), indent=2))
    if in_all:
        blocks.append(Para(in_all, indent=2))
    blocks += _surcharges(machine, lines)
    if consumables:
        beside = tuple((c.name, str(c.quantity), c.number or "-", _offer(c)) for c in consumables)
        blocks += [Heading(say.CONSUMABLES), Grid(beside, right=(1,), indent=2)]
    return blocks


def not_offered(lines: Iterable[OrderLine]) -> list[str]:
    """How many numbers have no price, in one sentence; none where all have one."""
    lacking = len({line.number for line in lines if line.offer is None})
    return [say.TOTAL_LACKS.format(numbers=count(lacking, "other number"))] if lacking else []


def _order_rows(number: int, group: OrderGroup) -> Iterator[tuple[str, ...]]:
    name = " ".join(x for x in (group.group, group.hand) if x)
    for i, line in enumerate(group.lines):
        quantity = str(line.quantity) if line.quantity else say.IN_SET
        first = (str(number), name) if i == 0 else ("", "")
        named = f"{line.number} {line.name}".strip()
        named = say.TO_PROVE.format(part=named) if line.to_prove and line.recorded else named
        yield (*first, quantity, named, say.ONCE if line.one_use else "", _offer(line))


def _offer(line: OrderLine) -> str:
    if not line.recorded:
        return say.NOT_RECORDED
    if line.offer is None:
        return say.NOT_OFFERED
    said = _offered(line.offer)
    if line.exchange is None:
        return said
    return say.OFFERS.format(
        rest=line.quantity - line.exchanged,
        offer=said,
        exchanged=line.exchanged,
        exchange=_offered(line.exchange),
    )


def _offered(offer: BestOffer) -> str:
    return f"{money(offer.price)}{' *' if offer.surcharge else ''} {offer.supplier}".strip()


def _surcharges(machine: str, lines: Iterable[OrderLine]) -> list[Block]:
    found = [line for line in lines if line.offer and line.offer.surcharge]
    if not found:
        return []
    amounts = listed(list(dict.fromkeys(money(line.offer.surcharge) for line in found if line.offer)))
    old = say.TOO_FEW_OLD_PARTS if any(line.exchanged for line in found) else say.NO_OLD_PART
    return [Para(say.SURCHARGE.format(machine=machine, amounts=amounts, old=old), indent=2)]
