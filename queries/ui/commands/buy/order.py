"""``knockon order``: what to buy where, so that a swap is supplied."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import click

from knockon.graph.jobs.store import Job, read_job
from knockon.graph.model.catalogue import Catalogue
from knockon.queries.buy.order import OrderAnswer, OrderBought, read_accepted
from knockon.queries.buy.order import order as find_orders
from knockon.queries.buy.search import CHEAPEST, ORDERS
from knockon.queries.job.answers_kept import keep_answers
from knockon.queries.job.named import remember
from knockon.queries.job.ordering import after_placing, order_for, place
from knockon.queries.plan.solving.levels import LEVELS
from knockon.queries.ui.asking import CouldNotRun, Settings, answering, deliver, load, mistakes_told, needs_folder
from knockon.queries.ui.commands.club.note import own_folder, writing
from knockon.queries.ui.details import Shown, as_typed, detailed
from knockon.queries.ui.having_written import having_written
from knockon.queries.ui.naming import Naming, listed
from knockon.queries.ui.patient import as_asked, patient, time_limited
from knockon.queries.ui.sentences import buy as says
from knockon.queries.ui.sentences.help import buy as say
from knockon.queries.ui.sentences.help import plan as say_plan
from knockon.queries.ui.terminal.blocks import Block, Gap, Para
from knockon.queries.ui.texts.buy.letter import letter as letter_to
from knockon.queries.ui.texts.buy.order import order_named, order_pages
from knockon.queries.ui.texts.buy.placed import plan_pages


@click.command(help=say.ORDER)
@click.argument("vehicle", metavar="[VEHICLE]", default="")
@click.option("--want", metavar="WISH", multiple=True, help=say_plan.WANT)
@click.option("--keep", metavar="POSITION", multiple=True, help=say_plan.KEEP)
@click.option("--avoid", metavar="PART|SUPPLIER", multiple=True, help=say_plan.AVOID)
@click.option("--renew", metavar="POSITION", multiple=True, help=say_plan.RENEW)
@click.option("--prefer", type=click.Choice(LEVELS), multiple=True, help=say_plan.PREFER)
@click.option("--accept", metavar="WHAT=N", multiple=True, help=say.ACCEPT)
@click.option("--plan", "name", metavar="NAME", default="", help=say.PLAN)
@click.option("--by", metavar="MEMBER", default="", help=say.BY)
@click.option("--place", "placing", type=click.Choice(list(ORDERS)), default=None, help=say.PLACE)
@click.option("--which", type=click.Choice(list(ORDERS)), default=CHEAPEST, show_default=True, help=say.WHICH)
@click.option("--letter", metavar="SUPPLIER", default="", help=say.LETTER)
@click.option("--sheets", type=click.Path(path_type=Path), metavar="FOLDER", help=say.SHEETS)
@time_limited()
@detailed("full", says=say.DETAILS)
@answering
def order(settings: Settings, vehicle: str, want: tuple[str, ...], keep: tuple[str, ...], avoid: tuple[str, ...],
          renew: tuple[str, ...], prefer: tuple[str, ...], accept: tuple[str, ...], name: str, by: str,
          placing: str | None, which: str, letter: str, sheets: Path | None, time_limit: float,
          shown: Shown) -> int:  # fmt: skip
    """What to buy where, so that a swap is supplied."""
    _check_said(vehicle, name, placing, {"want": want, "renew": renew}, (keep, avoid, prefer, accept))
    if sheets is not None:
        needs_folder(sheets, settings)
        if sheets.exists():
            raise CouldNotRun(says.FOLDER_THERE.format(folder=sheets))
    records = load(settings)
    asked = {"want": want, "keep": keep, "avoid": avoid, "renew": renew, "prefer": prefer}
    with mistakes_told(), writing(), patient(time_limit) as patience:
        if not name:
            answer = find_orders(
                records.catalogue, vehicle, accept=accept, patience=patience, want=want, keep=keep, avoid=avoid,
                renew=renew, prefer=prefer,
            )  # fmt: skip
        else:
            folder = own_folder(settings)
            job = _job(folder, name, vehicle, asked, by, accept)
            job = keep_answers(folder, records.catalogue, job, by, patience) if vehicle or by else job
            answer = order_for(records.catalogue, job, patience)
            name, vehicle = job.name, job.planned.vehicle
            asked = {option: job.planned.request.get(option, ()) for option in asked}
            if placing:
                job = place(folder, records.catalogue, job, answer, placing, by)
                answer = after_placing(answer, job)
                which = placing
                keep_answers(folder, records.catalogue, job, by, patience)

    limit = as_asked(time_limit)
    ask = as_typed(settings, "order", vehicle, **asked, accept=accept, **limit)
    ask = as_typed(settings, "order", plan=name, **limit) if name else ask
    ask += f" --which {as_word(which)}" if which != CHEAPEST else ""
    measure = as_typed(settings, "swap", vehicle, **asked, **limit) + " --measure"

    def text(catalogue: Catalogue) -> Sequence[Block]:
        if letter:
            return _letter(Naming.on(catalogue, answer.vehicle), _chosen(answer, which, ask), letter)
        if answer.of_plan is not None:
            goods_in = as_typed(settings, "goods-in", plan=name)
            return plan_pages(catalogue, answer, shown, which, [ask, measure, goods_in])
        return order_pages(catalogue, answer, shown, which, ask, measure)

    if sheets is None:
        return deliver(settings, "order", answer, answer.is_good, text, records)
    from knockon.queries.ui.texts.buy.sheets import write_sheets

    chosen = _chosen(answer, which, ask)
    suppliers = write_sheets(Naming.on(records.catalogue, answer.vehicle), chosen, sheets)
    said = says.WRITTEN.format(suppliers=listed(suppliers), folder=sheets)

    def with_said(catalogue: Catalogue) -> Sequence[Block]:
        return [Para(said), Gap(), *text(catalogue)]

    with having_written(said, 0 if answer.is_good else 1):
        return deliver(settings, "order", answer, answer.is_good, with_said, records)


def _check_said(vehicle: str, name: str, placing: str | None, wishes: dict[str, tuple[str, ...]],
                others: tuple[tuple[str, ...], ...]) -> None:  # fmt: skip
    if (vehicle or not name) and not (vehicle and any(wishes.values())):
        raise click.UsageError(say.SAY_WHAT)
    if not vehicle and any((*wishes.values(), *others)):
        raise click.UsageError(say.NAME_VEHICLE)
    if placing and not name:
        raise click.UsageError(say.PLACE_NEEDS_PLAN)


def _job(folder: Path, name: str, vehicle: str, asked: dict[str, tuple[str, ...]], by: str,
         accept: tuple[str, ...]) -> Job:  # fmt: skip
    return remember(folder, name, vehicle, asked, by, read_accepted(accept)) if vehicle else read_job(folder, name)


def as_word(text: str) -> str:
    """A word of a command, quoted where it has a blank."""
    return f'"{text}"' if " " in text else text


def _chosen(answer: OrderAnswer, which: str, ask: str) -> OrderBought:
    chosen = order_named(answer, which)
    if chosen is None or not chosen.lines:
        raise CouldNotRun(says.NO_SUCH_ORDER.format(command=ask))
    return chosen


def _letter(naming: Naming, order: OrderBought, supplier: str) -> list[Block]:
    known = [bill.supplier for bill in order.parcel_bills]
    meant = [name for name in known if name.casefold() == supplier.strip().casefold()]
    meant = meant or [name for name in known if name.casefold().startswith(supplier.strip().casefold())]
    if len(meant) != 1:
        raise CouldNotRun(says.NO_SUPPLIER.format(supplier=supplier, suppliers=listed(known)))
    blocks: list[Block] = []
    for line in letter_to(naming, order, meant[0]):
        bare = line.removeprefix("- ")
        blocks.append(Para(bare, mark="-" if bare != line else "") if line else Gap())
    return blocks
