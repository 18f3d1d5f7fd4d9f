"""What a part for one position of a plan has to be, and which recorded parts are that.

A request is planned as for a swap. Whatever the plan has in the position, its neighbours leave a window for each size
of what stands there: that is the specification (queries/plan/openings/). Recorded parts are held against it by their
sizes alone; what is only claimed of them is told apart.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Unpack

import msgspec
from msgspec.structs import replace

from knockon.graph.model.catalogue import Catalogue
from knockon.graph.model.layouts.layout import Place, Places, stands_in
from knockon.graph.model.things import Claim, SetAside, Vehicle
from knockon.queries.answers import SHORT_CAUTIONS, Answer, cautions_on
from knockon.queries.as_typed import find_places
from knockon.queries.fits.checking.candidates import Candidate
from knockon.queries.fits.checking.checks import Checks
from knockon.queries.fits.checking.claims import LISTED_FOR
from knockon.queries.fits.checking.evidence import Claimed
from knockon.queries.fits.lacking import Lacking, lacking, lacking_told
from knockon.queries.fits.meeting import Seats
from knockon.queries.fits.skipped import told, touching
from knockon.queries.plan.openings.recorded import MAY_MEET, MEETS, NEARLY, NO, Recorded, recorded_parts
from knockon.queries.plan.openings.specification import joints_at, of_places
from knockon.queries.plan.openings.specified import Specification
from knockon.queries.plan.solving.asked import Asked
from knockon.queries.plan.solving.narrowed import planner_of
from knockon.queries.plan.solving.patience import BEST_PLAN, Patience, TimeUp
from knockon.queries.plan.solving.planner import Filling
from knockon.queries.plan.solving.problem import Problem
from knockon.queries.plan.solving.request import Request, TypedRequest, asked_of
from knockon.queries.plan.solving.undecided import BEST, PLAN, NotDecided, Undecided

KEEPS, FITS_NEW, LEAVES_EMPTY, EMPTIES, TO_FIND, NOT_RECORDED = (
    "keeps",
    "fits",
    "leaves empty",
    "empties",
    "needs one yet to be found",
    "keeps something not recorded",
)
"""What a plan does with a place: keeps what is there, fits another, leaves it empty, takes away what is there ..."""


class Here(msgspec.Struct, frozen=True):
    """What the plan has in a place: what it does there, and the number (blank: none). ``of_set``: it is a member of a
    set, the others of which stay beside. ``stands``: the place is in the arrangement of the plan."""

    place: Place
    does: str
    number: str = ""
    of_set: bool = False
    stands: bool = True


class ClaimedPart(msgspec.Struct, frozen=True):
    """A recorded part of which it is claimed that it belongs here: with what stands beside it, for the vehicle, or as
    the same part as the plan's; and how its own sizes come out."""

    number: str
    name: str
    claims: tuple[Claimed, ...]
    outcome: str


class NeedsAnswer(Answer, frozen=True):
    """What a part in ``places`` has to be, given all other parts of the plan, and the recorded parts by that.

    ``planned``: there is a plan of known parts; else ``opens``: there is one with a part yet to be found here, and the
    specification is that part's. ``meets``, ``may_meet``, ``nearly``: recorded parts by their sizes; ``others``: how
    many do not meet it otherwise. ``claimed``: what is claimed without sizes. ``quantity``: how many go into all
    ``places``.
    """

    vehicle: str
    title: str
    position: str
    part_type: str
    places: tuple[Place, ...]
    asked: tuple[Asked, ...]
    planned: bool = False
    opens: bool = False
    here: tuple[Here, ...] = ()
    specifications: tuple[Specification, ...] = ()
    meets: tuple[Recorded, ...] = ()
    may_meet: tuple[Recorded, ...] = ()
    nearly: tuple[Recorded, ...] = ()
    others: int = 0
    claimed: tuple[ClaimedPart, ...] = ()
    quantity: int = 0
    set_aside: tuple[SetAside, ...] = ()
    lacks_checks: tuple[Lacking, ...] = ()
    not_decided: tuple[NotDecided, ...] = ()
    cautions: tuple[str, ...] = SHORT_CAUTIONS

    @property
    def is_answered(self) -> bool:
        """Whether there is a plan, a part can meet what it asks here, and all of that could be said."""
        specified = self.specifications
        return bool(specified) and all(s.is_possible and s.is_whole for s in specified)


def needs(
    catalogue: Catalogue,
    vehicle_name: str,
    position: str,
    *,
    patience: Patience | None = None,
    **typed: Unpack[TypedRequest],
) -> NeedsAnswer:
    """What a part for a position (``hub nut``: both sides; ``left hub nut``) has to be in the best plan of a request.

    Lengths in mm. Raises RequestError, or UnknownNameError where the vehicle or the position is not known.
    """
    vehicle, _, request = asked_of(catalogue, vehicle_name, typed)
    return plan_needs(catalogue, vehicle.vehicle, request, position, patience)


def plan_needs(
    catalogue: Catalogue, vehicle_name: str, request: Request, position: str, patience: Patience | None = None
) -> NeedsAnswer:
    """The same of a request that is read already. Raises UnknownNameError."""
    vehicle: Vehicle = catalogue.find("vehicle", vehicle_name)
    places = Places(catalogue.find("layout", vehicle.layout))
    return _Asking(catalogue, vehicle, places, request, find_places(places, position)).answer(patience or Patience())


