"""``knockon changed``: what changed since then, and does it hit my plan?"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from knockon.graph.jobs.store import read_job
from knockon.graph.model.catalogue import Catalogue
from knockon.graph.records import load as load_folder
from knockon.queries.intake.changed import changed_answers
from knockon.queries.job.answers_kept import keep_answers
from knockon.queries.job.plan_changed import plan_changed
from knockon.queries.tightening import without_torque_in
from knockon.queries.ui.asking import Settings, answering, deliver, load, mistakes_told
from knockon.queries.ui.commands.club.note import own_folder, writing
from knockon.queries.ui.details import Shown, as_typed, detailed
from knockon.queries.ui.naming import Naming
from knockon.queries.ui.patient import as_asked, patient, time_limited
from knockon.queries.ui.sentences import intake as says
from knockon.queries.ui.sentences.help import intake as say
from knockon.queries.ui.sentences.help import job as job_say
from knockon.queries.ui.terminal.blocks import Block, Gap, Para
from knockon.queries.ui.texts.club.merge import changed_text
from knockon.queries.ui.texts.job.plan_changed import plan_changed_pages

if TYPE_CHECKING:
    from collections.abc import Sequence


@click.command(help=say.CHANGED)
@click.argument("old", type=click.Path(path_type=Path, file_okay=False), required=False)
@click.option("--for", "vehicle", default="", metavar="VEHICLE", help=say.FOR)
@click.option("--want", multiple=True, metavar="WISH", help=say.WANT)
@click.option("--plan", "name", metavar="NAME", default="", help=say.PLAN)
@click.option("--from-now", "from_now", is_flag=True, help=say.FROM_NOW)
@click.option("--by", metavar="MEMBER", default="", help=job_say.BY)
@time_limited()
@detailed("full")
@answering
def changed(settings: Settings, old: Path | None, vehicle: str, want: tuple[str, ...], name: str, from_now: bool,
            by: str, time_limit: float, shown: Shown) -> int:  # fmt: skip
    """What changed since then, and does it hit my plan?"""
    if bool(vehicle) != bool(want) or (vehicle and name):
        raise click.UsageError(says.FOR_AND_WANT)
    if not (old or name):
        raise click.UsageError(says.OLD_OR_PLAN)
    if from_now and not (name and by):
        raise click.UsageError(says.FROM_NOW_NEEDS)
    if name:
        return _of_plan(settings, old, name, by if from_now else "", time_limit, shown)
    assert old is not None

    with mistakes_told():
        before = load_folder(old).catalogue
        records = load(settings)
        answer = without_torque_in(changed_answers(before, records.catalogue, vehicle, want))

    def text(_: Catalogue) -> Sequence[Block]:
        return changed_text(answer, shown.full)

    return deliver(settings, "changed", answer, answer.is_quiet, text, records)


def _of_plan(settings: Settings, old: Path | None, name: str, by: str, time_limit: float, shown: Shown) -> int:
    """What changed for a named plan; ``by`` whom today's answers are kept, if they are."""
    folder = own_folder(settings)
    with mistakes_told(), writing(), patient(time_limit) as patience:
        older = load_folder(old).catalogue if old is not None else None
        records = load(settings)
        job = read_job(folder, name)
        if by and job.answered is None and older is None:
            keep_answers(folder, records.catalogue, job, by, patience)
            job, by = read_job(folder, name), ""
        answer = without_torque_in(plan_changed(records.catalogue, job, older, patience))
        if by:
            keep_answers(folder, records.catalogue, job, by, patience, anew=True)
    limit = as_asked(time_limit)
    commands = [as_typed(settings, "order", plan=answer.plan, **limit)]
    commands += [as_typed(settings, "job-card", plan=answer.plan, **limit)] if answer.steps or answer.ticked else []
    if not (answer.is_quiet or by or old):
        commands.append(as_typed(settings, "changed", plan=answer.plan, **limit) + says.FROM_NOW_BY)

    def text(catalogue: Catalogue) -> Sequence[Block]:
        kept: list[Block] = [Para(says.KEPT_FROM_NOW), Gap()] if by else []
        return [*kept, *plan_changed_pages(Naming.on(catalogue, answer.vehicle), answer, shown, commands)]

    return deliver(settings, "changed-plan", answer, answer.is_quiet, text, records)
