"""``knockon fits``: do these parts go together?"""

from __future__ import annotations

from collections.abc import Sequence

import click

from knockon.graph.judge.verdicts import Verdict
from knockon.graph.model.catalogue import Catalogue
from knockon.queries.fits.fits import judge_parts
from knockon.queries.ui.asking import Settings, answering, deliver, load, mistakes_told
from knockon.queries.ui.blocks import Block
from knockon.queries.ui.texts.fits.fits import fits_text


@click.command()
@click.argument("parts", metavar="PART PART [PART...]", nargs=-1, required=True)
@click.option("--at", metavar="JOINT", default="", help="Judge this joint only, as the layout names it.")
@click.option(
    "--on", metavar="VEHICLE", default="", help="Judge on this vehicle: its own parts stand in all other places."
)
@click.option(
    "--empty",
    metavar="POSITION",
    multiple=True,
    help="Judge with nothing in this position, as where a collar was left out; may be repeated.",
)
@answering
def fits(settings: Settings, parts: tuple[str, ...], at: str, on: str, empty: tuple[str, ...]) -> int:
    """Do these parts go together?

    The verdict first, then everything that it rests on.

    Stacks and figures that need more parts are named; give those parts too, or a vehicle, and they are judged.
    With three parts or more, a needed position between them that you neither fill nor call --empty leaves the verdict
    "not known" at best.
    Exit status 0 if the verdict is "fits" or "fits with work", 1 for any other.
    """
    if len(parts) < 2 and not on:
        raise click.UsageError("Name two parts or more, or one part and --on VEHICLE.")
    if at and empty:
        raise click.UsageError("--at judges one joint alone: leave out --empty.")
    records = load(settings)

    with mistakes_told():
        answer = judge_parts(records.catalogue, parts, at=at, on=on, empty=empty)

    def text(catalogue: Catalogue) -> Sequence[Block]:
        return fits_text(catalogue, answer)

    good = answer.verdict in (Verdict.FITS, Verdict.FITS_WITH_WORK)
    return deliver(settings, "fits", answer, good, text, records)
