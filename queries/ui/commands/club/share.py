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
from knockon.queries.ui.naming import count
from knockon.queries.ui.sentences import club as says
from knockon.queries.ui.sentences.help import club as say
from knockon.queries.ui.terminal.plain import say_beside
from knockon.queries.ui.terminal.progress import steps_shown

_DATE_TIME = re.compile(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d(\.\d+)?(Z|[+-]\d\d:\d\d)?")


@click.command(help=say.SHARE)
@click.argument("file", type=click.Path(path_type=Path, dir_okay=False, allow_dash=True))
@click.option("--club", required=True, help=say.CLUB)
@click.option("--title", default="", help=say.TITLE)
@click.option("--member", default="", help=say.SHARED_BY)
@click.option("--licence", default="", help=say.LICENCE)
@click.option("--date", default="", help=say.SHARED_AT)
@answering
def share(settings: Settings, file: Path, club: str, title: str, member: str, licence: str, date: str) -> int:
    """Write your own records and notes to a file for other clubs."""
    if date and not _DATE_TIME.fullmatch(date):
        raise CouldNotRun(says.BAD_DATE.format(date=date))
    when = moment(date)
    if when is not None and is_in_future(when):
        raise CouldNotRun(says.FUTURE_TO_SHARE.format(date=date))
    needs_folder(file, settings)
    with writing(), steps_shown(says.EXPORTING):
        check_member(member)
        store, _, findings = read_graph(settings.folder)
        clubs = merged_clubs(settings.folder)
        statements = stated(store, settings.without, clubs)
        content = shared(statements, Shared(club, member, date or now(), licence, title))
        if str(file) != "-":
            hand_out(file, content, settings.folder)
    if club in clubs:
        say_beside(says.CLUB_HERE_TOO.format(club=club))
    if str(file) == "-":
        write(content)
        return GOOD
    aside = sum(f.set_aside for f in findings)
    left = says.SKIPPED_IN_FILE.format(rows=count(aside, *says.ROW_OR_CELL)) if aside else ""
    said = f"{says.SHARED.format(file=file, club=club, left=left)} {says.NEXT_MERGE.format(file=file)}\n"
    return done(settings, "share", FileWritten(str(file), len(statements), club, aside), said)
