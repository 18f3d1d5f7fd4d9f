"""``knockon merge``: take another club's records in, or out again."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from knockon.graph.exchange.clubs import by_club, club_name, merged_clubs, read_club
from knockon.graph.exchange.merging import merge_into, remove_club
from knockon.graph.exchange.versions import dated, is_in_future, moment
from knockon.graph.files.rdf_files import club_files
from knockon.graph.model.catalogue import Catalogue
from knockon.graph.rdf.canonical import read_rdf
from knockon.queries.ask.outcomes import ClubRemoved
from knockon.queries.club.merging import as_merged, judge_merge
from knockon.queries.tightening import without_torque_in
from knockon.queries.ui.asking import GOOD, NOT_SO, CouldNotRun, Settings, answering, deliver, load, mistakes_told, told
from knockon.queries.ui.blocks import Block
from knockon.queries.ui.having_written import done, having_written
from knockon.queries.ui.naming import count
from knockon.queries.ui.texts.club.disputes import merge_text

if TYPE_CHECKING:
    from collections.abc import Sequence


@click.command()
@click.argument("file", type=click.Path(path_type=Path, dir_okay=False), required=False)
@click.option("--club", default="", help="Whose statements those are that stand in no club's graph.")
@click.option("--date", default="", help="When it was shared, where the file does not say: as 2026-05-03T12:00:00Z.")
@click.option("--keep-old", is_flag=True, help="Keep what the club said before beside what it says now.")
@click.option("--dry-run", is_flag=True, help="Say what would come of it, and write nothing.")
@click.option("--remove", default="", metavar="CLUB", help="Take a merged club out again.")
@answering
def merge(settings: Settings, file: Path | None, club: str, date: str, keep_old: bool, dry_run: bool,
          remove: str) -> int:  # fmt: skip
    """Take FILE in: what another club shared, or RDF in N-Quads, TriG, Turtle or JSON-LD.

    Your own records stay as they are. A newer file of a club replaces what the club said before, and an older one
    changes nothing. So merging in any order, any number of times, gives the same records. Exit status 1 if something
    contradicts, was set aside or was not taken in.
    """
    if bool(file) == bool(remove):
        raise click.UsageError("give either a FILE to take in, or --remove CLUB.")
    if settings.records is None and not dry_run:
        raise CouldNotRun("the demo world is not written to: name your own records with --records DIR")
    if remove:
        return _remove(settings, remove, dry_run)
    assert file is not None

    when = moment(date)
    if date and when is None:
        raise CouldNotRun(f"--date {date!r}: expected a day and time such as 2026-05-03T12:00:00Z")
    if when is not None and is_in_future(when):
        raise CouldNotRun(f"--date {date!r}: that is in the future")
    with mistakes_told():
        incoming = dated(by_club(read_rdf(file), str(file), club_name(club) if club else ""), date)
        before = load(settings)
        judged = judge_merge(before, settings.folder, incoming, str(file), settings.without, keep_old)
        answer = without_torque_in(judged)
        if not dry_run:
            answer = as_merged(answer, merge_into(settings.folder, incoming, keep_old))
    good = not answer.size_disputes and not answer.note_disputes and not answer.findings
    good = good and all(t.taken and not t.in_future for t in answer.taken)

    def text(_: Catalogue) -> Sequence[Block]:
        return merge_text(answer)

    if not answer.written:
        return deliver(settings, "merge", answer, good, text)
    said = "".join(
        f"{t.club}: taken in, {count(n, 'new statement')}. "
        for t, n in zip(answer.taken, answer.added, strict=True)
        if t.taken
    )
    with having_written(said or "Nothing was taken in.", GOOD if good else NOT_SO):
        return deliver(settings, "merge", answer, good, text)


def _remove(settings: Settings, club: str, dry_run: bool) -> int:
    if dry_run:
        if club not in merged_clubs(settings.folder):
            raise CouldNotRun(f"no club {club!r} has been merged here")
        with mistakes_told():
            file = next(f for f in club_files(settings.folder) if f.stem == club)
            count = len(read_club(file))
        said = f"{club} would be taken out, {count} statements; nothing was written.\n"
        return told(settings, "merge remove", ClubRemoved(club, count, False), said)

    with mistakes_told():
        count = remove_club(settings.folder, club)
    said = f"Taken out: {club}, {count} statements. Everything else is as it was.\n"
    return done(settings, "merge remove", ClubRemoved(club, count, True), said)
