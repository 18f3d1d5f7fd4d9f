"""``knockon fits``: do these parts go together?"""

from __future__ import annotations

from collections.abc import Sequence

import click

from knockon.graph.model.catalogue import Catalogue
from knockon.graph.records import Records
from knockon.queries.as_typed import ALL, fold
from knockon.queries.fits.fits import judge_parts
from knockon.queries.fits.on_all import judge_on_all
from knockon.queries.ui.asking import Settings, answering, deliver, load, mistakes_told
from knockon.queries.ui.details import Shown, as_typed, detailed
from knockon.queries.ui.sentences.help import fits as say
from knockon.queries.ui.terminal.blocks import Block
from knockon.queries.ui.texts.fits.fits import fits_pages
from knockon.queries.ui.texts.fits.on_all import on_all_text


@click.command(help=say.FITS)
@click.argument("parts", metavar=say.PARTS, nargs=-1, required=True)
@click.option("--at", metavar="JOINT", default="", help=say.AT)
@click.option("--on", metavar="VEHICLE", default="", help=say.ON)
@click.option("--empty", metavar="POSITION", multiple=True, help=say.EMPTY)
@detailed(
    "why", "measure", "evidence", "notes", "others", "full",
    why="CHECK", says={"why": say.FITS_WHY, "others": say.FITS_OTHERS},
)  # fmt: skip
@answering
def fits(settings: Settings, parts: tuple[str, ...], at: str, on: str, empty: tuple[str, ...], shown: Shown) -> int:
    """Do these parts go together?"""
    if len(parts) < 2 and not on:
        raise click.UsageError(say.TOO_FEW)
    if at and empty:
        raise click.UsageError(say.ONE_JOINT)
    records = load(settings)
    if fold(on) == ALL:
        return _on_all(settings, records, parts, at, empty, shown)

    with mistakes_told():
        answer = judge_parts(records.catalogue, parts, at=at, on=on, empty=empty)
    ask = as_typed(settings, "fits", *answer.parts, at=at, on=on, empty=empty)
    partners = [as_typed(settings, "partners", part) for part in dict.fromkeys(answer.parts)]

    def text(catalogue: Catalogue) -> Sequence[Block]:
        return fits_pages(catalogue, answer, shown, ask, partners)

    with mistakes_told():
        return deliver(settings, "fits", answer, answer.is_good, text, records)


def _on_all(
    settings: Settings, records: Records, parts: Sequence[str], at: str, empty: Sequence[str], shown: Shown
) -> int:
    """Which recorded vehicles do they fit?"""
    if shown.parts:
        raise click.UsageError(say.OF_ONE_VEHICLE)
    with mistakes_told():
        answer = judge_on_all(records.catalogue, parts, at=at, empty=empty)
    options = {"at": at, "empty": empty}
    ask_on = f"{as_typed(settings, 'fits', *answer.parts, **options)} --on"
    partners = [as_typed(settings, "partners", part) for part in dict.fromkeys(answer.parts)]

    def text(catalogue: Catalogue) -> Sequence[Block]:
        return on_all_text(catalogue, answer, shown, ask_on, f"{ask_on} {ALL}", partners)

    return deliver(settings, "fits-on-all", answer, answer.is_good, text, records)
