"""``knockon export``: everything that the records hold, as RDF or in columns."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from knockon.graph.columns.parquet import write_parquet
from knockon.graph.columns.tables import Catalogued
from knockon.graph.exchange.clubs import merged_clubs
from knockon.graph.exchange.handed_out import hand_out
from knockon.graph.exchange.view import stated
from knockon.graph.rdf.canonical import format_of, to_bytes
from knockon.graph.records import read_graph
from knockon.graph.records.asked import asked_of
from knockon.queries.ask.outcomes import ColumnsWritten, FileWritten
from knockon.queries.ui.asking import GOOD, Settings, answering, load, mistakes_told, needs_folder, write
from knockon.queries.ui.having_written import done
from knockon.queries.ui.naming import count
from knockon.queries.ui.sentences import club as says
from knockon.queries.ui.sentences.help import club as say
from knockon.queries.ui.terminal.progress import steps_shown

if TYPE_CHECKING:
    import pyoxigraph as ox

FORMATS = ("nq", "trig", "ttl", "jsonld")


@click.command(help=say.EXPORT)
@click.argument("file", type=click.Path(path_type=Path, dir_okay=False, allow_dash=True), required=False)
@click.option("--format", "form", type=click.Choice(FORMATS), help=say.FORMAT)
@click.option("--for-queries", is_flag=True, help=say.FOR_QUERIES)
@click.option("--parquet", type=click.Path(path_type=Path), metavar="FOLDER", help=say.PARQUET)
@answering
def export(settings: Settings, file: Path | None, form: str | None, for_queries: bool, parquet: Path | None) -> int:
    """Write all statements to a file, or the catalogue in columns to a folder."""
    if parquet is not None:
        if file is not None or form is not None or for_queries:
            raise click.UsageError(says.FILE_OR_COLUMNS)
        return _in_columns(settings, parquet)
    if file is None:
        raise click.UsageError(says.FILE_OR_COLUMNS)
    return _as_rdf(settings, file, form, for_queries)


def _in_columns(settings: Settings, folder: Path) -> int:
    needs_folder(folder, settings)
    with mistakes_told(), steps_shown(says.EXPORTING) as steps:
        records = settings.folder
        tables = write_parquet(Catalogued(load(settings).catalogue, records, settings.without), folder, steps)
    rows = count(sum(t.rows for t in tables), "row")
    said = says.EXPORTED_COLUMNS.format(folder=folder, tables=count(len(tables), "table"), rows=rows) + "\n"
    return done(settings, "export-parquet", ColumnsWritten(str(folder), tables), said)


def _as_rdf(settings: Settings, file: Path, form: str | None, for_queries: bool) -> int:
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
