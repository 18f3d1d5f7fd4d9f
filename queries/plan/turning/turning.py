"""The turning value of a reading: the nearest value as read at which the best plan has another thing in some position.

The reading moves, its ± stays, and so do all other readings. A plan holds at a value while no other one is better there
on the levels of preference but the price; no plan at all counts as another. So the value at which a price alone decides
is none, nor one at which only a verdict changes: that is shown apart.

The values at which any check of the thing may change are finitely many (``breakpoints``). Of those between the reading
and a limit the first is sought at which the plan does not hold: what the plan costs is worked out for each value at
which its own checks change, and whether any other is better at any of many values is asked of the solver at once
(``supposed``), then halved.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from functools import cached_property
from itertools import groupby
from typing import NamedTuple

import msgspec
from msgspec.structs import replace

from knockon.graph.judge.verdicts import Verdict
from knockon.graph.model.layouts.layout import Place
from knockon.queries.fits.checking.candidates import Candidate
from knockon.queries.plan.solving.classes import FIRST, NO, OTHER
from knockon.queries.plan.solving.levels import NOT_KNOWN, PRICE, UNPROVEN, in_order
from knockon.queries.plan.solving.patience import Patience
from knockon.queries.plan.solving.planner import Filling
from knockon.queries.plan.solving.problem import Problem
from knockon.queries.plan.turning.breakpoints import PER_UNIT, breakpoints, outward
from knockon.queries.plan.turning.differing import differing, other_work
from knockon.queries.plan.turning.supposed import Read, Reading, Size, Supposed, Supposing

INCH = 25.4
BEYOND = 0.05
"""Of a micrometre: so little beyond a value is told apart from it, and is no other value."""
Cost = tuple[int, ...]
BUT_PRICE, ALL_LEVELS = slice(-1), slice(None)
"""Of what a filling costs on the levels, the price being the last."""


def in_steps(value: float, unit: str) -> int:
    """A value as it is shown, in whole steps of the base unit."""
    return round(value * (INCH if unit == "in" else 1.0) * PER_UNIT)


class Turning(msgspec.Struct, frozen=True):
    """A value of a reading at which the plan turns, in ``unit`` (that of the reading).

    ``holds``: the plan still holds at the value, and no more beyond it. ``then``: what stands in which place of the
    plan that is best there instead (blank: nothing), where it is another thing; ``work``: what is done there to what
    stays, where that is other work (blank: none). ``no_plan``: there is no plan. ``of``: the name of the reading.
    """

    value: float
    unit: str
    holds: bool
    then: dict[Place, str] = {}
    no_plan: bool = False
    of: str = ""
    work: dict[Place, str] = {}

    @property
    def steps(self) -> int:
        """The value in whole steps of the base unit (micrometres of a length)."""
        return in_steps(self.value, self.unit)


class Changes(msgspec.Struct, frozen=True):
    """A value beside which a check of the plan has another verdict, though the plan may stay: shown apart."""

    value: float
    unit: str
    check: str
    becomes: Verdict


class Cheaper(msgspec.Struct, frozen=True):
    """A value at which the plan holds, and another one is as good on all levels and cheaper, by ``saves`` hundredths:
    shown apart. ``then``: what stands in which place of that one, where it is another thing; ``work``: what is done
    there to what stays, where that is other work."""

    value: float
    unit: str
    then: dict[Place, str]
    saves: int
    work: dict[Place, str] = {}

    @property
    def steps(self) -> int:
        """The value in whole steps of the base unit (micrometres of a length)."""
        return in_steps(self.value, self.unit)


class Kept(msgspec.Struct, frozen=True):
    """Readings at which the plan holds: from the ``low`` to the ``high``, both among them, in whole micrometres."""

    low: float
    high: float
    unit: str


class Turns(msgspec.Struct, frozen=True):
    """Where a reading turns the plan, the nearest first: none, one or two values (either side). ``from_``: the value
    that it is counted from, read or expected; ``verdicts`` and ``prices``: the nearest values at which only a verdict
    changes, or only the price; ``most``: the largest usual size, up to which is looked. Where nothing is expected there
    is no nearest: ``between`` are all readings that keep the plan, from nought on."""

    from_: float | None
    unit: str
    most: float
    turning: tuple[Turning, ...] = ()
    verdicts: tuple[Changes, ...] = ()
    prices: tuple[Cheaper, ...] = ()
    between: tuple[Kept, ...] = ()


class Scale(msgspec.Struct, frozen=True):
    """How a reading is shown: ``per_unit`` of the base unit make one of the ``unit``, as 25.4 mm an inch."""

    unit: str
    per_unit: float = 1.0

    def shown(self, steps: int) -> float:
        """A value in the reading's unit; whole micrometres can be told from it."""
        return round(steps / PER_UNIT / self.per_unit, 3 if self.per_unit == 1 else 7)


