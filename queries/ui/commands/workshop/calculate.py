"""``knockon calculate SUBJECT``: the workshop's arithmetic by hand."""

from __future__ import annotations

import click

from knockon.queries.ui.commands.workshop.bench import BENCH
from knockon.queries.ui.commands.workshop.brakes import BRAKES
from knockon.queries.ui.commands.workshop.machine import MACHINE
from knockon.queries.ui.commands.workshop.vehicle import VEHICLE
from knockon.queries.ui.groups import StrictGroup


@click.group("calculate", cls=StrictGroup)
def calculate() -> None:
    """The workshop's own arithmetic, with its sources.

    Write sizes with their unit, as in the records: "25.4 mm", "1 1/16 in", "0.068..0.070 in", "25.40 ±0.05 mm", "25
    k6". A range goes in as a range and comes out as one. Exit status: 0 a good answer, 1 a no or not decided, 2 the
    question is wrong.
    """


for _command in (*MACHINE, *BENCH, *VEHICLE, *BRAKES):
    calculate.add_command(_command)
