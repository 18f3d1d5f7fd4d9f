"""Do these parts go together? The joints between them, and with more parts or a vehicle also the stacks and figures."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterator, Mapping, Sequence
from functools import cached_property
from itertools import product

import msgspec

from knockon.graph.judge.beliefs import presence_of
from knockon.graph.judge.verdicts import SEVERITY, Verdict
from knockon.graph.model.catalogue import Catalogue, UnknownNameError
from knockon.graph.model.findings import RecordsError
from knockon.graph.model.layouts.layout import FigureAt, JointAt, Place, Places, fitted, unread
from knockon.graph.model.nearest import nearest
from knockon.graph.model.things import SIDES, Layout, SetAside, Vehicle
from knockon.queries.answers import SHORT_CAUTIONS, Answer, cautions_with, short_cautions_on
from knockon.queries.as_typed import RequestError
from knockon.queries.fits.as_it_stands import wrong_now
from knockon.queries.fits.checking.candidates import Candidate, new_parts, staying
from knockon.queries.fits.checking.checks import Checks
from knockon.queries.fits.checking.evidence import Evidence
from knockon.queries.fits.checking.figure_evidence import figure_evidence, said_if_together
from knockon.queries.fits.checking.joint_evidence import joint_evidence
from knockon.queries.fits.checking.size_names import SizeOf
from knockon.queries.fits.lacking import Lacking, lacking, lacking_told
from knockon.queries.fits.left_out import Beside, Vacancy, beside, empty_places, vacancies
from knockon.queries.fits.number_chains import Step, chain_of
from knockon.queries.fits.skipped import between, is_of_set, told, touching


class NotJudged(msgspec.Struct, frozen=True):
    """A stack or figure that needs more than was given: the positions, and the sizes that the given parts do not
    have. ``given`` are the parts at hand that it takes."""

    figure: str
    needs: tuple[str, ...]
    not_recorded: tuple[str, ...]
    given: tuple[str, ...] = ()


class FitsAnswer(Answer, frozen=True):
    """The verdict on some parts. ``verdict`` is None where they do not meet anywhere; ``hint`` then says what was
    seen. ``set_aside``: rows of the layout that touch these parts and could not be used; with one that may stand
    between them the verdict is not known at best. ``left_out``: needed positions between these parts of which nothing
    is said; with one of them the verdict is not known at best. ``empty``: needed positions beside these parts that were
    to be judged as empty, which is a no. ``superseded``: what is claimed to have taken these numbers' place.
    ``lacks_checks``: usual checks of these parts that a layout in which they stand lacks. ``wrong``: joints and figures
    that are a no on the vehicle as it stands, whatever the given parts are."""

    parts: tuple[str, ...]
    names: tuple[str, ...]
    on: str
    verdict: Verdict | None
    joints: tuple[Evidence, ...]
    figures: tuple[Evidence, ...]
    not_judged: tuple[NotJudged, ...]
    hint: str = ""
    cautions: tuple[str, ...] = SHORT_CAUTIONS
    set_aside: tuple[SetAside, ...] = ()
    superseded: tuple[Step, ...] = ()
    left_out: tuple[Vacancy, ...] = ()
    empty: tuple[Vacancy, ...] = ()
    lacks_checks: tuple[Lacking, ...] = ()
    wrong: tuple[Evidence, ...] = ()


def judge_parts(
    catalogue: Catalogue, numbers: Sequence[str], at: str = "", on: str = "", empty: Sequence[str] = ()
) -> FitsAnswer:
    """Judge parts against each other; ``at`` names one joint, ``on`` a vehicle that fills the other positions,
    ``empty`` positions in which nothing stands.

    Raises UnknownNameError for a part, joint, vehicle or position that the records do not hold, RecordsError where they
    name no joints at all, RequestError where a part can only stand in a position that is to be empty.
    """
    parts = [catalogue.find("part", n) for n in numbers]
    vehicle: Vehicle | None = catalogue.find("vehicle", on) if on else None
    layouts = [catalogue.layouts[vehicle.layout]] if vehicle else list(catalogue.layouts.values())
    if not any(layout.joints for layout in layouts) and not any(r.kind == "joint" for r in catalogue.set_aside):
        raise RecordsError("no layout of these records has joints (joints.csv), so nothing can be judged")
    if at:
        _find_joint(catalogue, at)
    joints: dict[str, Evidence] = {}
    figures: dict[str, Evidence] = {}
    open_figures: dict[str, NotJudged] = {}
    given: set[str] = set()
    standing: set[str] = set()
    tables = _tables(catalogue, layouts, [p.part for p in parts], vehicle, empty)
    for table in tables:
        given |= {p.position for p in table.given}
        standing |= {p.position for p in (*table.given, *table.rest)}
        for evidence in table.joints():
            if not at or evidence.check.casefold() == at.casefold():
                joints[evidence.check] = _worse(joints.get(evidence.check), evidence)
        if not at:
            for figure in table.checks.places.figures:
                table.figure(figure, figures, open_figures)
    checks = (*joints.values(), *figures.values())
    # what one part says of itself is no answer about several, unless it is a no
    found = [e.verdict for e in checks] if any(_about_several(e) or e.verdict.is_no for e in checks) else []
    aside = touching(catalogue, layouts, given, {p.part_type for p in parts}, on)
    aside = tuple(r for r in aside if not at or r.name.casefold() in ("", at.casefold()))
    aside = tuple(sorted(aside, key=lambda r: not between(r, layouts, standing)))
    meet = bool(checks) or not {"left", "right"} <= {p.hand for p in parts}
    given_sets = {p.part for p in parts}
    if meet and any(between(r, layouts, standing) or is_of_set(r, given_sets) for r in aside):
        found.append(Verdict.NOT_KNOWN)
    left_out, emptied = _vacant(tables, Counter(p.part for p in parts)) if not at else ((), ())
    found += [Verdict.NOT_KNOWN] if left_out else []
    found += [Verdict.DO_NOT_USE] if emptied else []
    verdict = max(found, key=SEVERITY.__getitem__) if found else None
    lacks = _lacking(catalogue, tables)
    return FitsAnswer(
        parts=tuple(p.part for p in parts),
        names=tuple(p.name for p in parts),
        on=on,
        verdict=verdict,
        joints=tuple(joints.values()),
        figures=tuple(said_if_together(f, joints.values()) for f in figures.values()),
        not_judged=tuple(n for f, n in open_figures.items() if f not in figures),
        hint="" if found else _hint(layouts, [p.hand for p in parts], at),
        cautions=(
            *cautions_with(catalogue, (p.part for p in parts), short_cautions_on(catalogue, layouts or None)),
            *told(aside),
            *lacking_told(lacks),
        ),
        set_aside=aside,
        left_out=left_out,
        empty=emptied,
        lacks_checks=lacks,
        wrong=wrong_now(tables[0].checks, vehicle) if vehicle else (),
        superseded=tuple(s for p in parts for s in chain_of(catalogue, p.part).newer if s.part == p.part),
    )


def _lacking(catalogue: Catalogue, tables: Sequence[_Table]) -> tuple[Lacking, ...]:
    """The usual checks in which one of the given parts takes part, by layout."""
    return tuple(
        one for t in tables for one in lacking(catalogue, [t.checks.places.layout], {p.position for p in t.given})
    )


def _tables(
    catalogue: Catalogue, layouts: Sequence[Layout], numbers: list[str], vehicle: Vehicle | None, empty: Sequence[str]
) -> list[_Table]:
    """The parts laid into each layout."""
    places = [Places(layout) for layout in layouts]
    vacant = empty_places(places, empty)
    tables = [_Table(Checks(catalogue, p), numbers, vehicle, vacant[p.layout.layout]) for p in places]
    nowhere = {n for t in tables for n in t.displaced} - {
        c.number for t in tables for held in t.given.values() for c in held
    }
    if nowhere:
        number = min(nowhere)
        raise RequestError(f"{number} stands in a position that is to be empty. Leave out {number}, or --empty")
    return tables


def _vacant(tables: Sequence[_Table], given: Counter[str]) -> tuple[tuple[Vacancy, ...], tuple[Vacancy, ...]]:
    """(left out, left empty on purpose): of the layouts in which most of the given parts can stand."""
    most = max(len({c.number for held in t.given.values() for c in held}) for t in tables)
    left_out: dict[Vacancy, None] = {}
    emptied: dict[Vacancy, None] = {}
    for table in tables:
        if most and len({c.number for held in table.given.values() for c in held}) == most:
            places = table.checks.places
            left_out |= dict.fromkeys(vacancies(places, table.left_out(given), table.vacant))
            emptied |= dict.fromkeys(vacancies(places, table.emptied(), table.empty))
    return tuple(left_out), tuple(emptied)


def not_recorded(catalogue: Catalogue, vehicle: Vehicle) -> tuple[Place, ...]:
    """The needed places of a vehicle's own arrangement in which nothing is recorded."""
    table = _Table(Checks(catalogue, Places(catalogue.layouts[vehicle.layout])), [], vehicle)
    table.arrangements = _may_hold(table.checks.places.layout, vehicle.arrangements, table.arrangements)
    return tuple(p for p in table.vacant if table.called_for(p))


