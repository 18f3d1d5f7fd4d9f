"""What a question did not decide in its time. It is unknown then: neither that it holds nor that it does not."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Final, TypeVar

import msgspec

from knockon.queries.plan.solving.patience import Patience, TimeUp

SHARE: Final = 0.25
"""Share of the time left that one of many searches may take: the first hard one leaves enough for all the easy ones."""
T = TypeVar("T")
U = TypeVar("U")

PLAN: Final = "plan"
"""Neither was a plan found nor proved that there is none."""
BEST: Final = "best"
"""A better plan than the best found may exist."""
WHY_NONE: Final = "why none"
"""There is no plan, that is proved; the reason was not found."""
FORCED: Final = "forced"
"""Whether these changes are forced, or only chosen."""
REASON: Final = "reason"
"""Why these changes are forced."""
KEEPING: Final = "keeping"
"""Whether a plan keeps what is there, and what that would cost."""
RESTS_ON: Final = "rests on"
"""The unknowns that a plan would rest on which keeps what is there."""
UNKNOWNS: Final = "unknowns"
"""Why no plan rests on fewer unknowns."""
OPENINGS: Final = "openings"
"""What would open it."""
GIVEN_UP: Final = "given up"
"""What stands in the way of the vehicle's own arrangement."""
OTHERS: Final = "others"
"""Whether there are more plans, or combinations."""
POSSIBLE: Final = "possible"
"""Whether more parts are possible than those that are listed; of a kit's lines, whether these are."""
NUMBER: Final = "number"
"""How many combinations there are."""
LESS_SURE: Final = "less sure"
"""Which of the possible parts need no more unknowns than the best combination."""


class NotDecided(msgspec.Struct, frozen=True):
    """One thing that was not decided in the time, in one of the words above, and of what: places or part numbers (none:
    of the whole answer)."""

    what: str
    names: tuple[str, ...] = ()


def is_undecided(not_decided: Iterable[NotDecided], *what: str) -> bool:
    """Whether one of these stands among what is not decided."""
    return any(one.what in what for one in not_decided)


class Undecided:
    """Gathers what a question does not decide in its time."""

    def __init__(self, patience: Patience) -> None:
        self.patience = patience
        self._found: dict[str, dict[str, None]] = {}

    def add(self, what: str, *names: str) -> None:
        """This is not decided."""
        self._found.setdefault(what, {}).update(dict.fromkeys(names))

    def add_all(self, what: str, names: Iterable[str]) -> None:
        """This is not decided of each of them."""
        for name in names:
            self.add(what, name)

    def each_in_time(self, ask: Callable[[], T], otherwise: U, what: str, *names: str) -> T | U:
        """One of many parts of the question: none may take so long that nothing is left for the others."""
        with self.patience.a_share(SHARE):
            return self.in_time(ask, otherwise, what, *names)

    def in_time(self, ask: Callable[[], T], otherwise: U, what: str, *names: str) -> T | U:
        """The answer to a part of the question; where the time is up first, that it is not decided."""
        try:
            return ask()
        except TimeUp:
            self.add(what, *names)
            return otherwise

    @property
    def all(self) -> tuple[NotDecided, ...]:
        """All that was not decided."""
        return tuple(NotDecided(what, tuple(names)) for what, names in self._found.items())
