"""The answer of ``knockon order`` as text: its first page, and in full."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence

from knockon.graph.model.catalogue import Catalogue
from knockon.queries.buy.order import LineBought, OrderAnswer, OrderBought
from knockon.queries.buy.questions import LEAD_DAYS, NOT_ITEMISED, POSTAGE, SIZE, STOCK, TAX, WEIGHT, Question
from knockon.queries.buy.rivals import Rival
from knockon.queries.ui.details import Shown, next_blocks
from knockon.queries.ui.naming import Naming, count, listed, sentence
from knockon.queries.ui.sentences import buy as say
from knockon.queries.ui.terminal.blocks import BAD, STRONG, WARN, Block, Grid, Heading, Para, bullets
from knockon.queries.ui.texts.buy.letter import question_lines
from knockon.queries.ui.texts.fits.hands import hand_blocks
from knockon.queries.ui.texts.fits.number_chain import chain_blocks, now_blocks
from knockon.queries.ui.texts.plan.swap.head import cautions, short_cautions, titled

FEW_RIVALS = 3


def order_pages(
    catalogue: Catalogue, answer: OrderAnswer, shown: Shown, which: str, ask: str, measure: str, first: str = ""
) -> Sequence[Block]:
    """The first page, or all. ``ask``: the command so far; ``measure``: the one that says what to measure first;
    ``first``: another one that comes after that."""
    naming = Naming.on(catalogue, answer.vehicle)
    blocks: list[Block] = [Para(titled(answer.title, answer.vehicle, answer.asked)), *verdict_blocks(answer)]
    chosen = order_named(answer, which)
    if chosen is None:
        return [*blocks, *short_cautions(naming, answer.cautions), *next_blocks([measure])]
    if chosen.lines:
        blocks += _side_by_side(naming, answer)
    if shown.full:
        for names, order in purchases(answer):
            blocks += [Heading(say.LINES_OF.format(name=listed(names))), _all_lines(order)]
            blocks += beside_order(naming, answer, order)
            blocks += [Heading(say.ASK), *bullets(f"{q.supplier}: {line}" for q, line in _asked_lines(naming, order))]
        blocks += [b for one in answer.superseded for b in chain_blocks(naming, one.part, one.chain)]
        blocks += hand_blocks(naming, (line.part for order in answer.orders for line in order.lines))
        return [*blocks, *_rivals(answer, len(answer.rivals)), *cautions(answer.cautions)]
    blocks += parcel_blocks(naming, chosen, which if len(purchases(answer)) > 1 else "")
    blocks += now_blocks(answer.superseded)
    blocks += [*beside_order(naming, answer, chosen), *_rivals(answer, FEW_RIVALS), *_questions(chosen)]
    suppliers = [bill.supplier for bill in chosen.parcel_bills]
    more = [f'{ask} --letter "{suppliers[0]}"', f"{ask} --sheets FOLDER"] if suppliers else []
    more = [first, *more] if first and suppliers else more
    return [*blocks, *short_cautions(naming, answer.cautions), *next_blocks([measure, *more, f"{ask} --full"])]


def order_named(answer: OrderAnswer, name: str) -> OrderBought | None:
    """The order of a name; None where there is none."""
    return next((o for o in answer.orders if o.name == name), None)


def purchases(answer: OrderAnswer) -> list[tuple[list[str], OrderBought]]:
    """Each purchase once, under all its names."""
    found: list[tuple[list[str], OrderBought]] = []
    for order in answer.orders:
        same = next((names for names, one in found if one.lines == order.lines), None)
        if same is None:
            found.append(([order.name], order))
        else:
            same.append(order.name)
    return found


def verdict_blocks(answer: OrderAnswer) -> Iterator[Block]:
    """What to do, or why nothing can be done."""
    if answer.not_decided:
        what = listed([say.WHAT.get(w, w) for w in answer.not_decided])
        yield Para(f"{say.UNDECIDED.format(what=what)} {say.LONGER}", tone=WARN)
    if not answer.has_plan:
        yield Para(say.NO_PLAN, tone=BAD)
    if not answer.orders:
        return
    first = answer.orders[0]
    if not answer.complete:
        whole = len(first.lacks) + first.supplied
        yield Para(say.NOT_COMPLETE.format(supplied=first.supplied, lines=whole), tone=BAD)
        short = [p.part for p in first.lacks if p.part not in answer.not_sold]
        if answer.not_sold:
            yield Para(say.NOT_SOLD.format(numbers=listed(answer.not_sold)), tone=BAD)
        if short:
            yield Para(say.NOT_ENOUGH.format(numbers=listed(short)), tone=BAD)
        return
    if not first.lines:
        yield Para(say.NOTHING, tone=STRONG)
        return
    suppliers = count(first.parcels, "supplier")
    money = _money(first.total, answer.currency)
    proof = say.PROVEN if first.optimal else say.NOT_PROVEN.format(gap=first.gap)
    lines = count(len(first.lines), "line")
    yield Para(say.BUY.format(lines=lines, suppliers=suppliers, money=money, proof=proof), tone=STRONG)


def _money(amount: str, currency: str) -> str:
    return f"{amount} {currency}".strip()


def _side_by_side(naming: Naming, answer: OrderAnswer) -> Iterator[Block]:
    """The orders in a table, the same purchase once."""
    found = purchases(answer)
    if len(found) == 1 and len(answer.orders) == len(say.ORDERS):
        yield Para(say.SAME)
    rows = [
        (say.TOTAL, [o.total for _, o in found]),
        (say.GOODS, [o.goods for _, o in found]),
        (say.POSTAGE, [o.postage for _, o in found]),
        (say.SURCHARGES, [o.surcharges for _, o in found]),
        (say.TAX, [o.tax for _, o in found]),
        (say.PARCELS, [str(o.parcels) for _, o in found]),
        (say.UNPROVEN, [str(o.unproven) for _, o in found]),
        (say.DAYS, [_days(o) for _, o in found]),
        (say.PROOF, [say.YES if o.optimal else say.NO.format(gap=o.gap) for _, o in found]),
    ]
    if len({(o.changes, o.unproven_checks) for _, o in found}) > 1:
        rows.append((say.PLAN_COST, [f"{o.changes}, {o.unproven_checks}" for _, o in found]))
    nothing = {"0.00"}
    rows = [(name, cells) for name, cells in rows if name not in (say.SURCHARGES, say.TAX) or {*cells} != nothing]
    head = ("", *(listed(names) for names, _ in found)) if len(found) > 1 else ()
    yield Heading(say.SIDE_BY_SIDE)
    yield Grid(tuple((name, *cells) for name, cells in rows), head, right=tuple(range(1, len(found) + 1)))
    for names, order in found[1:]:
        yield Para(_differs(naming, listed(names), found[0][1], order))


def _days(order: OrderBought) -> str:
    return say.NOT_RECORDED if order.lead_days is None else say.DAYS_OF.format(days=order.lead_days)


def _differs(naming: Naming, name: str, first: OrderBought, other: OrderBought) -> str:
    """What another order buys instead."""
    added, left = ([_with_supplier(line) for line in one.lines if line not in two.lines]
                   for one, two in ((other, first), (first, other)))  # fmt: skip
    template = say.INSTEAD if added and left else say.ONLY_MORE if added else say.ONLY_LESS
    return template.format(name=sentence(name).rstrip("."), added=listed(added), left=listed(left))


def _with_supplier(line: LineBought) -> str:
    return f"{line.quantity} {line.part or line.kit} ({line.supplier})"


def parcel_blocks(naming: Naming, order: OrderBought, name: str) -> Iterator[Block]:
    """A paragraph a supplier: what comes from there."""
    if not order.lines:
        return
    yield Heading(say.LINES_OF.format(name=name) if name else say.LINES)
    for bill in order.parcel_bills:
        own = [line for line in order.lines if line.supplier == bill.supplier]
        yield Para(say.PARCEL.format(supplier=bill.supplier, money=bill.total, lines=", ".join(_in_short(naming, own))))


def _in_short(naming: Naming, lines: Sequence[LineBought]) -> Iterator[str]:
    """Lines by number, a left and a right one in one."""
    left = list(lines)
    while left:
        line = left.pop(0)
        known = naming.catalogue.parts.get(line.part)
        mirror = known.mirror_of if known else ""
        other = next((x for x in left if mirror and x.part == mirror), None)
        quantity, number = _quantity(line), line.part or line.kit
        if other is not None:
            left.remove(other)
            quantity, number = f"{quantity} + {_quantity(other)}", naming.hands([line.part, mirror])
        yield say.LINE.format(quantity=quantity, number=number)


def _quantity(line: LineBought) -> str:
    return str(line.quantity) if line.pack == 1 else f"{line.quantity} {say.PACKS.format(pack=line.pack)}"


def _all_lines(order: OrderBought) -> Grid:
    rows = []
    for line in order.lines:
        named = f"{line.part or line.kit} {line.title}".strip()
        units = line.quantity * line.pack - line.exchanged
        owed = line.surcharge != "0.00" and units > 0
        more = say.SURCHARGED.format(surcharge=line.surcharge, units=units) if owed else ""
        rows.append((line.supplier, _quantity(line), named, line.price, more))
    return Grid(tuple(rows), (), right=(3,))


def beside_order(naming: Naming, answer: OrderAnswer, order: OrderBought) -> Iterator[Block]:
    """What is handed in, taken from the shelf, left over, or not supplied."""
    old = [say.OLD_PARTS.format(count=x.exchanged, number=x.part) for x in order.lines if x.exchanged]
    shelf = _from_shelf(order)
    over = [f"{p.quantity} {naming.part(p.part)}" for p in order.left_over]
    lacks = [f"{p.quantity} {naming.part(p.part)}" for p in order.lacks]
    if lacks:
        yield Para(say.LACKS.format(parts="; ".join(lacks)), tone=BAD)
    if old:
        yield Para(say.HAND_IN.format(parts=listed(old)))
    if shelf:
        yield Para(say.FROM_SHELF.format(parts=listed(shelf)))
    if order.from_plan:
        yield Para(say.FROM_PLAN.format(count=sum(p.quantity for p in order.from_plan)))
    for why in answer.not_usable:
        yield Para(say.NOT_USABLE.format(why=why), tone=WARN)
    if over:
        yield Para(say.LEFT_OVER.format(parts="; ".join(over)))
    for supplier, parts in _without_weight(order).items():
        yield Para(say.HEAVIEST.format(parts=listed(list(dict.fromkeys(parts))), supplier=supplier), tone=WARN)
    if order.unproven:
        many = say.UNPROVEN_MANY.format(lines=count(order.unproven, "line"))
        yield Para(say.UNPROVEN_ONE if order.unproven == 1 else many, tone=WARN)


def _without_weight(order: OrderBought) -> dict[str, list[str]]:
    """The parts that are asked about because their supplier's postage goes by weight, by supplier."""
    weights: dict[str, list[str]] = defaultdict(list)
    for q in order.ask:
        if q.about == WEIGHT:
            weights[q.supplier].append(q.of)
    return weights


