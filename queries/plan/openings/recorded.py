"""The recorded parts against a specification: by their sizes alone, which meet it, which may, and which nearly do.

Every part of the type (and of narrower ones, of any maker), and every member of a set for the place, is judged at each
joint, stack and figure that a new part there would make with the rest of the filling, by the verdicts that every other
answer is found by, but for claims and notes of work: these say nothing of sizes. Interface classes are judged, not
parts (graph/judge/verdict_rows.py), beside the one thing that stands at the other end.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence

import msgspec

from knockon.graph.judge.beliefs import EPSILON, Interface, Known, interface_of, known_of, presence_of
from knockon.graph.judge.comparisons import bits_of
from knockon.graph.judge.conditions import REQUIRED as NEEDED
from knockon.graph.judge.conditions import dimensions_of
from knockon.graph.judge.verdict_rows import VerdictRows
from knockon.graph.judge.verdicts import Judged, Verdict, Weighing, verdict_of
from knockon.graph.model.layouts.layout import FigureAt, JointAt, Place
from knockon.graph.model.schema import column_of
from knockon.graph.model.things import Feature, Fitting
from knockon.queries.fits.checking.candidates import Candidate
from knockon.queries.fits.checking.evidence import Evidence, Line
from knockon.queries.fits.checking.figure_evidence import figure_evidence
from knockon.queries.fits.checking.joint_evidence import joint_evidence
from knockon.queries.fits.checking.size_names import FeatureSize
from knockon.queries.fits.meeting import End, Seats
from knockon.queries.plan.openings.specification import demands_on, figures_at, joints_at
from knockon.queries.plan.openings.specified import AGREED, ASKED, Specification
from knockon.queries.plan.openings.specified import REQUIRED as NEEDED_SIZE
from knockon.queries.plan.solving.planner import Filling
from knockon.queries.plan.solving.problem import Problem
from knockon.queries.plan.solving.request import Wanted

MEETS, MAY_MEET, NEARLY, NO = "meets", "may meet", "nearly", "no"
OUTCOMES = (MEETS, MAY_MEET, NEARLY, NO)
MOST_FAILING = 4
"""A part that fails at more checks than this misses more than one limit."""


class Checked(msgspec.Struct, frozen=True):
    """The verdict of one check on a part in one place; of a check that is open the part's own sizes that it lacks.
    ``by_name``: it compares names of patterns, which nobody can measure."""

    check: str
    place: Place
    verdict: Verdict
    lacks: tuple[FeatureSize, ...] = ()
    by_name: bool = False


class Miss(msgspec.Struct, frozen=True):
    """The one limit that a part misses: its own ``sizes`` in it, and by how much (in ``unit``) it is under or over;
    None: it is no amount, as of a code. ``says``: what that means."""

    check: str
    condition: str
    sizes: tuple[FeatureSize, ...]
    by: float | None
    unit: str
    over: bool
    says: str


class Recorded(msgspec.Struct, frozen=True):
    """One recorded part (or set, of which a member stands there) against the specification: how it comes out, the worst
    of the ``places`` in which it can stand, and its checks. ``fitted``: the vehicles that have it in such a place."""

    number: str
    name: str
    maker: str
    part_type: str
    outcome: str
    places: tuple[Place, ...]
    checks: tuple[Checked, ...]
    of_set: bool = False
    misses: Miss | None = None
    fitted: tuple[str, ...] = ()
    mirror: str = ""
    not_accepted: str = ""


class _Judged(msgspec.Struct, frozen=True):
    """A candidate in its place, with its checks."""

    candidate: Candidate
    checks: tuple[Checked, ...]

    @property
    def outcome(self) -> str:
        """How it comes out, a miss aside."""
        verdicts = [c.verdict for c in self.checks]
        if any(v.is_no for v in verdicts):
            return NO
        return MEETS if all(v in AGREED for v in verdicts) else MAY_MEET


def recorded_parts(problem: Problem, filling: Filling, specified: Sequence[Specification]) -> tuple[Recorded, ...]:
    """Every recorded part that may stand in some place of these specifications: those that meet it first, then those
    that may, the fewest unknown sizes first, then by how nearly. What the request avoids is left out."""
    avoided = set(problem.request.avoid)
    judged: dict[str, list[_Judged]] = {}
    at_places = {place: _AtPlace(problem, filling, place, spec) for spec in specified for place in spec.places}
    for at_place in at_places.values():
        for one in at_place.judged():
            if one.candidate.number not in avoided:
                judged.setdefault(one.candidate.number, []).append(one)
    found = [_recorded(problem, at_places, number, ones) for number, ones in judged.items()]
    return tuple(part for _, part in sorted(found, key=lambda pair: (*pair[0], pair[1].number)))


def _recorded(
    problem: Problem, at_places: Mapping[Place, _AtPlace], number: str, ones: Sequence[_Judged]
) -> tuple[tuple[int, float], Recorded]:
    """A part in all its places, and how it is sorted."""
    outcome = max((one.outcome for one in ones), key=OUTCOMES.index)
    missed: tuple[float, Miss] | None = None
    if outcome == NO:
        missed = _missed(line for one in ones for line in at_places[one.candidate.place].noes(one))
        outcome = NO if missed is None else NEARLY
    catalogue = problem.checks.catalogue
    part = catalogue.parts[number]
    places = tuple(dict.fromkeys(one.candidate.place for one in ones))
    positions = {p.position for p in places}
    lacking = len({size for one in ones for c in one.checks for size in c.lacks}) if outcome == MAY_MEET else 0
    return (OUTCOMES.index(outcome), missed[0] if missed else float(lacking)), Recorded(
        number=number,
        name=part.name,
        maker=part.maker,
        part_type=part.part_type,
        outcome=outcome,
        places=places,
        checks=tuple(dict.fromkeys(c for one in ones for c in one.checks)),
        of_set=any(one.candidate.set_use is not None for one in ones),
        misses=missed[1] if missed else None,
        fitted=()
        if outcome == NO
        else tuple(v.vehicle for v in catalogue.vehicles.values() if _has(v.fittings, number, positions)),
        mirror=part.mirror_of or "",
        not_accepted=part.not_accepted,
    )


def _has(fittings: Iterable[Fitting], number: str, positions: set[str]) -> bool:
    return any(f.part == number and f.position in positions for f in fittings)


class _AtPlace:
    """A place of a filling, and all checks that a new part there would make."""

    def __init__(self, problem: Problem, filling: Filling, place: Place, spec: Specification) -> None:
        self._problem, self._filling, self._place = problem, filling, place
        self._windows = {(w.feature, w.dimension): w for w in spec.windows if w.need == NEEDED_SIZE and not w.is_empty}
        self._checks = problem.checks
        self._seats = Seats(problem.checks.catalogue, problem.places, place)
        self._joints = [_AtJoint(problem, filling, at, place, self._seats) for at in joints_at(problem, filling, place)]
        self._figures = list(figures_at(problem, filling, place))
        self._wishes = [w for w in problem.request.wants if place in w.places and w.dimension]
        self._demands = list(demands_on(problem, filling, place))
        self._of_terms: dict[object, Checked] = {}

    def judged(self) -> Iterator[_Judged]:
        """Each thing that may be put there, judged."""
        for seat in range(len(self._seats.numbers)):
            candidate = self._seats.candidate(seat)
            joints = [joint.checked(seat, candidate) for joint in self._joints]
            figures = [self._figure(at, candidate) for at in self._figures]
            yield _Judged(candidate, (*joints, *figures, *self._beside_checks(candidate)))

    def _figure(self, at: FigureAt, candidate: Candidate) -> Checked:
        checks, own = self._checks, [i for i, p in enumerate(at.places) if p == self._place]
        terms = [(i, checks.term(at, i, candidate)) for i in own]
        key = (at.figure.figure, at.side, tuple(terms), candidate.set_use)
        if key not in self._of_terms:
            as_made = checks.as_made_value(at, self._problem.vehicle)
            verdict = checks.figure(at, self._with(candidate), as_made).verdict
            lacks = [
                FeatureSize(at.figure.terms[i].feature, at.figure.terms[i].dimension) for i, t in terms if t.missing
            ]
            self._of_terms[key] = Checked(at.figure.figure, self._place, verdict, tuple(dict.fromkeys(lacks)))
        return self._of_terms[key]

    def _with(self, candidate: Candidate) -> dict[Place, Candidate]:
        return {**self._filling.chosen, self._place: candidate}

    def _beside_checks(self, candidate: Candidate) -> Iterator[Checked]:
        """What is asked beside the layout's checks: by the user, and by what the plan leaves empty or fills."""
        features = self._checks.catalogue.features_of(candidate.thing)
        for wish in self._wishes:
            yield Checked(_asked_as(wish), self._place, _wish(wish, features))
        for demand in self._demands:
            presence = presence_of(features.get(demand.feature))
            is_there = {"absent": False, "contested": None}.get(presence, True)
            if presence == "not recorded" and not demand.there:
                is_there = None
            verdict = Verdict.NOT_KNOWN if is_there is None else Verdict.DOES_NOT_FIT
            verdict = Verdict.FITS if is_there is demand.there else verdict
            yield Checked(f"{demand.position}: {demand.feature}", self._place, verdict)

    def noes(self, one: _Judged) -> Iterator[_No | None]:
        """The conditions that a candidate does not meet; None: something that is no limit of a size."""
        failing = [c for c in one.checks if c.verdict.is_no]
        if len(failing) > MOST_FAILING:
            yield None
            return
        names = {c.check for c in failing}
        evidence: list[Evidence] = []
        for joint in self._joints:
            if joint.at.joint.joint in names:
                ends = joint.at.in_order(self._place, one.candidate, joint.other)
                evidence.append(joint_evidence(self._checks, joint.at, *ends))
        for at in self._figures:
            if at.figure.figure in names:
                chosen = self._with(one.candidate)
                there = {p: chosen.get(p) for p in at.places}
                evidence.append(figure_evidence(self._checks, at, there, self._problem.vehicle))
        wishes = [no for wish in self._wishes if _asked_as(wish) in names for no in self._unmet(wish, one.candidate)]
        if len(evidence) + len(wishes) < len(names):
            yield None
        yield from wishes
        for of in evidence:
            lines = [line for line in of.lines if line.state == "no"]
            for line in lines:
                own = _own_sizes(line, one.candidate)
                yield _No.by(of.check, line, own, self._beyond(one.candidate, own))
            if not lines:
                yield None

    def _unmet(self, wish: Wanted, candidate: Candidate) -> Iterator[_No]:
        """A size that is asked for and is another, and by how much."""
        features = self._checks.catalogue.features_of(candidate.thing)
        for name in sorted(features):
            if wish.feature in ("", name) and wish.dimension in features[name].dimensions:
                size = FeatureSize(name, wish.dimension)
                found = self._by_how_much(candidate, size, wish.low, wish.high)
                vocabulary = self._checks.catalogue.vocabulary
                unit = vocabulary.shown_unit(vocabulary.kinds[features[name].kind], wish.dimension)
                share = 1.0 if found is None else abs(found) / max(abs(wish.low or 0.0), abs(wish.high or 0.0), 1e-9)
                yield _No(_asked_as(wish), _asked_as(wish), frozenset({size}), found, unit, share)
                return

    def _beyond(self, candidate: Candidate, own: frozenset[FeatureSize]) -> tuple[float, str] | None:
        """By how much the one size of a part lies beyond the window that is asked of it (below: negative), and its
        unit; None where it does not, or the window is of several."""
        size = next(iter(own)) if len(own) == 1 else None
        window = self._windows.get((size.feature, size.dimension)) if size is not None else None
        if size is None or window is None:
            return None
        low, high = (None if end is None else end.value for end in (window.low, window.high))
        found = self._by_how_much(candidate, size, low, high)
        return None if found is None else (found, window.unit)

    def _by_how_much(
        self, candidate: Candidate, size: FeatureSize, low: float | None, high: float | None
    ) -> float | None:
        """By how much all that is said of a size lies above ``high``, or below ``low`` (negative); else None."""
        feature = self._checks.catalogue.features_of(candidate.thing).get(size.feature)
        known = known_of(feature.dimensions.get(size.dimension, ())).sizes if feature else ()
        ends = [end for k in known for end in (k.low, k.high) if end is not None]
        if not known or len(ends) < 2 * len(known):
            return None
        if low is not None and max(ends) < low:
            return round(max(ends) - low, 6)
        return round(min(ends) - high, 6) if high is not None and min(ends) > high else None


