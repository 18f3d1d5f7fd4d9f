"""Number chains: which number is said to have superseded another, on what condition, and where the chain ends.

A chain is a claim about numbers. No size, note, price or claim is taken over by it: what the newer number fits is found
from its own sizes, and it supports no joint.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Iterable, Iterator

import msgspec

from knockon.graph.model.catalogue import Catalogue
from knockon.graph.model.circles import ways_round
from knockon.graph.model.things import Claim
from knockon.queries.per_catalogue import per_catalogue

SUPERSEDED_BY = "superseded by"


class Step(msgspec.Struct, frozen=True):
    """One link: ``part`` is said to be superseded by ``by``, with the ``condition`` as it was written, and by whom.

    ``back``: the link leads back to a number that the chain has passed, so that it names no newest number.
    """

    part: str
    by: str
    condition: str
    source: str
    standing: str
    back: bool = False


class NumberChain(msgspec.Struct, frozen=True):
    """All that is said of a number's successors and predecessors. ``ends``: the numbers that nothing is said to
    supersede; ``offered``: those of them that somebody sells. A chain that only leads round has no end."""

    newer: tuple[Step, ...] = ()
    older: tuple[Step, ...] = ()
    ends: tuple[str, ...] = ()
    offered: tuple[str, ...] = ()


class ChainOf(msgspec.Struct, frozen=True):
    """A number that is said to be superseded, with its chain onward."""

    part: str
    chain: NumberChain

    @property
    def direct(self) -> tuple[Step, ...]:
        """What is said to have taken its place itself; several numbers where one became two."""
        return tuple(s for s in self.chain.newer if s.part == self.part)


def chains_of(catalogue: Catalogue, numbers: Iterable[str]) -> tuple[ChainOf, ...]:
    """The chains of those of some numbers that are said to be superseded, by number."""
    return tuple(ChainOf(n, chain_of(catalogue, n)) for n in sorted({*numbers}) if superseding(catalogue, n))


def chain_of(catalogue: Catalogue, number: str) -> NumberChain:
    """The chain of a number, both ways, the nearest links first."""
    newer, older = (
        tuple(_steps(catalogue, number, _onward, "other_part")),
        tuple(_steps(catalogue, number, _back, "part")),
    )
    ends = tuple(sorted({s.by for s in newer if not _onward(catalogue, s.by)}))
    return NumberChain(newer, older, ends, tuple(n for n in ends if catalogue.offers.get(n)))


def superseding(catalogue: Catalogue, number: str) -> tuple[str, ...]:
    """The numbers by which one is said to be superseded, directly."""
    if number not in _said_superseded(catalogue):
        return ()
    return tuple(sorted({c.other_part for c in _onward(catalogue, number)}))


@per_catalogue("claims")
def _said_superseded(catalogue: Catalogue) -> frozenset[str]:
    """The numbers that are named in such a claim: few."""
    return frozenset(catalogue.numbers_claimed.get(SUPERSEDED_BY, ()))


def loops(catalogue: Catalogue) -> tuple[tuple[str, ...], ...]:
    """The chains that lead back to where they began: each once, from its first number in the alphabet."""
    shortest: dict[str, tuple[str, ...]] = {}
    numbers = sorted({c.part for c in catalogue.claims if c.claim == SUPERSEDED_BY and c.other_part})
    for way in ways_round({n: superseding(catalogue, n) for n in numbers}):
        shortest[way[0]] = min(shortest.get(way[0], way), way, key=len)
    return tuple(way for start, way in shortest.items() if start == min(way))


def _onward(catalogue: Catalogue, number: str) -> list[Claim]:
    return [c for c in _links(catalogue, number) if c.part == number]


def _back(catalogue: Catalogue, number: str) -> list[Claim]:
    return [c for c in _links(catalogue, number) if c.other_part == number]


def _links(catalogue: Catalogue, number: str) -> list[Claim]:
    said = (c for c in catalogue.claims_on.get(number, ()) if c.claim == SUPERSEDED_BY and c.other_part)
    return sorted(said, key=lambda c: (c.part, c.other_part, c.text, c.source))


def _steps(
    catalogue: Catalogue, number: str, links: Callable[[Catalogue, str], list[Claim]], end: str
) -> Iterator[Step]:
    seen, waiting = {number}, deque([number])
    while waiting:
        for claim in links(catalogue, waiting.popleft()):
            source = catalogue.sources.get(claim.source)
            reached = getattr(claim, end)
            standing = source.standing if source else ""
            yield Step(claim.part, claim.other_part, claim.text, claim.source, standing, reached in seen)
            if reached not in seen:
                seen.add(reached)
                waiting.append(reached)