def _from_shelf(order: OrderBought) -> list[str]:
    """What is taken from the shelf, the sound parts first."""
    sound = [f"{t.quantity} {t.part}" for t in order.from_shelf if t.condition == "sound"]
    others = (f"{t.quantity} {t.part}" for t in order.from_shelf if t.condition != "sound")
    return [*sound, *(say.UNKNOWN_CONDITION.format(part=part) for part in others)]


def _rivals(answer: OrderAnswer, most: int) -> Iterator[Block]:
    if answer.rivals:
        yield Heading(say.RIVALS)
        yield from bullets(_rival(r) for r in answer.rivals[:most])


def _rival(rival: Rival) -> str:
    if rival.bought:
        template = say.BELOW if rival.below else say.NEVER
    else:
        template = say.ABOVE if rival.above else say.NEVER_WITHOUT
    price = rival.below or rival.above
    return template.format(kit=rival.kit, supplier=rival.supplier, price=price, now=rival.price, more=rival.more)


def _questions(order: OrderBought) -> Iterator[Block]:
    """In a line a supplier what there is to ask; the letter says it exactly."""
    by_supplier: dict[str, list[Question]] = defaultdict(list)
    for q in order.ask:
        by_supplier[q.supplier].append(q)
    if by_supplier:
        yield Heading(say.ASK)
    for supplier, asked in by_supplier.items():
        yield Para(sentence(say.ASKED.format(supplier=supplier, questions=listed(list(_summed(asked))))), mark="-")


def _summed(asked: Sequence[Question]) -> Iterator[str]:
    about = {q.about for q in asked}
    yield from (say.CONTENTS.format(what=q.what, kit=q.of) for q in asked if q.about == NOT_ITEMISED)
    if sizes := [q for q in asked if q.about == SIZE]:
        yield say.SIZES.format(count=count(len(sizes), "size"))
    for one, said in (
        (STOCK, say.STOCKED),
        (LEAD_DAYS, say.WHEN),
        (WEIGHT, say.WEIGHTS),
        (POSTAGE, say.POSTAGE_ASKED),
        (TAX, say.TAX_ASKED),
    ):
        if one in about:
            yield said


def _asked_lines(naming: Naming, order: OrderBought) -> Iterator[tuple[Question, str]]:
    for bill in order.parcel_bills:
        own = [q for q in order.ask if q.supplier == bill.supplier]
        yield from ((own[0], line) for line in question_lines(naming, own))
