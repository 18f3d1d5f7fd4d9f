"""The ground program of a plan as clauses for a solver of whole numbers, so that one search finds filling and purchase.

Every filling that the program accepts is one of its completion: an atom holds where a rule for it applies, and only
there. The completion also has some in which neighbours excuse each other, each the only cause of the other's going;
and what figures by formula say stands open in it. Both are put right as they are met: of a set of atoms that hold for
no cause outside it a clause asks for such a cause (its loop formula), and a figure is held to its verdict on what
stands there. So a relaxation it is throughout, and what is proven of it is proven of all fillings.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Collection, Iterable, Mapping
from typing import TYPE_CHECKING, Any

from knockon.queries.buy.admitted import Admitted, Rule
from knockon.queries.plan.solving.formulas import FormulaFigure

if TYPE_CHECKING:
    from ortools.sat.python.cp_model import CpModel

Literal = Any
"""A literal of the solver; its types load late."""


class Completion:
    """The completion of a planner's ground program, in a model that more is added to."""

    def __init__(self, model: CpModel, planner: Admitted) -> None:
        self.model, self.planner = model, planner
        self._atoms: dict[int, Literal] = {}
        self._bodies: dict[object, Literal] = {}
        self.true = model.new_constant(1)
        self._rules = planner.rules
        self._supports: dict[int, list[Literal]] = defaultdict(list)
        self._known = {abs(x) for rule in self._rules for x in (rule.head, *rule.body)} - {0}
        for rule in self._rules:
            self._put(rule)
        for atom in sorted(self._known):
            self.at_least_one([*self._supports[atom], ~self.literal(atom)])
        for literal in planner.assumed:
            self.at_least_one([self.literal(literal)])

    def literal(self, number: int) -> Literal:
        """The literal of the model for one of the program; of 0 and of what no rule speaks of: it never holds."""
        if abs(number) not in self._known:
            return self.true if number < 0 else ~self.true
        if abs(number) not in self._atoms:
            self._atoms[abs(number)] = self.model.new_bool_var("")
        return ~self._atoms[abs(number)] if number < 0 else self._atoms[abs(number)]

    def at_least_one(self, literals: Iterable[Literal]) -> None:
        """Add a clause."""
        self.model.add_bool_or(list(literals))

    def _put(self, rule: Rule) -> None:
        if not rule.head and rule.weights is None:
            self.at_least_one([~self.literal(x) for x in rule.body])
            return
        body = self._body(rule)
        if not rule.head:
            self.at_least_one([~body])
            return
        self._supports[rule.head].append(body)
        if not rule.is_choice:
            self.at_least_one([~body, self.literal(rule.head)])

    def _body(self, rule: Rule, without: Collection[int] = ()) -> Literal:
        """The literal that says that a body holds; ``without``: atoms whose share in a sum does not count."""
        if rule.weights is None:
            return self._all_of(rule.body)
        pairs = [(x, w) for x, w in zip(rule.body, rule.weights, strict=True) if x not in without]
        key = (rule.least, tuple(sorted(pairs)))
        if key not in self._bodies:
            held = self._bodies[key] = self.model.new_bool_var("")
            total = sum(w * self.literal(x) for x, w in pairs)
            self.model.add(total >= rule.least).only_enforce_if(held)
            self.model.add(total <= rule.least - 1).only_enforce_if(~held)
        return self._bodies[key]

    def _all_of(self, body: tuple[int, ...]) -> Literal:
        if not body:
            return self.true
        if len(body) == 1:
            return self.literal(body[0])
        key = frozenset(body)
        if key not in self._bodies:
            held = self._bodies[key] = self.model.new_bool_var("")
            literals = [self.literal(x) for x in sorted(key)]
            self.model.add_bool_and(literals).only_enforce_if(held)
            self.at_least_one([held, *(~x for x in literals)])
        return self._bodies[key]

    # ---- put right as it is met

    def loop_cut(self, holds: Callable[[Literal], bool]) -> bool:
        """Whether some atoms hold for no cause outside themselves; then a clause asks for one."""
        unfounded = self._unfounded({a for a in self._known if holds(self.literal(a))})
        if not unfounded:
            return False
        outside = [
            r for r in self._rules if r.head in unfounded and (r.weights is not None or unfounded.isdisjoint(r.body))
        ]
        causes = list({id(b): b for b in (self._body(r, unfounded) for r in outside)}.values())
        for atom in sorted(unfounded):
            self.at_least_one([~self.literal(atom), *causes])
        return True

    def _unfounded(self, true: set[int]) -> set[int]:
        """Of the atoms that hold those that no chain of rules derives."""
        waiting: dict[int, list[int]] = defaultdict(list)
        missing: list[int] = []
        found: set[int] = set()
        ready: list[int] = []
        rules = [r for r in self._rules if r.head in true]
        for n, rule in enumerate(rules):
            weights = (1,) * len(rule.body) if rule.weights is None else rule.weights
            need = len(rule.body) if rule.weights is None else rule.least
            need -= sum(w for x, w in zip(rule.body, weights, strict=True) if x < 0 and -x not in true)
            for x in dict.fromkeys(rule.body):
                if x > 0 and x in true:
                    waiting[x].append(n)
            missing.append(need)
            if need <= 0:
                ready.append(rule.head)
        while ready:
            atom = ready.pop()
            if atom in found:
                continue
            found.add(atom)
            for n in waiting[atom]:
                rule = rules[n]
                weights = (1,) * len(rule.body) if rule.weights is None else rule.weights
                missing[n] -= sum(w for x, w in zip(rule.body, weights, strict=True) if x == atom)
                if missing[n] <= 0:
                    ready.append(rule.head)
        return true - found


class Figures:
    """The figures by formula of a completion: their contributions and their verdicts."""

    def __init__(self, completion: Completion, figures: Mapping[int, FormulaFigure]) -> None:
        self._completion, self._figures = completion, figures
        self._values: dict[int, list[dict[int, Literal]]] = {s: [{} for _ in f.places] for s, f in figures.items()}
        self._verdicts: dict[int, dict[str, Literal]] = {s: {} for s in figures}
        symbols = completion.planner.symbols
        for atom in symbols.by_signature("value", 3):
            s, i, g = (a.number for a in atom.symbol.arguments)
            self._values[s][i][g] = completion.literal(atom.literal)
        for atom in symbols.by_signature("judged", 2):
            of, name = atom.symbol.arguments
            self._verdicts[of.number][name.name] = completion.literal(atom.literal)

    def cut(self, holds: Callable[[Literal], bool]) -> bool:
        """Whether a figure has another verdict than what stands there gives; then it is held to that."""
        cut = False
        for s, figure in self._figures.items():
            chosen = [next(g for g, literal in values.items() if holds(literal)) for values in self._values[s]]
            name = figure.name_of(chosen)
            wrong = [other for other, literal in self._verdicts[s].items() if holds(literal) != (other == name)]
            if wrong:
                box = figure.box(chosen)
                outside = [
                    known
                    for inside, values in zip(box, self._values[s], strict=True)
                    for g, known in values.items()
                    if g not in inside
                ]
                for other in wrong:
                    literal = self._verdicts[s][other]
                    self._completion.at_least_one([*outside, literal if other == name else ~literal])
                cut = True
        return cut
