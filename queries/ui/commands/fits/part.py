"""``knockon part``: everything that the records say of one part."""

from __future__ import annotations

from collections.abc import Sequence

import click

from knockon.graph.model.catalogue import Catalogue
from knockon.queries.fits.part import show_part
from knockon.queries.ui.asking import Settings, answering, deliver, load, mistakes_told
from knockon.queries.ui.details import Shown, as_typed, detailed
from knockon.queries.ui.sentences.help import fits as say
from knockon.queries.ui.terminal.blocks import Block
from knockon.queries.ui.texts.fits.part import part_pages


@click.command(help=say.PART)
@click.argument("part", metavar="PART")
@detailed("evidence", "notes", "full", says={"evidence": say.PART_EVIDENCE})
@answering
def part(settings: Settings, part: str, shown: Shown) -> int:
    """All that is recorded of a part."""
    records = load(settings)

    with mistakes_told():
        answer = show_part(records.catalogue, part)

    ask = as_typed(settings, "part", answer.part)

    def text(catalogue: Catalogue) -> Sequence[Block]:
        return part_pages(catalogue, answer, shown, ask, as_typed(settings, "partners", answer.part))

    return deliver(settings, "part", answer, True, text, records)
