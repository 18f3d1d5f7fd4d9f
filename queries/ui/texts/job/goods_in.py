"""The goods-in card as text: what to check first, parcel by parcel, and in full."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from knockon.graph.jobs.events import REJECT, Received
from knockon.graph.model.catalogue import Catalogue
from knockon.queries.job.goods_in import BenchCheck, GoodsIn, GoodsLine, Judged, Parcel
from knockon.queries.ui.details import Shown, next_blocks
from knockon.queries.ui.goods_in_words import FEW_DIFFERENCES, bench_said, beside, limits_of, to_measure
from knockon.queries.ui.naming import Naming, count, listed
from knockon.queries.ui.sentences import goods_in as say
from knockon.queries.ui.terminal.blocks import BAD, STRONG, WARN, Block, Heading, Para
from knockon.queries.ui.texts.plan.swap.head import cautions, short_cautions

FEW_LINES, FEW_BENCH = 3, 4


def goods_pages(catalogue: Catalogue, card: GoodsIn, shown: Shown, ask: str, further: Sequence[str]) -> Sequence[Block]:
    """The first page, or the whole card; ``further``: the commands of the order and of the job card."""
    naming = Naming.on(catalogue, card.vehicle)
    blocks: list[Block] = [
        Para(say.HEAD.format(title=card.title or card.vehicle, plan=card.plan)),
        *goods_verdict(card),
    ]
    if shown.full:
        for parcel in card.parcels:
            blocks.append(Heading(say.PARCEL.format(supplier=parcel.supplier)))
            blocks += [block for line in parcel.lines for block in whole_line(naming, line)]
        blocks += bench_blocks(naming, card.bench, len(card.bench))
        return [*blocks, *cautions(card.cautions)]
    for parcel in card.parcels:
        blocks += _short(parcel)
    blocks += bench_blocks(naming, card.bench, FEW_BENCH)
    waiting = next((x for x in card.lines if x.line.outstanding), None)
    commands = [further[0] if any(x.line.rejected for x in card.lines) else "", "" if waiting else further[1]]
    if waiting is not None:
        commands.insert(0, say.ACCEPTING.format(ask=ask, part=waiting.line.part))
        commands.insert(1, say.REJECTING.format(ask=ask, part=waiting.line.part))
    last = next_blocks([c for c in (*commands, f"{ask} --full") if c])
    return [*blocks, *short_cautions(naming, card.cautions), *last]


def goods_verdict(card: GoodsIn) -> Iterator[Block]:
    """What to do next, and how much came."""
    if not card.has_plan:
        yield Para(say.NO_PLAN, tone=BAD)
    lines = [x.line for x in card.lines]
    outstanding, rejected = sum(x.outstanding for x in lines), sum(x.rejected for x in lines)
    if outstanding:
        yield Para(say.DO_NEXT, tone=STRONG)
    elif rejected:
        yield Para(say.ORDER_AGAIN, tone=STRONG)
    else:
        yield Para(say.TO_BENCH, tone=STRONG)
    accepted, ordered = sum(x.accepted for x in lines), sum(x.ordered for x in lines)
    yield Para(say.COUNTS.format(accepted=accepted, ordered=ordered, outstanding=outstanding, rejected=rejected))


def _short(parcel: Parcel) -> Iterator[Block]:
    """What is still to come in one parcel, first what has to be looked at more closely than counted."""
    waiting = [x for x in parcel.lines if x.line.outstanding]
    if not waiting:
        return
    yield Heading(say.PARCEL.format(supplier=parcel.supplier))
    closely = [x for x in waiting if x.sizes or x.together or x.hand]
    for line in closely[:FEW_LINES]:
        yield Para(_in_short(line), mark="-")
    if len(closely) > FEW_LINES:
        yield Para(say.MORE_CLOSELY.format(count=count(len(closely) - FEW_LINES, "line")), mark="-")
    counted = [f"{x.line.outstanding} {x.line.part}" for x in waiting if x not in closely]
    if counted:
        yield Para(say.COUNT_ONLY.format(lines=listed(counted)), mark="-")


def _in_short(line: GoodsLine) -> str:
    said = [say.LINE.format(quantity=line.line.outstanding, part=line.line.part)]
    said += [say.HAND.format(hand=line.hand)] if line.hand else []
    if line.sizes:
        said.append(
            say.MEASURE.format(sizes=listed([f"{s.feature}: {s.dimension}" for s in line.sizes[:FEW_DIFFERENCES]]))
        )
        more = len(line.sizes) - FEW_DIFFERENCES
        said += [say.MORE_SIZES.format(count=count(more, "size"))] if more > 0 else []
    elif line.together:
        checks = dict.fromkeys(x.check for x in line.together)
        said.append(say.MEASURE_TOO.format(checks=listed(list(checks))))
    said += [say.MIXED_UP.format(part=x.part) for x in line.look_alikes[:1]]
    return " ".join(said)


def whole_line(naming: Naming, line: GoodsLine) -> Iterator[Block]:
    """One line with all that is to be checked on it."""
    stand = line.line
    state = say.STATE.format(ordered=stand.ordered, accepted=stand.accepted, rejected=stand.rejected)
    yield Para(f"{naming.part(stand.part)}. {state}", mark="-", tone=STRONG)
    yield from (Para(text, indent=4) for text in beside(line))
    yield from (Para(text, indent=4) for text, _ in to_measure(line))
    yield from (Para(say.WAS_READ.format(reading=x), indent=4) for x in stand.readings)
    yield from (Para(say.WAS_SAID.format(why=x), indent=4) for x in stand.why)


def limits_said(found: Judged) -> str:
    """The limits that a reading was compared with."""
    return limits_of(found.low, found.high, found.unit, found.codes)


def bench_blocks(naming: Naming, checks: Sequence[BenchCheck], most: int) -> Iterator[Block]:
    """What must pass on the bench before anything is stripped."""
    if not checks:
        return
    yield Heading(say.BENCH)
    yield Para(say.BEFORE_STRIPPING)
    for check in checks[:most]:
        yield Para(bench_said(naming, check), mark="-", tone=WARN if check.safety_critical else "")
    if len(checks) > most:
        yield Para(say.MORE_BENCH.format(count=count(len(checks) - most, "check")), mark="-")


def seller_text(catalogue: Catalogue, vehicle: str, event: Received) -> list[str]:
    """The text to the seller about what is rejected or asked."""
    template = say.TO_SELLER if event.verdict == REJECT else say.ASK_SELLER
    naming = Naming.on(catalogue, vehicle)
    lines = [template.format(supplier=event.supplier, quantity=event.quantity, part=naming.part(event.part)), event.why]
    lines += [say.SELLER_READING.format(reading=x) for x in event.readings]
    return [*lines, say.SEND_ANOTHER if event.verdict == REJECT else say.PLEASE_ANSWER]
