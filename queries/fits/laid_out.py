"""Some parts laid into a layout, with a vehicle's things in its other places: what can be judged there, what cannot."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterator, Mapping
from functools import cached_property
from itertools import product

import msgspec

from knockon.graph.judge.beliefs import presence_of
from knockon.graph.judge.verdicts import SEVERITY
from knockon.graph.model.layouts.layout import FigureAt, JointAt, Place, fitted, unread
from knockon.graph.model.layouts.mechanism import Layout
from knockon.graph.model.things import SIDES, Vehicle
from knockon.queries.fits.checking.candidates import Candidate, new_parts, staying
from knockon.queries.fits.checking.checks import Checks
from knockon.queries.fits.checking.evidence import Evidence
from knockon.queries.fits.checking.figure_evidence import figure_evidence
from knockon.queries.fits.checking.joint_evidence import joint_evidence
from knockon.queries.fits.checking.size_names import SizeOf
from knockon.queries.fits.left_out import Beside, beside


class NotJudged(msgspec.Struct, frozen=True):
    """A stack or figure that needs more than was given: the positions, and the sizes that the given parts do not
    have. ``given`` are the parts at hand that it takes."""

    figure: str
    needs: tuple[str, ...]
    not_recorded: tuple[str, ...]
    given: tuple[str, ...] = ()


def worse(one: Evidence | None, other: Evidence) -> Evidence:
    """The worse of two verdicts on one check."""
    return other if one is None or SEVERITY[other.verdict] > SEVERITY[one.verdict] else one


def may_hold(layout: Layout, shown: Collection[str], others: Collection[str]) -> set[str]:
    """The arrangements that may hold: of each choice those that are shown, where none is those among ``others``."""
    found: set[str] = set()
    for choice in layout.choices:
        own = set(choice.arrangements)
        found |= own & set(shown) or own & set(others)
    return found


class LaidOut:
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
        self.arrangements = may_hold(layout, held, layout.arrangements)

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
        """Every joint of a given part, judged."""
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
        """Judge a stack or figure in which a given part takes part, or note what it lacks."""
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
            judged[at.figure.figure] = worse(judged.get(at.figure.figure), evidence)
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