def _asked_as(wish: Wanted) -> str:
    """The name of the check that a wish is."""
    return f"{ASKED}: {wish.text}"


def _own_sizes(line: Line, candidate: Candidate) -> frozenset[FeatureSize]:
    """The candidate's own sizes in a line."""
    values = (v for v in line.values if v.of == candidate.thing and v.computes and v.written != "absent")
    return frozenset(v.dimension for v in values)


class _AtJoint:
    """A joint of a place: of each interface class there the verdict beside what stands at the other end."""

    def __init__(self, problem: Problem, filling: Filling, at: JointAt, place: Place, seats: Seats) -> None:
        checks, here = problem.checks, at.end_at(place)
        there = at.beyond(here)
        self.at, self.other = at, filling.chosen[there.place]
        self._checks, self._place = checks, place
        self._rule = checks.rule_of(at)
        self._end = End(checks, seats, at, here.number)
        role = self._rule.ends[there.number]
        beside = interface_of(
            checks.feature_at(role, self.other.thing, there.feature), dimensions_of(self._rule, role.role)
        )
        self._feature, self._by_name = here.feature, checks.is_by_name(at)
        self._judged: dict[int, Judged] = {}
        for judged, mask in VerdictRows(self._rule, there.number, self._end.interfaces).of(beside):
            self._judged |= dict.fromkeys(bits_of(mask), judged)
        kept = at.in_order(place, False, self.other.stays)
        self._weighing = Weighing(safety_critical=checks.is_safety_critical(at), kept=kept)
        self._known: dict[tuple[int, bool], Checked] = {}

    def checked(self, seat: int, candidate: Candidate) -> Checked:
        """The verdict on what has a seat; that of its interface class, unless its set states the joint as made."""
        number = self._end.classes[seat]
        ends = self.at.in_order(self._place, candidate, self.other)
        stated = candidate.set_use is not None and self._checks.states_joint(self.at, *ends)
        key = number, stated
        if key not in self._known:
            weighing = msgspec.structs.replace(self._weighing, stated=stated)
            verdict = verdict_of(self._judged[number], weighing)
            is_open = verdict is Verdict.NOT_KNOWN
            lacks = self._lacks(self._end.interfaces[number]) if is_open else ()
            self._known[key] = Checked(self.at.joint.joint, self._place, verdict, lacks, self._by_name)
        return self._known[key]

    def _lacks(self, interface: Interface) -> tuple[FeatureSize, ...]:
        """The required sizes that an interface does not have; the feature alone where nothing of it is recorded."""
        if interface.presence == "not recorded":
            return (FeatureSize(self._feature, ""),)
        role = self._rule.ends[self.at.end_at(self._place).number].role
        needed = dimensions_of(self._rule, role, NEEDED)
        known: dict[str, Known] = dict(zip(self._end.dimensions, interface.known, strict=True))
        lacking = (column_of(d) for d in needed if not known[d].sizes)
        return tuple(FeatureSize(self._feature, d) for d in dict.fromkeys(lacking))