def _about_several(evidence: Evidence) -> bool:
    """Whether more than one numbered thing takes part in a check."""
    if evidence.kind == "joint":
        return evidence.first != evidence.second
    return len(evidence.numbers) > 1


def _find_joint(catalogue: Catalogue, name: str) -> None:
    aside = {r.name for r in catalogue.set_aside if r.kind == "joint" and r.name}
    names = sorted({j.joint for layout in catalogue.layouts.values() for j in layout.joints} | aside)
    if name.casefold() not in {n.casefold() for n in names}:
        ends = [(j.joint, e) for layout in catalogue.layouts.values() for j in layout.joints for _, e, _ in j.ends]
        by_feature = dict.fromkeys(joint for joint, feature in ends if name.casefold() in feature.casefold())
        raise UnknownNameError("joint", name, tuple(by_feature)[:3] or nearest(name, names))


def _worse(one: Evidence | None, other: Evidence) -> Evidence:
    return other if one is None or SEVERITY[other.verdict] > SEVERITY[one.verdict] else one


def _hint(layouts: Sequence[Layout], hands: list[str], at: str) -> str:
    if {"left", "right"} <= set(hands):
        return "one is for the left and one for the right"
    if at:
        joint = next((j for layout in layouts for j in layout.joints if j.joint.casefold() == at.casefold()), None)
        if joint is None:
            return f"the records' row of {at} was skipped"
        return f"{joint.joint} is between the {joint.position} and the {joint.other_position}"
    return "no joint of any layout has both of them"


