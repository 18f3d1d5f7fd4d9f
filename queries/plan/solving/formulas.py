"""Figures by formula in a planning problem: the solver is told the verdict of such combinations as it meets.

A table of all combinations of what the places may contribute grows with the product of their numbers. So the program
(swap.lp) leaves open which verdict a figure has, and whenever the solver has filled every place it is held to the
right one, by a clause that holds of every filling: *these contributions have this verdict*. The clauses say what a
table would say, of the combinations that the search comes upon; so whatever is asked, the best, what may stay, what
rules a thing out, is answered as with the table.

A clause speaks of a *box*: of a set of contributions for each place, all combinations of which have the one verdict.
Proof that a box has it. What decides the verdict are the flags of the terms (absent, missing, weak ...) and, where all
have sizes, on which side of the limits the value lies for each choice among statements. All members of a box have the
same flags, and statements that contradict each other are not mixed with others. A formula is an interval extension: on
wider intervals its value is no narrower. The hull of all members' sizes is wider than each member: where its value lies
wholly outside the limits, or wholly inside, so does each member's. What all members' sizes have in common is narrower
than each: where its value straddles a limit, so does each member's. Rounding is allowed for by widening the hull, and
narrowing what is common, by ``SLACK``. Sizes of different sign are not mixed, so that a formula that has no value
where something is nought (no brake at all) has one for all members of a box or for none.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from functools import cached_property
from itertools import product
from typing import TYPE_CHECKING

from msgspec.structs import replace

from knockon.graph.judge.figures import TermValue, judge_figure
from knockon.graph.judge.verdicts import Verdict
from knockon.graph.model.layouts.layout import FigureAt, Place
from knockon.queries.plan.solving.problem import Problem

if TYPE_CHECKING:
    import clingo

NO, FIRST, OTHER, TORN = "no", "first", "other", "torn"
NAMES = (NO, FIRST, OTHER, TORN)
"""What a verdict counts as, as swap.lp names it: ruled out, not known, another unproven one, a no or none as one
believes. One that is proven counts as nothing."""
SLACK = 1e-9
"""By which share of themselves sizes are widened or narrowed: far above the rounding of a float, far below any size."""

Group = tuple[TermValue, ...]
"""What candidates that the figure cannot tell apart contribute: a value for each of its terms at their place."""
Sizes = tuple[tuple[float, float], ...]


def by_formula(problem: Problem) -> dict[int, FormulaFigure]:
    """The figures that are no plain sums, by their number."""
    found = {s: at for s, at in problem.figure_ids.items() if at.figure.formula or at.figure.compared_with == "as made"}
    return {s: _figure_of(problem, at) for s, at in found.items()}


def _figure_of(problem: Problem, at: FigureAt) -> FormulaFigure:
    checks = problem.checks
    groups: list[list[Group]] = []
    group_of: dict[int, int] = {}
    for place, terms in terms_at(at).items():
        known: dict[Group, int] = {tuple(checks.term(at, k, None) for k in terms): 0}
        for candidate in problem.candidates[place]:
            values = tuple(checks.term(at, k, candidate) for k in terms)
            group_of[problem.ids[candidate]] = known.setdefault(values, len(known))
        groups.append(list(known))
    return FormulaFigure(at, groups, group_of, checks.as_made_value(at, problem.vehicle))


def terms_at(at: FigureAt) -> dict[Place, list[int]]:
    """The places of a figure, each with its terms by their number."""
    found: dict[Place, list[int]] = {}
    for k, place in enumerate(at.places):
        found.setdefault(place, []).append(k)
    return found


class FormulaFigure:
    """One figure, what each of its places may contribute (group 0: the place is empty), and the verdict on that.

    ``group_of``: the group of each candidate, by its number; ``as_made``: the value that the vehicle as made has.
    """

    def __init__(
        self, at: FigureAt, groups: list[list[Group]], group_of: Mapping[int, int], as_made: float | None
    ) -> None:
        self.at, self.groups, self.group_of, self._as_made = at, groups, group_of, as_made
        self.places = tuple(terms_at(at))
        self._terms = list(terms_at(at).values())
        self._names: dict[tuple[int, ...], str] = {}

    def name_of(self, chosen: Sequence[int]) -> str:
        """What the verdict on these groups, one for each place, counts as; blank where it is proven."""
        key = tuple(chosen)
        if key not in self._names:
            terms = self._in_order([groups[g] for groups, g in zip(self.groups, key, strict=True)])
            self._names[key] = self._name(terms)
        return self._names[key]

    def _in_order(self, groups: Sequence[Group]) -> list[TermValue]:
        """The values of some groups, one for each place, in the order of the figure's terms."""
        found = {
            k: v for terms, group in zip(self._terms, groups, strict=True) for k, v in zip(terms, group, strict=True)
        }
        return [found[k] for k in range(len(found))]

    def _name(self, terms: Sequence[TermValue]) -> str:
        if judge_figure(self.at.figure, terms, self._as_made, stated=True).verdict is Verdict.DISPUTED:
            return TORN
        result = judge_figure(self.at.figure, terms, self._as_made)
        if result.verdict.is_no:
            return NO
        if result.verdict.is_unproven:
            return FIRST if result.verdict is Verdict.NOT_KNOWN and not result.only_kept_missing else OTHER
        return ""

    # ---- boxes

    def box(self, chosen: Sequence[int]) -> list[frozenset[int]]:
        """For each place some groups, these among them, all combinations of which have the verdict of these."""
        here = [groups[g] for groups, g in zip(self.groups, chosen, strict=True)]
        absent = next((i for i, group in enumerate(here) if any(v.absent for v in group)), None)
        if absent is not None:  # a no, whatever else stands there
            return [
                frozenset(g for g, group in enumerate(groups) if i != absent or any(v.absent for v in group))
                for i, groups in enumerate(self.groups)
            ]
        compared = self.at.figure.compared_with == "as made" and self._as_made is None
        if compared or any(v.missing for group in here for v in group):  # no size counts
            return [
                frozenset(g for g, group in enumerate(groups) if _flags(group) == _flags(groups[chosen[i]]))
                for i, groups in enumerate(self.groups)
            ]
        return _Growing(self, chosen).grown()

    def verdicts(self, groups: Sequence[Group]) -> tuple[Verdict, ...]:
        """The verdict for each choice among sizes that contradict each other; all terms have sizes."""
        terms = [replace(v, maybe_absent=False) for v in self._in_order(groups)]
        believed = [
            [replace(v, sizes=(size,), contested=False) for size in v.sizes] if v.contested else [v] for v in terms
        ]
        return tuple(judge_figure(self.at.figure, belief, self._as_made).verdict for belief in product(*believed))

    @cached_property
    def kinds(self) -> list[dict[tuple[object, ...], list[int]]]:
        """The groups of each place that may be mixed, in the order of their sizes: by flags and signs."""
        found: list[dict[tuple[object, ...], list[int]]] = []
        for groups in self.groups:
            kinds: dict[tuple[object, ...], list[int]] = {}
            for g in sorted(range(len(groups)), key=lambda g: [v.sizes for v in groups[g]]):
                kinds.setdefault(self.kind(groups[g]), []).append(g)
            found.append(kinds)
        return found

    def kind(self, group: Group) -> tuple[object, ...]:
        """What groups must have in common to be mixed."""
        weak = tuple(v.is_weak(self.at.figure.safety_critical) for v in group)
        signs = tuple((_sign(a), _sign(b)) for v in group for a, b in _hull(v.sizes))
        apart = tuple(v.sizes if v.contested else () for v in group)
        return weak, signs, apart, _flags(group)


