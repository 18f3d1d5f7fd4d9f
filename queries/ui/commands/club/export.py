"""``knockon export``: everything that the records hold, as RDF."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from knockon.graph.exchange.clubs import merged_clubs
from knockon.graph.exchange.handed_out import hand_out
from knockon.graph.exchange.view import stated
from knockon.graph.rdf.canonical import format_of, to_bytes
from knockon.graph.records import read_graph
from knockon.graph.records.asked import asked_of
from knockon.queries.ask.outcomes import FileWritten
from knockon.queries.ui.asking import GOOD, Settings, answering, mistakes_told, needs_folder, write
from knockon.queries.ui.having_written import done
from knockon.queries.ui.naming import count
from knockon.queries.ui.sentences import club as says
from knockon.queries.ui.sentences.help import club as say
from knockon.queries.ui.terminal.progress import steps_shown

if TYPE_CHECKING:
    import pyoxigraph as ox

FORMATS = ("nq", "trig", "ttl", "jsonld")


@click.command(help=say.EXPORT)
@click.argument("file", type=click.Path(path_type=Path, dir_okay=False, allow_dash=True))
@click.option("--format", "form", type=click.Choice(FORMATS), help=say.FORMAT)
@click.option("--for-queries", is_flag=True, help=say.FOR_QUERIES)
@answering
def export(settings: Settings, file: Path, form: str | None, for_queries: bool) -> int:
    """Write all statements to a file."""
    needs_folder(file, settings)
    with mistakes_told(), steps_shown(says.EXPORTING):
        form = form or ("nq" if str(file) == "-" else format_of(file))
        statements = _asked(settings) if for_queries else _stated(settings)
        content = to_bytes(statements, form)
        if str(file) != "-":
            hand_out(file, content, settings.folder)
    if str(file) == "-":
        write(content)
        return GOOD
    answer = FileWritten(str(file), len(statements))
    said = says.EXPORTED.format(file=file, statements=count(len(statements), "statement")) + "\n"
    return done(settings, "export", answer, said)


def _stated(settings: Settings) -> list[ox.Quad]:
    return stated(read_graph(settings.folder)[0], settings.without, merged_clubs(settings.folder))


def _asked(settings: Settings) -> list[ox.Quad]:
    return asked_of(settings.folder, settings.without)[0]
