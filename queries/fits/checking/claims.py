"""What is claimed without sizes: that parts are listed for a vehicle, go together, or are one and the same.

"Same as" says that two numbers are one part: it has no direction, and what is claimed of one of them is claimed of all
that are said to be the same, one by way of another. No size is taken over by it.
"""

from __future__ import annotations

from collections import defaultdict, deque
from collections.abc import Callable, Iterable, Iterator, Mapping
from functools import cache
from typing import NamedTuple

from knockon.graph.model.catalogue import Catalogue, claimed_as
from knockon.graph.model.layouts.layout import Place
from knockon.graph.model.things import Claim
from knockon.queries.fits.checking.candidates import Candidate
from knockon.queries.per_catalogue import per_catalogue

FAR = 10**9  # further, or weaker, than any
SAME_AS, GOES_WITH, LISTED_FOR = "same as", "goes with", "listed for"


class Identity:
    """Which numbers are said to be one part, and by which claims; looked up number by number."""

    def __init__(self, claims_on: Callable[[str], Iterable[Claim]]) -> None:
        """``claims_on``: the claims that name a number, the best source of a claim first."""
        self._claims_on = claims_on
        self._links: dict[str, dict[str, Claim]] = {}
        self._part: dict[str, str] = {}
        self._members: dict[str, tuple[str, ...]] = {}
        self.of = cache(self._of)

    @classmethod
    def among(cls, claims: Iterable[Claim]) -> Identity:
        """By these claims."""
        by_number: dict[str, list[Claim]] = defaultdict(list)
        for claim in claims:
            for number in dict.fromkeys((claim.part, claim.other_part)):
                by_number[number].append(claim)
        return cls(lambda number: by_number.get(number, ()))

    def part(self, number: str) -> str:
        """One number for all that are said to be the same part."""
        if number not in self._part:
            found = self._reached(number)
            first = min(found)
            self._part |= dict.fromkeys(found, first)
            self._members[first] = tuple(sorted(found))
        return self._part[number]

    def numbers(self, number: str) -> tuple[str, ...]:
        """All numbers that are said to be the same part, itself among them."""
        return self._members[self.part(number)]

    def _same(self, number: str) -> dict[str, Claim]:
        if number not in self._links:
            links: dict[str, Claim] = {}
            for claim in self._claims_on(number):
                if claim.claim == SAME_AS and claim.other_part:
                    links.setdefault(claim.other_part if claim.part == number else claim.part, claim)
            self._links[number] = links
        return self._links[number]

    def _reached(self, number: str) -> set[str]:
        found, waiting = {number}, [number]
        while waiting:
            new = self._same(waiting.pop()).keys() - found
            found |= new
            waiting += new
        return found

    def _of(self, number: str) -> dict[str, tuple[Claim, ...]]:
        """The number and all that are said to be the same, each with the shortest chain of claims that says so."""
        found: dict[str, tuple[Claim, ...]] = {number: ()}
        waiting = deque([number])
        while waiting:
            at = waiting.popleft()
            for other, claim in sorted(self._same(at).items()):
                if other not in found:
                    found[other] = (*found[at], claim)
                    waiting.append(other)
        return found


class SpokenOf(NamedTuple):
    """What is claimed of a part in a place: which parts it goes with, for which vehicles it is listed, and in which it
    stands there as made."""

    part: str
    goes_with: frozenset[str]
    listed: frozenset[str]
    made_in: frozenset[str]


