"""``knockon tell-apart``: how two parts differ, and what each difference does."""

from __future__ import annotations

from collections.abc import Sequence

import click

from knockon.graph.model.catalogue import Catalogue
from knockon.queries.find.tell_apart import tell_apart as compared
from knockon.queries.ui.asking import Settings, answering, deliver, load, mistakes_told
from knockon.queries.ui.details import Shown, as_typed, detailed
from knockon.queries.ui.sentences.help import find as say
from knockon.queries.ui.terminal.blocks import Block
from knockon.queries.ui.texts.find.tell_apart import tell_apart_pages


@click.command(name="tell-apart", help=say.TELL_APART)
@click.argument("part", metavar="PART")
@click.argument("other", metavar="PART")
@detailed("why", "evidence", "full", says=say.DETAILS_OF_TELL_APART)
@answering
def tell_apart(settings: Settings, part: str, other: str, shown: Shown) -> int:
    """Every difference between two parts, and what it does."""
    records = load(settings)

    with mistakes_told():
        answer = compared(records.catalogue, part, other)

    def text(catalogue: Catalogue) -> Sequence[Block]:
        return tell_apart_pages(catalogue, answer, shown, as_typed(settings, "tell-apart", part, other))

    return deliver(settings, "tell-apart", answer, answer.told_apart, text, records)
