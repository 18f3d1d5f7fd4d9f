"""``knockon job-card``: every step of a swap in an order in which it can be done, ticked and closed for a named plan"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import click
from msgspec.structs import replace

from knockon.graph.jobs.store import Job, read_job
from knockon.graph.model.catalogue import Catalogue
from knockon.graph.records import Records
from knockon.queries.job.answers_kept import keep_answers
from knockon.queries.job.card import Done, JobCard, job_card
from knockon.queries.job.named import asked_in, close, done_in, lines_named, remember, tick, words_in
from knockon.queries.job.tools import tools_for
from knockon.queries.ui.asking import CouldNotRun, Settings, answering, deliver, load, mistakes_told
from knockon.queries.ui.commands.club.note import own_folder, writing
from knockon.queries.ui.details import Shown, as_typed, detailed
from knockon.queries.ui.naming import listed
from knockon.queries.ui.patient import as_asked, patient, time_limited
from knockon.queries.ui.sentences import job as says
from knockon.queries.ui.sentences.help import job as say
from knockon.queries.ui.sentences.help import plan as say_plan
from knockon.queries.ui.terminal.blocks import Block, Gap, Para
from knockon.queries.ui.texts.job.card import card_pages
from knockon.queries.ui.texts.job.tools import tools_page


@click.command(help=say.JOB_CARD)
@click.argument("vehicle", metavar="[VEHICLE]", default="")
@click.option("--want", metavar="WISH", multiple=True, help=say_plan.WANT)
@click.option("--keep", metavar="POSITION", multiple=True, help=say_plan.KEEP)
@click.option("--avoid", metavar="PART|SUPPLIER", multiple=True, help=say_plan.AVOID)
@click.option("--renew", metavar="POSITION", multiple=True, help=say_plan.RENEW)
@click.option("--plan", "name", metavar="NAME", default="", help=say.PLAN)
@click.option("--tick", metavar="STEP", multiple=True, help=say.TICK)
@click.option("--take-back", metavar="STEP", multiple=True, help=say.TAKE_BACK)
@click.option("--side", type=click.Choice(["left", "right"]), default=None, help=say.SIDE)
@click.option("--read", metavar="READING", default="", help=say.READ)
@click.option("--by", metavar="MEMBER", default="", help=say.BY)
@click.option("--close", "closing", is_flag=True, help=say.CLOSE)
@click.option("--checked-by", metavar="MEMBER", default="", help=say.CHECKED_BY)
@click.option("--print", "printed", type=click.Path(path_type=Path), metavar="FILE.pdf", help=say.PRINT)
@click.option("--tools", is_flag=True, help=say.TOOLS)
@click.option("--have", metavar="TOOL", multiple=True, help=say.HAVE)
@time_limited()
@detailed("full", says={"full": say.FULL})
@answering
def job_card_of(settings: Settings, vehicle: str, want: tuple[str, ...], keep: tuple[str, ...], avoid: tuple[str, ...],
                renew: tuple[str, ...], name: str, tick: tuple[str, ...], take_back: tuple[str, ...], side: str | None,
                read: str, by: str, closing: bool, checked_by: str, printed: Path | None, tools: bool,
                have: tuple[str, ...], time_limit: float, shown: Shown) -> int:  # fmt: skip
    """Every step of a swap, in an order in which it can be done."""
    writes = {"tick": tick, "take-back": take_back, "close": closing}
    for option, given in writes.items():
        if given and not name:
            raise click.UsageError(say.NEEDS_PLAN.format(option=option))
    if not name and not (vehicle and (want or renew)):
        raise click.UsageError(say.SAY_WHAT)
    asked = {"want": want, "keep": keep, "avoid": avoid, "renew": renew}
    records = load(settings)
    said: list[str] = []
    with mistakes_told(), writing(), patient(time_limit) as patience:
        job = _job(settings, name, vehicle, asked, by) if name else None
        if job is not None and vehicle:
            job = keep_answers(own_folder(settings), records.catalogue, job, by, patience)
        at, typed = asked_in(job) if job is not None else (vehicle, asked)

        def card_now(now: Job | None) -> JobCard:
            done = done_in(now) if now is not None else {}
            card = job_card(records.catalogue, at, done=done, patience=patience, **typed)
            return _of(now, card if now is None else replace(card, asked=words_in(records.catalogue, now, card.asked)))

        card = card_now(job)
        if job is not None and (tick or take_back or closing):
            job = _written(own_folder(settings), job, card, writes, side or "", read, by, checked_by, said)
            card = card_now(job)
    ask = as_typed(settings, "job-card", *([] if name else [vehicle]), **({"plan": name} if name else asked))
    ask += "".join(f" --{k} {v}" for k, v in as_asked(time_limit).items())
    if tools or have:
        return _tools(settings, records, card, have, ask)
    if printed is not None:
        said.append(says.PRINTED.format(file=_print(printed, records.catalogue, card)))

    def text(catalogue: Catalogue) -> Sequence[Block]:
        told = [Para(line) for line in said]
        return [*told, *([Gap()] if told else []), *card_pages(catalogue, card, shown, side or "", _next(card, ask))]

    return deliver(settings, "job-card", card, card.is_good, text, records)


def _tools(settings: Settings, records: Records, card: JobCard, have: tuple[str, ...], ask: str) -> int:
    with mistakes_told():
        needed = tools_for(card, have)
    commands = [says.TOOLS_HAD.format(ask=ask), ask]

    def text(catalogue: Catalogue) -> Sequence[Block]:
        return tools_page(catalogue, needed, commands)

    return deliver(settings, "tools", needed, card.is_good, text, records)


def _job(settings: Settings, name: str, vehicle: str, asked: dict[str, tuple[str, ...]], by: str) -> Job:
    folder = own_folder(settings)
    if not vehicle:
        return read_job(folder, name)
    if not (asked["want"] or asked["renew"]):
        raise click.UsageError(say.SAY_WHAT)
    return remember(folder, name, vehicle, asked, by)


def _of(job: Job | None, card: JobCard) -> JobCard:
    """The card with what belongs to the named plan."""
    if job is None:
        return card
    closed = job.closed
    shut = Done(closed.by, closed.at, closed.checked_by) if closed is not None else None
    return replace(card, plan=job.name, closed=shut)


def _written(folder: Path, job: Job, card: JobCard, writes: dict[str, object], side: str, read: str, by: str,
             checked_by: str, said: list[str]) -> Job:  # fmt: skip
    for option, template, back in (("take-back", says.TAKEN_BACK, True), ("tick", says.TICKED, False)):
        names = writes[option]
        if isinstance(names, tuple) and names:
            lines = lines_named(card, names, side)
            job = tick(folder, job.name, card, lines, by, "" if back else read, back)
            said.append(template.format(names=listed([line.name for line in lines])))
    if writes["close"]:
        done = done_in(job)
        ticked = tuple(
            replace(x, done=next((d for at, d in done.items() if str(at) == x.name), None)) for x in card.lines
        )
        open_gates = tuple(x.name for x in ticked if x.gate and x.done is None)
        job = close(folder, job.name, replace(card, lines=ticked, open_gates=open_gates), by, checked_by)
        said.append(says.CARD_CLOSED)
    return job


def _print(file: Path, catalogue: Catalogue, card: JobCard) -> Path:
    from knockon.graph.files.atomic import write_whole
    from knockon.queries.ui.prints.job_card import job_card_page

    if file.exists():
        raise CouldNotRun(says.FILE_THERE.format(file=file))
    with mistakes_told():
        write_whole(file, job_card_page(catalogue, card), only_new=True)
    return file


def _next(card: JobCard, ask: str) -> list[str]:
    first = next((x for x in card.lines if x.done is None), None)
    ticking = says.TICKING.format(ask=ask, step=first.name) if first is not None and card.plan else ""
    can_close = card.plan and not card.open_gates and card.closed is None
    closing = says.CLOSING.format(ask=ask) if can_close else ""
    return [x for x in (ticking, closing, says.PRINTING.format(ask=ask), f"{ask} --full") if x]
