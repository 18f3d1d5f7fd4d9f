"""A planning problem written as facts for swap.lp: its candidates, all verdicts between them, and what is asked."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence, Set
from functools import partial
from itertools import pairwise, product
from math import prod

import msgspec

from knockon.graph.judge.figures import STEPS, limits_of
from knockon.graph.model.layouts.layout import FigureAt, Place
from knockon.queries.fits.checking.standing import lacks, partners_of
from knockon.queries.plan.solving.classes import JointClasses, all_classes, classes_of
from knockon.queries.plan.solving.formulas import FormulaFigure
from knockon.queries.plan.solving.levels import priorities
from knockon.queries.plan.solving.problem import Problem

MOST_BELIEFS = 256
"""Where a sum has more combinations of beliefs than this, its contested sizes enter with the span of all."""


class Written(msgspec.Struct, frozen=True):
    """What parts of a problem share: the ``classes`` of its joints, by the joint's number, and the facts ``known`` of
    joints and plain sums, by their number, on the candidates, by theirs, in their places."""

    classes: Mapping[int, JointClasses]
    known: dict[tuple[int, tuple[tuple[int, ...], ...]], list[str]] = {}
    beliefs: dict[int, list[int]] = {}

    def most_beliefs(self, problem: Problem, figure: int, at: FigureAt) -> list[int]:
        """For each term of a figure the most beliefs about it, of all candidates of the whole problem."""
        if figure not in self.beliefs:
            every, term = problem.every, problem.checks.term
            self.beliefs[figure] = [
                max((v.beliefs for c in every[place] if (v := term(at, i, c)).is_sized), default=1)
                for i, place in enumerate(at.places)
            ]
        return self.beliefs[figure]

    def but_of(self, problem: Problem, changed: Set[Place]) -> Written:
        """What holds too of a problem that has other candidates in these places, and the same under the same numbers
        in all others."""
        joints = problem.joint_ids.items()
        return Written(
            classes={
                j: self.classes[j]
                if changed.isdisjoint((at.first, at.second)) and j in self.classes
                else classes_of(problem, at)
                for j, at in joints
                if problem.candidates[at.first] and problem.candidates[at.second]
            },
            known=self.known,
            beliefs={},
        )


def written_of(problem: Problem) -> Written:
    """What is written of a problem, once."""
    if isinstance(problem.written, Written):
        return problem.written
    problem.written = written = Written(all_classes(problem))
    return written


def facts_of(problem: Problem, formulas: Mapping[int, FormulaFigure], written: Written | None = None) -> str:
    """All facts, one a line, in a fixed order; ``formulas``: the figures that are no plain sums; ``written``: where
    this is a part of a problem, what was written of it."""
    there = {p: tuple(problem.ids[c] for c in candidates) for p, candidates in problem.candidates.items()}
    return _Facts(problem, formulas, written or written_of(problem), there).all()


class _Facts(msgspec.Struct, frozen=True):
    problem: Problem
    formulas: Mapping[int, FormulaFigure]
    written: Written
    there: Mapping[Place, tuple[int, ...]]

    def all(self) -> str:
        """All facts, one a line, in a fixed order."""
        lines = [
            *self._arrangement_facts(),
            *self._place_facts(),
            *self._candidate_facts(),
            *self._unknown_facts(),
            *self._joint_facts(),
            *self._reach_facts(),
            *self._figure_facts(),
            *self._request_facts(),
        ]
        return "\n".join(lines) + "\n"

    def _arrangement_facts(self) -> Iterator[str]:
        for i, choice in enumerate(self.problem.places.layout.choices):
            only = set(self.problem.request.arrangements) & set(choice.arrangements)
            for arrangement in choice.arrangements:
                yield f'choice_of("{arrangement}",{i}).'
                if not only or arrangement in only:
                    yield f'arrangement("{arrangement}").'
        yield from (f'arranged("{arrangement}").' for arrangement in self.problem.arranged)

    def _place_facts(self) -> Iterator[str]:
        for place, i in self.problem.place_ids.items():
            position = self.problem.places.positions[place.position]
            yield f"place({i})."
            if position.arrangement:
                yield f'in_arrangement({i},"{position.arrangement}").'
            partners = partners_of(self.problem.places, place)
            for partner in partners:
                yield f"with({i},{self.problem.place_ids[partner]})."
                if position.lacking_feature:
                    yield f"lacking({i})."
                    yield from (
                        f"without_feature({i},{self.problem.ids[c]})."
                        for c in self.problem.candidates[partner]
                        if lacks(self.problem.checks.catalogue, c.thing, position.lacking_feature)
                    )
            if not partners:
                yield f"{'optional' if position.need == 'optional' else 'needed'}({i})."
            if place.side == "left":
                yield f"hand_pair({i},{self.problem.place_ids[place.other_hand]})."
            carrier = self.problem.places.carrier(place)
            if carrier is not None:
                yield f"hangs_on({i},{self.problem.place_ids[carrier]})."
            if place in self.problem.found:
                yield f"found({i})."
            if place in self.problem.found or place in self.problem.perhaps:
                flags = (
                    ("one_use", self.problem.is_one_use(place)),
                    ("due", self.problem.is_due(place)),
                    ("pressed", position.pressed_in),
                )
                yield from (f"{name}({i})." for name, holds in flags if holds)

    def _candidate_facts(self) -> Iterator[str]:
        uses: dict[tuple[str, str], int] = {}
        numbers: dict[str, int] = {}
        keys: dict[str, int] = {}
        lines: dict[int, list[tuple[int, int]]] = {}
        for candidate, c in self.problem.ids.items():
            place = self.problem.place_ids[candidate.place]
            yield f"candidate({place},{c})."
            if candidate.place.side:
                yield f"alike({c},{keys.setdefault(candidate.alike, len(keys))})."
            if candidate.stays:
                yield f"stays({c})." + (f" work({c})." if candidate.work else "")
            else:
                yield f"number({c},{numbers.setdefault(candidate.number, len(numbers))})."
            if self.problem.keeps_number(candidate):
                yield f"keeps_number({place},{c})."
            if candidate.set_use is not None:
                use = uses.setdefault(candidate.set_use, len(uses))
                yield f"set_use({c},{use})."
            elif not candidate.stays:
                quantity = self.problem.places.positions[candidate.place.position].quantity
                price = self.problem.offered.cents(candidate.number, quantity)
                lines.setdefault(place, []).append((c, price))
                yield f"units({c},{quantity})."
        for place, prices in lines.items():
            yield from _line_prices(place, prices)
        yield from (
            f"set_price({u},{self.problem.offered.cents(use[0], 1)}). use_of({u},{numbers[use[0]]})."
            for use, u in uses.items()
        )
        for number, held in sorted(self.problem.kit.items()):
            if number in numbers:
                yield f"kit_holds({numbers[number]},{held})."
                yield from (f"kit_unit({numbers[number]},{i})." for i in range(1, held + 1))
        yield from (f"offered({n})." for number, n in numbers.items() if number in self.problem.offered.offers)
        yield from self._exchange_facts(uses)

    def _unknown_facts(self) -> Iterator[str]:
        """Candidates of which nothing is known but that they stand there, or would have to."""
        for candidate, c in self.problem.ids.items():
            if candidate.to_be_found:
                yield f"to_be_found({c})."
            elif not candidate.recorded:
                yield f"blank({self.problem.place_ids[candidate.place]},{c})."

    def _exchange_facts(self, uses: Mapping[tuple[str, str], int]) -> Iterator[str]:
        """Which old parts can be handed in, and what that saves on a unit of each candidate of their type."""
        types: dict[str, dict[int, None]] = {}
        seen: set[tuple[str, str]] = set()
        for candidate, c in self.problem.ids.items():
            saved = 0 if candidate.stays else self.problem.offered.savings.get(candidate.number, 0)
            if not saved or candidate.set_use in seen:
                continue
            part_type = self.problem.places.positions[candidate.place.position].part_type
            types.setdefault(part_type, {})[saved] = None
            t = list(types).index(part_type)
            if candidate.set_use is None:
                yield f"saves({c},{t},{saved})."
            else:  # a set is one unit, of the type of its first member
                seen.add(candidate.set_use)
                yield f"set_saves({uses[candidate.set_use]},{t},{saved})."
        for t, (part_type, savings) in enumerate(types.items()):
            steps = sorted(savings)
            yield from (f"saving({t},{s},{s - less})." for less, s in zip([0, *steps], steps, strict=False))
            there = [
                p for p in self.problem.places.all if self.problem.places.positions[p.position].part_type == part_type
            ]
            yield from (
                f"gives({self.problem.place_ids[p]},{t},{q})." for p in there if (q := self.problem.old_parts(p))
            )
            yield from (f"old({t},{i})." for i in range(1, sum(map(self.problem.old_parts, there)) + 1))

    def _joint_facts(self) -> Iterator[str]:
        whole = self.problem.every is self.problem.candidates
        for j, at in self.problem.joint_ids.items():
            yield f"joint({j},{self.problem.place_ids[at.first]},{self.problem.place_ids[at.second]})."
            yield f"sort({j},{self.problem.sort_of[at.joint.joint]})."
            if at.joint.arrangement:
                yield f'only_in({j},"{at.joint.arrangement}").'
            if at.joint.disturbs is False:
                yield f"gentle({j})."
            for owned in at.joint.owns:
                place = self.problem.places.at(owned, at.side)
                if place is not None:
                    yield f"owns({j},{self.problem.place_ids[place]})."
            if j in self.written.classes:
                there = None if whole else (self.there[at.first], self.there[at.second])
                yield from self._once(j, (at.first, at.second), partial(self.written.classes[j].facts, j, there))

    def _reach_facts(self) -> Iterator[str]:
        for (off, reached), leaves in self.problem.in_the_way.items():
            way = f"{self.problem.place_ids[off]},{self.problem.place_ids[reached]}"
            yield f"in_way({way})."
            yield from (f"leaves({way},{j})." for j, at in self.problem.joint_ids.items() if at.joint.joint in leaves)

    def _figure_facts(self) -> Iterator[str]:
        for s, at in self.problem.figure_ids.items():
            yield f"sort({s},{self.problem.sort_of[at.figure.figure]})."
            if s in self.formulas:
                yield from self._formula_facts(s, self.formulas[s])
            else:
                yield from self._once(s, at.places, partial(self._sum_facts, s, at))
        for s, at in (self.problem.figure_ids | self.problem.told_ids).items():
            yield from (f"among({s},{self.problem.place_ids[place]})." for place in dict.fromkeys(at.places))
            if at.figure.arrangement:
                yield f'only_in({s},"{at.figure.arrangement}").'

    def _once(self, check: int, places: Iterable[Place], written: Callable[[], Iterable[str]]) -> list[str]:
        """The facts of a check that hang on the candidates in its places alone."""
        key = check, tuple(self.there[p] for p in places)
        if key not in self.written.known:
            self.written.known[key] = list(written())
        return self.written.known[key]

    def _sum_facts(self, s: int, at: FigureAt) -> Iterator[str]:
        figure = at.figure
        yield f"stack({s})." + (f" by_method({s})." if figure.method else "")
        low, high = limits_of(figure, None)
        if low is not None:
            yield f"low({s},{round(low * STEPS)})."
        if high is not None:
            yield f"high({s},{round(high * STEPS)})."
        for i, place in enumerate(at.places):
            for candidate in self.problem.candidates[place]:
                value, c = self.problem.checks.term(at, i, candidate), self.problem.ids[candidate]
                if value.maybe_absent:
                    yield f"maybe_absent({s},{i},{c})."
                if not value.is_sized:
                    yield f"{'absent' if value.absent else 'missing'}({s},{i},{c})."
                elif value.is_weak(figure.safety_critical):
                    yield f"weak({s},{i},{c})."
                if self.problem.checks.states_figure(at, candidate):
                    yield f"stated({s},{c})."
        yield from self._share_facts(s, at)

    def _share_facts(self, s: int, at: FigureAt) -> Iterator[str]:
        """What each candidate adds to a sum, for each combination of beliefs about its terms.

        Written in steps: the least value that a term may have, and by how much each next one is more. A term whose
        candidate has the third value adds the first three, so all weights of a sum together are no more than its
        terms' largest values: they stay far inside the solver's 31 bits however many candidates there are.
        """
        ids = self.problem.ids
        factors, term = [term.factor for term in at.figure.terms], self.problem.checks.term
        known = [
            [(ids[c], value) for c in self.problem.candidates[place] if (value := term(at, i, c)).is_sized]
            for i, place in enumerate(at.places)
        ]
        counts = self.written.most_beliefs(self.problem, s, at)
        spanned = prod(counts) > MOST_BELIEFS
        limits = dict(zip(("under", "over"), limits_of(at.figure, None), strict=True))
        scales: dict[tuple[int, tuple[tuple[int, int], ...]], int] = {}
        for b, belief in enumerate(product(*(range(1 if spanned else count) for count in counts))):
            yield f"belief({s},{b})."
            for i, values in enumerate(known):
                believed = None if spanned else belief[i]
                spans = [(c, v.steps(factors[i], believed), v.worst_steps(factors[i], believed)) for c, v in values]
                ends = {
                    "under": tuple((c, high) for c, _, (_, high) in spans),
                    "over": tuple((c, low) for c, _, (low, _) in spans),
                    "maybe_under": tuple((c, low) for c, (low, _), _ in spans),
                    "maybe_over": tuple((c, high) for c, (_, high), _ in spans),
                }
                for name, added in ends.items():
                    if limits[name.removeprefix("maybe_")] is None:
                        continue
                    q = scales.setdefault((i, added), len(scales))
                    if q == len(scales) - 1 and added:
                        yield from _scale(s, q, added)
                    yield f"adds({s},{b},{name},{q})."

    def _formula_facts(self, s: int, figure: FormulaFigure) -> Iterator[str]:
        """What each candidate contributes; the verdict on a combination the solver is told when it meets it."""
        at = figure.at
        for i, place in enumerate(figure.places):
            yield f"part_of({s},{i},{self.problem.place_ids[place]})."
            for candidate in self.problem.candidates[place]:
                c = self.problem.ids[candidate]
                if self.problem.checks.states_figure(at, candidate):
                    yield f"stated({s},{c})."
                group = figure.group_of[c]
                if any(not value.is_sized and not value.absent for value in figure.groups[i][group]):
                    yield f"unsized({s},{c})."
                yield f"group({s},{i},{c},{group})."

    def _request_facts(self) -> Iterator[str]:
        yield from (
            f'level("{name}",{priority}).' for name, priority in priorities(self.problem.request.prefer).items()
        )
        for place in dict.fromkeys(p for w in self.problem.request.wants for p in w.places):
            yield f"wanted({self.problem.place_ids[place]})."
            wishes = [w for w in self.problem.request.wants if place in w.places]
            for candidate in self.problem.candidates[place]:
                if all(self.problem.grants(wanted, candidate) for wanted in wishes):
                    yield f"grants({self.problem.place_ids[place]},{self.problem.ids[candidate]})."
        yield from (f"must_keep({self.problem.place_ids[p]})." for p in self.problem.request.keep)


def _scale(s: int, q: int, added: Sequence[tuple[int, int]]) -> Iterator[str]:
    """The values that candidates add to a sum, least first, each as what it is more than the one before."""
    values = sorted({value for _, value in added})
    rank = {value: k for k, value in enumerate(values)}
    yield from (
        f"step({s},{q},{k},{value - less})." for k, (less, value) in enumerate(zip([0, *values], values, strict=False))
    )
    yield from (f"rank({s},{q},{c},{rank[value]})." for c, value in added)


def _line_prices(place: int, prices: Sequence[tuple[int, int]]) -> Iterator[str]:
    """What the candidates of a place cost, in steps as a sum's values are: then a search that has ruled out the cheap
    ones knows that the place costs as much as the cheapest that is left."""
    values = sorted({0, *(price for _, price in prices)})
    rank = {price: k - 1 for k, price in enumerate(values)}
    yield from (f"dearer({place},{k},{price - less})." for k, (less, price) in enumerate(pairwise(values)))
    yield from (f"line_price({place},{c},{rank[price]})." for c, price in prices if price)
