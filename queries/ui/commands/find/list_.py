"""``knockon list``: what of one sort is in the records."""

from __future__ import annotations

from collections.abc import Sequence

import click

from knockon.graph.model.catalogue import Catalogue
from knockon.queries.find.listing import Filters
from knockon.queries.find.listing import list_things as listed
from knockon.queries.ui.asking import Settings, answering, deliver, load, mistakes_told
from knockon.queries.ui.blocks import Block
from knockon.queries.ui.texts.find.list_ import list_text


@click.command(name="list")
@click.argument("sort", metavar="SORT")
@click.argument("words", metavar="[WORD]...", nargs=-1)
@click.option("--type", "type_", default="", metavar="TYPE", help="Only of this part type, or a narrower one.")
@click.option("--at", default="", metavar="POSITION", help="Only what may stand at this position, or is about it.")
@click.option("--from", "from_", default="", metavar="SOURCE", help="Only what this source says.")
@click.option("--layout", default="", metavar="LAYOUT", help="Only of this layout, which may be a ready-made one.")
@answering
def list_things(
    settings: Settings, sort: str, words: tuple[str, ...], type_: str, at: str, from_: str, layout: str
) -> int:
    """What of one sort is in the records, one line a thing.

    SORT is one of vehicles, layouts, arrangements, positions, joints, figures, parts, part-types, items, kits,
    suppliers, sources, notes. Each WORD must stand in the line, or in what the thing is written as. Ready-made layouts
    are listed among the layouts.

    Exit status 0 if something is listed.
    """
    records = load(settings)

    with mistakes_told():
        answer = listed(records.catalogue, sort, Filters(type_, at, from_, layout, words))

    def text(_: Catalogue) -> Sequence[Block]:
        return list_text(answer)

    return deliver(settings, "list", answer, bool(answer.listed), text, records)
