"""How many combinations a layout has."""

from __future__ import annotations

import msgspec

from knockon.queries.plan.counting.checks import network_for
from knockon.queries.plan.counting.network import Told, TooLargeError, number_of_fillings
from knockon.queries.plan.solving.problem import Problem

THINNED = (48, 12, 4)
"""How many different values a seat keeps, where all are too many to count: each in turn, until the rest is counted."""


class Number(msgspec.Struct, frozen=True):
    """How many combinations there are: exactly ``number``, or where not all could be counted at least so many."""

    number: int
    exact: bool = True


def count_combinations(problem: Problem, told: Told = lambda done, whole: None) -> Number | None:
    """The number of combinations of a problem without a vehicle; None where they could not be counted.

    A combination is what stands where: for every place of the layout, in both corners, the part, the set's member or
    the part yet to be found that stands in it, or nothing. Two combinations differ if one place does; which
    arrangement holds makes no difference where no part does. Counted is every one that is consistent and meets the
    request, also those that rest on checks that are not known: all that ``planner.exclude`` and ``planner.best`` would
    list in turn.
    """
    try:
        network, choices = network_for(problem)
    except TooLargeError:
        return None
    try:
        return Number(number_of_fillings(network, told))
    except TooLargeError:
        pass
    for most in THINNED:
        try:
            number = number_of_fillings(network.thinned(most, choices), told)
        except TooLargeError:
            continue
        return Number(number, exact=False) if number > 0 else None
    return None
