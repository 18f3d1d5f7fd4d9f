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
from knockon.queries.ui.details import Shown, detailed
from knockon.queries.ui.sentences import intake as says
from knockon.queries.ui.sentences.help import intake as say
from knockon.queries.ui.terminal.blocks import Block
from knockon.queries.ui.texts.club.merge import changed_text

if TYPE_CHECKING:
    from collections.abc import Sequence


@click.command(help=say.CHANGED)
@click.argument("old", type=click.Path(path_type=Path, file_okay=False))
@click.option("--for", "vehicle", default="", metavar="VEHICLE", help=say.FOR)
@click.option("--want", multiple=True, metavar="WISH", help=say.WANT)
@detailed("full")
@answering
def changed(settings: Settings, old: Path, vehicle: str, want: tuple[str, ...], shown: Shown) -> int:
    """What changed since then, and does it hit my plan?"""
    if bool(vehicle) != bool(want):
        raise click.UsageError(says.FOR_AND_WANT)

    with mistakes_told():
        before = load_folder(old).catalogue
        records = load(settings)
        answer = without_torque_in(changed_answers(before, records.catalogue, vehicle, want))

    def text(_: Catalogue) -> Sequence[Block]:
        return changed_text(answer, shown.full)

    return deliver(settings, "changed", answer, answer.is_quiet, text, records)
