"""What is claimed without sizes: that parts are listed for a vehicle, go together, or are one and the same.

"Same as" says that two numbers are one part: it has no direction, and what is claimed of one of them is claimed of all
that are said to be the same, one by way of another. No size is taken over by it.
"""

from __future__ import annotations

from collections import defaultdict, deque
from collections.abc import Iterable, Iterator
from functools import cache

from knockon.graph.model.catalogue import Catalogue
from knockon.graph.model.layouts.layout import Place
from knockon.graph.model.things import Claim
from knockon.queries.fits.checking.candidates import Candidate
from knockon.queries.per_catalogue import per_catalogue

FAR = 10**9  # further, or weaker, than any
SAME_AS, GOES_WITH, LISTED_FOR = "same as", "goes with", "listed for"


class Identity:
    """Which numbers are said to be one part, and by which claims."""

    def __init__(self, claims: Iterable[Claim]) -> None:
        self._same: dict[str, dict[str, Claim]] = defaultdict(dict)
        for claim in claims:
            if claim.claim == SAME_AS and claim.other_part:
                self._same[claim.part].setdefault(claim.other_part, claim)
                self._same[claim.other_part].setdefault(claim.part, claim)
        self._part: dict[str, str] = {}
        for number in self._same:
            if number not in self._part:
                self._part |= dict.fromkeys(self._reached(number), number)
        self.of = cache(self._of)

    def part(self, number: str) -> str:
        """One number for all that are said to be the same part."""
        return self._part.get(number, number)

    def _reached(self, number: str) -> set[str]:
        found, waiting = {number}, [number]
        while waiting:
            new = self._same[waiting.pop()].keys() - found
            found |= new
            waiting += new
        return found

    def _of(self, number: str) -> dict[str, tuple[Claim, ...]]:
        """The number and all that are said to be the same, each with the shortest chain of claims that says so."""
        found: dict[str, tuple[Claim, ...]] = {number: ()}
        waiting = deque([number])
        while waiting:
            at = waiting.popleft()
            for other, claim in sorted(self._same.get(at, {}).items()):
                if other not in found:
                    found[other] = (*found[at], claim)
                    waiting.append(other)
        return found


class Claims:
    """What is claimed without sizes, ready for look-up: by number, and by what all numbers of one part are called."""

    def __init__(self, catalogue: Catalogue) -> None:
        self._rank = {name: source.rank for name, source in catalogue.sources.items()}
        claims = sorted(catalogue.claims, key=self._weakness)  # the best source of a claim is met first
        self.identity = Identity(claims)
        self._goes_with: dict[frozenset[str], Claim] = {}
        self.listed: dict[str, set[str]] = defaultdict(set)
        self._listing: dict[tuple[str, str], Claim] = {}
        for claim in claims:
            if claim.claim == LISTED_FOR and claim.vehicle:
                self.listed[claim.part].add(claim.vehicle)
                self._listing.setdefault((claim.part, claim.vehicle), claim)
            elif claim.claim == GOES_WITH and claim.other_part:
                self._goes_with.setdefault(frozenset((claim.part, claim.other_part)), claim)
        self._as_made: dict[tuple[str, str], set[str]] = defaultdict(set)
        for vehicle in catalogue.vehicles.values():
            if vehicle.as_made:
                for fitting in vehicle.fittings:
                    self._as_made[(vehicle.vehicle, fitting.position)].add(fitting.part)
        self._fold()

    def _fold(self) -> None:
        """The same by part: which go together, for which vehicles one is listed, in which it is as made, and where."""
        part = self.identity.part
        self._parts_together = {frozenset(map(part, numbers)) for numbers in self._goes_with}
        self._part_listed: dict[str, set[str]] = defaultdict(set)
        for number, vehicles in self.listed.items():
            self._part_listed[part(number)] |= vehicles
        self._part_in: dict[tuple[str, str], set[str]] = defaultdict(set)
        for (made, position), numbers in self._as_made.items():
            for number in numbers:
                self._part_in[(part(number), position)].add(made)
        self._spoken_of = {n for numbers in self._goes_with for n in numbers}.union(
            self.listed, *self._as_made.values()
        )

    def support(self, first: Candidate, second: Candidate) -> bool:
        """Whether a claim says that the two belong together where they stand."""
        if first.set_use is not None and first.set_use == second.set_use:
            return True
        return self._is_claimed(first, second)

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
        if frozenset((a, b)) in self._parts_together:
            return True
        for one, other, place in ((a, b, at_b), (b, a, at_a)):
            listed, made = self._part_listed.get(one), self._part_in.get((other, place.position))
            if listed and made and not listed.isdisjoint(made):
                return True
        return False

    def _called(self, candidate: Candidate) -> Iterator[tuple[str, tuple[Claim, ...]]]:
        """Of its numbers and those that they are said to be the same as, all that something else is claimed of, each
        with the claims that say so."""
        for number in candidate.numbers:
            yield from ((n, chain) for n, chain in self.identity.of(number).items() if n in self._spoken_of)

    def _pair(self, a: str, at_a: Place, b: str, at_b: Place) -> Claim | None:
        """Of the claims that name the two numbers, or one and a vehicle that has the other as made, the best."""
        together = self._goes_with.get(frozenset((a, b)))
        found = [together] if together is not None else []
        for one, other, place in ((a, b, at_b), (b, a, at_a)):
            vehicles = sorted(self.listed.get(one, ()))
            made = (v for v in vehicles if other in self._as_made.get((v, place.position), ()))
            found.extend(self._listing[(one, v)] for v in made)
        return min(found, key=self._weakness, default=None)

    def _weakness(self, claim: Claim) -> int:
        return self._rank.get(claim.source, FAR)


@per_catalogue("claims", "vehicles", "sources")
def claims_of(catalogue: Catalogue) -> Claims:
    """The catalogue's claims, looked through once."""
    return Claims(catalogue)