class _Asking(msgspec.Struct, frozen=True):
    """A question on the way: of which places of which vehicle, in the plan of which request."""

    catalogue: Catalogue
    vehicle: Vehicle
    places: Places
    request: Request
    asked: tuple[Place, ...]

    def answer(self, patience: Patience) -> NeedsAnswer:
        """The answer; where no known parts give a plan, that of the plan with a part yet to be found here."""
        position = self.places.positions[self.asked[0].position]
        undecided = Undecided(patience)
        aside = touching(self.catalogue, [self.places.layout], {position.position}, vehicle=self.vehicle.vehicle)
        lacks = lacking(self.catalogue, [self.places.layout])
        answer = NeedsAnswer(
            vehicle=self.vehicle.vehicle,
            title=self.vehicle.title,
            position=position.position,
            part_type=position.part_type,
            places=self.asked,
            asked=self.request.in_words,
            quantity=position.quantity * len(self.asked),
            set_aside=aside,
            lacks_checks=lacks,
            cautions=(*cautions_on(self.catalogue, [self.places.layout]), *told(aside), *lacking_told(lacks)),
        )
        checks = Checks(self.catalogue, self.places)
        for sought in (frozenset[str](), frozenset({position.position})):
            problem = Problem(checks, self.vehicle, self.request, sought=sought)
            patience.heard(BEST_PLAN, 0, 0)
            try:
                filling = planner_of(problem, patience).best()
            except TimeUp:
                undecided.add(PLAN)
                break
            if filling is not None:
                if not filling.proved:
                    undecided.add(BEST)
                found = replace(answer, planned=not sought, opens=bool(sought), not_decided=undecided.all)
                return self._specified(found, problem, filling)
        return replace(answer, not_decided=undecided.all)

    def _specified(self, answer: NeedsAnswer, problem: Problem, filling: Filling) -> NeedsAnswer:
        """The answer with what the plan asks of the part, and which parts are that."""
        here = tuple(_here(problem, filling, place) for place in self.asked)
        places = [h.place for h in here if h.stands]
        specified = of_places(problem, filling, places)
        recorded = recorded_parts(problem, filling, specified)
        by_outcome = {o: tuple(r for r in recorded if r.outcome == o) for o in (MEETS, MAY_MEET, NEARLY, NO)}
        return replace(
            answer,
            here=here,
            specifications=specified,
            meets=by_outcome[MEETS],
            may_meet=by_outcome[MAY_MEET],
            nearly=by_outcome[NEARLY],
            others=len(by_outcome[NO]),
            claimed=tuple(_claimed(problem, filling, places, recorded)),
        )


def _here(problem: Problem, filling: Filling, place: Place) -> Here:
    """What the plan does with a place."""
    chosen = filling.chosen.get(place)
    if chosen is None:
        stands = stands_in(problem.places.positions[place.position], filling.arrangements)
        return Here(place, EMPTIES if place in filling.movement.gone else LEAVES_EMPTY, stands=stands)
    does = KEEPS if chosen.stays else FITS_NEW
    if not chosen.is_known:
        return Here(place, TO_FIND if chosen.to_be_found else NOT_RECORDED)
    return Here(place, does, chosen.number, of_set=_is_of_set(problem.checks.catalogue, chosen))


def _is_of_set(catalogue: Catalogue, chosen: Candidate) -> bool:
    return chosen.set_use is not None or chosen.number in catalogue.set_members


# ---- what is claimed


def _claimed(
    problem: Problem, filling: Filling, places: Sequence[Place], recorded: Sequence[Recorded]
) -> Iterator[ClaimedPart]:
    """The recorded parts of which something is claimed that speaks for them here, by number."""
    found: dict[str, dict[Claimed, None]] = {}
    for place in places:
        for number, claim in _claims_at(problem, filling, place):
            found.setdefault(number, {})[claim] = None
    outcomes = {r.number: r for r in recorded}
    for number in sorted(found.keys() & outcomes.keys()):
        one = outcomes[number]
        yield ClaimedPart(number, one.name, tuple(found[number]), one.outcome)


def _claims_at(problem: Problem, filling: Filling, place: Place) -> Iterator[tuple[str, Claimed]]:
    """The claims that speak for a number in a place."""
    checks, claims = problem.checks, problem.checks.claims
    seats = Seats(checks.catalogue, problem.places, place)
    for at in joints_at(problem, filling, place):
        other = filling.chosen[at.beyond(at.end_at(place)).place]
        numbers = claims.beside(other, place.position)
        numbers = numbers.union(*(claims.numbers_listed(v) for v in claims.made_in(other)))
        for seat in sorted(seats.of_numbers(numbers)):
            candidate = seats.candidate(seat)
            for claim in claims.said(candidate, other):
                yield candidate.number, _told(checks.catalogue, claim)
    here = filling.chosen.get(place)
    for number in here.numbers if here is not None else ():
        for same, chain in claims.identity.of(number).items():
            yield from ((same, _told(checks.catalogue, claim)) for claim in chain)
    vehicle = problem.vehicle
    for model in dict.fromkeys(v for v in (vehicle.vehicle, vehicle.made_as) if v) if vehicle is not None else ():
        for number in sorted(claims.numbers_listed(model)):
            for claim in checks.catalogue.claims_on.get(number, ()):
                if claim.claim == LISTED_FOR and claim.vehicle == model and claim.part == number:
                    yield number, _told(checks.catalogue, claim)


def _told(catalogue: Catalogue, claim: Claim) -> Claimed:
    source = catalogue.sources.get(claim.source)
    about = claim.vehicle or claim.other_part
    return Claimed(claim.part, claim.claim, about, claim.source, source.standing if source else "")
