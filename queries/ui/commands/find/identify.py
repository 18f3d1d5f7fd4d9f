"""``knockon identify``: which part is this?"""

from __future__ import annotations

from collections.abc import Sequence

import click

from knockon.graph.model.catalogue import Catalogue
from knockon.queries.find.identify import identify as identified
from knockon.queries.ui.asking import Settings, answering, deliver, load, mistakes_told
from knockon.queries.ui.details import Shown, as_typed, detailed
from knockon.queries.ui.sentences.help import find as say
from knockon.queries.ui.terminal.blocks import Block
from knockon.queries.ui.texts.find.identify import identify_pages


@click.command(help=say.IDENTIFY)
@click.argument("readings", metavar="READING...", nargs=-1, required=True)
@click.option("--type", "type_", default="", metavar="TYPE", help=say.OF_TYPE)
@click.option("--tool", default="", metavar="NAME", help=say.TOOL)
@detailed("evidence", "full", says=say.DETAILS_OF_IDENTIFY)
@answering
def identify(settings: Settings, readings: tuple[str, ...], type_: str, tool: str, shown: Shown) -> int:
    """Which part is this?"""
    records = load(settings)

    with mistakes_told():
        answer = identified(records.catalogue, readings, type_, tool)

    def text(catalogue: Catalogue) -> Sequence[Block]:
        ask = as_typed(settings, "identify", *readings, type=type_, tool=tool)
        return identify_pages(catalogue, answer, shown, ask)

    return deliver(settings, "identify", answer, bool(answer.candidates), text, records)