class _Growing:
    """A box around one combination of groups, grown as far as its verdict can be proven to stay the same."""

    def __init__(self, figure: FormulaFigure, chosen: Sequence[int]) -> None:
        self.figure = figure
        self.verdicts = figure.verdicts([groups[g] for groups, g in zip(figure.groups, chosen, strict=True)])
        self.may = [kinds[figure.kind(figure.groups[i][chosen[i]])] for i, kinds in enumerate(figure.kinds)]
        self.box = [[g] for g in chosen]

    def grown(self) -> list[frozenset[int]]:
        """First whole sides that change nothing, so that they cost no room; then as many as there is room for. Places
        with several terms come last: there each group is tried by itself, since the hull of many is wide."""
        if not self.holds(self.box):
            return [frozenset(groups) for groups in self.box]
        places = sorted(range(len(self.box)), key=lambda i: len(self.figure.groups[i][0]))
        single = [i for i in places if len(self.figure.groups[i][0]) == 1]
        for whole in (True, False):
            for i in single:
                self._stretch(i, whole)
        for i in places[len(single) :]:
            self._gather(i)
        return [frozenset(groups) for groups in self.box]

    def _with(self, i: int, groups: list[int]) -> list[list[int]]:
        return [*self.box[:i], groups, *self.box[i + 1 :]]

    def _stretch(self, i: int, whole: bool) -> None:
        """Take in more groups on either side, in the order of their sizes: all or none, or as many as can be."""
        may = self.may[i]
        for up in (False, True):
            first, last = may.index(self.box[i][0]), may.index(self.box[i][-1]) + 1

            def wider(n: int, up: bool = up, first: int = first, last: int = last) -> list[int]:
                return may[first : last + n] if up else may[first - n : last]

            least, most = 0, len(may) - last if up else first  # how many more are proven, and how many there are
            while least < most:
                more = most if whole else (least + most + 1) // 2
                if self.holds(self._with(i, wider(more))):
                    least = more
                else:
                    most = 0 if whole else more - 1
            self.box[i] = wider(least)

    def _gather(self, i: int) -> None:
        """Take in every group that by itself, beside the box at all other places, changes nothing."""
        taken = set(self.box[i])
        self.box[i] = [g for g in self.may[i] if g in taken or self.holds(self._with(i, [g]))]

    def holds(self, box: Sequence[Sequence[int]]) -> bool:
        """Whether it is proven that all combinations of the box have the one verdict, for each belief."""
        members = [[groups[g] for g in inside] for groups, inside in zip(self.figure.groups, box, strict=True)]
        wide = self.figure.verdicts([_mixed(inside, _hull) for inside in members])
        if all(found is wanted is not Verdict.NOT_KNOWN for found, wanted in zip(wide, self.verdicts, strict=True)):
            return True
        narrow = [_mixed(inside, _common) for inside in members]
        if any(not v.sizes for group in narrow for v in group):
            return False
        common = self.figure.verdicts(narrow)
        return all(
            (b if wanted is Verdict.NOT_KNOWN else a) is wanted
            for a, b, wanted in zip(wide, common, self.verdicts, strict=True)
        )


