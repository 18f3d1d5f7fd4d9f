"""What is claimed without sizes: that parts are listed for a vehicle, go together, or are one and the same.

"Same as" says that two numbers are one part: it has no direction, and what is claimed of one of them is claimed of all
that are said to be the same, one by way of another. No size is taken over by it.
"""

from __future__ import annotations

from collections import defaultdict, deque
from collections.abc import Iterable, Iterator
from functools import cache

from knockon.graph.catalogue import Catalogue
from knockon.graph.layout import Place
from knockon.graph.model import Claim
from knockon.queries.candidates import Candidate

SAME_AS, GOES_WITH, LISTED_FOR = "same as", "goes with", "listed for"


class Identity:
    """Which numbers are said to be one part, and by which claims."""

    def __init__(self, claims: Iterable[Claim]) -> None:
        self._same: dict[str, dict[str, Claim]] = defaultdict(dict)
        for claim in claims:
            if claim.claim == SAME_AS and claim.other_part:
                self._same[claim.part].setdefault(claim.other_part, claim)
                self._same[claim.other_part].setdefault(claim.part, claim)
        self.of = cache(self._of)

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
    """What is claimed without sizes, ready for look-up."""

    def __init__(self, catalogue: Catalogue) -> None:
        self.identity = Identity(catalogue.claims)
        self._goes_with: dict[frozenset[str], Claim] = {}
        self.listed: dict[str, set[str]] = defaultdict(set)
        self._listing: dict[tuple[str, str], Claim] = {}
        for claim in catalogue.claims:
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

    def support(self, first: Candidate, second: Candidate) -> bool:
        """Whether a claim says that the two belong together where they stand."""
        if first.set_use is not None and first.set_use == second.set_use:
            return True
        return any(True for _ in self._speaking(first, second))

    def said(self, first: Candidate, second: Candidate) -> tuple[Claim, ...]:
        """The claims that say so, with as few between them as may be; none where only their set says it."""
        return min(self._speaking(first, second), key=len, default=())

    def _speaking(self, first: Candidate, second: Candidate) -> Iterator[tuple[Claim, ...]]:
        for one, chain in self._called(first):
            for other, more in self._called(second):
                claim = self._pair(one, first.place, other, second.place)
                if claim is not None:
                    yield (*chain, *more, claim)

    def _called(self, candidate: Candidate) -> Iterator[tuple[str, tuple[Claim, ...]]]:
        """Its numbers and those that they are said to be the same as, each with the claims that say so."""
        for number in candidate.numbers:
            yield from self.identity.of(number).items()

    def _pair(self, a: str, at_a: Place, b: str, at_b: Place) -> Claim | None:
        together = self._goes_with.get(frozenset((a, b)))
        if together is not None:
            return together
        for one, other, place in ((a, b, at_b), (b, a, at_a)):
            for vehicle in sorted(self.listed.get(one, ())):
                if other in self._as_made[(vehicle, place.position)]:
                    return self._listing[(one, vehicle)]
        return None
