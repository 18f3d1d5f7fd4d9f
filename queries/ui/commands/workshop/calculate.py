"""``knockon calculate SUBJECT``: the workshop's arithmetic by hand."""

from __future__ import annotations

import click

from knockon.queries.ui.commands.workshop.bench import BENCH
from knockon.queries.ui.commands.workshop.brakes import BRAKES
from knockon.queries.ui.commands.workshop.machine import MACHINE
from knockon.queries.ui.commands.workshop.vehicle import VEHICLE
from knockon.queries.ui.groups import StrictGroup
from knockon.queries.ui.sentences.help import workshop as say


@click.group("calculate", cls=StrictGroup, help=say.CALCULATE)
def calculate() -> None:
    """All calculations."""


for _command in (*MACHINE, *BENCH, *VEHICLE, *BRAKES):
    calculate.add_command(_command)
