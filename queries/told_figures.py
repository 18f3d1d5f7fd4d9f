"""The workshop's figures beside a plan: numbers against the vehicle as made, and what a ruled-out pair would do.

Which figure a layout has, of which sizes and by which formula, is data: the rows of figures.csv that are ``told`` or
``listed``, and the conditions of the fit rules that are told and listed. Nothing here judges anything.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from itertools import product

from knockon.graph.beliefs import known_of
from knockon.graph.figures import FAR, TermValue, limits_of
from knockon.graph.formulas import UnknownFormulaError, formula
from knockon.graph.interval import Interval, Value, as_interval, high, hull, low, width
from knockon.graph.layout import FigureAt, JointAt, Place, fitted
from knockon.graph.limits import read_limit
from knockon.graph.model import FigureTerm, Vehicle
from knockon.graph.schema import Condition
from knockon.queries import evidence as proof
from knockon.queries.candidates import Candidate, alike, staying
from knockon.queries.checks import Checks
from knockon.queries.evidence import Evidence
from knockon.queries.movement import Movement
from knockon.queries.planner import Filling
from knockon.queries.problem import Problem
from knockon.queries.workshop.answer import Influence, influences, likely_half_width

_TOLD_LINES = 2  # figures of one joint that are worth a reader's time


@dataclass(frozen=True, slots=True)
class Estimate:
    """A figure's number: ``middle``, the worst case from ``low`` to ``high``, and ``likely``, the half-width by root
    sum of squares. None: without end."""

    middle: float | None
    low: float | None
    high: float | None
    likely: float | None


@dataclass(frozen=True, slots=True)
class ToldFigure:
    """One figure beside a plan.

    ``about`` names the pair that it is about where it is about two things that do not go together; ``sides`` the
    corners for which it holds (none: the vehicle). ``as_made`` and ``planned`` are None where a size is not known:
    ``to_measure`` and ``to_measure_as_made`` say which. ``low`` and ``high`` are the window of a figure that is judged
    elsewhere. ``words`` says what the number means, ``says`` how to take it. ``influences`` are the inputs that make it
    uncertain, greatest first; ``nominal`` the sizes that are stated without limits and count as exact; ``disputed``
    those on which equal sources contradict each other, all of whose values count; ``assumptions`` the values taken
    where nobody recorded any.
    """

    figure: str
    about: str
    sides: tuple[str, ...]
    unit: str
    as_made: Estimate | None
    planned: Estimate | None
    low: float | None = None
    high: float | None = None
    words: str = ""
    says: str = ""
    influences: tuple[Influence, ...] = ()
    nominal: tuple[str, ...] = ()
    disputed: tuple[str, ...] = ()
    to_measure: tuple[str, ...] = ()
    to_measure_as_made: tuple[str, ...] = ()
    assumptions: tuple[str, ...] = ()
    rests_on: str = ""
    standing: str = ""
    values: tuple[proof.Value, ...] = ()


@dataclass(slots=True)
class _Inputs:
    """What goes into a figure: the sizes by name, and which of them each term takes; what is missing has no value."""

    values: dict[str, Value] = field(default_factory=dict)
    taken: list[str] = field(default_factory=list)
    factors: list[float] = field(default_factory=list)
    roles: list[str] = field(default_factory=list)
    missing: list[str] = field(default_factory=list)
    nominal: list[str] = field(default_factory=list)
    disputed: list[str] = field(default_factory=list)
    assumed: list[str] = field(default_factory=list)
    stated: list[proof.Value] = field(default_factory=list)

    def put(self, name: str, value: Value) -> None:
        """The next term's size; a size that several terms take is one size, however uncertain."""
        self.values[name] = value
        self.taken.append(name)


Chosen = Mapping[Place, Candidate]


def told_figures(problem: Problem, filling: Filling) -> tuple[ToldFigure, ...]:
    """The figures of a plan whose parts it changes, the listed ones first, in the order of the records."""
    movement = Movement(problem, filling)
    teller = _Teller(problem.checks, problem.vehicle, filling.chosen)
    listed = (at for at in problem.places.figures if at.figure.listed)
    counting = (
        at
        for at in (*listed, *problem.places.told)
        if at.figure.arrangement in ("", filling.arrangement)
        and any(p in filling.chosen for p in at.places)
        and movement.touches(at.places)
    )
    return _both_hands(teller.figure(at) for at in counting)


