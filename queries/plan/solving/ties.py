"""Which of equally good fillings a question tells: the first by part numbers in the layout's order, then the one that
keeps the vehicle's own arrangement. The search for the best finds it by itself, without a search of its own.

The program (swap.lp) has a literal ``in_order``. Where a search assumes it, the solver decides in one order only: what
stands in the first place, least number first, then the next place; so its first model of least cost is the first of all
of them.

Proof. Let M be the first model that the solver reports once the least cost is proved, and x an atom of the order that
does not hold in M. Nothing in the order is ever decided not to hold, so the solver concluded that x does not: from
the program, from the costs, and from what it had decided by then. What it had decided is assumed in every filling of
this search, or a demand that all fillings of least cost meet, or an atom that the order names before x: else x, being
free, would have been decided first. So of the fillings of least cost that agree with M in all that is named before x
none has x, and none comes before M. What it has learned, and what it is told of figures (formulas.py), follows from the
program and takes nothing away.

How strongly an atom is preferred is a number of at most ``LEVELS`` in the solver. So a place with many candidates has
them in blocks, as many blocks as there are candidates in one: first the block is decided, then which of its candidates
stands; those of other blocks cannot stand any more, and may have the same number.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import chain
from math import isqrt

from knockon.queries.plan.solving.problem import Problem

LEVELS = 32_000
"""Most different levels, a little less than the solver can tell apart."""
FEW = 64
"""A place with no more candidates has no blocks."""


def order_of(problem: Problem) -> tuple[int, Iterator[str]]:
    """How many levels the order of a problem takes, and the order as facts."""
    ranked = [_ranked(problem, number) for number in range(len(problem.places.all))]
    held = list(dict.fromkeys((*problem.arranged, *problem.places.layout.arrangements)))
    causes = [f"earlier_cause({place}," for place in range(len(ranked))]
    less = [*(f'earlier_held("{arrangement}",' for arrangement in held), *causes]
    levels = sum(len(blocks) + max(map(len, blocks), default=0) for blocks in ranked)
    return levels + len(less), chain(
        _facts(ranked, levels + len(less)), (f"{one}{len(less) - i})." for i, one in enumerate(less))
    )


def _ranked(problem: Problem, number: int) -> list[Sequence[int]]:
    """The candidates of a place, the first by part numbers first, in blocks; one block where they are few."""
    candidates = problem.candidates[problem.places.all[number]]
    order = sorted(candidates, key=lambda c: (c.number, not c.stays, c.work, c.thing))
    found = [problem.ids[c] for c in order]
    size = len(found) if len(found) <= FEW else isqrt(len(found) - 1) + 1
    return [found[first : first + size] for first in range(0, len(found), size or 1)]


def _facts(ranked: Sequence[Sequence[Sequence[int]]], highest: int) -> Iterator[str]:
    level = highest
    for place, blocks in enumerate(ranked):
        if len(blocks) > 1:
            for b, block in enumerate(blocks):
                yield f"earlier_block({place},{b},{level - b})."
                yield from (f"in_block({c},{place},{b})." for c in block)
            level -= len(blocks)
        for block in blocks:
            yield from (f"earlier({c},{level - i})." for i, c in enumerate(block))
        level -= max(map(len, blocks), default=0)
