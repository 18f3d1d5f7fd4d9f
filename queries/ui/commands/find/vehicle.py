"""``knockon vehicle``: which vehicle is this?"""

from __future__ import annotations

from collections.abc import Sequence

import click

from knockon.graph.model.catalogue import Catalogue
from knockon.queries.find.which_vehicle import which_vehicle
from knockon.queries.ui.asking import Settings, answering, deliver, load, mistakes_told
from knockon.queries.ui.details import Shown, as_typed, detailed
from knockon.queries.ui.sentences.help import find as say
from knockon.queries.ui.terminal.blocks import Block
from knockon.queries.ui.texts.find.vehicle import vehicle_text


@click.command(help=say.VEHICLE)
@click.argument("vehicle", metavar="VEHICLE")
@click.option("--all", "whole", is_flag=True, hidden=True)  # its name before all commands had --full
@detailed("full", says={"full": say.WHOLE_VEHICLE})
@answering
def vehicle(settings: Settings, vehicle: str, whole: bool, shown: Shown) -> int:
    """Which vehicle is this?"""
    records = load(settings)

    with mistakes_told():
        answer = which_vehicle(records.catalogue, vehicle)

    def text(catalogue: Catalogue) -> Sequence[Block]:
        return vehicle_text(catalogue, answer, whole or shown.full, as_typed(settings, "vehicle", vehicle))

    return deliver(settings, "vehicle", answer, answer.is_settled, text, records)
