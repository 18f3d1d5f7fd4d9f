"""Solving a planning problem: best plan, what may stay, and which checks together rule a thing out. One grounding
for all."""

from __future__ import annotations

import time
from collections.abc import Iterable, Iterator, Sequence
from functools import cache, cached_property
from typing import TYPE_CHECKING

import msgspec

from knockon.graph.files.shipped import shipped
from knockon.graph.model.layouts.layout import Place
from knockon.queries.fits.checking.candidates import Candidate
from knockon.queries.plan.solving.facts import facts_of
from knockon.queries.plan.solving.levels import TOLD, priorities
from knockon.queries.plan.solving.movement import Movement, movement_of
from knockon.queries.plan.solving.problem import Problem
from knockon.queries.plan.solving.trials import Trials

if TYPE_CHECKING:
    import clingo

STRUCTURE = ("arrangement", "axle", "unknown")
SECONDS = 60.0
USUAL = "vsids,92"
"""How the solver chooses what to try next; trials follow the wishes that the program states instead."""


@cache
def _program() -> str:
    return shipped("queries", "plan", "solving", "swap.lp").read_text(encoding="utf-8")


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
    """A problem, grounded once. All methods are deterministic."""

    def __init__(self, problem: Problem, seconds: float = SECONDS) -> None:
        self.problem, self.seconds = problem, seconds
        import clingo

        # without --eq=0 the solver may search for ever, deaf to cancelling, where all that a cost hangs on is assumed
        arguments = ["--seed=0", "--opt-strategy=usc,stratify", "--eq=0", "--warn=none"]
        self._control = clingo.Control(arguments, logger=lambda code, text: None)
        self._control.add("base", [], _program())
        self._control.add("base", [], facts_of(problem))
        self._control.ground([("base", [])])
        self._sorts = [*problem.sorts, *STRUCTURE]
        self._level_names = {priority: name for name, priority in priorities(problem.request.prefer).items()}
        self._literals: dict[tuple[str, int], int] = {}
        self._limit: int | None = None
        self._limits: set[int] = set()
        self._excluded = 0
        self._trials: Trials | None = None

    def _add(self, name: str, parameters: Sequence[int] = (), text: str = "") -> None:
        """Add to the ground program; what trials have shown so far need not hold any more."""
        import clingo

        if text:
            self._control.add(name, [], text)
        self._control.ground([(name, [clingo.Number(n) for n in parameters])])
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

    def _configure(self, opt_mode: str, enum_mode: str = "auto", models: int = 0, heuristic: str = USUAL) -> None:
        solve, solver = self._control.configuration.solve, self._control.configuration.solver
        solve.opt_mode, solve.enum_mode, solve.models = opt_mode, enum_mode, models  # type: ignore[union-attr]
        solver.heuristic = heuristic  # type: ignore[union-attr]

    def _models(self, assumptions: Sequence[int]) -> Iterator[clingo.Model]:
        with self._control.solve(assumptions=assumptions, yield_=True) as handle:
            yield from handle

    def best(self) -> Filling | None:
        """The best consistent filling, ties broken by part numbers in the layout's order, then for the vehicle's own
        arrangement; None if there is none. After so many seconds the best found so far, as soon as there is one."""
        self._configure("opt")
        last: tuple[list[int], list[int]] | None = None

        def remember(model: clingo.Model) -> None:
            nonlocal last
            last = (list(model.cost), list(model.priority))

        with self._control.solve(assumptions=self._plans(), on_model=remember, async_=True) as handle:
            end = time.monotonic() + self.seconds
            # in short waits, so that Ctrl-C is heard; and that nothing was found in time proves no want of a plan
            while not (proved := handle.wait(min(0.5, max(0.05, end - time.monotonic())))):
                if last is not None and time.monotonic() >= end:
                    handle.cancel()
                    break
        if last is None:
            return None
        return self._tied(*last, proved)

    def _tied(self, costs: list[int], priorities: list[int], proved: bool) -> Filling:
        bound = ",".join(str(c) for c in costs)
        possible = self._brave("in", self._plans(), f"enum,{bound}" if bound else "ignore")
        self._configure(f"enum,{bound}" if bound else "ignore", models=1)
        fixed = self._plans()
        shown = self._shown(fixed) or []
        standing = self._standing(shown)
        for place in self.problem.places.all:
            rivals = [c for c in self.problem.candidates[place] if self.problem.ids[c] in possible]
            for rival in sorted(rivals, key=lambda c: (c.number, not c.stays, c.work, c.thing)):
                trial = fixed + self._in(rival)
                if self.problem.ids[rival] in standing:
                    fixed = trial
                    break
                found = self._shown(trial)
                if found is not None:
                    fixed, shown, standing = trial, found, self._standing(found)
                    break
        for own in self._as_it_is():
            found = self._shown([*fixed, own])
            if found is not None:
                fixed, shown = [*fixed, own], found
        return self._filling(shown, costs, priorities, proved)

    def _as_it_is(self) -> Iterator[int]:
        """The literals of the vehicle's own arrangements that it may keep."""
        for arrangement in self.problem.arranged:
            held = self._found("holds", arrangement, quoted=True)
            if held:
                yield held

    def _shown(self, assumptions: Sequence[int]) -> list[clingo.Symbol] | None:
        """What the next model shows; None if there is none."""
        return next((list(model.symbols(shown=True)) for model in self._models(assumptions)), None)

    def _standing(self, shown: Sequence[clingo.Symbol]) -> set[int]:
        """The numbers of the candidates that stand somewhere."""
        return {s.arguments[0].number for s in shown if s.name == "in"}

    def _filling(
        self, shown: Sequence[clingo.Symbol], costs: Sequence[int], priorities: Sequence[int], proved: bool
    ) -> Filling:
        found = sorted(self._standing(shown))
        chosen = {self.problem.numbered[i].place: self.problem.numbered[i] for i in found}
        named = {self._level_names[p]: c for c, p in zip(costs, priorities, strict=True)}
        return Filling(
            chosen=chosen,
            costs={level: named.get(level, 0) for level in TOLD},
            proved=proved,
            arrangements=frozenset(s.arguments[0].string for s in shown if s.name == "holds"),
            movement=movement_of(shown, self.problem.places.all),
            not_known=frozenset(s.arguments[0].number for s in shown if s.name == "first"),
        )

    def limit_unknowns(self, most: int) -> None:
        """From here on ``unknown`` among the sorts means: no more checks not known than this."""
        if most not in self._limits:
            self._add("within", [most])
        self._limits.add(most)
        if most != self._limit:
            self._limit, self._trials = most, None

    def may_stay(self, unknown_limited: bool) -> set[Place]:
        """The places whose thing (or its number) stands in at least one consistent filling."""
        kept = self._brave("kept", self._all(unknown_limited))
        return {p for p, i in self.problem.place_ids.items() if i in kept}

    def possible(self, unknown_limited: bool = False) -> set[Candidate]:
        """The candidates that stand in at least one consistent filling."""
        found = self._brave("in", self._all(unknown_limited))
        return {c for c in self.problem.numbered if self.problem.ids[c] in found}

    def _brave(self, name: str, assumptions: Sequence[int], opt_mode: str = "ignore") -> set[int]:
        """The arguments of the atoms of this name that are true in at least one model."""
        self._configure(opt_mode, "brave")
        with self._control.solve(assumptions=assumptions, yield_=True) as handle:
            for _ in handle:
                pass  # each model only adds to what the last one holds
            last = handle.last()
            shown = last.symbols(shown=True) if last is not None else ()
            return {s.arguments[0].number for s in shown if s.name == name}

    @property
    def trials(self) -> Trials:
        """Trials of the program as it is now."""
        if self._trials is None:
            places = self.problem.place_ids
            keeping = {p: literal for p, i in places.items() if (literal := self._literal("kept", i))}
            self._trials = Trials(self._control, self._switches, keeping)
        self._configure("ignore", models=1, heuristic="domain")
        return self._trials

    def forget(self) -> None:
        """Try everything anew from here on; for comparison."""
        self._trials = None

    def is_possible(self, sorts: Iterable[str], kept: Place | None = None) -> bool:
        """Whether a filling exists when only these sorts of check (and structure) count, with a thing kept."""
        return self.trials.is_possible(sorts, kept)

    def filling_that_keeps(self, place: Place) -> Filling | None:
        """The best filling that keeps the thing at a place (ties as they come); None if there is none."""
        kept = self._kept(place)
        return self._last_best(self._all() + kept) if kept else None

    def best_of_only(self, sorts: Iterable[str], kept: Place | None = None) -> Filling | None:
        """The best filling when only these sorts of check (and structure) count, with a thing kept; ties as they
        come."""
        keeping = self._kept(kept) if kept is not None else []
        return None if keeping is None else self._last_best(self._on(sorts) + keeping)

    def _last_best(self, assumptions: Sequence[int]) -> Filling | None:
        self._configure("opt")
        with self._control.solve(assumptions=assumptions, yield_=True) as handle:
            for _ in handle:
                pass  # each model is better than the one before
            last = handle.last()
            return self._filling(last.symbols(shown=True), last.cost, last.priority, True) if last else None

    def cost_of_keeping(self, place: Place) -> dict[str, int] | None:
        """The levels' costs of the best filling that keeps the thing at a place."""
        filling = self.filling_that_keeps(place)
        return filling.costs if filling else None

    def exclude(self, filling: Filling) -> None:
        """From here on without this filling."""
        self._excluded += 1
        chosen = "".join(f"in({self.problem.ids[c]}), " for c in filling.chosen.values())
        self._add(f"without{self._excluded}", text=f":- {chosen}#count {{ C : in(C) }} = {len(filling.chosen)}.")

    def exclude_no_better(self, costs: dict[str, int]) -> None:
        """From here on only fillings that are better than this one on some level (as known as the best)."""
        self._add("better", [costs[level] for level in TOLD])
