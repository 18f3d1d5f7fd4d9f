"""``knockon merge``: take another club's records in, or out again."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click
import msgspec

from knockon.graph.exchange.clubs import by_club, club_name, merged_clubs, read_club
from knockon.graph.exchange.merging import merge_into, remove_club
from knockon.graph.exchange.versions import dated, is_in_future, moment
from knockon.graph.files.rdf_files import club_files
from knockon.graph.model.catalogue import Catalogue
from knockon.graph.rdf.canonical import read_rdf
from knockon.queries.ask.outcomes import ClubRemoved
from knockon.queries.club.merging import as_merged, judge_merge
from knockon.queries.club.photographs_beside import named_photographs, take_in_photographs
from knockon.queries.tightening import without_torque_in
from knockon.queries.ui.asking import GOOD, NOT_SO, CouldNotRun, Settings, answering, deliver, load, mistakes_told, told
from knockon.queries.ui.details import Shown, detailed
from knockon.queries.ui.having_written import done, having_written
from knockon.queries.ui.naming import count
from knockon.queries.ui.sentences import club as says
from knockon.queries.ui.sentences.help import club as say
from knockon.queries.ui.terminal.blocks import Block
from knockon.queries.ui.terminal.progress import steps_shown
from knockon.queries.ui.texts.club.merge import merge_text

if TYPE_CHECKING:
    from collections.abc import Sequence


@click.command(help=say.MERGE)
@click.argument("file", type=click.Path(path_type=Path, dir_okay=False), required=False)
@click.option("--club", default="", help=say.MERGE_CLUB)
@click.option("--date", default="", help=say.MERGE_DATE)
@click.option("--keep-old", is_flag=True, help=say.KEEP_OLD)
@click.option("--dry-run", is_flag=True, help=say.DRY_RUN)
@click.option("--remove", default="", metavar="CLUB", help=say.REMOVE)
@detailed("full")
@answering
def merge(settings: Settings, file: Path | None, club: str, date: str, keep_old: bool, dry_run: bool,
          remove: str, shown: Shown) -> int:  # fmt: skip
    """Take another club's records in, or out again."""
    if bool(file) == bool(remove):
        raise click.UsageError(says.FILE_OR_CLUB)
    if settings.records is None and not dry_run:
        raise CouldNotRun(says.NO_DEMO)
    if remove:
        return _remove(settings, remove, dry_run)
    assert file is not None

    when = moment(date)
    if date and when is None:
        raise CouldNotRun(says.BAD_DATE.format(date=date))
    if when is not None and is_in_future(when):
        raise CouldNotRun(says.FUTURE.format(date=date))
    with mistakes_told(), steps_shown(says.MERGING):
        incoming = dated(by_club(read_rdf(file), str(file), club_name(club) if club else ""), date)
        before = load(settings)
        judged = judge_merge(before, settings.folder, incoming, str(file), settings.without, keep_old)
        answer = without_torque_in(judged)
        if not dry_run:
            answer = as_merged(answer, merge_into(settings.folder, incoming, keep_old))
            names = named_photographs(q for t in answer.taken if t.taken for q in incoming[t.club])
            if names:
                answer = msgspec.structs.replace(answer, photographs=take_in_photographs(file, settings.folder, names))
    good = not answer.size_disputes and not answer.note_disputes and not answer.findings
    good = good and all(t.taken and not t.in_future for t in answer.taken)

    def text(_: Catalogue) -> Sequence[Block]:
        return merge_text(answer, shown.full)

    if not answer.written:
        return deliver(settings, "merge", answer, good, text)
    said = "".join(
        says.MERGED_IN_SHORT.format(club=t.club, statements=count(n, "new statement"))
        for t, n in zip(answer.taken, answer.added, strict=True)
        if t.taken
    )
    with having_written(said or says.NOTHING_IMPORTED, GOOD if good else NOT_SO):
        return deliver(settings, "merge", answer, good, text)


def _remove(settings: Settings, club: str, dry_run: bool) -> int:
    if dry_run:
        merged = merged_clubs(settings.folder)
        if club not in merged:
            unknown = says.MERGED_ARE if merged else says.NOT_MERGED
            named = {"clubs": ", ".join(sorted(merged))} if merged else {}
            raise CouldNotRun(unknown.format(club=club, **named))
        with mistakes_told():
            file = next(f for f in club_files(settings.folder) if f.stem == club)
            number = len(read_club(file))
        said = says.WOULD_REMOVE.format(club=club, statements=count(number, "statement"))
        return told(settings, "merge remove", ClubRemoved(club, number, False), f"{said}\n")

    with mistakes_told():
        number = remove_club(settings.folder, club)
    said = says.REMOVED.format(club=club, statements=count(number, "statement"))
    return done(settings, "merge remove", ClubRemoved(club, number, True), f"{said}\n")
