"""``knockon export``: everything that the records hold, as RDF."""

from __future__ import annotations

from pathlib import Path

import click

from knockon.queries.ui.asking import GOOD, Settings, answering, mistakes_told, write

FORMATS = ("nq", "trig", "ttl", "jsonld")


@click.command()
@click.argument("file", type=click.Path(path_type=Path, dir_okay=False, allow_dash=True))
@click.option("--format", "form", type=click.Choice(FORMATS), help="The format; without it FILE's extension says it.")
@answering
def export(settings: Settings, file: Path, form: str | None) -> int:
    """Write all statements to FILE (- for the standard output): N-Quads, TriG, Turtle or JSON-LD.

    With --without, those of the named source or club and the source's own row are not in it.

    The same records give the same bytes, so that two exports can be compared line by line. Every statement keeps its
    named graph, also in Turtle, which tells it beside the statement.
    """
    from knockon.graph.exchange.atomic import write_whole
    from knockon.graph.exchange.canonical import format_of, to_bytes
    from knockon.graph.exchange.clubs import merged_clubs
    from knockon.graph.exchange.view import stated
    from knockon.graph.records import read_graph

    with mistakes_told():
        form = form or ("nq" if str(file) == "-" else format_of(file))
        store, _, _ = read_graph(settings.folder)
        statements = stated(store, settings.without, merged_clubs(settings.folder))
        content = to_bytes(statements, form)
        if str(file) != "-":
            write_whole(file, content)
    write(content if str(file) == "-" else f"Written: {file}, {len(statements)} statements.\n")
    return GOOD