def told_meetings(checks: Checks, evidence: Iterable[Evidence]) -> tuple[ToldFigure, ...]:
    """What pairs that are ruled out would do: the listed numbers of each such joint, once for both hands."""
    joints = {at.joint.joint: at for at in reversed(checks.places.joints)}
    found: dict[tuple[str, ...], ToldFigure] = {}
    for one in evidence:
        if one.kind == "joint" and one.verdict.is_no and one.check in joints:
            pair = (alike(checks.catalogue, one.first), alike(checks.catalogue, one.second))
            for told in _meeting(checks, joints[one.check], one):
                found.setdefault((one.check, *pair, told.figure), told)
    return tuple(found.values())


@dataclass(frozen=True)
class _Teller:
    checks: Checks
    vehicle: Vehicle | None
    planned: Chosen

    def figure(self, at: FigureAt) -> ToldFigure:
        """One figure, with its number as made where it is compared with that."""
        figure, plan = at.figure, self.inputs(at, self.planned)
        compared = figure.compared_with == "as made"
        before = self.inputs(at, self.as_made) if compared else None
        now, problem = _estimate(figure.formula, plan)
        was = _estimate(figure.formula, before)[0] if before else None
        low, high = limits_of(figure, was.low if was else None)
        return ToldFigure(
            figure=figure.figure,
            about="",
            sides=(at.side,) if at.side else (),
            unit=figure.unit,
            as_made=was,
            planned=now,
            low=low if figure.is_ != "told" else None,
            high=high if figure.is_ != "told" else None,
            words=_in_words(figure.formula, plan) if now else "",
            says=figure.says if figure.is_ == "told" else "",
            influences=_influences(figure.formula, plan) if now else (),
            nominal=tuple(dict.fromkeys(plan.nominal)),
            disputed=tuple(dict.fromkeys([*plan.disputed, *(before.disputed if before else ())])),
            to_measure=tuple(dict.fromkeys([*plan.missing, *problem])),
            to_measure_as_made=tuple(dict.fromkeys(before.missing)) if before else (),
            assumptions=tuple(dict.fromkeys([*plan.assumed, *(before.assumed if before else ())])),
            rests_on=figure.source,
            standing=figure.standing,
            values=tuple(dict.fromkeys([*plan.stated, *(before.stated if before else ())])),
        )

    @cached_property
    def as_made(self) -> Chosen:
        """What stood in each place of the vehicle as made; nothing where its model is not recorded."""
        if self.vehicle is None:
            return {}
        models = self.checks.catalogue.vehicles
        model = self.vehicle if self.vehicle.as_made else models.get(self.vehicle.made_as)
        if model is None:
            return {}
        now = fitted(model, self.checks.places)
        return {p: next(staying(self.checks.catalogue, p, f)) for p, f in now.items()}

    def inputs(self, at: FigureAt, chosen: Chosen) -> _Inputs:
        """The sizes of a figure on what stands in its places, or as a term says, on the vehicle as made."""
        found = _Inputs()
        for i, (term, place) in enumerate(zip(at.figure.terms, at.places, strict=True)):
            found.factors.append(term.factor)
            found.roles.append(term.role)
            as_made = self.as_made.get(place) if term.taken_on else None
            name = f"{place.position}, {term.feature}: {term.dimension}"
            new = chosen.get(place)
            if term.taken_on == "as made":
                stays = as_made is not None and new is not None and as_made.thing == new.thing
                self._add(found, name if stays else f"{name}, as made", at, i, as_made, made=True)
            elif term.taken_on == "change":
                self._add_change(found, f"change of {name}", at, i, (new, as_made))
            else:
                self._add(found, name, at, i, new, made=chosen is not self.planned)
        return found

    def _add(
        self, found: _Inputs, name: str, at: FigureAt, index: int, candidate: Candidate | None, *, made: bool
    ) -> None:
        if made and not self.as_made:
            found.missing.append(f"{name} (the vehicle as made is not recorded)")
            return
        value = self._value(
            found, name, at.figure.terms[index], self.checks.term(at, index, candidate), candidate, made
        )
        if value is not None:
            found.put(name, value)

    def _add_change(
        self, found: _Inputs, name: str, at: FigureAt, index: int, pair: tuple[Candidate | None, Candidate | None]
    ) -> None:
        new, old = pair
        if new is not None and old is not None and new.number == old.number:
            found.put(name, 0.0)  # the same part, whatever it measures
            return
        ends = []
        for candidate, made in ((new, False), (old, True)):
            term = self.checks.term(at, index, candidate)
            ends.append(self._value(found, name, at.figure.terms[index], term, candidate, made))
        if ends[0] is not None and ends[1] is not None:
            found.put(name, ends[0] - ends[1])

    def _value(
        self, found: _Inputs, name: str, term: FigureTerm, known: TermValue, candidate: Candidate | None, made: bool
    ) -> Value | None:
        """A term's size; 0 where nothing stands in its place, None where it is missing."""
        if candidate is None:
            return 0.0
        where = f"{candidate.thing}, {term.feature}: {term.dimension}"
        if known.absent:
            found.missing.append(f"{where} (known absent)")
            return None
        if known.missing and term.assumed:
            found.assumed.append(f"{term.position}, {term.feature}: {term.dimension} {term.assumed}")
            return read_limit(term.assumed)
        if known.missing or not _is_bounded(known):
            found.missing.append(f"{where}, as made" if made else where)
            return None
        recorded = self.checks.catalogue.features_of(candidate.thing).get(term.feature)
        named = f"{term.feature}: {term.dimension}"
        vocabulary = self.checks.catalogue.vocabulary
        found.stated += proof.values_of(vocabulary, recorded, term.dimension, candidate.thing, named)
        if known.contested:
            found.disputed.append(where)
        if recorded and any(s.nominal for s in known_of(recorded.dimensions.get(term.dimension, ())).sizes):
            found.nominal.append(name)
        return _hull(known.sizes)


