"""``knockon share``: one's own records and notes as one file for other clubs."""

from __future__ import annotations

import re
from pathlib import Path

import click

from knockon.graph.exchange.clubs import Shared, merged_clubs, shared
from knockon.graph.exchange.handed_out import hand_out
from knockon.graph.exchange.versions import is_in_future, moment
from knockon.graph.exchange.view import stated
from knockon.graph.notes.write import check_member, now
from knockon.graph.records import read_graph
from knockon.queries.ask.outcomes import FileWritten
from knockon.queries.ui.asking import GOOD, CouldNotRun, Settings, answering, needs_folder, write
from knockon.queries.ui.commands.club.note import writing
from knockon.queries.ui.having_written import done
from knockon.queries.ui.plain import say_beside

_DATE_TIME = re.compile(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d(\.\d+)?(Z|[+-]\d\d:\d\d)?")


@click.command()
@click.argument("file", type=click.Path(path_type=Path, dir_okay=False, allow_dash=True))
@click.option("--club", required=True, help="The club's short name: small letters, digits and hyphens.")
@click.option("--title", default="", help="The club's full name.")
@click.option("--member", default="", help="Who shares: initials or member number.")
@click.option("--licence", default="", help="Licence of what is shared, such as CC-BY-4.0.")
@click.option("--date", default="", help="When, as 2026-05-03T12:00:00Z; without it: now.")
@answering
def share(settings: Settings, file: Path, club: str, title: str, member: str, licence: str, date: str) -> int:
    """Write one's own records and notes to FILE (TriG; - for the standard output), with who, when and licence.

    Merged clubs are not passed on: they share for themselves. With --without a source of one's own stays at home.
    """
    if date and not _DATE_TIME.fullmatch(date):
        raise CouldNotRun(f"--date {date!r}: expected a day and time such as 2026-05-03T12:00:00Z")
    when = moment(date)
    if when is not None and is_in_future(when):
        raise CouldNotRun(f"--date {date!r}: that is in the future; other clubs would not believe it")
    needs_folder(file, settings)
    with writing():
        check_member(member)
        store, _, findings = read_graph(settings.folder)
        clubs = merged_clubs(settings.folder)
        statements = stated(store, settings.without, clubs)
        content = shared(statements, Shared(club, member, date or now(), licence, title))
        if str(file) != "-":
            hand_out(file, content, settings.folder)
    if club in clubs:
        say_beside(
            f"knockon: a merged club is called {club} here too. If that is your own file come back, take it out: "
            f"knockon merge --remove {club}. If it is another club, share under another name: one name mixes both."
        )
    if str(file) == "-":
        write(content)
        return GOOD
    aside = sum(f.set_aside for f in findings)
    note = f" {aside} rows or cells that are set aside are not in it (knockon check)." if aside else ""
    said = f"Written: {file}, the records of {club}.{note} Another club takes it in with: knockon merge {file}\n"
    return done(settings, "share", FileWritten(str(file), len(statements), club, aside), said)
