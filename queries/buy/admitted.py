"""Which fillings an order may rest on: as well known as the best plan, with no more changes and unproven checks than
are allowed beside it."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from typing import TYPE_CHECKING

import msgspec

from knockon.queries.fits.checking.candidates import Candidate
from knockon.queries.plan.solving.levels import CHANGES, NOT_KNOWN, UNPROVEN
from knockon.queries.plan.solving.patience import Found, Patience, solving
from knockon.queries.plan.solving.planner import Filling, Planner
from knockon.queries.plan.solving.problem import Problem

if TYPE_CHECKING:
    import clingo


class Rule(msgspec.Struct, frozen=True):
    """A ground rule: its head (0: none may hold), whether it only allows its head, and its body: all of some literals,
    or so much weight of them as ``least`` says."""

    head: int
    is_choice: bool
    body: tuple[int, ...]
    weights: tuple[int, ...] | None = None
    least: int = 0


class GroundRules:
    """What the grounder writes, rule by rule."""

    def __init__(self) -> None:
        self.rules: list[Rule] = []

    def rule(self, choice: bool, head: Sequence[int], body: Sequence[int]) -> None:
        """One rule; of a choice one for each head."""
        self._take(choice, head, lambda h: Rule(h, choice, tuple(body)))

    def weight_rule(self, choice: bool, head: Sequence[int], lower_bound: int, body: Sequence[tuple[int, int]]) -> None:
        """The same of a sum of weights."""
        literals, weights = tuple(x for x, _ in body), tuple(w for _, w in body)
        self._take(choice, head, lambda h: Rule(h, choice, literals, weights, lower_bound))

    def _take(self, choice: bool, head: Sequence[int], made: object) -> None:
        assert callable(made)
        if len(head) > 1 and not choice:
            raise NotImplementedError("swap.lp has no rule with several heads")
        self.rules += [made(h) for h in (head or ((0,) if not choice else ()))]

    def __getattr__(self, name: str) -> object:
        """All else that a grounder tells, which nobody needs here."""
        if name.startswith("_"):
            raise AttributeError(name)
        return lambda *args: None


class Admitted(Planner):
    """A planner of the fillings that an order may rest on. ``watched``: what it grounds is kept, as ``rules``."""

    def __init__(self, problem: Problem, patience: Patience, watched: bool = False) -> None:
        self.rules: list[Rule] = []
        self._watched = watched
        super().__init__(problem, patience)

    def admit(self, most: Mapping[str, int]) -> None:
        """From here on only fillings that cost no more than this on the levels that are limited."""
        self._add("admitted", text=_LIMITS.format(**{k.replace(" ", "_"): most[k] for k in LIMITED}))

    def _ground(self) -> None:
        if self._watched:
            written = GroundRules()
            self.rules = written.rules
            self._control.register_observer(written)  # type: ignore[arg-type]
        super()._ground()

    @property
    def assumed(self) -> list[int]:
        """The literals that hold of every plan."""
        return self._plans()

    def candidates(self) -> Found[int]:
        """The numbers of the candidates that stand in some admitted filling, as far as was found in the time."""
        return self._brave("in", self._plans())

    def filling(self, chosen: Collection[Candidate]) -> Filling | None:
        """The admitted filling with these candidates and no others; None where there is none. Raises TimeUp."""
        literals = {c: self._in(c)[0] for c in self.problem.ids}
        fixed = [n if c in chosen else -n for c, n in literals.items() if n]
        if any(not literals[c] for c in chosen):
            return None
        self._configure("ignore", models=1)
        with solving(self._control, [*self._plans(), *fixed], self.patience) as search:
            for model in search.models():
                return self._filling(self._atoms.read(model), model.cost, model.priority, proved=True)
        return None

    def literal_of(self, candidate: Candidate) -> int:
        """The literal that says that a candidate stands where it may; 0 where it never does."""
        return self._in(candidate)[0]

    def gone(self, place: int) -> int:
        """The literal that says that the thing of a place, by its number, leaves; 0 where it never does."""
        return self._found("gone", place)

    def counts(self, check: int) -> int:
        """The literal that says that a check counts; 0 where it never does."""
        return self._found("counts", check)

    @property
    def symbols(self) -> clingo.SymbolicAtoms:
        """The atoms of the ground program, by name."""
        return self._control.symbolic_atoms


LIMITED = (NOT_KNOWN, CHANGES, UNPROVEN)
_LIMITS = """
:- #sum {{ 1,X : first(X) }} > {not_known}.
:- #sum {{ 1,P : counted(P) }} > {changes}.
:- #sum {{ 1,X : other(X) }} > {unproven}.
"""
