"""``knockon changed``: what changed since then, and does it hit my plan?"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from knockon.graph.model.catalogue import Catalogue
from knockon.graph.records import load as load_folder
from knockon.queries.intake.changed import changed_answers
from knockon.queries.tightening import without_torque_in
from knockon.queries.ui.asking import Settings, answering, deliver, load, mistakes_told
from knockon.queries.ui.blocks import Block
from knockon.queries.ui.texts.club.disputes import changed_text

if TYPE_CHECKING:
    from collections.abc import Sequence


@click.command()
@click.argument("old", type=click.Path(path_type=Path, file_okay=False))
@click.option("--for", "vehicle", default="", metavar="VEHICLE", help="Compare the plan for this vehicle, too.")
@click.option("--want", multiple=True, metavar="WISH", help='What is wanted of it: "POSITION=PART".')
@answering
def changed(settings: Settings, old: Path, vehicle: str, want: tuple[str, ...]) -> int:
    """Compare the answers of the records with those of an OLD state of them, another records folder.

    Verdicts that are others now, contradictions that are new or settled, and (with --for and --want) what the plan
    would be: a difference of answers, not of rows. Exit status 1 if some answer is another one.
    """
    if bool(vehicle) != bool(want):
        raise click.UsageError("--for and --want belong together.")

    with mistakes_told():
        before = load_folder(old).catalogue
        records = load(settings)
        answer = without_torque_in(changed_answers(before, records.catalogue, vehicle, want))

    def text(_: Catalogue) -> Sequence[Block]:
        return changed_text(answer)

    return deliver(settings, "changed", answer, answer.is_quiet, text, records)
