"""What tells candidates of one place apart, beside the classes of their joints: what they contribute to figures, and
the structure of a filling."""

from __future__ import annotations

from collections.abc import Hashable, Set
from functools import cached_property

from knockon.graph.model.layouts.layout import FigureAt, Place
from knockon.queries.fits.checking.standing import lacks, partners_of
from knockon.queries.plan.solving.bounds import Bounds
from knockon.queries.plan.solving.problem import Problem


class Apart:
    """What tells the candidates of one problem apart, each by its number."""

    def __init__(self, problem: Problem, bounds: Bounds) -> None:
        self._problem, self._bounds = problem, bounds
        self._structure: dict[int, Hashable] = {}

    def sort_of(self, number: int, cited: Set[str]) -> Hashable:
        """All of a candidate that these sorts of check and the structure of a filling can tell."""
        at = self.joints_at[self._problem.numbered[number].place]
        joints = tuple(self._bounds.class_of(j, end)[number] for j, end, sort in at if sort in cited)
        return joints, self.contributed(number, cited), self.structure_of(number)

    def contributed(self, number: int, cited: Set[str] | None) -> Hashable:
        """What it contributes to these figures, to all for None."""
        candidate, checks = self._problem.numbered[number], self._problem.checks
        return tuple(
            (checks.term(at, i, candidate), checks.states_figure(at, candidate))
            for at, i, sort in self._terms_at[candidate.place]
            if cited is None or sort in cited
        )

    def structure_of(self, number: int) -> Hashable:
        """Whether it stays, is recorded, is yet to be found, has the number of what is there, lacks what another place
        hangs on; its set; whether it is alike something that nobody recorded."""
        if number not in self._structure:
            problem = self._problem
            c = problem.numbered[number]
            lacking = tuple(lacks(problem.checks.catalogue, c.thing, f) for f in self._features_lacked[c.place])
            flags = c.stays, c.recorded, c.to_be_found, problem.keeps_number(c), c.alike in self._keys_not_recorded
            self._structure[number] = flags, lacking, c.set_use
        return self._structure[number]

    @cached_property
    def checks_at(self) -> dict[Place, set[str]]:
        """The sorts of check that read what stands in each place."""
        found = {p: {sort for *_, sort in joints} for p, joints in self.joints_at.items()}
        for place, terms in self._terms_at.items():
            found[place].update(sort for *_, sort in terms)
        return found

    @cached_property
    def joints_at(self) -> dict[Place, list[tuple[int, int, str]]]:
        """The joints at each place: number, end and sort."""
        found: dict[Place, list[tuple[int, int, str]]] = {p: [] for p in self._problem.places.all}
        for j in self._bounds.classes:
            at = self._problem.joint_ids[j]
            for end, place in enumerate((at.first, at.second)):
                found[place].append((j, end, self._problem.sort_of[at.joint.joint]))
        return found

    @cached_property
    def _terms_at(self) -> dict[Place, list[tuple[FigureAt, int, str]]]:
        """The terms of figures at each place: figure, number of the term and sort."""
        found: dict[Place, list[tuple[FigureAt, int, str]]] = {p: [] for p in self._problem.places.all}
        for at in self._problem.figure_ids.values():
            for i, place in enumerate(at.places):
                found[place].append((at, i, self._problem.sort_of[at.figure.figure]))
        return found

    @cached_property
    def _features_lacked(self) -> dict[Place, list[str]]:
        """The features of which it counts whether what stands in a place lacks them."""
        found: dict[Place, list[str]] = {p: [] for p in self._problem.places.all}
        for place in self._problem.places.all:
            feature = self._problem.places.positions[place.position].lacking_feature
            for partner in partners_of(self._problem.places, place) if feature else ():
                found[partner].append(feature)
        return found

    @cached_property
    def _keys_not_recorded(self) -> frozenset[str]:
        """What is alike what nobody recorded."""
        return frozenset(c.alike for c in self._problem.numbered if not c.recorded)