class Claims:
    """What is claimed without sizes, looked up number by number: of a million claims a question touches few."""

    def __init__(self, catalogue: Catalogue) -> None:
        self._rank = {name: source.rank for name, source in catalogue.sources.items()}
        self._claims_on = catalogue.claims_on
        self._on = cache(self._best_first)
        self.identity = Identity(self._on)
        self._listed = cache(self._listed_for)
        self._beside = cache(self._goes_with)
        self._spoken = cache(self._spoken_of)
        self._part_listed = cache(self._part_listed_for)
        self._parts_beside = cache(self._part_goes_with)
        self._made: dict[tuple[str, str], set[str]] = defaultdict(set)
        """The vehicles that have a number as made, by number and position."""
        for vehicle in catalogue.vehicles.values():
            if vehicle.as_made:
                for fitting in vehicle.fittings:
                    self._made[(fitting.part, fitting.position)].add(vehicle.vehicle)
        self._made_at: dict[str, dict[str, set[str]]] = defaultdict(dict)
        for (number, position), vehicles in self._made.items():
            self._made_at[position][number] = vehicles
        self._numbers_claimed = catalogue.numbers_claimed
        self._supported = cache(self._supported_beside)
        self.numbers_listed = cache(self._all_listed_for)
        self._made_of = {number for number, _ in self._made}

    def _best_first(self, number: str) -> tuple[Claim, ...]:
        """The claims that name a number; the best source of a claim is met first."""
        return tuple(sorted(self._claims_on.get(number, ()), key=self._weakness))

    def _listed_for(self, number: str) -> Mapping[str, Claim]:
        """The vehicles for which a number is listed, each with the best claim that says so."""
        found: dict[str, Claim] = {}
        for claim in self._on(number):
            if claim.claim == LISTED_FOR and claim.vehicle and claim.part == number:
                found.setdefault(claim.vehicle, claim)
        return found

    def _goes_with(self, number: str) -> Mapping[str, Claim]:
        """The numbers with which one is said to go, each with the best claim that says so."""
        found: dict[str, Claim] = {}
        for claim in self._on(number):
            if claim.claim == GOES_WITH and claim.other_part:
                found.setdefault(claim.other_part if claim.part == number else claim.part, claim)
        return found

    def _part_listed_for(self, part: str) -> frozenset[str]:
        return frozenset(v for number in self.identity.numbers(part) for v in self._listed(number))

    def _part_goes_with(self, part: str) -> frozenset[str]:
        numbers = self.identity.numbers(part)
        return frozenset(self.identity.part(other) for number in numbers for other in self._beside(number))

    def _part_made(self, part: str, position: str) -> set[str]:
        """The vehicles that have a part as made in a position, under any of its numbers."""
        return {v for number in self.identity.numbers(part) for v in self._made.get((number, position), ())}

    def listed(self, number: str) -> frozenset[str]:
        """The vehicles for which a number is listed."""
        return frozenset(self._listed(number))

    def support(self, first: Candidate, second: Candidate) -> bool:
        """Whether a claim says that the two belong together where they stand."""
        if first.set_use is not None and first.set_use == second.set_use:
            return True
        return self._is_claimed(first, second)

    def spoken_of(self, candidate: Candidate) -> tuple[SpokenOf, ...]:
        """What is claimed of each part that a candidate may be: all that support asks of it beside its set."""
        return self._spoken(candidate.numbers, candidate.place.position)

    def beside(self, one: Candidate, position: str) -> frozenset[str]:
        """The numbers that a claim may support in another position beside a candidate, as it goes with them or is
        listed for a vehicle that has them there. Together with those that are listed for a vehicle in which it is made
        (``made_in``, ``numbers_listed``) they are all that ``support`` supports. Looked up from the candidate, as most
        numbers have no claim that concerns it."""
        return self._supported(one.numbers, one.place.position, position)

    def _supported_beside(self, numbers: tuple[str, ...], at: str, position: str) -> frozenset[str]:
        found: set[str] = set()
        for said in self._spoken(numbers, at):
            for part in said.goes_with:
                found.update(self.identity.numbers(part))
            for number, vehicles in self._made_at.get(position, {}).items() if said.listed else ():
                if not said.listed.isdisjoint(vehicles):
                    found.update(self.identity.numbers(number))
        return frozenset(found)

    def made_in(self, one: Candidate) -> frozenset[str]:
        """The vehicles in which a candidate stands, where it stands, as made."""
        return frozenset().union(*(said.made_in for said in self.spoken_of(one)))

    def _all_listed_for(self, vehicle: str) -> frozenset[str]:
        """The numbers listed for a vehicle, and those that are said to be the same parts."""
        listed = frozenset(self._numbers_claimed.get(claimed_as(LISTED_FOR, vehicle), ()))
        same = frozenset(self._numbers_claimed.get(claimed_as(SAME_AS), ()))
        return listed.union(*(self.identity.numbers(number) for number in listed & same))

    def _spoken_of(self, numbers: tuple[str, ...], position: str) -> tuple[SpokenOf, ...]:
        return tuple(
            SpokenOf(
                part, self._parts_beside(part), self._part_listed(part), frozenset(self._part_made(part, position))
            )
            for part in dict.fromkeys(map(self.identity.part, numbers))
        )

    def said(self, first: Candidate, second: Candidate) -> tuple[Claim, ...]:
        """The claims that say so, with as few between them as may be, and of those on the best standing; none where
        only their set says it."""
        best: tuple[Claim, ...] = ()
        least = (FAR, FAR)
        if not self._is_claimed(first, second):
            return best
        others = list(self._called(second))
        for one, chain in self._called(first):
            for other, more in others:
                long = len(chain) + len(more) + 1
                if long > least[0]:
                    continue
                claim = self._pair(one, first.place, other, second.place)
                if claim is not None:
                    said = (*chain, *more, claim)
                    weak = (long, max(map(self._weakness, said)))
                    if weak < least:
                        best, least = said, weak
        return best

    def _is_claimed(self, first: Candidate, second: Candidate) -> bool:
        ends = [{self.identity.part(n) for n in c.numbers} for c in (first, second)]
        return any(self._together(a, first.place, b, second.place) for a in ends[0] for b in ends[1])

    def _together(self, a: str, at_a: Place, b: str, at_b: Place) -> bool:
        if b in self._parts_beside(a):
            return True
        for one, other, place in ((a, b, at_b), (b, a, at_a)):
            listed = self._part_listed(one)
            if listed and not listed.isdisjoint(self._part_made(other, place.position)):
                return True
        return False

    def _called(self, candidate: Candidate) -> Iterator[tuple[str, tuple[Claim, ...]]]:
        """Of its numbers and those that they are said to be the same as, all that something else is claimed of, each
        with the claims that say so."""
        for number in candidate.numbers:
            yield from ((n, chain) for n, chain in self.identity.of(number).items() if self._is_spoken_of(n))

    def _is_spoken_of(self, number: str) -> bool:
        return number in self._made_of or bool(self._listed(number)) or bool(self._beside(number))

    def _pair(self, a: str, at_a: Place, b: str, at_b: Place) -> Claim | None:
        """Of the claims that name the two numbers, or one and a vehicle that has the other as made, the best."""
        together = self._beside(a).get(b)
        found = [together] if together is not None else []
        for one, other, place in ((a, b, at_b), (b, a, at_a)):
            made = self._made.get((other, place.position), ())
            found.extend(claim for v, claim in sorted(self._listed(one).items()) if v in made)
        return min(found, key=self._weakness, default=None)

    def _weakness(self, claim: Claim) -> int:
        return self._rank.get(claim.source, FAR)


@per_catalogue("claims", "vehicles", "sources")
def claims_of(catalogue: Catalogue) -> Claims:
    """The catalogue's claims."""
    return Claims(catalogue)
