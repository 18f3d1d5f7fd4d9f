"""Solving a planning problem: best plan, what may stay, and which checks together rule a thing out. One grounding
for all."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from enum import Enum
from functools import cache, cached_property
from typing import TYPE_CHECKING, Any

import msgspec

from knockon.graph.files.shipped import shipped
from knockon.graph.model.layouts.layout import Place
from knockon.queries.fits.checking.candidates import Candidate
from knockon.queries.plan.solving.facts import Written, facts_of
from knockon.queries.plan.solving.formulas import Told, by_formula
from knockon.queries.plan.solving.levels import ARRANGEMENT, AXLE, TOLD, UNKNOWN, priorities
from knockon.queries.plan.solving.movement import AtomReader, Atoms, Movement, movement_of
from knockon.queries.plan.solving.patience import GROUNDING, JUDGING, Found, Patience, TimeUp, ground, solving
from knockon.queries.plan.solving.problem import Problem
from knockon.queries.plan.solving.too_large import LEAVE_OUT, OVERFLOW, TOO_LARGE, TooLarge, few_enough, order_facts
from knockon.queries.plan.solving.trials import Trials

if TYPE_CHECKING:
    pass

STRUCTURE = (ARRANGEMENT, AXLE, UNKNOWN)
USUAL = "vsids,92"
"""How the solver chooses what to try next; trials follow the wishes that the program states instead."""


@cache
def _program() -> str:
    return shipped("queries", "plan", "solving", "swap.lp").read_text(encoding="utf-8")


EASY = 2_000
"""Conflicts within which a search in order must have ended; the demo's take some hundreds at most."""
MANY = 1_500
"""Candidates among which the least cost is proved before anything is sought in order: two searches of 0.07 s where one
took 0.23 s (1,000 made-up parts); the demo has 560, and one search takes 0.014 s, two 0.025 s."""


APART, HEAVY_FIRST = "usc,oll,disjoint", "usc,oll,stratify"
"""How the least cost is proved: by cores that share nothing first; in a fixed order of decisions by the heaviest costs
first, where the other way came to three times as many conflicts."""


class TooHard(Enum):
    """A search that was given up."""

    TOO_HARD = 0


class Filling(msgspec.Struct, frozen=True):
    """A filled layout: the candidate in each place (places left out are empty), what it costs on each level, whether it
    is proved to be the best, the arrangements that hold, what it does to the vehicle, and the checks that are not known
    without even a claim, by their number in the problem."""

    chosen: dict[Place, Candidate]
    costs: dict[str, int]
    proved: bool
    arrangements: frozenset[str]
    movement: Movement
    not_known: frozenset[int]


