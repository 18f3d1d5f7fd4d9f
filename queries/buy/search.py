"""The best order of each name, over all admitted fillings at once: one model holds fillings and purchases.

What the model leaves open (see ``completion.py``) is put right as it is met, and the search goes on. A filling that it
proposes counts once swap.lp has accepted it. What is proven of the model is so proven of every admitted filling.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from decimal import Decimal
from itertools import product
from typing import TYPE_CHECKING, Any

import msgspec

from knockon.queries.buy.admitted import Admitted
from knockon.queries.buy.bill import Bill, bills_of
from knockon.queries.buy.completion import Completion, Figures
from knockon.queries.buy.demand import Demand, blamed, blamed_in_joint, demand_of, units_of
from knockon.queries.buy.market import DUE, SOUND, Market
from knockon.queries.buy.purchase import Asked, Purchase
from knockon.queries.plan.solving.formulas import by_formula
from knockon.queries.plan.solving.patience import Patience, TimeUp
from knockon.queries.plan.solving.planner import Filling
from knockon.queries.plan.solving.problem import Problem

if TYPE_CHECKING:
    from ortools.sat.python.cp_model import CpModel

CHEAPEST, FEWEST, SAFEST = "cheapest", "fewest parcels", "safest"
TOTAL, PARCELS, UNPROVEN = "total", "parcels", "unproven"
ORDERS: Mapping[str, tuple[str, str, str]] = {
    CHEAPEST: (TOTAL, PARCELS, UNPROVEN),
    FEWEST: (PARCELS, TOTAL, UNPROVEN),
    SAFEST: (UNPROVEN, TOTAL, PARCELS),
}
"""The orders by name, and what of them is least, one after the other."""
MOST_BETTER_LISTS = 200
"""Of equally good orders the first by its text is sought step by step; more steps than this are not taken."""

Literal = Any


class Found(msgspec.Struct, frozen=True):
    """One order: its filling and what that asks for, how many of each thing for sale are bought, how many of each on
    the shelf are used, for how many units of an offer an old part serves, its bills, and its unproven lines.

    ``optimal``: proven, the text by which equals are ordered too; ``least``: what no order can go below in what its
    name says first."""

    filling: Filling
    demand: Demand
    counts: tuple[int, ...]
    used: tuple[int, ...]
    served: Mapping[int, int]
    bills: tuple[Bill, ...]
    unproven: frozenset[str]
    optimal: bool
    least: Decimal
    changes: int = 0
    unproven_checks: int = 0

    @property
    def total(self) -> Decimal:
        """All that it costs."""
        return sum((b.total for b in self.bills), Decimal(0))


class Search:
    """The model of one market and the admitted fillings of one problem. ``all_lines``: every line must be supplied,
    else as many as can be."""

    def __init__(
        self,
        planner: Admitted,
        market: Market,
        types: Mapping[str, str],
        patience: Patience,
        all_lines: bool = True,
    ) -> None:
        from ortools.sat.python import cp_model

        self.planner, self.market, self.patience = planner, market, patience
        self.problem: Problem = planner.problem
        self.model: CpModel = cp_model.CpModel()
        self.completion = Completion(self.model, planner)
        self._figures = Figures(self.completion, by_formula(self.problem))
        self._in = {c: self.completion.literal(planner.literal_of(c)) for c in self.problem.ids}
        self.purchase = Purchase(self.model, market, self._asked(), types, all_lines)
        numbers = self.purchase.asked.numbers
        self.unproven = {number: self.model.new_bool_var("") for number in numbers}
        for number in numbers:
            for used in self.purchase.unknown_used(number):
                self.model.add_implication(used, self.unproven[number])
        self._blame_joints()
        self._measures = {
            TOTAL: (self.purchase.total, self.purchase.most_total),
            PARCELS: (self.purchase.parcels, len(market.terms)),
            UNPROVEN: (sum(self.unproven.values()), len(numbers)),
        }
        self._most_proven = True
        self._firsts: dict[tuple[int, ...], tuple[_Solution, bool]] = {}
        if not all_lines:
            self._supply_most()

    def _asked(self) -> Asked:
        asked = Asked()
        for unit in units_of(self.problem):
            asked.need(unit.number, unit.side, self._in[unit.candidate], unit.quantity)
        positions = self.problem.places.positions
        for place, number in self.problem.place_ids.items():
            if quantity := self.problem.old_parts(place):
                gone = self.completion.literal(self.planner.gone(number))
                asked.leaves(positions[place.position].part_type, gone, quantity)
        return asked

    def _blame_joints(self) -> None:
        """The lines that a joint leaves unproven, pair by pair."""
        for number, at in self.problem.joint_ids.items():
            counts = self.planner.counts(number)
            for first in self.problem.candidates[at.first] if counts else ():
                for second in self.problem.candidates[at.second]:
                    for end in blamed_in_joint(self.problem, at, first, second):
                        here = [~self._in[first], ~self._in[second], ~self.completion.literal(counts)]
                        self.completion.at_least_one([*here, self.unproven[end.number]])

    def _supply_most(self) -> None:
        """From here on as many lines are supplied as can be."""
        lines = sum(self.purchase.supplied.values())
        solved = self._solved(-lines)
        if solved is None:
            return
        most, self._most_proven, _ = solved
        supplied = sum(most.holds(s) for s in self.purchase.supplied.values())
        self.model.add(lines >= supplied)

    # ---- one order

    def best(self, name: str) -> Found | None:
        """The best order of a name; None where there is none. Raises TimeUp where none was found in the time.

        The total is best sought together with what decides between equal totals. Parcels and unproven lines that come
        before it are sought by themselves: weighed with it they hide what it costs at least.
        """
        first, *rest = ORDERS[name]
        also: list[Any] = []
        least = Decimal(0)
        if first != TOTAL:
            solved = self._solved(self._measures[first][0], also)
            if solved is None:
                return None
            solution, proven, bound = solved
            least = Decimal(max(0, bound))
            also = [*also, self._measures[first][0] <= solution.number(self._measures[first][0])]
            if not proven:
                return self._found(solution, False, least)
        goal, weight = self._goal(rest if first != TOTAL else ORDERS[name])
        solved = self._solved(goal, also)
        if solved is None:
            return None
        solution, proven, bound = solved
        if first == TOTAL:
            least = Decimal(max(0, bound // weight)).scaleb(-self.purchase.scale)
        if proven:
            solution, proven = self._first_of_equals(solution)
        return self._found(solution, proven, least)

    def _goal(self, measures: Sequence[str]) -> tuple[Any, int]:
        """What is minimised, one measure after the other, as one sum, and the weight of what comes first in it."""
        goal: Any = 0
        first = weight = 1
        for measure in reversed(measures):
            expression, most = self._measures[measure]
            goal, first, weight = goal + weight * expression, weight, weight * (most + 1)
        return goal, first

    def with_other_kits(self, kits: Sequence[int], counts: Sequence[int]) -> Found | None:
        """The cheapest order that has one of these kits which a purchase has not, or lacks one that it has. Raises
        TimeUp."""
        differs = []
        for i in kits:
            other = self.model.new_bool_var("")
            count = self.purchase.count[i]
            self.model.add(count == 0 if counts[i] else count >= 1).only_enforce_if(other)
            differs.append(other)
        solved = self._solved(self.purchase.total, [sum(differs) >= 1])
        return self._found(solved[0], solved[1], Decimal(0)) if solved is not None else None

    def _held(self, name: str, solution: _Solution) -> int:
        """How many atoms of a name hold."""
        atoms = self.planner.symbols.by_signature(name, 1)
        return sum(solution.holds(self.completion.literal(atom.literal)) for atom in atoms)

    def _solved(self, goal: Any, also: Sequence[Any] = ()) -> tuple[_Solution, bool, int] | None:
        """The least of a sum: where, whether it is proven, and what it cannot go below. None where nothing is possible.
        Raises TimeUp where nothing was found in the time."""
        from ortools.sat.python import cp_model

        while True:
            self.patience.check()
            model = self.model.clone()
            for constraint in also:
                model.add(constraint)
            model.minimize(goal)
            solver = cp_model.CpSolver()
            solver.parameters.num_workers = 1
            solver.parameters.linearization_level = 2  # without the reified sums the bound stays at nothing
            solver.parameters.random_seed = 0
            solver.parameters.max_time_in_seconds = max(0.1, self.patience.left)
            status = solver.solve(model)
            if status == cp_model.INFEASIBLE:
                return None
            if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
                raise TimeUp
            solution = _Solution(solver)
            if not self._put_right(solution):
                return solution, status == cp_model.OPTIMAL, round(solver.best_objective_bound)

    def _put_right(self, solution: _Solution) -> bool:
        """Whether the model had to be held to something that this solution breaks."""
        if self.completion.loop_cut(solution.holds) or self._figures.cut(solution.holds):
            return True
        chosen = self._chosen(solution)
        filling = self.planner.filling(chosen)
        if filling is None:
            self.completion.at_least_one([~x if c in chosen else x for c, x in self._in.items()])
            return True
        solution.filling = filling
        cut = False
        for check in blamed(self.problem, filling):
            for number in check.numbers:
                if not solution.holds(self.unproven[number]):
                    counts = self.completion.literal(self.planner.counts(check.check))
                    self.completion.at_least_one([*self._not_as(filling, check.places), self.unproven[number], ~counts])
                    cut = True
        return cut

    def _not_as(self, filling: Filling, places: Sequence[Any]) -> list[Literal]:
        """Literals of which one holds wherever something else stands in some of these places."""
        found = []
        for place in places:
            here = filling.chosen.get(place)
            others = [self._in[c] for c in self.problem.candidates[place]]
            found += others if here is None else [~self._in[here]]
        return found

    def _chosen(self, solution: _Solution) -> list[Any]:
        return [c for c, literal in self._in.items() if solution.holds(literal)]

    def _first_of_equals(self, solution: _Solution) -> tuple[_Solution, bool]:
        """Of the orders that are as good the first by the text of its list, and whether that is proven. Two orders
        that are as good in all three measures are as good for each name."""
        least = {m: solution.number(expression) for m, (expression, _) in self._measures.items()}
        key = tuple(least.values())
        if key not in self._firsts:
            self._firsts[key] = self._first_by_text(solution, least)
        return self._firsts[key]

    def _first_by_text(self, solution: _Solution, least: Mapping[str, int]) -> tuple[_Solution, bool]:
        """The total is sought once more, among earlier lists only: that none has it is proven sooner than that none
        exists."""
        as_good = [expression <= least[m] for m, (expression, _) in self._measures.items()]
        for _ in range(MOST_BETTER_LISTS):
            before = self._before(solution)
            try:
                better = self._solved(self.purchase.total, [*as_good, before]) if before is not None else None
            except TimeUp:
                return solution, False
            if better is None:
                return solution, True
            solution = better[0]
        return solution, False

    def _before(self, solution: _Solution) -> Any:
        """A constraint that holds of exactly those purchases whose list comes before this one's; None where there is
        none. The model is given what it speaks of."""
        model, groups = self.model, self._by_name()
        now = [tuple(solution.number(self.purchase.count[i]) for i in group) for group in groups]
        last = max((at for at, counts in enumerate(now) if any(counts)), default=-1)
        ways: list[Any] = []
        same: Any = self.completion.true
        for at, group in enumerate(groups[: last + 1]):
            texts = _texts(now[at])
            every = list(product(*(range(self.purchase.most_of(i) + 1) for i in group)))
            if earlier := [c for c in every if _comes_before(_texts(c), texts, at == last)]:
                ways.append(self._one_of(group, earlier, same))
            if texts:  # a list that ends here, or within, comes before
                after = [i for g in groups[at + 1 :] for i in g]
                shorter = [c for c in every if len(_texts(c)) < len(texts) and _texts(c) == texts[: len(_texts(c))]]
                ends = self._one_of(group, shorter, same)
                model.add(sum(self.purchase.count[j] for j in after) == 0).only_enforce_if(ends)
                ways.append(ends)
            same = self._one_of(group, [c for c in every if _texts(c) == texts], same)
        return sum(ways) >= 1 if ways else None

    def _by_name(self) -> list[list[int]]:
        """What is sold, in the order of lists; packs of several sizes of one part from one supplier together."""
        sold = self.market.sold
        groups: dict[tuple[str, str], list[int]] = {}
        for i in sorted(range(len(sold)), key=lambda i: (sold[i].supplier, sold[i].name)):
            groups.setdefault((sold[i].supplier, sold[i].name), []).append(i)
        return list(groups.values())

    def _one_of(self, group: Sequence[int], counts: Sequence[tuple[int, ...]], beside: Literal) -> Literal:
        """A literal that may hold only beside another, where a group is bought in one of these numbers."""
        model = self.model
        held = model.new_bool_var("")
        model.add_implication(held, beside)
        ways = []
        for numbers in counts:
            way = model.new_bool_var("")
            for i, n in zip(group, numbers, strict=True):
                model.add(self.purchase.count[i] == n).only_enforce_if(way)
            ways.append(way)
        model.add_bool_or([~held, *ways])
        return held

    def _found(self, solution: _Solution, optimal: bool, least: Decimal) -> Found:
        assert solution.filling is not None
        demand = demand_of(self.problem, solution.filling)
        counts = tuple(solution.number(count) for count in self.purchase.count)
        used = self._least_used(demand, counts, [solution.number(used) for used in self.purchase.used])
        served = {i: n for i, literal in self.purchase.served.items() if (n := solution.number(literal))}
        shelf = zip(self.market.shelf, used, strict=True)
        unknown = {held.part for held, n in shelf if n and held.condition != SOUND}
        return Found(
            filling=solution.filling,
            demand=demand,
            counts=counts,
            used=used,
            served=served,
            bills=bills_of(self.market, counts, served),
            unproven=demand.unproven | unknown,
            optimal=optimal and self._most_proven,
            least=least,
            changes=self._held("counted", solution),
            unproven_checks=self._held("other", solution),
        )

    def _least_used(self, demand: Demand, counts: Sequence[int], used: list[int]) -> tuple[int, ...]:
        """Of the shelf no more than is needed beside what is bought; parts of unknown condition are left first."""
        come: dict[str, int] = {}
        for sold, n in zip(self.market.sold, counts, strict=True):
            for number, each in sold.holds:
                come[number] = come.get(number, 0) + each * n
        shelf = self.market.shelf
        for i in sorted(range(len(shelf)), key=lambda i: (shelf[i].condition == SOUND, -i)):
            number = shelf[i].part
            taken = sum(n for held, n in zip(shelf, used, strict=True) if held.part == number)
            spare = come.get(number, 0) + taken - demand.numbers.get(number, 0)
            used[i] -= max(0, min(used[i], spare)) if shelf[i].condition != DUE else used[i]
        return tuple(used)


def _texts(counts: Iterable[int]) -> tuple[str, ...]:
    """The numbers of packs that are bought of one part from one supplier, as a list has them."""
    return tuple(sorted(str(n) for n in counts if n))


def _comes_before(one: tuple[str, ...], other: tuple[str, ...], ends: bool) -> bool:
    """Whether a list that goes on with one comes before a list that goes on with the other; ``ends``: the other list
    has nothing behind that."""
    if one[: len(other)] == other:
        return len(one) > len(other) and not ends
    return one < other and other[: len(one)] != one


class _Solution:
    """What a solver found, and the filling that swap.lp accepted."""

    def __init__(self, solver: Any) -> None:
        self._solver = solver
        self.filling: Filling | None = None

    def holds(self, literal: Literal) -> bool:
        """Whether a literal holds."""
        return bool(self._solver.boolean_value(literal))

    def number(self, expression: Any) -> int:
        """The value of a sum."""
        return int(self._solver.value(expression))
