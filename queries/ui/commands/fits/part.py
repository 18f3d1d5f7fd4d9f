"""``knockon part``: everything that the records say of one part."""

from __future__ import annotations

from collections.abc import Sequence

import click

from knockon.graph.model.catalogue import Catalogue
from knockon.queries.fits.part import show_part
from knockon.queries.ui.asking import Settings, answering, deliver, load, mistakes_told
from knockon.queries.ui.blocks import Block
from knockon.queries.ui.texts.fits.part import part_text


@click.command()
@click.argument("part", metavar="PART")
@answering
def part(settings: Settings, part: str) -> int:
    """All that is recorded of a part.

    Its features with their dimensions in mm and inch and their sources, what it touches, who sells it, what is said
    of it. Exit status 0 if there is such a part.
    """
    records = load(settings)

    with mistakes_told():
        answer = show_part(records.catalogue, part)

    def text(catalogue: Catalogue) -> Sequence[Block]:
        return part_text(catalogue, answer)

    return deliver(settings, "part", answer, True, text, records)
