"""``knockon goods-in``: what to check on the parcels of a named plan, and what is accepted, rejected or asked"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import click

from knockon.graph.jobs.events import ACCEPT, ASK, REJECT, Received
from knockon.graph.jobs.store import Job, read_job
from knockon.graph.model.catalogue import Catalogue
from knockon.queries.job.goods_in import GoodsIn, Judged, goods_in, judged, receive
from knockon.queries.job.parcels import line_meant
from knockon.queries.ui.asking import CouldNotRun, Settings, answering, deliver, load, mistakes_told
from knockon.queries.ui.commands.club.note import own_folder, writing
from knockon.queries.ui.details import Shown, as_typed, detailed
from knockon.queries.ui.patient import patient, time_limited
from knockon.queries.ui.sentences import goods_in as says
from knockon.queries.ui.sentences import job as job_says
from knockon.queries.ui.sentences.help import job as say
from knockon.queries.ui.terminal.blocks import Block, Gap, Para
from knockon.queries.ui.texts.job.goods_in import goods_pages, limits_said, seller_text


@click.command(help=say.GOODS_IN)
@click.option("--plan", "name", metavar="NAME", required=True, help=say.PLAN)
@click.option("--accept", metavar="PART", default="", help=say.ACCEPT)
@click.option("--reject", metavar="PART", default="", help=say.REJECT)
@click.option("--ask", "asking", metavar="PART", default="", help=say.ASK)
@click.option("--quantity", metavar="N", type=int, default=None, help=say.QUANTITY)
@click.option("--from", "supplier", metavar="SUPPLIER", default="", help=say.FROM)
@click.option("--side", type=click.Choice(["left", "right"]), default=None, help=say.SIDE_OF)
@click.option("--reading", metavar="READING", multiple=True, help=say.READING)
@click.option("--why", metavar="TEXT", default="", help=say.WHY)
@click.option("--by", metavar="MEMBER", default="", help=say.BY)
@click.option("--print", "printed", type=click.Path(path_type=Path), metavar="FILE.pdf", help=say.PRINT)
@time_limited()
@detailed("full", says={"full": say.FULL_GOODS})
@answering
def goods_in_of(settings: Settings, name: str, accept: str, reject: str, asking: str, quantity: int | None,
                supplier: str, side: str | None, reading: tuple[str, ...], why: str, by: str,
                printed: Path | None, time_limit: float, shown: Shown) -> int:  # fmt: skip
    """What to check on the parcels of a named plan."""
    said_of = [(v, p) for v, p in ((ACCEPT, accept), (REJECT, reject), (ASK, asking)) if p]
    if len(said_of) > 1:
        raise click.UsageError(say.ONE_VERDICT)
    if not said_of and any((quantity is not None, supplier, side, reading, why)):
        raise click.UsageError(say.SAY_OF_WHAT)
    records = load(settings)
    told: list[str] = []
    with mistakes_told(), writing(), patient(time_limit) as patience:
        folder = own_folder(settings)
        job = read_job(folder, name)
        card = goods_in(records.catalogue, job, patience)
        for verdict, part in said_of:
            line, _ = line_meant(job, part, supplier, verdict, quantity)
            found = [judged(records.catalogue, card, line.part, one) for one in reading]
            told += _checked(verdict, line.part, found)
            job, event = receive(folder, job, line.part, verdict, by, quantity=quantity, supplier=supplier,
                                 side=side or "", why=why, readings=reading)  # fmt: skip
            told += _told(records.catalogue, card, job, event)
            patience.again()
            card = goods_in(records.catalogue, job, patience)
    if printed is not None:
        told.append(job_says.PRINTED.format(file=_print(printed, records.catalogue, card)))
    ask = as_typed(settings, "goods-in", plan=job.name)
    further = [as_typed(settings, verb, plan=job.name) for verb in ("order", "job-card")]

    def text(catalogue: Catalogue) -> Sequence[Block]:
        return [*map(Para, told), *([Gap()] if told else []), *goods_pages(catalogue, card, shown, ask, further)]

    return deliver(settings, "goods-in", card, card.is_good, text, records)


def _print(file: Path, catalogue: Catalogue, card: GoodsIn) -> Path:
    from knockon.graph.files.atomic import write_whole
    from knockon.queries.ui.prints.goods_in import goods_in_page

    if file.exists():
        raise CouldNotRun(job_says.FILE_THERE.format(file=file))
    with mistakes_told():
        write_whole(file, goods_in_page(catalogue, card), only_new=True)
    return file


def _checked(verdict: str, part: str, found: Sequence[Judged]) -> list[str]:
    """What readings say; a part that they contradict is not accepted."""
    for one in found:
        if one.verdict == REJECT and verdict == ACCEPT:
            raise CouldNotRun(says.CONTRADICTED.format(reading=one.typed, limits=limits_said(one), part=part))
    return [says.READ[one.verdict].format(reading=one.typed, limits=limits_said(one)) for one in found]


def _told(catalogue: Catalogue, card: GoodsIn, job: Job, event: Received) -> list[str]:
    """What was written down; of what is rejected or asked also the text to the seller."""
    written = says.WRITTEN[event.verdict].format(quantity=event.quantity, part=event.part, supplier=event.supplier)
    return [written] if event.verdict == ACCEPT else [written, *seller_text(catalogue, card.vehicle, event)]
