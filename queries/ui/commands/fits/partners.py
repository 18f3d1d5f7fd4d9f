"""``knockon partners``: what meets a part, by joint and verdict."""

from __future__ import annotations

from collections.abc import Sequence

import click

from knockon.graph.model.catalogue import Catalogue
from knockon.graph.records import Records
from knockon.queries.fits.partners import PartnersAnswer, PartnersCounted, partners_counted, partners_of
from knockon.queries.fits.reach import reach
from knockon.queries.ui.asking import Settings, answering, deliver, load, mistakes_told
from knockon.queries.ui.details import Shown, as_typed, detailed
from knockon.queries.ui.sentences.help import fits as say
from knockon.queries.ui.terminal.blocks import Block
from knockon.queries.ui.texts.fits.partners import partners_pages
from knockon.queries.ui.texts.fits.reach import reach_text


@click.command(help=say.PARTNERS)
@click.argument("part", metavar="PART")
@click.option("--along", metavar="JOINT", multiple=True, help=say.ALONG)
@detailed("others", "full", says={"others": say.PARTNERS_OTHERS})
@answering
def partners(settings: Settings, part: str, along: tuple[str, ...], shown: Shown) -> int:
    """All parts that meet a part, by verdict."""
    if along and shown.others:
        raise click.UsageError(say.ALONG_ALONE)
    records = load(settings)
    if along:
        return _along(settings, records, part, along, shown)

    counting = not (settings.json or shown.parts or shown.full)
    answer: PartnersAnswer | PartnersCounted
    with mistakes_told():
        answer = (partners_counted if counting else partners_of)(records.catalogue, part)

    ask = as_typed(settings, "partners", answer.part)

    def text(catalogue: Catalogue) -> Sequence[Block]:
        return partners_pages(catalogue, answer, shown, ask)

    return deliver(settings, "partners", answer, any(len(j.partners) for j in answer.joints), text, records)


def _along(settings: Settings, records: Records, part: str, along: tuple[str, ...], shown: Shown) -> int:
    with mistakes_told():
        answer = reach(records.catalogue, part, along)

    def text(catalogue: Catalogue) -> Sequence[Block]:
        return reach_text(catalogue, answer, shown)

    return deliver(settings, "partners-along", answer, bool(answer.joints[-1].reached), text, records)