class Planner:
    """A problem, grounded once. All methods are deterministic, and raise TimeUp where the time that the question has
    is over before something is proved. Raises TooLarge."""

    def __init__(self, problem: Problem, patience: Patience | None = None) -> None:
        self.problem, self.patience = problem, patience or Patience()
        self._sorts = [*problem.sorts, *STRUCTURE]
        self._level_names = {priority: name for name, priority in priorities(problem.request.prefer).items()}
        self._limit: int | None = None
        self._limits: set[int] = set()
        self._excluded = 0
        self._trials: Trials | None = None
        self._cited: Sequence[int] = ()
        """Of the assumptions of the last search that found nothing, those that its proof needs."""
        self.patience.heard(JUDGING, 0, 0)
        self._load(problem, None)

    def _load(self, loaded: Problem, written: Written | None) -> None:
        """Ground a problem, or a part of it."""
        import clingo

        self._loaded = loaded
        # without --eq=0 the solver may search for ever, deaf to cancelling, where all that a cost hangs on is assumed
        arguments = ["--seed=0", f"--opt-strategy={APART}", "--eq=0", "--warn=none"]
        self._control = clingo.Control(arguments, logger=lambda code, text: None)
        self._control.add("base", [], _program())
        formulas = by_formula(loaded)
        self._control.add("base", [], few_enough(facts_of(loaded, formulas, written)) + order_facts(loaded))
        if formulas:
            self._control.register_propagator(Told(formulas))  # type: ignore[arg-type]  # its class loads late
        self.patience.heard(GROUNDING, 0, 0)
        self._ground()
        self._atoms = AtomReader()
        self._literals: dict[tuple[str, int], int] = {}
        self.__dict__.pop("_checks", None)

    def _ground(self) -> None:
        try:
            ground(self._control, [("base", [])])
        except RuntimeError as error:
            if OVERFLOW not in str(error).casefold():
                raise
            raise TooLarge(f"{TOO_LARGE}. Its sums are larger than the solver can hold. {LEAVE_OUT}") from error

    def _add(self, name: str, parameters: Sequence[int] = (), text: str = "") -> None:
        """Add to the ground program; what trials have shown so far need not hold any more."""
        import clingo

        if text:
            self._control.add(name, [], text)
        ground(self._control, [(name, [clingo.Number(n) for n in parameters])])
        self._trials = None

    # ---- assumptions: literals of the ground program

    def _found(self, name: str, *arguments: int | str, quoted: bool = False) -> int:
        """The literal of an atom of the ground program, 0 where it has no such atom; a word is a constant, or a text
        where it is ``quoted``."""
        import clingo

        word = clingo.String if quoted else clingo.Function
        symbols = [clingo.Number(a) if isinstance(a, int) else word(a) for a in arguments]
        atom = self._control.symbolic_atoms[clingo.Function(name, symbols)]
        return atom.literal if atom is not None else 0

    def _literal(self, name: str, number: int) -> int:
        key = (name, number)
        if key not in self._literals:
            self._literals[key] = self._found(name, number)
        return self._literals[key]

    @cached_property
    def _checks(self) -> dict[str, int]:
        """The literal behind each sort of check that the ground program has, but for unknowns."""
        found = {s: self._found("on", s) for s in self._sorts}
        return {s: literal for s, literal in found.items() if literal}

    @property
    def _switches(self) -> dict[str, int]:
        """The literal behind each sort of check, with the limit of unknowns that holds now."""
        if self._limit is None:
            return self._checks
        return {**self._checks, "unknown": self._literal("within", self._limit)}

    def _on(self, sorts: Iterable[str]) -> list[int]:
        cited = set(sorts)
        other = [-self._literal("within", limit) for limit in sorted(self._limits) if limit != self._limit]
        return other + [literal if sort in cited else -literal for sort, literal in self._switches.items()]

    def _all(self, unknown: bool = False) -> list[int]:
        return self._on(s for s in self._sorts if unknown or s != "unknown")

    def _plans(self) -> list[int]:
        """All that counts of a plan: it replaces nothing only because it is not recorded."""
        plan = self._found("plan")
        return self._all() + ([plan] if plan else [])

    def _kept(self, place: Place) -> list[int] | None:
        """The assumption that a place's thing is kept; None where no candidate can keep it."""
        literal = self._literal("kept", self.problem.place_ids[place])
        return [literal] if literal else None

    def _in(self, candidate: Candidate) -> list[int]:
        return [self._literal("in", self.problem.ids[candidate])]

    # ---- solving

    def _configure(
        self, opt_mode: str, enum_mode: str = "auto", models: int = 0, heuristic: str = USUAL, by: str = APART
    ) -> None:
        solve, solver = self._control.configuration.solve, self._control.configuration.solver
        solve.opt_mode, solve.enum_mode, solve.models = opt_mode, enum_mode, models  # type: ignore[union-attr]
        solver.heuristic, solver.opt_strategy = heuristic, by  # type: ignore[union-attr]

    def best(self) -> Filling | None:
        """The best consistent filling, ties broken by part numbers in the layout's order, then for the vehicle's own
        arrangement; None if there is none. When the time is up, the best found so far, which is not ``proved``."""
        return self._first_best(self._plans())

    def best_without(self, those: Iterable[Candidate]) -> Filling | None:
        """The best consistent filling in which none of those stand, the first of equals; None if there is none. Raises
        TimeUp where it is not proved in the time."""
        return self._last_best(self._plans() + self._but(those))

    def least_without(
        self, those: Iterable[Candidate], watched: Iterable[Candidate]
    ) -> tuple[dict[str, int], Candidate | None] | None:
        """What the best consistent filling costs in which none of those stand, and which of those watched stands in one
        that costs no more; None if there is none. Raises TimeUp."""
        self._configure("opt")
        with solving(self._control, self._plans() + self._but(those), self.patience) as search:
            if not search.all():
                raise TimeUp
            last = search.last
            if last is None:
                return None
            there = next((c for c in watched if last.is_true(self._in(c)[0])), None)
            return self._by_level(last.cost, last.priority), there

    def _but(self, those: Iterable[Candidate]) -> list[int]:
        """The assumption that none of those stand."""
        return [-literal for c in those for literal in self._in(c) if literal]

    def _first_best(self, assumptions: Sequence[int]) -> Filling | None:
        """The best filling under assumptions, ties broken; not ``proved`` where the time was up before that it is the
        first of the best; None if there is none. Raises TimeUp where none was found in the time.

        Mostly the search in order finds it at once. Among many candidates the least cost is proved first, in the order
        that the solver thinks best, since much of what that proves serves again. Where the search in order still runs
        into many conflicts, it is sought what stands in some best filling; all else is assumed not to stand anywhere.
        """
        if len(self._loaded.ids) <= MANY:
            found = self._in_order(assumptions, EASY)
            if not isinstance(found, TooHard):
                return found
        self._configure("opt")
        with solving(self._control, assumptions, self.patience) as search:
            ended, last = search.all(), search.last
            if last is None and ended:
                self._cited = search.handle.core()
                return None
            if last is None:
                raise TimeUp  # that nothing was found in time proves no want of a plan
            untied = self._filling(self._atoms.read(last), last.cost, last.priority, proved=False)
        try:
            return (self._first_of_equals(assumptions) if ended else None) or untied
        except TimeUp:
            return untied

    def _first_of_equals(self, assumptions: Sequence[int]) -> Filling | None:
        """The same once the least cost is known; None where the time was up before. Raises TimeUp."""
        found = self._in_order(assumptions, EASY)
        if isinstance(found, TooHard):
            possible = self._brave("in", assumptions, "optN")
            if not possible.whole:
                return None
            literals = {c: self._in(c)[0] for c in self._loaded.ids}
            others = [-n for c, n in literals.items() if n and self.problem.ids[c] not in possible]
            found = self._in_order([*assumptions, *others])
        return found if isinstance(found, Filling) else None

    def _in_order(self, assumptions: Sequence[int], most_conflicts: int | None = None) -> Filling | TooHard | None:
        """The same by one search, given up after so many conflicts."""
        self._configure("optN", models=1, heuristic="domain", by=HEAVY_FIRST)
        solve: Any = self._control.configuration.solve
        solve.solve_limit = f"{'umax' if most_conflicts is None else most_conflicts},umax"
        try:
            with solving(self._control, [*assumptions, self._found("in_order")], self.patience) as search:
                ended, last = search.all(), search.last
                proved = last is not None and (last.optimality_proven or not last.cost)
                if ended and not proved:
                    if last is not None or not search.handle.get().exhausted:
                        return TooHard.TOO_HARD
                    self._cited = search.handle.core()
                    return None
                if last is None:
                    raise TimeUp
                return self._filling(self._atoms.read(last), last.cost, last.priority, proved and ended)
        finally:
            solve.solve_limit = "umax,umax"

    def _filling(self, shown: Atoms, costs: Sequence[int], priorities: Sequence[int], proved: bool) -> Filling:
        found = sorted(number for (number,) in shown.numbers("in"))
        chosen = {self.problem.numbered[i].place: self.problem.numbered[i] for i in found}
        return Filling(
            chosen=chosen,
            costs=self._by_level(costs, priorities),
            proved=proved,
            arrangements=frozenset(shown.texts("holds")),
            movement=movement_of(shown, self.problem.places.all),
            not_known=frozenset(number for (number,) in shown.numbers("first")),
        )

    def _by_level(self, costs: Sequence[int], priorities: Sequence[int]) -> dict[str, int]:
        named = {self._level_names[p]: c for c, p in zip(costs, priorities, strict=True)}
        return {level: named.get(level, 0) for level in TOLD}

    def limit_unknowns(self, most: int) -> None:
        """From here on ``unknown`` among the sorts means: no more checks not known than this."""
        if most not in self._limits:
            self._add("within", [most])
        self._limits.add(most)
        if most != self._limit:
            self._limit, self._trials = most, None

    def may_stay(self, unknown_limited: bool) -> Found[Place]:
        """The places whose thing (or its number) stands in at least one consistent filling, as far as was found in the
        time."""
        trials = self.trials
        self._configure("ignore", "record", heuristic="domain")
        return trials.keepable(s for s in self._sorts if unknown_limited or s != "unknown")

    def possible(self, unknown_limited: bool = False) -> Found[Candidate]:
        """The candidates that stand in at least one consistent filling, as far as was found in the time."""
        found = self._brave("in", self._all(unknown_limited))
        return Found((c for c in self.problem.numbered if self.problem.ids[c] in found), found.whole)

    def numbers_possible(self, numbers: Iterable[str]) -> Found[str]:
        """Those of some part numbers that stand, or stay, in at least one consistent filling, as far as was found in
        the time. One by one: few are asked of many, and what is found settles others."""
        self._configure("ignore", models=1)
        found: dict[str, None] = {}
        by_number: dict[str, list[Candidate]] = {}
        for candidate in self.problem.numbered:
            by_number.setdefault(candidate.number, []).append(candidate)
        try:
            for number in numbers:
                for candidate in by_number.get(number, ()):
                    if number not in found and (literal := self._in(candidate)[0]):
                        found |= dict.fromkeys(self._numbers_beside(literal))
        except TimeUp:
            return Found(found, whole=False)
        return Found(found, whole=True)

    def _numbers_beside(self, literal: int) -> list[str]:
        """The numbers that stand in some consistent filling in which this literal holds; none where there is none."""
        with solving(self._control, [*self._all(), literal], self.patience) as search:
            shown = [n for model in search.models() for (n,) in self._atoms.read(model).numbers("in")]
        return [self.problem.numbered[n].number for n in shown]

    def _brave(self, name: str, assumptions: Sequence[int], opt_mode: str = "ignore") -> Found[int]:
        """The arguments of the atoms of this name that are true in at least one model, as far as was found in the time:
        each model only adds to what the last one holds."""
        self._configure(opt_mode, "brave")
        try:
            with solving(self._control, assumptions, self.patience) as search:
                whole, last = search.all(), search.last
                shown = self._atoms.read(last).numbers(name) if last is not None else ()
                return Found((number for (number,) in shown), whole)
        except TimeUp:
            return Found((), whole=False)

    @property
    def _keeping(self) -> dict[Place, int]:
        """The literal that says that a place's thing is kept, where it can be."""
        return {p: literal for p, i in self.problem.place_ids.items() if (literal := self._literal("kept", i))}

    @property
    def trials(self) -> Trials:
        """Trials of the program as it is now."""
        if self._trials is None:
            self._trials = self._new_trials()
        self._configure("ignore", models=1, heuristic="domain")
        return self._trials

    def _new_trials(self) -> Trials:
        return Trials(self._control, self._switches, self._keeping, self.patience)

    def forget(self) -> None:
        """Try everything anew from here on; for comparison."""
        self._trials = None

    def is_possible(self, sorts: Iterable[str], kept: Place | None = None) -> bool:
        """Whether a filling exists when only these sorts of check (and structure) count, with a thing kept."""
        return self.trials.is_possible(sorts, kept)

    def filling_that_keeps(self, place: Place) -> Filling | None:
        """The best filling that keeps the thing at a place; None if there is none."""
        kept = self._kept(place)
        return self._last_best(self._all() + kept) if kept else None

    def best_of_only(self, sorts: Iterable[str], kept: Place | None = None) -> Filling | None:
        """The best filling when only these sorts of check (and structure) count, with a thing kept."""
        keeping = self._kept(kept) if kept is not None else []
        return None if keeping is None else self._last_best(self._on(sorts) + keeping)

    def _last_best(self, assumptions: Sequence[int]) -> Filling | None:
        found = self._first_best(assumptions)
        if found is not None and not found.proved:
            raise TimeUp
        return found

    def cost_of_keeping(self, place: Place) -> dict[str, int] | None:
        """The levels' costs of the best filling that keeps the thing at a place; None if there is none."""
        kept = self._kept(place)
        cheapest = self._cheapest(self._all() + kept) if kept is not None else None
        return cheapest.costs if cheapest is not None else None

    def _cheapest(self, assumptions: Sequence[int]) -> Filling | None:
        """Any of the best fillings under assumptions; None if there is none."""
        self._configure("opt")
        with solving(self._control, assumptions, self.patience) as search:
            if not search.all():
                raise TimeUp
            last = search.last
            if last is None:
                self._cited = search.handle.core()
                return None
            return self._filling(self._atoms.read(last), last.cost, last.priority, proved=True)

    def exclude(self, filling: Filling) -> None:
        """From here on without this filling."""
        self._excluded += 1
        chosen = "".join(f"in({self.problem.ids[c]}), " for c in filling.chosen.values())
        self._add(f"without{self._excluded}", text=f":- {chosen}#count {{ C : in(C) }} = {len(filling.chosen)}.")

    def exclude_no_better(self, costs: dict[str, int]) -> None:
        """From here on only fillings that are better than this one on some level (as known as the best)."""
        self._add("better", [costs[level] for level in TOLD])
