"""The workshop's figures beside a plan: numbers against the vehicle as made, and what a ruled-out pair would do.

Which figure a layout has, of which sizes and by which formula, is data: the rows of figures.csv that are ``told`` or
``listed``, and the conditions of the fit rules that are told and listed. Nothing here judges anything.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from functools import cached_property

import msgspec
from msgspec.structs import replace

from knockon.graph.formulas.interval import Value
from knockon.graph.judge.assumed import AssumedRange
from knockon.graph.judge.beliefs import known_of
from knockon.graph.judge.figures import FAR, TermValue, limits_of
from knockon.graph.judge.verdicts import Verdict
from knockon.graph.model.layouts.layout import FigureAt, JointAt, Place
from knockon.graph.model.layouts.mechanism import FigureTerm
from knockon.graph.model.rules import Condition
from knockon.graph.model.several import Several
from knockon.graph.model.things import Vehicle
from knockon.queries.fits.checking import evidence as proof
from knockon.queries.fits.checking.candidates import Candidate, alike, as_found
from knockon.queries.fits.checking.checks import Checks
from knockon.queries.fits.checking.evidence import Evidence
from knockon.queries.fits.checking.joint_evidence import takes_both
from knockon.queries.fits.checking.size_names import FeatureSize, SizeOf
from knockon.queries.plan.numbers import Estimate, Inputs, estimate, hull_of, influences_on, words_for
from knockon.queries.plan.solving.planner import Filling
from knockon.queries.plan.solving.problem import Problem
from knockon.queries.plan.solving.unproven import figures_that_count, told_that_count
from knockon.queries.workshop.answer import Influence

AS_MADE = ", as made"
NOTHING = Several(())
_TOLD_LINES = 2  # figures of one joint that are worth a reader's time


class ToldFigure(msgspec.Struct, frozen=True):
    """One figure beside a plan.

    ``about`` names the pair that it is about where it is about two things that do not go together; ``sides`` the
    corners for which it holds (none: the vehicle). ``as_made`` and ``planned`` are None where a size is not known:
    ``to_measure`` and ``to_measure_as_made`` say which. ``low`` and ``high`` are the window of a figure that is judged
    elsewhere. ``words`` says what the number means, ``says`` how to take it. ``influences`` are the inputs that make it
    uncertain, greatest first; ``nominal`` the sizes that are stated without limits and count as exact; ``disputed``
    those on which equal sources contradict each other, all of whose values count; ``assumptions`` the values taken
    where nobody recorded any; ``assumed`` the numbers in the formula of a figure that is judged, each with the range in
    which its verdict is the same. It ``holds`` unless it is a number over both things of a pair that does not go
    together.
    """

    figure: str
    about: Several
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
    disputed: tuple[SizeOf, ...] = ()
    to_measure: tuple[str, ...] = ()
    to_measure_as_made: tuple[SizeOf, ...] = ()
    assumptions: tuple[str, ...] = ()
    rests_on: str = ""
    standing: str = ""
    values: tuple[proof.Value, ...] = ()
    holds: bool = True
    assumed: tuple[AssumedRange, ...] = ()


Chosen = Mapping[Place, Candidate]


def told_figures(problem: Problem, filling: Filling) -> tuple[ToldFigure, ...]:
    """The figures of a plan whose parts it changes, the listed ones first, in the order of the records."""
    teller = _Teller(problem.checks, problem.vehicle, filling.chosen)
    listed = (at for at in figures_that_count(problem, filling) if at.figure.listed)
    return _both_hands(map(teller.figure, (*listed, *told_that_count(problem, filling))))


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


class _Teller(msgspec.Struct, frozen=True, dict=True):
    checks: Checks
    vehicle: Vehicle | None
    planned: Chosen

    def figure(self, at: FigureAt) -> ToldFigure:
        """One figure, with its number as made where it is compared with that."""
        figure, plan = at.figure, self.inputs(at, self.planned)
        compared = figure.compared_with == "as made"
        before = self.inputs(at, self.as_made) if compared else None
        now, problem = estimate(figure.formula, plan)
        was = estimate(figure.formula, before)[0] if before else None
        low, high = limits_of(figure, was.low if was else None)
        return ToldFigure(
            figure=figure.figure,
            about=NOTHING,
            sides=(at.side,) if at.side else (),
            unit=figure.unit,
            as_made=was,
            planned=now,
            low=low if figure.is_ != "told" else None,
            high=high if figure.is_ != "told" else None,
            words=words_for(figure.formula, plan) if now else "",
            says=figure.says if figure.is_ == "told" else "",
            influences=influences_on(figure.formula, plan) if now else (),
            nominal=tuple(dict.fromkeys(plan.nominal)),
            disputed=tuple(dict.fromkeys([*plan.disputed, *(before.disputed if before else ())])),
            to_measure=tuple(dict.fromkeys([*plan.missing, *problem])),
            to_measure_as_made=tuple(dict.fromkeys(before.missing)) if before else (),
            assumptions=tuple(dict.fromkeys([*plan.assumed, *(before.assumed if before else ())])),
            rests_on=figure.source,
            standing=figure.standing,
            values=tuple(dict.fromkeys([*plan.stated, *(before.stated if before else ())])),
            assumed=self.checks.assumptions(at, self.planned, self.vehicle) if figure.is_ != "told" else (),
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
        return as_found(self.checks.catalogue, self.checks.places, model)

    def inputs(self, at: FigureAt, chosen: Chosen) -> Inputs:
        """The sizes of a figure on what stands in its places, or as a term says, on the vehicle as made."""
        found = Inputs()
        for i, (term, place) in enumerate(zip(at.figure.terms, at.places, strict=True)):
            found.factors.append(term.factor)
            found.roles.append(term.role)
            as_made = self.as_made.get(place) if term.taken_on else None
            name = SizeOf(place.position, term.feature, term.dimension)
            new = chosen.get(place)
            if term.taken_on == "as made":
                stays = as_made is not None and new is not None and as_made.thing == new.thing
                self._add(found, name if stays else name.with_remark(AS_MADE), at, i, as_made, made=True)
            elif term.taken_on == "change":
                self._add_change(
                    found, SizeOf(f"change of {place.position}", term.feature, term.dimension), at, i, (new, as_made)
                )
            else:
                self._add(found, name, at, i, new, made=chosen is not self.planned)
        return found

    def _add(
        self, found: Inputs, name: SizeOf, at: FigureAt, index: int, candidate: Candidate | None, *, made: bool
    ) -> None:
        if made and not self.as_made:
            found.missing.append(name.with_remark(f"{name.remark} (as made: not recorded)"))
            return
        value = self._value(
            found, name, at.figure.terms[index], self.checks.term(at, index, candidate), candidate, made
        )
        if value is not None:
            found.put(name, value)

    def _add_change(
        self, found: Inputs, name: SizeOf, at: FigureAt, index: int, pair: tuple[Candidate | None, Candidate | None]
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
        self, found: Inputs, name: SizeOf, term: FigureTerm, known: TermValue, candidate: Candidate | None, made: bool
    ) -> Value | None:
        """A term's size; 0 where nothing stands in its place, None where it is missing."""
        if candidate is None:
            return 0.0
        where = SizeOf(candidate.thing, term.feature, term.dimension)
        if known.absent:
            found.missing.append(where.with_remark(" (known absent)"))
            return None
        if known.missing and term.assumed_value is not None:
            found.assumed.append(f"{term.position}, {term.feature}: {term.dimension} {term.assumed}")
            return term.assumed_value
        if known.missing or not _is_bounded(known):
            found.missing.append(where.with_remark(AS_MADE) if made else where)
            return None
        recorded = self.checks.catalogue.features_of(candidate.thing).get(term.feature)
        named = FeatureSize(term.feature, term.dimension)
        vocabulary = self.checks.catalogue.vocabulary
        found.stated += proof.values_of(vocabulary, recorded, term.dimension, candidate.thing, named)
        if known.contested:
            found.disputed.append(where)
        if recorded and any(s.nominal for s in known_of(recorded.dimensions.get(term.dimension, ())).sizes):
            found.nominal.append(name)
        return hull_of(known.sizes)


