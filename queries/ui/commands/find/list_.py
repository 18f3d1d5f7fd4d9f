"""``knockon list``: what of one sort is in the records."""

from __future__ import annotations

from collections.abc import Sequence

import click

from knockon.graph.model.catalogue import Catalogue
from knockon.queries.find.listing import Filters
from knockon.queries.find.listing import list_things as listed
from knockon.queries.ui.asking import Settings, answering, deliver, load, mistakes_told
from knockon.queries.ui.details import Shown, as_typed, detailed
from knockon.queries.ui.sentences.help import find as say
from knockon.queries.ui.terminal.blocks import Block
from knockon.queries.ui.texts.find.list_ import list_text


@click.command(name="list", help=say.LIST)
@click.argument("sort", metavar="SORT")
@click.argument("words", metavar="[WORD]...", nargs=-1)
@click.option("--type", "type_", default="", metavar="TYPE", help=say.TYPE)
@click.option("--at", default="", metavar="POSITION", help=say.AT)
@click.option("--from", "from_", default="", metavar="SOURCE", help=say.FROM)
@click.option("--layout", default="", metavar="LAYOUT", help=say.LAYOUT)
@detailed("full", says={"full": say.WHOLE_LIST})
@answering
def list_things(
    settings: Settings, sort: str, words: tuple[str, ...], type_: str, at: str, from_: str, layout: str, shown: Shown
) -> int:
    """What of one sort is in the records, one line a thing."""
    records = load(settings)

    with mistakes_told():
        answer = listed(records.catalogue, sort, Filters(type_, at, from_, layout, words))

    options = {"type": type_, "at": at, "from": from_, "layout": layout}
    ask = as_typed(settings, "list", sort, *words, **options)

    def text(_: Catalogue) -> Sequence[Block]:
        return list_text(answer, shown.full, ask)

    return deliver(settings, "list", answer, bool(answer.listed), text, records)
