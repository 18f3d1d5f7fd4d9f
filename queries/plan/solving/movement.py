"""What goes and what moves when a filling replaces what a vehicle has: the same words as swap.lp, for one filling."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache

from knockon.graph.model.layout import Place
from knockon.queries.plan.solving.planner import Filling
from knockon.queries.plan.solving.problem import Problem


class Movement:
    """Gone, new, staying, moved places of one filling."""

    def __init__(self, problem: Problem, filling: Filling) -> None:
        self.problem, self.filling = problem, filling
        self.lost_carriers = cache(self._lost)

    def staying(self, place: Place) -> bool:
        """What was found there is still there."""
        candidate = self.filling.chosen.get(place)
        return candidate is not None and candidate.stays

    def gone(self, place: Place) -> bool:
        """Something was found there and leaves."""
        return place in self.problem.found and not self.staying(place)

    def new(self, place: Place) -> bool:
        """Something new stands there."""
        return place in self.filling.chosen and not self.staying(place)

    def _lost(self, place: Place) -> frozenset[Place]:
        seen: list[Place] = []
        carrier = self.problem.places.carrier(place)
        while carrier is not None and carrier not in seen:  # records may hang things on each other in a circle
            seen.append(carrier)
            carrier = self.problem.places.carrier(carrier)
        return frozenset(filter(self.gone, seen))

    def moved(self, place: Place) -> bool:
        """It stays, and what it hangs on goes."""
        return self.staying(place) and bool(self.lost_carriers(place))

    def together(self, a: Place, b: Place) -> bool:
        """Both hang on the same lost carrier."""
        return bool(self.lost_carriers(a) & self.lost_carriers(b))

    def untouched(self, a: Place, b: Place) -> bool:
        """Both stay, and neither moves against the other."""
        if not (self.staying(a) and self.staying(b)):
            return False
        return not (self.moved(a) or self.moved(b)) or self.together(a, b)

    def touches(self, places: Sequence[Place]) -> bool:
        """Whether anything among these places is new, gone, or moves against another."""
        if any(self.new(p) or self.gone(p) for p in places):
            return True
        return any(not self.untouched(a, b) for a in places for b in places if self.staying(a) and self.staying(b))
