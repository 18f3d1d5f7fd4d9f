"""``knockon partners``: what meets a part, by joint and verdict."""

from __future__ import annotations

from collections.abc import Sequence

import click

from knockon.graph.model.catalogue import Catalogue
from knockon.queries.fits.partners import partners_of
from knockon.queries.ui.asking import Settings, answering, deliver, load, mistakes_told
from knockon.queries.ui.blocks import Block
from knockon.queries.ui.texts.fits.partners import partners_text


@click.command()
@click.argument("part", metavar="PART")
@answering
def partners(settings: Settings, part: str) -> int:
    """All parts that meet a part, by verdict.

    Joint by joint, what goes together first.

    Exit status 0 if it meets anything, 1 if no layout has a place for it.
    """
    records = load(settings)

    with mistakes_told():
        answer = partners_of(records.catalogue, part)

    def text(catalogue: Catalogue) -> Sequence[Block]:
        return partners_text(catalogue, answer)

    return deliver(settings, "partners", answer, any(j.partners for j in answer.joints), text, records)
