"""``knockon vehicle``: which vehicle is this?"""

from __future__ import annotations

from collections.abc import Sequence

import click

from knockon.graph.model.catalogue import Catalogue
from knockon.queries.find.which_vehicle import which_vehicle
from knockon.queries.ui.asking import Settings, answering, deliver, load, mistakes_told
from knockon.queries.ui.blocks import Block
from knockon.queries.ui.texts.find.vehicle import vehicle_text


@click.command()
@click.argument("vehicle", metavar="VEHICLE")
@click.option("--all", "whole", is_flag=True, help="Show every place, not only those that tell the variants apart.")
@answering
def vehicle(settings: Settings, vehicle: str, whole: bool) -> int:
    """Which vehicle is this?

    Compares what was found on a vehicle with each vehicle as made of the same layout: the best match, where to look or
    measure next to be sure, what speaks for a mixture, then place by place. A size counts before a number, and what is
    not recorded is never the same. What was taken over from the vehicle that it is like does not count.

    Exit status 0 if one vehicle as made alone agrees with all that was found; 1 if several do, or none.
    """
    records = load(settings)

    with mistakes_told():
        answer = which_vehicle(records.catalogue, vehicle)

    def text(catalogue: Catalogue) -> Sequence[Block]:
        return vehicle_text(catalogue, answer, whole)

    return deliver(settings, "vehicle", answer, answer.is_settled, text, records)
