"""Checks on particular things: joints, stacks and figures between the candidates of a layout."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from functools import cache, cached_property
from typing import Any

import msgspec

from knockon.graph.judge.assumed import AssumedRange, assumptions
from knockon.graph.judge.beliefs import Interface, interface_of, presence_of
from knockon.graph.judge.conditions import dimensions_of, judge
from knockon.graph.judge.figures import EMPTY, FigureResult, TermValue, judge_figure, term_value, value_of
from knockon.graph.judge.postings import feature_at
from knockon.graph.judge.verdict_rows import VerdictRows
from knockon.graph.judge.verdicts import Judged, Verdict, Weighing, lacks_only_kept_sizes, rules_out, verdict_of
from knockon.graph.model.catalogue import Catalogue
from knockon.graph.model.drawings import member_thing
from knockon.graph.model.layouts.layout import FigureAt, JointAt, Place, Places
from knockon.graph.model.rules import Condition, FitRule, RuleEnd
from knockon.graph.model.schema import Table
from knockon.graph.model.things import Feature, Vehicle
from knockon.queries.fits.checking.candidates import Candidate, as_found
from knockon.queries.fits.checking.claims import Claims, claims_of
from knockon.queries.fits.checking.note_checks import made_to_fit
from knockon.queries.fits.checking.size_names import SizeOf

FEW_PAIRS = 120
"""Up to so many pairs of interface classes are judged one by one: to sort them takes longer."""
ROWS_REMEMBERED = 4
"""Joints whose rows are kept: those of the other hand are asked for next."""
Row = list[tuple[Judged, int]]
"""What was judged of an interface and others, each once, with the places of those as the bits of a number."""


class JointResult(msgspec.Struct, frozen=True):
    """The verdict of a joint on two candidates; ``open_for_planning``: counts as not known without even a claim."""

    verdict: Verdict
    judged: Judged
    weighing: Weighing
    counts_first: bool


class Checks:
    """All checks of a layout on a catalogue; what has been judged once is remembered by interface class."""

    def __init__(self, catalogue: Catalogue, places: Places) -> None:
        self.catalogue = catalogue
        self.places = places
        self.claims: Claims = claims_of(catalogue)
        self.told_lines: dict[tuple[str, str, str], Any] = {}
        """What evidence has told of a joint on two things: its lines."""
        self._class_of: dict[tuple[str, str, str, int], int] = {}
        self._classes: dict[Interface, int] = {}
        self._interfaces: list[Interface] = []
        self._judged: dict[tuple[str, int, int], Judged] = {}
        self._one_of_each: dict[Judged, Judged] = {}
        self._rows: dict[tuple[object, ...], list[Row]] = {}
        self._results: dict[tuple[object, ...], JointResult] = {}
        self._terms: dict[tuple[str, int, str, bool], TermValue] = {}
        self._dimensions: dict[str, tuple[tuple[str, ...], tuple[str, ...]]] = {}
        self._made_to_fit: Mapping[str, tuple[frozenset[str], ...]] = made_to_fit(catalogue)
        self._features_at: Callable[[str], list[str]] = cache(lambda position: sorted(places.features_at(position)))
        self._as_made: dict[tuple[str, str, str], float | None] = {}

    @cached_property
    def _kinds(self) -> dict[str, str]:
        """The kind of each feature that joints read (by the rule) or that somebody recorded, by name."""
        named = dict(self.catalogue.feature_kinds)
        for at in self.places.joints:
            rule = self.rule_of(at)
            named |= {end.feature: rule.ends[end.number].kind for end in at.ends}
        return named

    def fault_of_set(self, number: str) -> str:
        """The member and the feature, where a set has a member that is known to lack what a joint of its position
        needs; else blank."""
        for member in self.catalogue.set_members.get(number, ()):
            if member.as_part or member.position not in self.places.positions:
                continue
            recorded = self.catalogue.features_of(member_thing(member))
            for name in self._features_at(member.position):
                if presence_of(recorded.get(name)) == "absent":
                    return f"{member.position}: no {name}"
        return ""

    def kind_of(self, feature: str) -> Table | None:
        """The kind of a feature by its name, also where it is recorded of nothing."""
        return self.catalogue.vocabulary.kinds.get(self._kinds.get(feature, ""))

    def rule_of(self, at: JointAt) -> FitRule:
        """The fit rule of a joint."""
        return self.catalogue.vocabulary.rules[at.joint.rule]

    def is_safety_critical(self, at: JointAt) -> bool:
        """The joint's own word, else the rule's."""
        own = at.joint.safety_critical
        return self.rule_of(at).safety_critical if own is None else own

    def is_by_name(self, at: JointAt) -> bool:
        """Whether nothing that the joint requires can be measured: it compares names of patterns, and is a claim."""
        return all(self.compares_names(self.rule_of(at), c) for c in self.rule_of(at).conditions if c.need != "told")

    def compares_names(self, rule: FitRule, condition: Condition) -> bool:
        """Whether a condition compares codes that nobody can measure or see, as the names of patterns are."""
        if not condition.same_code:
            return False
        kinds = self.catalogue.vocabulary.kinds
        columns = ((c, t) for t in condition.terms for c in kinds[rule.end_of(t).kind].columns)
        return not any(c.method for c, t in columns if c.name == t.dimension)

    def dimensions(self, rule: FitRule) -> tuple[tuple[str, ...], tuple[str, ...]]:
        """The dimensions that a rule reads on its first and second side, remembered."""
        if rule.label not in self._dimensions:
            first, second = (dimensions_of(rule, end.role) for end in rule.ends)
            self._dimensions[rule.label] = first, second
        return self._dimensions[rule.label]

    def feature_at(self, end: RuleEnd, thing: str, name: str) -> Feature | None:
        """The feature of a thing that this end of a rule judges."""
        return feature_at(self.catalogue.features_of(thing), end, name)

    def interface_class(self, rule: FitRule, end: RuleEnd, thing: str, feature: str) -> int:
        """The number of the interface class of a thing at a feature, as this end of a rule reads it."""
        key = (rule.label, thing, feature, end.number)
        if key not in self._class_of:
            interface = interface_of(self.feature_at(end, thing, feature), self.dimensions(rule)[end.number])
            if interface not in self._classes:
                self._classes[interface] = len(self._interfaces)
                self._interfaces.append(interface)
            self._class_of[key] = self._classes[interface]
        return self._class_of[key]

    def judge_all(self, at: JointAt, firsts: Iterable[str], seconds: Iterable[str]) -> None:
        """Judge all pairs of these things at once, by interface class, and remember the results."""
        rule = self.rule_of(at)
        classes = [
            list(dict.fromkeys(self.interface_class(rule, end, t, here.feature) for t in things))
            for end, here, things in zip(rule.ends, at.ends, (firsts, seconds), strict=True)
        ]
        self._judge_pairs(rule, *classes)

    def _judge_pairs(self, rule: FitRule, firsts: Sequence[int], seconds: Sequence[int]) -> None:
        pairs = [(a, b) for a in firsts for b in seconds if (rule.label, a, b) not in self._judged]
        if pairs:
            new = [list(dict.fromkeys(p[i] for p in pairs)) for i in (0, 1)]
            table = judge(rule, [self._interfaces[a] for a in new[0]], [self._interfaces[b] for b in new[1]])
            for i, a in enumerate(new[0]):
                for j, b in enumerate(new[1]):
                    self._judged[(rule.label, a, b)] = self._one_of_each.setdefault(table[i][j], table[i][j])

    def rows(self, at: JointAt, end: int, owns: Sequence[int], others: Sequence[int]) -> list[Row]:
        """For each of these interface classes of one end of a joint what was judged of it and each class of the other
        end: each once, with the places of those among ``others`` as the bits of a number. Where there are many,
        nothing is done pair by pair. The same object wherever it is the same."""
        rule = self.rule_of(at)
        if len(owns) * len(others) <= FEW_PAIRS:
            return self._rows_by_pair(rule, end, owns, others)
        key = (rule.label, end, tuple(owns), tuple(others))
        if key not in self._rows:
            if len(self._rows) >= ROWS_REMEMBERED:
                del self._rows[next(iter(self._rows))]
            prepared = VerdictRows(rule, end, [self._interfaces[k] for k in others], self._one_of_each)
            found = {k: prepared.of(self._interfaces[k]) for k in dict.fromkeys(owns)}
            self._rows[key] = [found[k] for k in owns]
        return self._rows[key]

    def _rows_by_pair(self, rule: FitRule, end: int, owns: Sequence[int], others: Sequence[int]) -> list[Row]:
        ends = (owns, others) if end == 0 else (others, owns)
        self._judge_pairs(rule, *(list(dict.fromkeys(classes)) for classes in ends))
        rows: list[Row] = []
        for own in owns:
            found: dict[int, tuple[Judged, int]] = {}
            for bit, other in enumerate(others):
                judged = self._judged[(rule.label, own, other) if end == 0 else (rule.label, other, own)]
                found[id(judged)] = judged, found.get(id(judged), (judged, 0))[1] | 1 << bit
            rows.append(list(found.values()))
        return rows

    def note_judged(self, at: JointAt, first: int, second: int, judged: Judged) -> None:
        """Remember what a row says of two interface classes, so that nobody judges them once more."""
        self._judged.setdefault((self.rule_of(at).label, first, second), judged)

    def ruled_out(self, at: JointAt, end: int, owns: Sequence[int], others: Sequence[int]) -> list[int]:
        """For each of these interface classes of one end the bits of those of the other end beside which it is a no,
        whatever is weighed beside the sizes."""
        rule = self.rule_of(at)
        if len(owns) * len(others) <= FEW_PAIRS:
            rows = self._rows_by_pair(rule, end, owns, others)
            return [sum(mask for judged, mask in row if rules_out(judged)) for row in rows]
        prepared = VerdictRows(rule, end, [self._interfaces[k] for k in others])
        found = {k: prepared.noes(self._interfaces[k]) for k in dict.fromkeys(owns)}
        return [found[k] for k in owns]

    def joint(self, at: JointAt, first: Candidate, second: Candidate) -> JointResult:
        """The verdict of a joint on two candidates, remembered for both hands."""
        one_set = first.set_use is not None and first.set_use == second.set_use
        alike = (
            at.joint.joint,
            first.thing,
            first.number,
            first.stays,
            second.thing,
            second.number,
            second.stays,
            one_set,
        )
        if alike not in self._results:
            self._results[alike] = self._joint(at, first, second)
        return self._results[alike]

    def _joint(self, at: JointAt, first: Candidate, second: Candidate) -> JointResult:
        rule = self.rule_of(at)
        a, b = (
            self.interface_class(rule, end, one.thing, here.feature)
            for end, here, one in zip(rule.ends, at.ends, (first, second), strict=True)
        )
        key = (rule.label, a, b)
        if key not in self._judged:
            self.judge_all(at, [first.thing], [second.thing])
        judged = self._judged[key]
        weighing = self.weighing(at, first, second)
        verdict = verdict_of(judged, weighing)
        counts_first = verdict is Verdict.NOT_KNOWN and not lacks_only_kept_sizes(judged, weighing.kept)
        return JointResult(verdict, judged, weighing, counts_first)

    def weighing(self, at: JointAt, first: Candidate, second: Candidate) -> Weighing:
        """What is weighed of two candidates at a joint beside the sizes."""
        return Weighing(
            safety_critical=self.is_safety_critical(at),
            claimed=self.claims.support(first, second),
            kept=(first.stays, second.stays),
            made_to_fit=bool(self.notes_of(at, first) & self.notes_of(at, second)),
            stated=self.states_joint(at, first, second),
        )

    def notes_of(self, at: JointAt, candidate: Candidate) -> frozenset[int]:
        """Which of the notes of work on a joint name a candidate."""
        notes = enumerate(self._made_to_fit.get(at.joint.joint, ()))
        return frozenset(i for i, parts in notes if not parts.isdisjoint(candidate.numbers))

    def noted_with(self, at: JointAt, candidate: Candidate) -> frozenset[str]:
        """The parts that notes of work on a joint name together with a candidate."""
        notes = self._made_to_fit.get(at.joint.joint, ())
        return frozenset().union(*(notes[i] for i in self.notes_of(at, candidate)))

    def term(self, at: FigureAt, index: int, candidate: Candidate | None) -> TermValue:
        """What a candidate (None: the place is empty) contributes to a figure's term."""
        if candidate is None:
            return EMPTY
        key = at.figure.figure, index, candidate.thing, candidate.stays
        if key not in self._terms:
            features = self.catalogue.features_of(candidate.thing)
            self._terms[key] = term_value(features, at.figure.terms[index], candidate.stays)
        return self._terms[key]

    def states_joint(self, at: JointAt, first: Candidate, second: Candidate) -> bool:
        """Whether both are members of one set, new, that states this joint as made."""
        if first.stays or second.stays or first.set_use is None or first.set_use != second.set_use:
            return False
        return at.joint.joint in self.catalogue.set_joints.get(first.set_use[0], ())

    def states_figure(self, at: FigureAt, candidate: Candidate | None) -> bool:
        """Whether the candidate belongs to a set, new, that states this figure as made."""
        if candidate is None or candidate.set_use is None or candidate.stays:
            return False
        return at.figure.figure in self.catalogue.set_checks.get(candidate.set_use[0], ())

    def is_stated(self, at: FigureAt, chosen: Mapping[Place, Candidate | None]) -> bool:
        """Whether a set states the figure as made for what stands here: only its own members together are that set."""
        return bool(self.set_stating(at, chosen))

    def set_stating(self, at: FigureAt, chosen: Mapping[Place, Candidate | None]) -> str:
        """The set that states the figure as made for what stands here; blank where none does."""
        there = [chosen.get(place) for place in at.places]
        if any(candidate is not None and candidate.to_be_found for candidate in there):
            return ""  # nobody can say how that was made
        for candidate in there:
            if candidate is not None and self.states_figure(at, candidate) and self._is_whole(candidate, at, chosen):
                return candidate.number
        return ""

    def _is_whole(self, one: Candidate, at: FigureAt, chosen: Mapping[Place, Candidate | None]) -> bool:
        """Whether the other places of the figure that this candidate's set fills are filled by that set."""
        assert one.set_use is not None
        members = self.catalogue.set_members.get(one.set_use[0], ())
        for place in at.places:
            if any(m.position == place.position and m.side in ("", place.side) for m in members):
                there = chosen.get(place)
                if there is None or there.set_use != one.set_use:
                    return False
        return True

    def figure(self, at: FigureAt, chosen: Mapping[Place, Candidate | None], as_made: float | None) -> FigureResult:
        """The verdict of a figure on what stands in its places."""
        things = [chosen.get(p) for p in at.places]
        terms = [self.term(at, i, c) for i, c in enumerate(things)]
        return judge_figure(at.figure, terms, as_made, self.is_stated(at, chosen))

    def assumptions(
        self, at: FigureAt, chosen: Mapping[Place, Candidate | None], vehicle: Vehicle | None
    ) -> tuple[AssumedRange, ...]:
        """What a figure's formula assumes, each with the range in which the verdict on what stands here is the same."""
        terms = tuple(self.term(at, i, chosen.get(p)) for i, p in enumerate(at.places))
        return assumptions(at.figure, terms, tuple(self._as_made_terms(at, vehicle)), self.is_stated(at, chosen))

    def _as_made_terms(self, at: FigureAt, vehicle: Vehicle | None) -> list[TermValue]:
        """The figure's terms on the vehicle as made; none where there is no such model or nothing is compared."""
        model = self.catalogue.vehicles.get(vehicle.made_as) if vehicle and not vehicle.as_made else vehicle
        if model is None or at.figure.compared_with != "as made":
            return []
        chosen = as_found(self.catalogue, self.places, model)
        return [self.term(at, i, chosen.get(p)) for i, p in enumerate(at.places)]

    def as_made_value(self, at: FigureAt, vehicle: Vehicle | None) -> float | None:
        """The lowest value that the figure has on a vehicle as made; None if it is not known; remembered."""
        key = (at.figure.figure, at.side, vehicle.vehicle if vehicle else "")
        if key not in self._as_made:
            terms = self._as_made_terms(at, vehicle)
            known = bool(terms) and not any(t.missing or t.absent for t in terms)
            value = value_of(at.figure, terms) if known else None
            self._as_made[key] = value[0] if value else None
        return self._as_made[key]

    def missing_as_made(self, at: FigureAt, vehicle: Vehicle | None) -> list[SizeOf]:
        """The sizes of the vehicle as made that a comparison with it lacks, in words."""
        terms = zip(self._as_made_terms(at, vehicle), at.places, at.figure.terms, strict=False)
        return [
            SizeOf(f"{place.position} as made", t.feature, t.dimension) for value, place, t in terms if value.missing
        ]
