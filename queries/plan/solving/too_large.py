"""Plans that are too large for the solver: what is refused before anything is ground."""

from __future__ import annotations

from knockon.queries.as_typed import RequestError
from knockon.queries.plan.solving.problem import Problem
from knockon.queries.plan.solving.ties import LEVELS, order_of

MOST_FACTS = 8_000_000
"""Facts beyond which nothing is ground, since nothing stops that once it has begun: 6 million took 2.2 GB and a minute
and a half (a figure tabulated over five places, for 1,000 more parts; no such table is written any more)."""
OVERFLOW = "overflow"
"""What the solver says where numbers are larger than it can hold."""
TOO_LARGE = "this plan is too large"
LEAVE_OUT = "Leave out parts with --avoid, or sources with --without"


class TooLarge(RequestError):
    """A plan with more facts than can be ground."""


def few_enough(facts: str) -> str:
    """The facts of a problem. Raises TooLarge."""
    number = facts.count(").")
    if number > MOST_FACTS:
        raise TooLarge(f"{TOO_LARGE}. It has {number:,} facts, and at most {MOST_FACTS:,} can be searched. {LEAVE_OUT}")
    return facts


def order_facts(problem: Problem) -> str:
    """The order in which ties are broken, as facts. Raises TooLarge."""
    levels, facts = order_of(problem)
    if levels > LEVELS:
        raise TooLarge(f"{TOO_LARGE}. It has too many parts at too many places to tell equal plans apart. {LEAVE_OUT}")
    return "\n".join(facts) + "\n"