def _is_bounded(known: TermValue) -> bool:
    return all(low > -FAR and high < FAR for low, high in known.sizes)


def _hull(sizes: Sequence[tuple[float, float]]) -> Value:
    """All statements that compute together: a point where they agree on one number."""
    low, high = min(a for a, _ in sizes), max(b for _, b in sizes)
    return low if low == high else Interval(low, high)


def _function(name: str, inputs: _Inputs) -> _Work:
    places = [list(inputs.values).index(n) for n in inputs.taken]
    return _Work(name, tuple(places), tuple(inputs.factors), tuple(inputs.roles))


@dataclass(frozen=True)
class _Work:
    """A figure as a function of the sizes it takes: the formula by its roles, or the signed sum.

    ``places`` says for each term which size it takes. A size that several terms take is held at one end and then the
    other, so that it never differs from itself: exact where the figure never turns round in it.
    """

    formula: str
    places: tuple[int, ...]
    factors: tuple[float, ...]
    roles: tuple[str, ...] = ()

    def __call__(self, *sizes: Value) -> Value:
        shared = [i for i, size in enumerate(sizes) if self.places.count(i) > 1 and width(size) > 0]
        if not shared:
            return self._figure([sizes[i] for i in self.places])
        found = []
        for ends in product(*((low(sizes[i]), high(sizes[i])) for i in shared)):
            held: dict[int, Value] = dict(zip(shared, ends, strict=True))
            found.append(self._figure([held.get(i, sizes[i]) for i in self.places]))
        return hull(*found)

    def _figure(self, values: Sequence[Value]) -> Value:
        if not self.formula:
            return _total(self._scaled(values))
        if not self.roles:
            return formula(self.formula)(*self._scaled(values))
        return formula(self.formula)(**self._by_role(values))

    def in_words(self, *sizes: Value) -> str:
        """What the number means, blank where it says all."""
        if not self.formula:
            return ""
        values = [sizes[i] for i in self.places]
        if not self.roles:
            return formula(self.formula).in_words(*self._scaled(values))
        return formula(self.formula).in_words(**self._by_role(values))

    def _scaled(self, values: Sequence[Value]) -> list[Value]:
        return [f * v if f != 1 else v for f, v in zip(self.factors, values, strict=True)]

    def _by_role(self, values: Sequence[Value]) -> dict[str, Value]:
        """The arguments of the formula; terms that share a role add up (wheel and spacer, say)."""
        by_role: dict[str, list[Value]] = {}
        for role, value in zip(self.roles, self._scaled(values), strict=True):
            by_role.setdefault(role, []).append(value)
        return {role: _total(parts) for role, parts in by_role.items()}