class Told:
    """What tells the solver: a propagator, which sees every filling before it counts."""

    def __init__(self, figures: Mapping[int, FormulaFigure]) -> None:
        self._figures = figures
        self._values: dict[int, list[dict[int, int]]] = {}
        self._verdicts: dict[int, dict[str, int]] = {}
        self._of_values: list[tuple[int, int, int, int]] = []
        self._of_verdicts: list[tuple[int, str, int]] = []
        """The atoms of the program, with their literals in it: read once, since a question solves hundreds of times."""

    def init(self, init: clingo.PropagateInit) -> None:
        """Find the solver's literals, which may be others in each solving."""
        import clingo

        init.check_mode = clingo.PropagatorCheckMode.Total
        if not self._of_values:
            for atom in init.symbolic_atoms.by_signature("value", 3):
                s, i, g = (a.number for a in atom.symbol.arguments)
                self._of_values.append((s, i, g, atom.literal))
            for atom in init.symbolic_atoms.by_signature("judged", 2):
                of, name = atom.symbol.arguments
                self._of_verdicts.append((of.number, name.name, atom.literal))
        for s, figure in self._figures.items():
            self._values[s], self._verdicts[s] = [{} for _ in figure.places], {}
        literal_of = init.solver_literal
        for s, i, g, literal in self._of_values:
            self._values[s][i][g] = literal_of(literal)
        for s, verdict, literal in self._of_verdicts:
            self._verdicts[s][verdict] = literal_of(literal)

    def check(self, control: clingo.PropagateControl) -> None:
        """Hold each figure to the verdict on what the filling has in its places. (It is also called now and then before
        all is decided.)"""
        if control.assignment.is_total:
            is_true = control.assignment.is_true
            for s, figure in self._figures.items():
                chosen = [next(g for g, literal in values.items() if is_true(literal)) for values in self._values[s]]
                name = figure.name_of(chosen)
                for other, literal in self._verdicts[s].items():
                    wrong = is_true(literal) != (other == name)
                    if wrong and not self._tell(control, s, chosen, literal if other == name else -literal):
                        return

    def _tell(self, control: clingo.PropagateControl, s: int, chosen: Sequence[int], literal: int) -> bool:
        """Add that the literal holds of all that stands in the box; whether the search may go on as it is."""
        box = self._figures[s].box(chosen)
        outside = [
            known
            for inside, values in zip(box, self._values[s], strict=True)
            for g, known in values.items()
            if g not in inside
        ]
        return control.add_clause([*outside, literal], lock=True) and control.propagate()


def _flags(group: Group) -> tuple[tuple[bool, ...], ...]:
    """All of a group but its sizes and their standing."""
    return tuple((v.absent, v.maybe_absent, v.missing, v.missing and v.kept) for v in group)


def _sign(size: float) -> int:
    return (size > 0) - (size < 0)


def _hull(sizes: Iterable[tuple[float, float]]) -> Sizes:
    """The one interval that holds all, a little widened."""
    low, high = min(a for a, _ in sizes), max(b for _, b in sizes)
    return ((low - SLACK * abs(low), high + SLACK * abs(high)),)


def _common(sizes: Iterable[tuple[float, float]]) -> Sizes:
    """What all have in common, a little narrowed where they differ; nothing where that is empty."""
    if len(set(sizes)) == 1:
        return tuple(sizes)[:1]
    low, high = max(a for a, _ in sizes), min(b for _, b in sizes)
    low, high = low + SLACK * abs(low), high - SLACK * abs(high)
    return ((low, high),) if low <= high else ()


def _mixed(members: Sequence[Group], mix: Callable[[Sizes], Sizes]) -> Group:
    """One group for several of one kind; statements that contradict each other are the same in all."""
    return tuple(
        first if first.contested else replace(first, sizes=mix(tuple(s for v in values for s in v.sizes)))
        for first, values in ((values[0], values) for values in zip(*members, strict=True))
    )
