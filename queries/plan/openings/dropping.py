"""Which part of a request stands in its own way: what is to be kept or avoided, each tried without in its own run.

Nothing is advised that was not tried: the plan without it must exist where there is none, or rest on fewer checks not
known than the plan that there is.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import msgspec
from msgspec.structs import replace

from knockon.queries.plan.solving.asked import AVOID, KEEP, Asked
from knockon.queries.plan.solving.levels import NOT_KNOWN
from knockon.queries.plan.solving.narrowed import planner_of
from knockon.queries.plan.solving.patience import Patience
from knockon.queries.plan.solving.planner import Filling
from knockon.queries.plan.solving.problem import Problem
from knockon.queries.plan.solving.request import Request


class Dropped(msgspec.Struct, frozen=True):
    """What need not be asked, in the words of the request, and how many checks are not known in the plan without."""

    words: tuple[Asked, ...]
    not_known: int


def dropped(problem: Problem, best: Filling | None, patience: Patience | None = None) -> tuple[Dropped, ...]:
    """What to drop: each thing that alone opens a plan or makes it better known; else all of one sort that do so
    together; else all that is to be kept and avoided."""
    request = problem.request
    asked = request.in_words
    positions = dict.fromkeys(p.position for p in request.keep)
    kept = [tuple(a for a in asked if a.option == KEEP and a.places[0].position == name) for name in positions]
    avoided = [(a,) for a in asked if a.option == AVOID]
    trials = _Trials(problem, best, patience)
    found = [*trials.of_one_sort(kept), *trials.of_one_sort(avoided)]
    if not found and kept and avoided:
        found = list(trials.tried([sum((*kept, *avoided), ())]))
    return tuple(found)


class _Trials(msgspec.Struct, frozen=True):
    """A problem, its best plan (None: there is none), and the time for trials without some of the request."""

    problem: Problem
    best: Filling | None
    patience: Patience | None

    def of_one_sort(self, asked: Sequence[tuple[Asked, ...]]) -> list[Dropped]:
        """Those of one sort of wish that help alone; else all of them, where that helps."""
        together = list(self.tried([sum(asked, ())])) if asked else []
        if not together or len(asked) == 1:
            return together
        return list(self.tried(asked)) or together

    def tried(self, trials: Sequence[tuple[Asked, ...]]) -> Iterator[Dropped]:
        """Those without which there is a plan, or one that rests on fewer unknowns."""
        problem, best = self.problem, self.best
        for words in trials:
            request = _without(problem.request, words)
            without = planner_of(Problem(problem.checks, problem.vehicle, request, problem.kit), self.patience).best()
            if without is None:
                continue
            if best is None or without.costs[NOT_KNOWN] < best.costs[NOT_KNOWN]:
                yield Dropped(words, without.costs[NOT_KNOWN])


def _without(request: Request, words: tuple[Asked, ...]) -> Request:
    kept, avoided = ({a.words for a in words if a.option == option} for option in (KEEP, AVOID))
    keep = tuple(p for p in request.keep if p not in kept)
    return replace(request, keep=keep, avoid=tuple(a for a in request.avoid if a not in avoided))
