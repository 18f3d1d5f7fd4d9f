"""Of the candidates of a place those to which no other is preferred wherever they stand.

A value (what stands in a place, or on both hands of one) is *preferred* to another where no check is worse with it:
beside everything that may stand at the other end of a joint it is a no only where the other is, and not known or
unproven only where the other is so too, or a no; to figures it contributes the same; nothing of the structure of a
filling tells them apart; and it costs no more, or as much and comes first by part number.

Proof that what another is preferred to stands in no best filling, where all fillings that count are made of the
candidates that are looked at: with the other one in its place the filling is one still, meets every check that it
met, costs no more on any level, and comes before it. Only where all of both are offered, and save the same on old
parts: a number that nobody offers counts once, however often it stands in a filling.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Set
from typing import NamedTuple

from knockon.graph.judge.comparisons import mask_of
from knockon.graph.model.layouts.layout import Place
from knockon.queries.plan.solving.apart import Apart
from knockon.queries.plan.solving.bounds import Bounds
from knockon.queries.plan.solving.classes import Beside
from knockon.queries.plan.solving.values import Value

Costed = tuple[Value, int]


class _Rival(NamedTuple):
    rank: tuple[int, tuple[str, ...]]
    value: Costed
    rows: tuple[Beside, ...]

    def is_no_worse_than(self, other: _Rival) -> bool:
        """Whether no joint is worse with it."""
        return all(
            not (no & ~o_no or known & ~(o_known | o_no) or unproven & ~(o_unproven | o_no))
            for (no, known, unproven), (o_no, o_known, o_unproven) in zip(self.rows, other.rows, strict=True)
        )


class Preferred:
    """What is preferred among the candidates that are ``there``, by number."""

    def __init__(self, bounds: Bounds, apart: Apart, there: Set[int]) -> None:
        self._bounds, self._apart, self._there = bounds, apart, there
        self._rows: dict[tuple[int, int], dict[int, Beside]] = {}

    def of(self, places: tuple[Place, ...], values: Iterable[Costed]) -> list[Costed]:
        """Of the values of some places those to which none is preferred."""
        alone: list[Costed] = []
        rivals: dict[Hashable, list[_Rival]] = {}
        for costed in values:
            told = self._told(places, costed)
            if told is None:
                alone.append(costed)
            else:
                rivals.setdefault(told[0], []).append(told[1])
        for group in rivals.values():
            kept: list[_Rival] = []
            for rival in sorted(group, key=lambda r: r.rank):
                if not any(other.is_no_worse_than(rival) for other in kept):
                    kept.append(rival)
            alone += (r.value for r in kept)
        return alone

    def _told(self, places: tuple[Place, ...], costed: Costed) -> tuple[Hashable, _Rival] | None:
        """What must be the same of what is compared, and what is compared; None of what stays, of sets, and of what
        nobody offers."""
        problem, offered = self._bounds.problem, self._bounds.problem.offered
        members = [problem.numbered[m] for m in costed[0].members if m is not None]
        if not members or any(c.stays or c.set_use is not None or c.number not in offered.offers for c in members):
            return None
        quantity = problem.places.positions[places[0].position].quantity
        rank = sum(offered.cents(c.number, quantity) for c in members), tuple(c.number for c in members)
        same = tuple(
            (self._apart.structure_of(m), self._apart.contributed(m, None), offered.savings.get(c.number, 0))
            for m, c in zip(costed[0].members, members, strict=True)
            if m is not None
        )
        rows = tuple(
            self._row(j, end, self._bounds.class_of(j, end)[m])
            for m, c in zip(costed[0].members, members, strict=True)
            if m is not None
            for j, end, _ in self._apart.joints_at[c.place]
        )
        return same, _Rival(rank, costed, rows)

    def _row(self, joint: int, end: int, k: int) -> Beside:
        """Beside which of the classes that are there a class is worse."""
        key = joint, end
        if key not in self._rows:
            classes = self._bounds.classes[joint]
            first, second = (
                mask_of(k for k, inside in enumerate(members) if not self._there.isdisjoint(inside))
                for members in classes.members
            )
            self._rows[key] = classes.worse_beside(end, (first, second))
        return self._rows[key][k]