def _wish(wish: Wanted, features: Mapping[str, Feature]) -> Verdict:
    """Whether a thing has a size that is asked for."""
    if wish.is_met_by(features):
        return Verdict.FITS
    sizes = [
        size
        for f in features.values()
        if (not wish.feature or f.name == wish.feature) and wish.dimension in f.dimensions
        for size in known_of(f.dimensions[wish.dimension]).sizes
    ]
    outside = [
        (size.code != wish.code)
        if wish.code
        else (wish.low is not None and size.high is not None and size.high < wish.low - EPSILON)
        or (wish.high is not None and size.low is not None and size.low > wish.high + EPSILON)
        for size in sizes
    ]
    return Verdict.DOES_NOT_FIT if outside and all(outside) else Verdict.NOT_KNOWN


# ---- the one limit that is missed


class _No(msgspec.Struct, frozen=True):
    """A condition that a part does not meet, the part's own sizes in it, and by how much: of its own size, else of the
    whole sum (below: negative; None: no amount); ``share``: how large that is beside the size."""

    check: str
    condition: str
    own: frozenset[FeatureSize]
    amount: float | None
    unit: str
    share: float
    says: str = ""

    @classmethod
    def by(cls, check: str, line: Line, own: frozenset[FeatureSize], beyond: tuple[float, str] | None) -> _No:
        """Of a line of evidence; ``beyond``: by how much the one size lies beyond what is asked of it, with its
        unit."""
        amount, unit = beyond or (line.margin, line.unit)
        if beyond is None and amount is not None:
            is_over = line.low is not None and line.window_high is not None and line.low > line.window_high
            amount = abs(amount) if is_over else -abs(amount)
        sizes = [abs(v.low) for v in line.values if v.low is not None]
        share = abs(amount) / max(sizes) if amount is not None and sizes and max(sizes) else 1.0
        return cls(check, line.label, own, amount, unit, share, line.says)

    @property
    def end(self) -> str:
        """Which end of the window is missed; of no amount neither."""
        return "" if self.amount is None else "over" if self.amount > 0 else "under"


def _missed(noes: Iterable[_No | None]) -> tuple[float, Miss] | None:
    """The one limit behind all that a part does not meet, with the share of the size by which it misses it; None:
    there are several, or it is none of a size. What several sizes decide together is behind none of them."""
    found: list[_No] = []
    for no in noes:
        if no is None or not no.own:
            return None
        found.append(no)
    single = [no for no in found if len(no.own) == 1]
    ends = {(*no.own, no.end) for no in single}
    if not found or len(ends) > 1:
        return None
    if single:
        size, _ = next(iter(ends))
        if any(size not in no.own for no in found):
            return None
    elif len({(no.check, no.condition, no.end) for no in found}) > 1:
        return None
    no = max(single or found, key=lambda n: abs(n.amount or 0.0))
    by = None if no.amount is None else round(abs(no.amount), 6)
    return no.share, Miss(no.check, no.condition, tuple(sorted(no.own)), by, no.unit, no.end == "over", no.says)