def _total(values: Sequence[Value]) -> Value:
    total: Value = 0.0
    for value in values:
        total = total + value
    return total


def _estimate(name: str, inputs: _Inputs) -> tuple[Estimate | None, tuple[str, ...]]:
    """The number, or why there is none although no size is missing."""
    if inputs.missing:
        return None, ()
    work, values = _function(name, inputs), list(inputs.values.values())
    try:
        span = as_interval(work(*values))
        likely = likely_half_width(work, inputs.values)
        middle = as_interval(work(*(as_interval(v).middle for v in values))).middle
    except UnknownFormulaError as error:
        return None, (str(error),)
    except (TypeError, ValueError, ZeroDivisionError):
        return None, ("nothing that makes this figure: its formula has no value here",)
    return Estimate(*(round(x, 9) if math.isfinite(x) else None for x in (middle, span.low, span.high, likely))), ()


def _influences(name: str, inputs: _Inputs) -> tuple[Influence, ...]:
    found = influences(_function(name, inputs), inputs.values)
    return tuple(Influence(i.name, round(i.share, 9)) for i in found)


def _in_words(name: str, inputs: _Inputs) -> str:
    return _function(name, inputs).in_words(*inputs.values.values())


def _meeting(checks: Checks, at: JointAt, evidence: Evidence) -> Iterator[ToldFigure]:
    rule = checks.rule_of(at)
    for condition in [c for c in rule.conditions if c.need == "told" and c.listed][:_TOLD_LINES]:
        inputs = _inputs_of(checks, at, rule.first_role, condition, evidence.things)
        number, _ = _estimate(condition.formula, inputs)
        if number is not None:
            yield ToldFigure(
                figure=condition.label,
                about=f"{at.joint.joint}: {evidence.first} with {evidence.second}",
                sides=(),
                unit=condition.unit,
                as_made=None,
                planned=number,
                words=_in_words(condition.formula, inputs),
                influences=_influences(condition.formula, inputs),
                nominal=tuple(dict.fromkeys(inputs.nominal)),
                rests_on=condition.source,
                standing=condition.standing,
                values=tuple(dict.fromkeys(inputs.stated)),
            )


def _inputs_of(checks: Checks, at: JointAt, first_role: str, condition: Condition, things: tuple[str, ...]) -> _Inputs:
    """The sizes of a told condition on two things."""
    found = _Inputs()
    for term in condition.terms:
        thing, feature = (
            (things[0], at.joint.feature) if term.role == first_role else (things[1], at.joint.other_feature)
        )
        name = f"{thing}, {feature}: {term.dimension}"
        recorded = checks.catalogue.features_of(thing).get(feature)
        known = known_of(recorded.dimensions.get(term.dimension, ())) if recorded else known_of(())
        sizes = [(s.low, s.high) for s in known.sizes if s.low is not None and s.high is not None]
        if not sizes or len(sizes) < len(known.sizes):
            found.missing.append(name)
            continue
        if any(s.nominal for s in known.sizes):
            found.nominal.append(name)
        found.factors.append(term.factor)
        found.put(name, _hull(sizes))
        found.stated += proof.values_of(
            checks.catalogue.vocabulary, recorded, term.dimension, thing, f"{feature}: {term.dimension}"
        )
    return found


def _both_hands(figures: Iterable[ToldFigure]) -> tuple[ToldFigure, ...]:
    """Figures that read the same in both corners are told once."""
    found: dict[object, ToldFigure] = {}
    for one in figures:
        key = (one.figure, one.planned, one.as_made, one.to_measure, one.to_measure_as_made, one.words)
        other = found.get(key)
        found[key] = one if other is None else replace(other, sides=(*other.sides, *one.sides))
    return tuple(found.values())
