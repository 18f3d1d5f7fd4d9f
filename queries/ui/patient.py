"""The option ``--time-limit`` of what searches for plans, and what is shown meanwhile."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any

import click

from knockon.queries.plan.solving.patience import SECONDS, Patience
from knockon.queries.ui.option_types import Number
from knockon.queries.ui.sentences.help import plan as say
from knockon.queries.ui.sentences.plan import undecided as says
from knockon.queries.ui.terminal.progress import steps_shown

MOST_SECONDS = 86_400.0
TIME_LIMIT = "time-limit"


def time_limited(seconds: float = SECONDS) -> Callable[[Callable[..., Any]], Callable[..., Any]]:
    """Give a command the option; it is called with ``time_limit``, in seconds."""
    return click.option(
        f"--{TIME_LIMIT}",
        metavar="SECONDS",
        type=Number(0.1, MOST_SECONDS),
        default=seconds,
        show_default=True,
        help=say.TIME_LIMIT,
    )


def as_asked(time_limit: float, usual: float = SECONDS) -> dict[str, str]:
    """The option as it would be typed; none where it is as usual."""
    return {} if time_limit == usual else {TIME_LIMIT: f"{time_limit:g}"}


@contextmanager
def patient(time_limit: float) -> Iterator[Patience]:
    """The time that a question has; its steps are shown while it takes long."""
    with steps_shown(says.STEPS["judging"]) as shown:
        yield Patience(time_limit, lambda step, done, whole: shown(says.STEPS[step], done, whole))
