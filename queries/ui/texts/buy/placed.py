"""The order of a named plan as text: what was placed, what is outstanding, what is still to buy, and what differs
today."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from knockon.graph.model.catalogue import Catalogue
from knockon.queries.buy.order import OrderAnswer
from knockon.queries.buy.placed import LineToday, OfPlan
from knockon.queries.ui.details import Shown, next_blocks
from knockon.queries.ui.naming import Naming, count, listed
from knockon.queries.ui.sentences import buy as say
from knockon.queries.ui.terminal.blocks import BAD, STRONG, WARN, Block, Heading, Para, bullets
from knockon.queries.ui.texts.buy.order import beside_order, order_named, order_pages, parcel_blocks, verdict_blocks
from knockon.queries.ui.texts.plan.swap.head import short_cautions, titled

FEW = 6


def plan_pages(
    catalogue: Catalogue, answer: OrderAnswer, shown: Shown, which: str, commands: Sequence[str]
) -> Sequence[Block]:
    """The first page, or all; ``commands``: of the order, of what to measure first, and of goods-in."""
    ask, measure, goods_in = commands
    about = answer.of_plan
    assert about is not None
    head = [Para(say.PLAN_NAMED.format(name=about.name))]
    naming = Naming.on(catalogue, answer.vehicle)
    if about.just_placed:
        placed = about.placed[-1]
        said = say.PLACED.format(name=placed.name, plan=about.name, total=_money(placed.total, placed.currency))
        chosen = order_named(answer, about.just_placed)
        parcels = [*parcel_blocks(naming, chosen, "")] if chosen is not None else []
        letters = [f'{ask} --letter "{chosen.parcel_bills[0].supplier}"'] if chosen is not None and shown.full else []
        last = [*short_cautions(naming, answer.cautions), *next_blocks([goods_in, *letters, ask])]
        return [Para(said, tone=STRONG), Para(say.ORDER_THEN), *parcels, *last]
    if not about.placed:
        placing = say.PLACING.format(ask=ask.partition(" --which")[0], which=which)
        return [*head, *order_pages(catalogue, answer, shown, which, ask, measure, first=placing)]
    if shown.full:
        stand = [*head, *_standing(about, full=True), *_today(about, full=True)]
        return [*stand, *order_pages(catalogue, answer, shown, which, ask, measure)]
    return _after(naming, answer, about, which, commands)


def _after(naming: Naming, answer: OrderAnswer, about: OfPlan, which: str, commands: Sequence[str]) -> list[Block]:
    """The first page once an order was placed."""
    ask, measure, goods_in = commands
    chosen = order_named(answer, which)
    blocks: list[Block] = [Para(titled(answer.title, answer.vehicle, answer.asked))]
    waits = any(x.outstanding for x in about.stands)
    buys = chosen is not None and bool(chosen.lines)
    if not buys and answer.is_good:
        blocks.append(Para(say.WAIT if waits else say.ALL_HERE, tone=STRONG))
    else:
        blocks += verdict_blocks(answer)
    blocks.append(Para(say.PLAN_NAMED.format(name=about.name)))
    blocks += _why_anew(about)
    blocks += _standing(about, full=False)
    if chosen is not None:
        blocks += [*parcel_blocks(naming, chosen, which), *beside_order(naming, answer, chosen)]
    blocks += _today(about, full=False)
    base = ask.partition(" --which")[0]
    placing = [say.PLACING.format(ask=base, which=which)] if buys else []
    return [*blocks, *short_cautions(naming, answer.cautions),
            *next_blocks([*placing, goods_in, *([measure] if buys else []), f"{ask} --full"])]  # fmt: skip


def _money(amount: str, currency: str) -> str:
    return f"{amount} {currency}".strip()


def _why_anew(about: OfPlan) -> Iterator[Block]:
    if about.instead:
        yield Para(say.PLANNED_WITHOUT.format(numbers=listed(about.instead)), tone=WARN)
    elif about.same_again:
        yield Para(say.SAME_AGAIN, tone=WARN)
    elif not about.holds:
        yield Para(say.PLANNED_ANEW, tone=WARN)


def _standing(about: OfPlan, full: bool) -> Iterator[Block]:
    """What was placed, what came, and what is outstanding, by supplier."""
    yield Heading(say.STANDING)
    for placed in about.placed:
        money = _money(placed.total, placed.currency)
        lines = count(placed.lines, "line")
        yield Para(say.ORDER_PLACED.format(name=placed.name, total=money, lines=lines, by=placed.by, at=placed.at[:10]))
    units = [sum(getattr(x, name) for x in about.stands) for name in ("ordered", "accepted", "rejected", "outstanding")]
    yield Para(say.STANDS.format(ordered=units[0], accepted=units[1], rejected=units[2], outstanding=units[3]))
    for heading, name in ((say.OUTSTANDING, "outstanding"), (say.REJECTED, "rejected")):
        by: dict[str, list[tuple[int, str]]] = {}
        for one in about.stands:
            if n := getattr(one, name):
                by.setdefault(one.supplier, []).append((n, one.part))
        for supplier, own in by.items():
            shown = own if full else own[:FEW]
            words = [f"{n} {part}" for n, part in shown]
            words += (
                [say.MORE_LINES.format(count=count(len(own) - len(shown), "line"))] if len(own) > len(shown) else []
            )
            yield Para(heading.format(supplier=supplier, lines=listed(words)), mark="-")


def _today(about: OfPlan, full: bool) -> Iterator[Block]:
    """What the last order would be today."""
    today = about.today
    if today is None:
        return
    yield Heading(say.TODAY)
    if not today.total_now:
        yield Para(say.NOT_TODAY.format(name=today.name), tone=BAD)
        return
    if today.total_now == today.total_then and not today.lines:
        yield Para(say.SAME_TODAY.format(name=today.name, total=today.total_now))
        return
    yield Para(say.OTHER_TODAY.format(name=today.name, then=today.total_then, now=today.total_now), tone=WARN)
    shown = today.lines if full else today.lines[:FEW]
    yield from bullets(map(_line_today, shown))
    if len(today.lines) > len(shown):
        yield Para(say.MORE_LINES.format(count=count(len(today.lines) - len(shown), "line")))


def _line_today(line: LineToday) -> str:
    named = {"what": line.what, "supplier": line.supplier}
    if not line.quantity_then or not line.quantity_now:
        template = say.BOUGHT_TODAY if line.quantity_now else say.NOT_BOUGHT_TODAY
        return template.format(quantity=line.quantity_now or line.quantity_then, **named)
    if line.quantity_then != line.quantity_now:
        return say.QUANTITY_TODAY.format(then=line.quantity_then, now=line.quantity_now, **named)
    return say.PRICE_TODAY.format(then=line.price_then, now=line.price_now, **named)
