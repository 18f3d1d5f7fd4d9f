"""A planning problem: the candidates of a layout, numbered, and what is asked of them."""

from __future__ import annotations

from collections.abc import Mapping, Set
from copy import copy
from functools import cached_property

from knockon.graph.model.layouts.layout import FigureAt, JointAt, Place, Places, others_than
from knockon.graph.model.things import Fitting, Vehicle
from knockon.queries.fits.checking.candidates import Candidate, candidates_of, yet_to_be_found
from knockon.queries.fits.checking.checks import Checks
from knockon.queries.fits.checking.standing import arrangements_of, is_recorded
from knockon.queries.plan.solving.offered import Offered
from knockon.queries.plan.solving.request import Request, Wanted


class Problem:
    """One request on one vehicle (or on a bare layout), with every candidate numbered and every check judged."""

    candidates: dict[Place, tuple[Candidate, ...]]
    every: Mapping[Place, tuple[Candidate, ...]]
    """Those of the whole problem, where this is a part of it."""
    found: Mapping[Place, Fitting]
    perhaps: Mapping[Place, Fitting]
    """Places that hold something not recorded if the vehicle has an arrangement that nothing tells of."""
    written: object | None = None
    """What was written of it as facts (``facts.written_of``), and is not written anew."""

    def __init__(
        self,
        checks: Checks,
        vehicle: Vehicle | None,
        request: Request,
        kit: Mapping[str, int] | None = None,
        sought: frozenset[str] = frozenset(),
    ) -> None:
        """``sought``: positions in which a part yet to be found may stand though parts for them are recorded."""
        self.checks, self.vehicle, self.request = checks, vehicle, request
        self.kit: Mapping[str, int] = kit or {}
        self.sought = sought
        catalogue, places = self.checks.catalogue, self.checks.places
        every, now = candidates_of(catalogue, places, self.vehicle)
        self.found, self.perhaps = now.found, now.perhaps
        asked = {*self.kit, *(n for w in self.request.wants for n in w.numbers)}
        not_accepted = {n for n, p in catalogue.parts.items() if p.not_accepted}
        refused = not_accepted - asked
        accepted = {p: tuple(c for c in cs if c.stays or c.number not in refused) for p, cs in every.items()}
        avoid = set(self.request.avoid)
        self.candidates = {p: tuple(c for c in cs if c.stays or c.number not in avoid) for p, cs in accepted.items()}
        known = {p.position for p, cs in every.items() for c in cs if not c.stays and c.number not in not_accepted}
        for place in places.all:
            position = places.positions[place.position]
            if (position.need != "optional" and place.position not in known) or place.position in self.sought:
                self.candidates[place] += (yet_to_be_found(place, position.part_type),)
        self.every = self.candidates

    def only(self, numbers: Set[int]) -> Problem:
        """The same problem with only these candidates, under the numbers that they have in the whole."""
        ids = self.ids
        part = copy(self)
        part.candidates = {p: tuple(c for c in cs if ids[c] in numbers) for p, cs in self.candidates.items()}
        part.ids = {c: i for c, i in ids.items() if i in numbers}
        return part

    @property
    def places(self) -> Places:
        """The places of the layout."""
        return self.checks.places

    @cached_property
    def place_ids(self) -> dict[Place, int]:
        """Places, numbered in the layout's order."""
        return {p: i for i, p in enumerate(self.places.all)}

    @cached_property
    def numbered(self) -> tuple[Candidate, ...]:
        """Candidates, numbered in the order of places."""
        return tuple(c for p in self.places.all for c in self.candidates[p])

    @cached_property
    def ids(self) -> dict[Candidate, int]:
        """The number of each candidate."""
        return {c: i for i, c in enumerate(self.numbered)}

    @cached_property
    def of_set(self) -> dict[tuple[str, str], dict[Place, Candidate]]:
        """The members of each set as it may be used, by place."""
        found: dict[tuple[str, str], dict[Place, Candidate]] = {}
        for candidate in self.numbered:
            if candidate.set_use is not None:
                found.setdefault(candidate.set_use, {})[candidate.place] = candidate
        return found

    @cached_property
    def offered(self) -> Offered:
        """What can be bought."""
        return Offered.by(self.checks.catalogue, self.request.avoid)

    @cached_property
    def arranged(self) -> tuple[str, ...]:
        """The arrangements that the vehicle has, in the order of their choices; none of a choice that nothing tells."""
        own = arrangements_of(self.vehicle, self.places) if self.vehicle else frozenset()
        return tuple(a for a in self.places.layout.arrangements if a in own)

    def old_parts(self, place: Place) -> int:
        """How many parts are found in a place, to be handed in when they leave; none where nothing is recorded."""
        fitting = self.found.get(place)
        return self.places.positions[place.position].quantity if fitting is not None and is_recorded(fitting) else 0

    def is_one_use(self, place: Place) -> bool:
        """Whether what is found in a place must be renewed once disturbed."""
        candidate = self.staying(place)
        numbers = candidate.numbers if candidate else ()
        parts = [self.checks.catalogue.parts[n] for n in numbers if n in self.checks.catalogue.parts]
        own = [p.one_use for p in parts if p.part_type != "set"] or [p.one_use for p in parts]
        return any(own)

    def is_due(self, place: Place) -> bool:
        """Whether what is found there is due, or asked to be renewed."""
        fitting = self.found.get(place) or self.perhaps.get(place)
        return fitting is not None and (fitting.condition == "due" or place in self.request.renew)

    def keeps_number(self, candidate: Candidate) -> bool:
        """Whether it is what is there, or the same again."""
        old = self.staying(candidate.place)
        return old is not None and (candidate.stays or candidate.number == old.number)

    def by_its_own_number(self, place: Place) -> tuple[Candidate, ...]:
        """The new things in a place that have the number of what is there."""
        old = self.staying(place)
        return tuple(c for c in self.candidates[place] if not c.stays and old is not None and c.number == old.number)

    def are_renewed_together(self, place: Place) -> bool:
        """Whether a due thing is renewed by its own number exactly where that of the other hand is, under the axle
        rule: its own number stands on one hand, or its mirror, only if its like stands on the other, what is due never
        stays, and of either hand the things that are alike are those with its own number."""
        other = place.other_hand
        if not place.side or other not in self.candidates or not (self.is_due(place) and self.is_due(other)):
            return False
        here, there = self.by_its_own_number(place), self.by_its_own_number(other)
        keys = {c.alike for c in (*here, *there)}
        return len(keys) == 1 and all(
            {c for c in self.candidates[p] if not c.stays and c.alike in keys} == set(own)
            for p, own in ((place, here), (other, there))
        )

    @cached_property
    def _as_found(self) -> dict[Place, Candidate]:
        return {c.place: c for c in reversed(self.numbered) if c.stays and not c.work}

    def staying(self, place: Place) -> Candidate | None:
        """What is in the place now, as a candidate."""
        return self._as_found.get(place)

    @cached_property
    def joint_ids(self) -> dict[int, JointAt]:
        """Joints, numbered in the layout's order."""
        return dict(enumerate(self.places.joints))

    @cached_property
    def figure_ids(self) -> dict[int, FigureAt]:
        """Figures that are judged, numbered after the joints."""
        return dict(enumerate(self.places.figures, len(self.joint_ids)))

    @cached_property
    def told_ids(self) -> dict[int, FigureAt]:
        """Figures that are told only, numbered after those that are judged."""
        return dict(enumerate(self.places.told, len(self.joint_ids) + len(self.figure_ids)))

    @cached_property
    def sorts(self) -> dict[str, str]:
        """Sorts of check: atom text -> name of the joint or figure."""
        names = [j.joint.joint for j in self.places.joints] + [f.figure.figure for f in self.places.figures]
        return {f"s{i}": name for i, name in enumerate(dict.fromkeys(names))}

    @cached_property
    def sort_of(self) -> dict[str, str]:
        """Name of the joint or figure -> atom text."""
        return {name: atom for atom, name in self.sorts.items()}

    def counts_first(self, at: JointAt, first: Candidate, second: Candidate) -> bool:
        """Whether a joint on two candidates is not known without even a claim. Where one of them is something not
        recorded, only if it were so with every part that may be put there: to leave it must cost nothing extra."""
        if not self.checks.joint(at, first, second).counts_first:
            return False
        for end, blank in enumerate((first, second)):
            if not blank.recorded:
                pairs = ((first, c) if end else (c, second) for c in self.every[blank.place] if c.recorded)
                results = [self.checks.joint(at, *pair) for pair in pairs]
                return all(r.verdict.is_no or r.counts_first for r in results)
        return True

    @cached_property
    def in_the_way(self) -> Mapping[tuple[Place, Place], frozenset[str]]:
        """(what must come off, what is reached then), as the layout says of the vehicle as it is, with the joints that
        stay made meanwhile."""
        found: dict[tuple[Place, Place], frozenset[str]] = {}
        now = arrangements_of(self.vehicle, self.places) if self.vehicle else frozenset()
        for row in self.places.layout.in_the_way if self.vehicle else ():
            if row.slackened or others_than(self.places.layout, row.arrangement) & now:
                continue
            for reached in self.places.seen_from(row.in_the_way_of, ""):
                for off in self.places.seen_from(row.position, reached.side):
                    if off in self.found or off in self.perhaps:
                        found[(off, reached)] = found.get((off, reached), frozenset(row.leaves)) & set(row.leaves)
        return found

    def grants(self, wanted: Wanted, candidate: Candidate) -> bool:
        """Whether a candidate is what a wish asks for."""
        if not wanted.dimension:
            return candidate.number in wanted.numbers
        if candidate.to_be_found and candidate.place.position in self.sought:
            return True  # the wish is a part of what it would have to be
        return wanted.is_met_by(self.checks.catalogue.features_of(candidate.thing))