def _may_hold(layout: Layout, shown: Collection[str], others: Collection[str]) -> set[str]:
    """The arrangements that may hold: of each choice those that are shown, where none is those among ``others``."""
    found: set[str] = set()
    for choice in layout.choices:
        own = set(choice.arrangements)
        found |= own & set(shown) or own & set(others)
    return found


class _Table:
    """The given parts laid into a layout, the vehicle's things in the other places, nothing in the ``empty`` ones."""

    def __init__(
        self, checks: Checks, numbers: list[str], vehicle: Vehicle | None, empty: frozenset[Place] = frozenset()
    ) -> None:
        self.checks, self.vehicle, self.empty = checks, vehicle, empty
        self.given: dict[Place, list[Candidate]] = {}
        self.displaced: set[str] = set()  # given parts that could stand where nothing is to stand
        for place in checks.places.all:
            found = list(new_parts(checks.catalogue, checks.places, place, numbers))
            if place in empty:
                self.displaced |= {c.number for c in found}
            elif found:
                self.given[place] = sorted(found, key=lambda c: numbers.index(c.number))
        now = fitted(vehicle, checks.places) if vehicle else {}
        now = {p: f for p, f in now.items() if p not in empty}
        self.unread = unread(vehicle, checks.places) if vehicle else frozenset[Place]()
        positions = checks.places.positions
        layout, asked = checks.places.layout, {positions[p.position].arrangement for p in self.given}
        for choice in layout.choices:
            own = asked & set(choice.arrangements)
            if len(own) == 1:  # the other arrangement's things leave when this one's are fitted
                leave = set(choice.arrangements) - own
                now = {p: f for p, f in now.items() if positions[p.position].arrangement not in leave}
        self.rest = {p: next(staying(checks.catalogue, p, f)) for p, f in now.items() if p not in self.given}
        held = {positions[p.position].arrangement for p in (*self.given, *self.rest)}
        self.arrangements = _may_hold(layout, held, layout.arrangements)

    def _is_idle(self, arrangement: str) -> bool:
        """Whether a check of this arrangement has nothing to say: another one stands here."""
        return bool(arrangement) and arrangement not in self.arrangements

    @cached_property
    def vacant(self) -> tuple[Place, ...]:
        """The places of which nothing is said. Without a vehicle a handed part fills both hands' places."""
        held = {p.position for p in self.given} if self.vehicle is None else set()
        places = self.checks.places.all
        return tuple(p for p in places if p.position not in held and p not in self.given and p not in self.rest)

    def left_out(self, given: Counter[str]) -> dict[Place, Beside]:
        """The needed places of which nothing is said, and that stand between the given parts.

        Two parts are judged by themselves. Of more, a place is left out that has joints, or is in a sum, with two of
        them. On a vehicle it holds something that is not recorded: one joint or figure with a given part is enough.
        """
        if self.vehicle is None and given.total() < 3:
            return {}
        found = {p: self._beside(p) for p in self.vacant if self.called_for(p)}
        least = 1 if self.vehicle else 2
        return {p: b for p, b in found.items() if b.parts(given) >= least}

    def emptied(self) -> dict[Place, Beside]:
        """The needed places that are to be empty, and that have a joint or a figure with a given part."""
        vacant = [p for p in self.checks.places.all if p in self.empty]
        found = {p: self._beside(p) for p in vacant if self._is_needed(p)}
        return {p: b for p, b in found.items() if b.given}

    def _beside(self, place: Place) -> Beside:
        places = self.checks.places
        numbers = {p: list(dict.fromkeys(c.number for c in held)) for p, held in self.given.items()}
        idle = [a for a in places.layout.arrangements if self._is_idle(a)]
        return beside(places, place, numbers, idle, formulas=self.vehicle is not None)

    def joints(self) -> Iterator[Evidence]:
        for at in self.checks.places.joints:
            if self._is_idle(at.joint.arrangement):
                continue
            firsts = self.given.get(at.first) or [c for c in [self.rest.get(at.first)] if c]
            seconds = self.given.get(at.second) or [c for c in [self.rest.get(at.second)] if c]
            for first in firsts:
                for second in seconds:
                    own_set = first.set_use is not None and first.set_use == second.set_use
                    same = first.number == second.number and not own_set
                    if not same and not (first.stays and second.stays):
                        yield joint_evidence(self.checks, at, first, second)
            yield from self._of_sets(at)

    def _of_sets(self, at: JointAt) -> Iterator[Evidence]:
        """A set is used whole: a member known to lack what its own joint needs is a no whatever stands on the
        other side."""
        for end in at.ends:
            place, other = end.place, at.beyond(end).place
            if other in self.given or other in self.rest:
                continue
            for member in (c for c in self.given.get(place, ()) if c.set_use is not None):
                recorded = self.checks.catalogue.features_of(member.thing).get(end.feature)
                partner = next(iter(new_parts(self.checks.catalogue, self.checks.places, other)), None)
                if presence_of(recorded) == "absent" and partner is not None:
                    yield joint_evidence(self.checks, at, *at.in_order(place, member, partner))

    def figure(self, at: FigureAt, judged: dict[str, Evidence], open_figures: dict[str, NotJudged]) -> None:
        if self._is_idle(at.figure.arrangement) or not any(p in self.given for p in at.places):
            return
        if self._stand_better_on_the_other_hand(at):
            return
        chosen = self._worst_choice(at)
        empty = [p for p in at.places if chosen[p] is None and self.called_for(p)]
        needs = tuple(dict.fromkeys(p.position for p in empty))
        if self.vehicle is None and at.figure.compared_with == "as made":
            needs += ("vehicle to compare with",)
        if not needs or (self.vehicle is not None and self._lacks_a_feature(at, chosen)):
            evidence = figure_evidence(self.checks, at, chosen, self.vehicle)
            judged[at.figure.figure] = _worse(judged.get(at.figure.figure), evidence)
            return
        missing = tuple(dict.fromkeys(self._not_recorded(at, chosen)))
        given = tuple(dict.fromkeys(c.number for p in at.places if p in self.given and (c := chosen[p]) is not None))
        open_figures.setdefault(at.figure.figure, NotJudged(at.figure.figure, needs, missing, given))

    def _worst_choice(self, at: FigureAt) -> dict[Place, Candidate | None]:
        """What stands in the figure's places: where several of the given parts may, the worst way to place them all.

        The order in which the parts were named must not decide, so each way counts in which all of them stand here.
        """
        places = tuple(dict.fromkeys(at.places))
        ways = [dict(zip(places, way, strict=True)) for way in product(*map(self._may_stand, places))]
        if len(ways) == 1:
            return ways[0]
        most = max(len({c.number for c in way.values() if c}) for way in ways)
        as_made = self.checks.as_made_value(at, self.vehicle)
        return max(
            (way for way in ways if len({c.number for c in way.values() if c}) == most),
            key=lambda way: SEVERITY[self.checks.figure(at, way, as_made).verdict],
        )

    def _may_stand(self, place: Place) -> list[Candidate | None]:
        return [*self.given[place]] if place in self.given else [self.rest.get(place)]

    def _stand_better_on_the_other_hand(self, at: FigureAt) -> bool:
        """Whether more of the given parts can stand in the figure's places on the other hand: this one would take a
        handed part's place for an empty one."""
        if not at.side:
            return False
        here, there = (
            sum(Place(p.position, side if p.side else "") in self.given for p in at.places)
            for side in (at.side, SIDES[at.side == SIDES[0]])
        )
        return here < there

    def _lacks_a_feature(self, at: FigureAt, chosen: Mapping[Place, Candidate | None]) -> bool:
        """Whether a term is on a feature that is known absent: a no, whatever stands where nothing is recorded."""
        terms = (self.checks.term(at, i, chosen[place]) for i, place in enumerate(at.places))
        return any(term.absent for term in terms)

    def _not_recorded(self, at: FigureAt, chosen: Mapping[Place, Candidate | None]) -> Iterator[str]:
        for i, (place, term) in enumerate(zip(at.places, at.figure.terms, strict=True)):
            candidate = chosen[place]
            if candidate is not None and self.checks.term(at, i, candidate).missing:
                yield SizeOf(candidate.thing, term.feature, term.dimension)

    def called_for(self, place: Place) -> bool:
        """Whether something must stand in a place, or may have to."""
        return place not in self.empty and self._is_needed(place)

    def _is_needed(self, place: Place) -> bool:
        position = self.checks.places.positions[place.position]
        if self._is_idle(position.arrangement):
            return False
        if place in self.unread:
            return True
        if position.need != "with":
            return position.need == "needed"
        partners = self.checks.places.seen_from(position.with_position, place.side)
        return any(self._calls_for(p, position.lacking_feature) for p in partners)

    def _calls_for(self, partner: Place, lacking_feature: str) -> bool:
        """Whether what stands in a place, or must, calls for what goes with it (where it lacks a feature, if named)."""
        if partner in self.empty:
            return False
        candidate = next(iter(self.given.get(partner, ())), self.rest.get(partner))
        if candidate is None:
            position = self.checks.places.positions[partner.position]
            return position.need == "needed" and not self._is_idle(position.arrangement)
        if not lacking_feature:
            return True
        return presence_of(self.checks.catalogue.features_of(candidate.thing).get(lacking_feature)) == "absent"
