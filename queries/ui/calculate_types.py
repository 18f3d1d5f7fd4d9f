"""What the calculate commands take on the command line, and how they answer."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any, TypeVar

import click

from knockon.graph.interval import Interval
from knockon.queries.ui.asking import GOOD, NOT_SO, Settings, write
from knockon.queries.workshop.answer import Calculation

_Command = TypeVar("_Command", bound=Callable[..., Any])


if TYPE_CHECKING:
    _IntervalType = click.ParamType[Interval]
else:
    _IntervalType = click.ParamType  # not generic before click 8.2


class Cell(_IntervalType):
    """A value as it is written in a record cell, read by the same reader; the unit must be written."""

    def __init__(self, datatype: str, factor: float = 1.0) -> None:
        self.name = datatype
        self.datatype = datatype
        self.factor = factor

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Interval:
        """The interval in the base unit times the factor. Fails with what was expected."""
        if isinstance(value, Interval):
            return value
        from knockon.graph.quantity.model import CellError
        from knockon.graph.quantity.read import read_cell

        try:
            found = read_cell(str(value), self.datatype)[""]
        except CellError as error:
            self.fail(str(error), param, ctx)
        if found.low is None or found.high is None:
            self.fail(f"{value!r} says no size", param, ctx)
        return Interval(found.low * self.factor, found.high * self.factor)


LENGTH = Cell("length")
FORCE = Cell("force")
TORQUE = Cell("torque")
NUMBER = Cell("number")
PRESSURE = Cell("pressure", 1e-3)  # kPa in the records, MPa in the formulas
ANGLE = Cell("angle")


def json_option(command: _Command) -> _Command:
    """Add --json to a command."""
    return click.option("--json", "as_json", is_flag=True, help="Print one JSON document instead of text.")(command)


def answered(work: Callable[[], Calculation], as_json: bool) -> None:
    """Print the answer and end: status 0 for a good one, 1 for a no, 2 where the question is wrong."""
    context = click.get_current_context()
    settings = context.find_object(Settings)
    try:
        answer = work()
    except ValueError as error:
        raise click.UsageError(str(error)) from None
    status = GOOD if answer.good else NOT_SO
    if as_json or (settings is not None and settings.json):
        from knockon.queries.ui.calculation_document import encode

        write(encode(answer, status))
    else:
        from knockon.queries.ui.calculation_text import calculation_blocks
        from knockon.queries.ui.screen import Screen, render

        write(render(calculation_blocks(answer), Screen.of_stdout()))
    context.exit(status)