class Moving(msgspec.Struct, frozen=True):
    """A reading that may move: its size's name, the value that it is counted from (None: nothing is expected), its ±,
    and the largest usual value (all in the base unit)."""

    dimension: str
    value: float | None
    within: float
    most: float
    scale: Scale

    def at(self, steps: float) -> Reading:
        """The reading at a value, in steps."""
        value = steps / PER_UNIT
        return (Size(self.dimension, value - self.within, value + self.within),)


class OwnCheck(NamedTuple):
    """A check of the plan: its name, its verdict, and what that counts as; blank: nothing."""

    name: str
    verdict: Verdict
    counts_as: str


def _counts_as(verdict: Verdict, is_first: bool) -> str:
    return NO if verdict.is_no else FIRST if is_first else OTHER if verdict.is_unproven else ""


class _Asking:
    """Values of one reading, and what the solver says of a plan at them."""

    def __init__(self, supposing: Supposing, plan: Filling, patience: Patience | None) -> None:
        self.plan, self.patience, self.supposing = plan, patience, supposing
        problem, place = supposing.problem, supposing.read.place
        self._levels = (NOT_KNOWN, *in_order(problem.request.prefer))
        assert self._levels[-1] == PRICE
        self._known: list[tuple[frozenset[int], tuple[Cost, int | None] | None]] = []
        self._own: dict[tuple[OwnCheck, ...], Cost | None] = {}
        self._joints = {j: at for j, at in problem.joint_ids.items() if place in (at.first, at.second)}
        self._figures = {s: f for s, f in problem.figure_ids.items() if place in f.places}
        self._as_planned = tuple(self._checks(plan.chosen, supposing.original))

    def best(self, number: int) -> Filling | None:
        """The best filling at a value, the first of equals."""
        return self.supposing.best(number, self.patience)

    def least(self, numbers: Sequence[int]) -> tuple[Cost, int | None] | None:
        """What the best filling that any of some values allows costs, and which value it has, None where the thing
        goes; None where there is no filling."""
        asked = frozenset(numbers)
        for among, least in self._known:  # what is best of more is best of these, if it is among them
            if asked <= among and (least is None or least[1] is None or least[1] in asked):
                return least
        found = self.supposing.least(numbers, self.patience)
        least = (tuple(found[0][level] for level in self._levels), found[1]) if found is not None else None
        self._known.append((asked, least))
        return least

    @cached_property
    def _least_of_all(self) -> Cost | None:
        """What the best filling costs at the best of all values."""
        least = self.least(range(len(self.supposing)))
        return least[0] if least is not None else None

    def own_cost(self, number: int) -> Cost | None:
        """What the plan itself costs with one of the values; None where it is ruled out."""
        key = self.own_checks(number)
        if key not in self._own:
            self._own[key] = self._priced(key)
        return self._own[key]

    def _priced(self, checks: Sequence[OwnCheck]) -> Cost | None:
        """What the plan costs where its checks of the thing are these: a reading changes nothing else of it."""
        if any(c.counts_as == NO for c in checks):
            return None
        change = dict.fromkeys(self._levels, 0)
        for own, by in ((checks, 1), (self._as_planned, -1)):
            for check in own:
                if check.counts_as:
                    change[NOT_KNOWN if check.counts_as == FIRST else UNPROVEN] += by
        return tuple(self.plan.costs[level] + change[level] for level in self._levels)

    def own_checks(self, number: int) -> tuple[OwnCheck, ...]:
        """The plan's own checks of the thing, at a value."""
        return tuple(self._checks(self.supposing.same(self.plan.chosen, number), self.supposing.problem))

    def _checks(self, chosen: Mapping[Place, Candidate], problem: Problem) -> Iterator[OwnCheck]:
        counting = self.plan.movement.counts
        for j, at in self._joints.items():
            first, second = chosen.get(at.first), chosen.get(at.second)
            if first is not None and second is not None:
                verdict = problem.checks.joint(at, first, second).verdict
                counts_as = _counts_as(verdict, problem.counts_first(at, first, second)) if j in counting else ""
                yield OwnCheck(at.joint.joint, verdict, counts_as)
        for s, figure in self._figures.items():
            there = {p: chosen.get(p) for p in figure.places}
            found = problem.checks.figure(figure, there, problem.checks.as_made_value(figure, problem.vehicle))
            first_level = found.verdict is Verdict.NOT_KNOWN and not found.only_kept_missing
            yield OwnCheck(
                figure.figure.figure, found.verdict, _counts_as(found.verdict, first_level) if s in counting else ""
            )

    def holds(self, number: int) -> bool:
        """Whether the plan is among the best at a value."""
        cost = self.own_cost(number)
        return cost is not None and (self._is_least(cost, BUT_PRICE) or not self._is_beaten([number], cost, BUT_PRICE))

    def _is_least(self, cost: Cost, levels: slice) -> bool:
        """Whether no filling costs less at any value; a plan that costs so little holds without another search."""
        return self._least_of_all is not None and cost[levels] <= self._least_of_all[levels]

    def _is_beaten(self, numbers: Sequence[int], cost: Cost, levels: slice) -> bool:
        least = self.least(numbers)
        return least is not None and least[0][levels] < cost[levels]

    def first(self, numbers: Sequence[int], levels: slice) -> int | None:
        """The first of some values, in their order, at which another filling is better on these levels."""
        for own, run in groupby(numbers, key=self.own_cost):
            alike = list(run)
            if own is not None and self._is_least(own, levels):
                continue
            found = alike[0] if own is None else self._first_better(alike, own, levels)
            if found is not None:
                return found
        return None

    def _first_better(self, numbers: Sequence[int], cost: Cost, levels: slice) -> int | None:
        """The first of some values, at all of which the plan costs the same, at which another one is better."""
        found = None
        low, high = 0, len(numbers)  # if there is one before the one found, it is among numbers[low:high]
        while low < high:
            upto = high if found is None else (low + high + 1) // 2
            least = self.least(numbers[low:upto])
            if least is not None and least[0][levels] < cost[levels]:
                found = high = low if least[1] is None else numbers.index(least[1])
            elif found is None:
                return None
            else:
                low = upto
        return numbers[found] if found is not None else None


