"""``knockon share``: one's own records and notes as one file for other clubs."""

from __future__ import annotations

import re
from pathlib import Path

import click

from knockon.graph.exchange.clubs import Shared, merged_clubs, shared
from knockon.graph.exchange.handed_out import hand_out
from knockon.graph.exchange.versions import is_in_future, moment
from knockon.graph.exchange.view import stated
from knockon.graph.files.atomic import PHOTOGRAPHS
from knockon.graph.notes.write import check_member, now
from knockon.graph.records import read_graph
from knockon.queries.ask.outcomes import FileWritten
from knockon.queries.club.photographs_beside import hand_out_photographs, named_photographs
from knockon.queries.ui.asking import GOOD, CouldNotRun, Settings, answering, mistakes_told, needs_folder, write
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
@click.option("--no-photographs", is_flag=True, help=say.NO_PHOTOGRAPHS)
@answering
def share(settings: Settings, file: Path, club: str, title: str, member: str, licence: str, date: str,
          no_photographs: bool) -> int:  # fmt: skip
    """Write your own records and notes to a file for other clubs."""
    when = moment(date)
    if date and (when is None or not _DATE_TIME.fullmatch(date)):
        raise CouldNotRun(says.BAD_DATE.format(date=date))
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
    carried = None
    photographs = named_photographs(statements)
    if photographs and file.is_file() and not no_photographs:
        with writing(), mistakes_told():
            carried = hand_out_photographs(settings.folder, file, photographs)
        say_beside(says.PHOTOGRAPHS_THERE.format(photographs=count(carried.there, "photograph"), folder=carried.folder))
        if carried.missing:
            lost = count(carried.missing, "photograph")
            say_beside(says.PHOTOGRAPHS_MISSING.format(photographs=lost))
    elif photographs:
        said_of, there = count(len(photographs), "photograph"), settings.folder / PHOTOGRAPHS
        say_beside(says.PHOTOGRAPHS_BESIDE.format(file=file, photographs=said_of, folder=there))
    if club in clubs:
        say_beside(says.CLUB_HERE_TOO.format(club=club))
    if str(file) == "-":
        write(content)
        return GOOD
    aside = sum(f.set_aside for f in findings)
    left = says.SKIPPED_IN_FILE.format(rows=count(aside, *says.ROW_OR_CELL)) if aside else ""
    said = f"{says.SHARED.format(file=file, club=club, left=left)} {says.NEXT_MERGE.format(file=file)}\n"
    return done(settings, "share", FileWritten(str(file), len(statements), club, aside, carried), said)