def _is_bounded(known: TermValue) -> bool:
    return all(low > -FAR and high < FAR for low, high in known.sizes)


def _meeting(checks: Checks, at: JointAt, evidence: Evidence) -> Iterator[ToldFigure]:
    rule = checks.rule_of(at)
    for condition in [c for c in rule.conditions if c.need == "told" and c.listed][:_TOLD_LINES]:
        inputs = _inputs_of(checks, at, condition, evidence.things)
        number, _ = estimate(condition.formula, inputs)
        if number is not None:
            yield ToldFigure(
                figure=condition.label,
                about=Several((at.joint.joint, f"{evidence.first} with {evidence.second}"), ": "),
                sides=(),
                unit=condition.unit,
                as_made=None,
                planned=number,
                words=words_for(condition.formula, inputs),
                influences=influences_on(condition.formula, inputs),
                nominal=tuple(dict.fromkeys(inputs.nominal)),
                rests_on=condition.source,
                standing=condition.standing,
                values=tuple(dict.fromkeys(inputs.stated)),
                holds=evidence.verdict is not Verdict.DOES_NOT_FIT or not takes_both(condition),
            )


def _inputs_of(checks: Checks, at: JointAt, condition: Condition, things: tuple[str, ...]) -> Inputs:
    """The sizes of a told condition on two things."""
    found = Inputs()
    for term in condition.terms:
        end = at.ends[checks.rule_of(at).end_of(term).number]
        thing, feature = things[end.number], end.feature
        name = SizeOf(thing, feature, term.dimension)
        recorded = checks.catalogue.features_of(thing).get(feature)
        known = known_of(recorded.dimensions.get(term.dimension, ())) if recorded else known_of(())
        sizes = [(s.low, s.high) for s in known.sizes if s.low is not None and s.high is not None]
        if not sizes or len(sizes) < len(known.sizes):
            found.missing.append(name)
            continue
        if any(s.nominal for s in known.sizes):
            found.nominal.append(name)
        found.factors.append(term.factor)
        found.put(name, hull_of(sizes))
        found.stated += proof.values_of(
            checks.catalogue.vocabulary, recorded, term.dimension, thing, FeatureSize(feature, term.dimension)
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