class Sought:
    """A reading of which it is sought where it turns a plan: its values, told to the solver before it is asked."""

    def __init__(self, supposed: Supposed, read: Read, moving: Moving) -> None:
        """Raises TooMany."""
        self.moving, self.most = moving, round(moving.most * PER_UNIT)
        points = breakpoints(supposed.problem, read, moving.within, 0, self.most)
        self.start = moving.value * PER_UNIT if moving.value is not None else None
        from_, towards = (0.0, (1,)) if self.start is None else (self.start, (-1, 1))
        self.sides = {out: [v for v in outward(points, from_, out) if 0 <= v <= self.most] for out in towards}
        # just beyond a whole step at which something changes: a plan may hold there and no more beyond it
        beyond = [v + out * (BEYOND - 1) for out, side in self.sides.items() for v in side if v - out in points]
        self.values = [from_, *(v for side in self.sides.values() for v in side), *beyond]
        self.supposing = supposed.suppose(read, [moving.at(v) for v in self.values])
        self._number = {v: i for i, v in reversed(list(enumerate(self.values)))}

    def turns(self, plan: Filling, patience: Patience | None = None) -> Turns:
        """Where the reading turns a plan, on either side of the value that it is counted from. Raises TimeUp."""
        asking, scale, start = _Asking(self.supposing, plan, patience), self.moving.scale, self.start
        if start is None:
            return Turns(None, scale.unit, scale.shown(self.most), between=tuple(self._kept(asking)))
        shown = Turns(round(start / PER_UNIT / scale.per_unit, 7), scale.unit, scale.shown(self.most))
        if not asking.holds(0):
            return replace(shown, turning=(self._told(asking, 0, round(start), holds=False),))
        found: list[Turning] = []
        changes: list[Changes] = []
        prices: list[Cheaper] = []
        for out, side in self.sides.items():
            turned = asking.first([self._number[v] for v in side], BUT_PRICE)
            if turned is not None:
                steps = round(self.values[turned])
                before, beyond = steps - out, self._number.get(self.values[turned] + out * (BEYOND - 1))
                closed = (before - start) * out >= 0 and beyond is not None and not asking.holds(beyond)
                found.append(self._told(asking, turned, before if closed else steps, closed))
            holding = [0, *(self._number[v] for v in side if turned is None or v * out < self.values[turned] * out)]
            changes += self._verdict_changes(asking, holding[1:] if turned is None else [*holding[1:], turned])
            prices += self._cheaper(asking, holding)
        found.sort(key=lambda t: (abs(t.steps - start), t.steps))
        prices = sorted({p.steps: p for p in prices}.values(), key=lambda p: (abs(p.steps - start), p.steps))
        return replace(shown, turning=tuple(found), verdicts=tuple(changes), prices=tuple(prices))

    def _kept(self, asking: _Asking) -> Iterator[Kept]:
        """All readings at which the plan holds, from the least value on."""
        scale, values = self.moving.scale, [round(v) for v in (self.values[0], *self.sides[1])]
        low: int | None = None
        for value, after in zip(values, [*values[1:], self.most + 1], strict=True):
            holds = asking.holds(self._number[value])
            low = value if holds and low is None else low
            if low is not None and (not holds or after > self.most):
                yield Kept(scale.shown(low), scale.shown(value - 1 if not holds else self.most), scale.unit)
            low = low if holds else None

    def _told(self, asking: _Asking, turned: int, steps: int, holds: bool) -> Turning:
        best, scale = asking.best(turned), self.moving.scale
        turning = Turning(scale.shown(steps), scale.unit, holds, no_plan=best is None)
        if best is None:
            return turning
        return replace(turning, then=differing(asking.plan, best), work=other_work(asking.plan, best))

    def _cheaper(self, asking: _Asking, holding: Sequence[int]) -> Iterator[Cheaper]:
        """The nearest of some values at which the plan holds, and another one that is as good costs less."""
        number = asking.first(holding, ALL_LEVELS)
        best = asking.best(number) if number is not None else None
        if number is not None and best is not None:
            scale, steps = self.moving.scale, round(self.values[number])
            saves = asking.plan.costs[PRICE] - best.costs[PRICE]
            work = other_work(asking.plan, best)
            yield Cheaper(scale.shown(steps), scale.unit, differing(asking.plan, best), saves, work)

    def _verdict_changes(self, asking: _Asking, numbers: Sequence[int]) -> list[Changes]:
        """The nearest of some values at which a check of the plan has another verdict than at the start."""
        first, scale = asking.own_checks(0), self.moving.scale
        for number in numbers:
            checks = zip(first, asking.own_checks(number), strict=True)
            other = dict.fromkeys((now.name, now.verdict) for was, now in checks if was.verdict is not now.verdict)
            if other:
                return [Changes(scale.shown(round(self.values[number])), scale.unit, c, v) for c, v in other]
        return []


