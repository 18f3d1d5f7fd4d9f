"""The cards of a named plan, to tick and to fill: job card, goods in, order, record. Open gates come first."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import groupby

from knockon.queries.buy.order import OrderAnswer
from knockon.queries.job.card import CardLine, JobCard
from knockon.queries.job.goods_in import GoodsIn, GoodsLine
from knockon.queries.job.record import RecordAnswer
from knockon.queries.ui.naming import Naming, listed
from knockon.queries.ui.page.addresses import BY_NAME, address
from knockon.queries.ui.page.pieces import Button, Field, Fold, Form, Go, Heading, Link, Notice, Piece, Text
from knockon.queries.ui.page.rooms.from_blocks import pieces_of
from knockon.queries.ui.sentences import page as say
from knockon.queries.ui.steps_in_words import limits, side_heading
from knockon.queries.ui.terminal.blocks import WARN
from knockon.queries.ui.terminal.outlet import Answered
from knockon.queries.ui.texts.job.card import card_head, whole_step
from knockon.queries.ui.texts.job.goods_in import bench_blocks, goods_verdict, whole_line
from knockon.queries.ui.texts.plan.swap.head import cautions, titled

BY = Field("by", say.BY, hint=say.BY_HINT)
MOST_GATES = 6


def job_room(found: Answered, command: str) -> tuple[str, list[Piece]]:
    """(title, pieces) of a job card; of a named plan its steps can be ticked."""
    card: JobCard = found.answer
    naming = Naming.on(found.catalogue, card.vehicle)
    last = [_print(card.plan, "job")] if card.plan else []
    return titled(card.title, card.vehicle, card.asked), [*_job(naming, card), *last]


def _job(naming: Naming, card: JobCard) -> Iterator[Piece]:
    if card.open_gates:
        more = len(card.open_gates) - MOST_GATES
        gates = listed([*card.open_gates[:MOST_GATES], *([say.AND_MORE.format(number=more)] if more > 0 else [])])
        yield Notice((say.OPEN_GATES.format(gates=gates),), WARN)
    yield from pieces_of(card_head(naming, card))
    first = next((line for line in card.lines if line.done is None), None)
    if card.plan and card.closed is None and first is not None:
        yield _tick(first, "next")
    if not card.plan:
        yield Text(say.NAME_TO_TICK)
    for side, lines in groupby(card.lines, key=lambda line: line.side):
        yield Heading(side_heading(naming, side))
        yield from (_step(naming, card, line) for line in lines)
    if card.plan and card.closed is None and not card.open_gates:
        fields = (BY, Field("checked-by", say.CHECKED_BY, hint=say.SECOND_PERSON))
        yield Form("close", fields, (Button(say.CLOSE_CARD),), do="close", title=say.CLOSE_CARD)
    yield from pieces_of(cautions(card.cautions))


def _step(naming: Naming, card: JobCard, line: CardLine) -> Piece:
    mark = say.STEP_DONE if line.done is not None else say.STEP_GATE if line.gate else say.STEP_OPEN
    pieces = pieces_of(whole_step(naming, line))
    if card.plan and card.closed is None:
        pieces.append(_tick(line, str(line.number)) if line.done is None else _untick(line))
    return Fold(mark.format(number=line.number, name=line.name), tuple(pieces))


def _tick(line: CardLine, name: str) -> Form:
    """``name`` keeps two forms of one step apart."""
    fields = [Field("step", say.STEP_FIELD, "hidden", line.name)]
    if line.reading is not None:
        r = line.reading
        within = limits(r.low, r.high, r.unit)
        fields.append(Field("read", r.what, hint=say.LIMITS_ARE.format(limits=within.strip()) if within else ""))
    return Form(f"tick-{name}", (*fields, BY), (Button(say.TICK.format(name=line.name)),), do="tick")


def _untick(line: CardLine) -> Form:
    fields = (Field("step", say.STEP_FIELD, "hidden", line.name), BY)
    return Form(f"untick-{line.number}", fields, (Button(say.TAKE_BACK.format(name=line.name)),), do="take-back")


def goods_room(found: Answered, command: str) -> tuple[str, list[Piece]]:
    """(title, pieces) of the goods-in card."""
    card: GoodsIn = found.answer
    pieces = list(_goods(Naming.on(found.catalogue, card.vehicle), card))
    return say.GOODS_OF.format(plan=card.plan), [*pieces, _print(card.plan, "goods-in")]


def _print(plan: str, *cards: str) -> Go:
    """Where the cards of a plan are to print."""
    base = address(BY_NAME["record"], {"plan": plan}, {}).removesuffix("record")
    return Go(tuple(Link(say.PRINT, f"{base}{card}.pdf", card) for card in cards))


def _goods(naming: Naming, card: GoodsIn) -> Iterator[Piece]:
    yield from pieces_of(goods_verdict(card))
    number = 0
    for parcel in card.parcels:
        yield Heading(say.PARCEL_FROM.format(supplier=parcel.supplier))
        for line in parcel.lines:
            number += 1
            yield _line(naming, parcel.supplier, line, number)
    yield from pieces_of(bench_blocks(naming, card.bench, len(card.bench)))
    yield from pieces_of(cautions(card.cautions))


def _line(naming: Naming, supplier: str, line: GoodsLine, number: int) -> Piece:
    stands = line.line
    template = say.LINE_WAITS if stands.outstanding else say.LINE_HERE
    summary = template.format(part=naming.part(stands.part), outstanding=stands.outstanding, accepted=stands.accepted)
    fields = (
        Field("part", say.PART, "hidden", stands.part),
        Field("from", say.PARCEL_FROM, "hidden", supplier),
        Field("quantity", say.HOW_MANY, value=str(stands.outstanding or stands.accepted)),
        Field("reading", say.READINGS, "area", hint=say.READINGS_HINT, many=True),
        Field("why", say.WHY, hint=say.WHY_HINT),
        BY,
    )
    buttons = tuple(Button(label, "verdict", verdict) for verdict, label in say.GOODS_VERDICTS.items())
    form = Form(f"goods-{number}", fields, buttons, do="goods")
    return Fold(summary, (*pieces_of(whole_line(naming, line)), form))


def order_room(found: Answered, command: str) -> tuple[str, list[Piece]]:
    """(title, pieces) of an order; of a named plan it can be placed."""
    answer: OrderAnswer = found.answer
    pieces = pieces_of(found.blocks[1:])
    if answer.of_plan is not None and answer.orders and any(o.lines for o in answer.orders):
        names = tuple(dict.fromkeys(o.name for o in answer.orders if o.lines))
        fields = (Field("place", say.WHICH_ORDER, "choice", choices=names, required=True), BY)
        pieces.append(Form("place", fields, (Button(say.PLACE_IT),), do="place", title=say.PLACE_TITLE))
    return titled(answer.title, answer.vehicle, answer.asked), pieces


def record_room(found: Answered, command: str) -> tuple[str, list[Piece]]:
    """(title, pieces) of a record."""
    answer: RecordAnswer = found.answer
    pieces = pieces_of(found.blocks)
    if not answer.open:
        pieces.append(_print(answer.plan, "record", "inspector"))
        if answer.built is None:
            pieces.append(Form("write", (BY,), (Button(say.WRITE_RECORD),), do="write", title=say.WRITE_RECORD))
        if not answer.note:
            pieces.append(Form("note", (BY,), (Button(say.WRITE_NOTE),), do="note", title=say.WRITE_NOTE))
    return say.RECORD_OF.format(plan=answer.plan), pieces
