"""What the calculate commands take on the command line, and how they answer."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any, TypeVar

import click

from knockon.graph.formulas.interval import Interval
from knockon.graph.quantity.cells.model import CellError
from knockon.graph.quantity.read import read_cell
from knockon.queries.ui.asking import GOOD, NOT_SO, Settings, show, write
from knockon.queries.ui.sentences import workshop as says
from knockon.queries.ui.sentences.help import workshop as say
from knockon.queries.ui.texts.workshop.calculation import calculation_blocks
from knockon.queries.ui.texts.workshop.document import encode
from knockon.queries.workshop.answer import Calculation

_Command = TypeVar("_Command", bound=Callable[..., Any])


if TYPE_CHECKING:
    _IntervalType = click.ParamType[Interval]
else:
    _IntervalType = click.ParamType  # not generic before click 8.2


class Cell(_IntervalType):
    """A value as it is written in a record cell, read by the same reader; the unit must be written.

    ``least`` is the smallest number that makes sense, ``above`` says that it must itself be exceeded.
    """

    def __init__(
        self, datatype: str, factor: float = 1.0, *, least: float | None = None, above: float | None = None
    ) -> None:
        self.name = datatype
        self.datatype = datatype
        self.factor = factor
        self.least = least
        self.above = above

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Interval:
        """The interval in the base unit times the factor. Fails with what was expected."""
        if isinstance(value, Interval):
            return value

        try:
            found = read_cell(self.spelled(str(value)), self.datatype)[""]
        except CellError as error:
            self.fail(str(error), param, ctx)
        if found.low is None or found.high is None:
            self.fail(says.NO_SIZE.format(value=value), param, ctx)
        if self.above is not None and found.low <= self.above:
            self.fail(says.ABOVE.format(value=value, least=f"{self.above:g}"), param, ctx)
        if self.least is not None and found.low < self.least:
            self.fail(says.NOT_BELOW.format(value=value, least=f"{self.least:g}"), param, ctx)
        return Interval(found.low * self.factor, found.high * self.factor)

    def spelled(self, text: str) -> str:
        """The text as the reader of cells takes it."""
        return text


class PlusMinus(Cell):
    """A half-width, with or without its sign: ``±0.02 mm``, ``+-0.02 mm``, ``0.02 mm``."""

    def spelled(self, text: str) -> str:
        """The text without its sign."""
        return text.strip().removeprefix("±").removeprefix("+/-").removeprefix("+-")


LENGTH = Cell("length")
SIZE = Cell("length", above=0.0)
ROOM = Cell("length", least=0.0)
HALF_WIDTH = PlusMinus("length", least=0.0)
FORCE = Cell("force", above=0.0)
TORQUE = Cell("torque", above=0.0)
NUMBER = Cell("number")
RATIO = Cell("number", above=0.0)
PRESSURE = Cell("pressure", 1e-3, least=0.0)  # kPa in the records, MPa in the formulas
TEMPERATURE = Cell("number", above=0.0)  # a difference, in kelvin
ANGLE = Cell("angle", above=0.0)


def json_option(command: _Command) -> _Command:
    """Add --json to a command."""
    return click.option("--json", "as_json", is_flag=True, help=say.JSON)(command)


def answered(work: Callable[[], Calculation], as_json: bool) -> None:
    """Print the answer and end: status 0 for a good one, 1 for a no, 2 where the question is wrong."""
    context = click.get_current_context()
    settings = context.find_object(Settings)
    try:
        answer = work()
    except ZeroDivisionError:
        raise click.UsageError(says.ZERO) from None
    except (ValueError, OverflowError) as error:
        raise click.UsageError(str(error)) from None
    status = GOOD if answer.good else NOT_SO
    if as_json or (settings is not None and settings.json):
        write(encode(answer, status))
    else:
        show(calculation_blocks(answer))
    context.exit(status)