def turns(problem: Problem, read: Read, moving: Moving, plan: Filling, patience: Patience | None = None) -> Turns:
    """Where one reading turns a plan of a problem. Raises TooMany, TimeUp, TooLarge."""
    return Sought(Supposed(problem, [read]), read, moving).turns(plan, patience)


class OfCodes:
    """Readings of a count, a code or a designation, told to the solver before it is asked: those that keep a plan."""

    def __init__(self, supposed: Supposed, read: Read, readings: Sequence[Reading]) -> None:
        self.supposing, self._readings = supposed.suppose(read, readings), readings

    def that_keep(self, plan: Filling, patience: Patience | None = None) -> list[int]:
        """Which of the readings keep a plan, by their number. Raises TimeUp."""
        asking = _Asking(self.supposing, plan, patience)
        alike: dict[tuple[object, ...], list[int]] = {}
        for number in range(len(self._readings)):
            alike.setdefault(_everything(self.supposing, number), []).append(number)
        return sorted(n for numbers in alike.values() if asking.holds(numbers[0]) for n in numbers)


def _everything(supposing: Supposing, number: int) -> tuple[object, ...]:
    """What the checks say of the thing with a reading, beside all that may stand at their other ends: readings of which
    it is the same are one to every plan. Of a figure it is what the thing contributes to it."""
    problem, place, own = supposing.problem, supposing.read.place, supposing.of(number)
    found: list[object] = []
    for at in problem.places.joints:
        for end in at.ends:
            if end.place == place:
                beside = problem.candidates[at.beyond(end).place]
                pairs = (at.in_order(place, c, other) for c in own for other in beside)
                found.append(tuple((problem.checks.joint(at, *p).verdict, problem.counts_first(at, *p)) for p in pairs))
    for figure in problem.places.figures:
        terms = [i for i, p in enumerate(figure.places) if p == place]
        found += [tuple(problem.checks.term(figure, i, c) for i in terms for c in own)] if terms else []
    return tuple(found)
