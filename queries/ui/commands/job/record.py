"""``knockon record``: what was built, against what was found; written into the records, and printed"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import click

from knockon.graph.jobs.store import read_job
from knockon.graph.model.catalogue import Catalogue
from knockon.queries.job.fitted_now import state_of, write_note, write_record
from knockon.queries.job.record import RecordAnswer, record_of
from knockon.queries.ui.asking import CouldNotRun, Settings, answering, deliver, load, mistakes_told
from knockon.queries.ui.commands.club.note import own_folder, writing
from knockon.queries.ui.details import Shown, as_typed, detailed
from knockon.queries.ui.having_written import having_written
from knockon.queries.ui.naming import Naming
from knockon.queries.ui.patient import patient, time_limited
from knockon.queries.ui.record_in_words import note_text
from knockon.queries.ui.sentences import job as says
from knockon.queries.ui.sentences.help import job as say
from knockon.queries.ui.terminal.blocks import Block, Gap, Para
from knockon.queries.ui.texts.job.record import record_pages


@click.command(help=say.RECORD)
@click.option("--plan", "name", metavar="NAME", required=True, help=say.RECORD_PLAN)
@click.option("--write", "write", is_flag=True, help=say.WRITE)
@click.option("--note", "note", is_flag=True, help=say.NOTE)
@click.option("--by", metavar="MEMBER", default="", help=say.BY)
@click.option("--inspector", is_flag=True, help=say.INSPECTOR)
@click.option("--print", "printed", type=click.Path(path_type=Path), metavar="FILE.pdf", help=say.PRINT_RECORD)
@time_limited()
@detailed("full", says={"full": say.FULL_RECORD})
@answering
def record(settings: Settings, name: str, write: bool, note: bool, by: str, inspector: bool, printed: Path | None,
           time_limit: float, shown: Shown) -> int:  # fmt: skip
    """What was built, against what was found."""
    folder = own_folder(settings)
    if printed is not None and printed.exists():
        raise CouldNotRun(says.FILE_THERE.format(file=printed))
    said: list[str] = []
    with writing(), patient(time_limit) as patience:
        state = state_of(folder)
        records = load(settings)
        answer = record_of(records.catalogue, read_job(folder, name), patience)
        naming = Naming.on(records.catalogue, answer.vehicle)
        if write:
            write_record(folder, records.catalogue, answer, by, state)
            said.append(says.RECORD_WRITTEN.format(machine=naming.machine))
    with having_written(" ".join(said)) if said else writing():
        if write:
            records = load(settings)
        with writing():
            if note:
                answer = record_of(records.catalogue, read_job(folder, name))
                told = write_note(folder, records.catalogue, answer, by, note_text(answer))
                said.append(says.NOTE_WRITTEN.format(note=told))
            if write or note:
                answer = record_of(records.catalogue, read_job(folder, name))
            if printed is not None:
                _print(printed, records.catalogue, answer, inspector)
                said.append(says.PRINTED.format(file=printed))
        ask = as_typed(settings, "record", plan=answer.plan)
        commands = _next(settings, answer, ask, inspector)

        def text(catalogue: Catalogue) -> Sequence[Block]:
            above = [Para(line) for line in said]
            page = record_pages(catalogue, answer, shown, inspector, commands)
            return [*above, *([Gap()] if above else []), *page]

        return deliver(settings, "record", answer, answer.is_good, text, records)


def _print(file: Path, catalogue: Catalogue, answer: RecordAnswer, inspector: bool) -> None:
    from knockon.graph.files.atomic import write_whole
    from knockon.queries.ui.prints.record import record_page

    with mistakes_told():
        if answer.open:
            raise CouldNotRun(says.RECORD_OPEN.format(plan=answer.plan))
        write_whole(file, record_page(catalogue, answer, inspector), only_new=True)


def _next(settings: Settings, answer: RecordAnswer, ask: str, inspector: bool) -> list[str]:
    if answer.open:
        return [as_typed(settings, "job-card", plan=answer.plan)]
    write = says.WRITE_IT.format(ask=ask) if answer.built is None else as_typed(settings, "vehicle", answer.vehicle)
    note = says.WRITE_NOTE.format(ask=ask) if not answer.note else ""
    printing = (says.PRINT_INSPECTOR if inspector else says.PRINT_RECORD).format(ask=ask)
    other = "" if inspector else f"{ask} --inspector"
    return [x for x in (write, note, printing, other, f"{ask} --full") if x]
