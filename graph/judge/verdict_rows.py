"""Verdict rows: one interface of a rule's end judged against all of the other end at once, by sorted windows.

``judge`` (graph/judge/conditions.py) puts every pair of rows together. Here each condition divides the other end into
those that are a yes, a no, open or lack a size (graph/judge/comparisons.py), and what the conditions say together is
the set divided by one after the other; pairs of which all conditions and all else that ``judge`` reads say the same
have the same outcome. An interface with several rows (choices of belief) has a bit for each row, and these few are put
together one by one, as ``judge`` does it. Property tests hold a row to ``judge``, pair for pair.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence
from typing import NamedTuple, TypeVar

from knockon.graph.judge.beliefs import Interface
from knockon.graph.judge.comparisons import (
    ABSENT,
    ASSEMBLY_NO,
    OTHER_LACKS,
    OWN_LACKS,
    SERVICE_NO,
    STRADDLING,
    SUPPORTING_OPEN,
    Share,
    bits_of,
    mask_of,
    prepared,
)
from knockon.graph.judge.conditions import JUDGED, REQUIRED, Side, dimensions_of
from knockon.graph.judge.verdicts import Judged, Outcome
from knockon.graph.model.rules import FitRule

T = TypeVar("T")
RULES_OUT = ABSENT | ASSEMBLY_NO | SERVICE_NO


class _OfOther(NamedTuple):
    """All beside the conditions that is read of a row of the other end."""

    asked: bool
    rank: int


class VerdictRows:
    """The interfaces of one end of a rule, prepared so that any interface of the other end is judged against all of
    them at once; ``end`` is the one whose interfaces come one by one."""

    def __init__(
        self,
        rule: FitRule,
        end: int,
        others: Sequence[Interface],
        one_of_each: dict[Judged, Judged] | None = None,
    ) -> None:
        """``one_of_each``: what was judged elsewhere, so that the same is one object."""
        self.rule, self.end = rule, end
        self._all_dimensions = tuple(dimensions_of(rule, e.role) for e in rule.ends)
        self._deciding = tuple(frozenset(dimensions_of(rule, e.role, JUDGED)) for e in rule.ends)
        self._needed = tuple(dimensions_of(rule, e.role, REQUIRED) for e in rule.ends)
        side = Side(self._all_dimensions[1 - end], tuple(others), self._deciding[1 - end])
        self._others = side
        rows_of = side.rows_of_each
        self._several = {k: rows for k, rows in enumerate(rows_of) if len(rows) > 1}
        bits = [0] * len(side.rows)
        free = len(others)
        for k, rows in enumerate(rows_of):
            for row in rows:
                if len(rows) == 1:
                    bits[row] = k
                else:
                    bits[row], free = free, free + 1
        self._bits = bits
        self._single = mask_of(k for k, rows in enumerate(rows_of) if len(rows) == 1)
        self._rows_of_several = mask_of(bits[row] for rows in self._several.values() for row in rows)
        self._rows = mask_of(bits)
        self._absent = mask_of(bit for bit, (_, absent, _) in zip(bits, side.rows, strict=True) if absent)
        self._beginning, self._sorts = self._read_beside(side)
        self._compared = [prepared(c, rule, end, side, bits) for c in rule.conditions if c.need != "told"]
        self._outcomes: dict[tuple[object, ...], Outcome] = {}
        self._plain: dict[tuple[Outcome, ...], Judged] = {}
        self._one_of_each: dict[Judged, Judged] = {} if one_of_each is None else one_of_each

    def _read_beside(self, side: Side) -> tuple[list[Share], list[tuple[int, _OfOther]]]:
        """What is said of each row before any condition; and the rows by all else that is read of them."""
        needed = self._needed[1 - self.end]
        beside = [_OfOther(side.asked(f, needed), side.rank(f, needed)) for f in side.interfaces]
        before: dict[int, list[int]] = {}
        sorts: dict[_OfOther, list[int]] = {}
        for bit, (i, absent, _) in zip(self._bits, side.rows, strict=True):
            unrecorded = side.interfaces[i].presence == "not recorded"
            before.setdefault((ABSENT if absent else 0) | (OTHER_LACKS if unrecorded else 0), []).append(bit)
            sorts.setdefault(beside[i], []).append(bit)
        return (
            [(mask_of(found), said) for said, found in before.items()],
            [(mask_of(found), of_other) for of_other, found in sorts.items()],
        )

    def of(self, own: Interface) -> list[tuple[Judged, int]]:
        """What was judged of an interface and each of the other end: each once, with the set of those of which it was.

        The same object wherever it is the same.
        """
        side = Side(self._all_dimensions[self.end], (own,), self._deciding[self.end])
        tables = self._tables(own, side)
        found: dict[int, tuple[Judged, int]] = {}

        def put(judged: Judged, mask: int) -> None:
            found[id(judged)] = (judged, found[id(judged)][1] | mask if id(judged) in found else mask)

        if len(tables) == 1:
            for outcome, mask in tables[0]:
                if mask & self._single:
                    put(self._judged_plainly(outcome), mask & self._single)
        else:
            for outcomes, mask in self._together(tables):
                put(self._judged(side.beliefs, [(False, ())], [outcomes]), mask)
        if self._several:
            self._put_several(side, tables, put)
        return list(found.values())

    def noes(self, own: Interface) -> int:
        """The interfaces of the other end beside which one is a no, whatever is weighed beside the sizes: under every
        belief some outcome is one. Less work than to judge them: only that is asked of each condition."""
        side = Side(self._all_dimensions[self.end], (own,), self._deciding[self.end])
        found = [self._rows if absent else self._absent for _, absent, _ in side.rows]
        for comparison in self._compared:
            for row, shares in enumerate(comparison.shares(side)):
                for mask, adds in shares:
                    if adds & RULES_OUT:
                        found[row] |= mask
        by_belief: dict[object, int] = {}
        for belief, mask in zip(side.beliefs, found, strict=True):
            by_belief[belief] = by_belief.get(belief, 0) | mask
        noes = self._rows
        for mask in by_belief.values():
            noes &= mask
        several = (k for k, rows in self._several.items() if self._all_beliefs(rows, by_belief.values()))
        return noes & self._single | mask_of(several)

    def _all_beliefs(self, rows: Sequence[int], masks: Collection[int]) -> bool:
        """Whether under each belief of an interface with these rows, and each of the other, a row of it is a no."""
        theirs: dict[object, int] = {}
        for row in rows:
            belief = self._others.beliefs[row]
            theirs[belief] = theirs.get(belief, 0) | 1 << self._bits[row]
        return all(mask & bits for mask in masks for bits in theirs.values())

    def _tables(self, own: Interface, side: Side) -> list[list[tuple[Outcome, int]]]:
        """For each row of the interface the outcomes, each with the rows of the other end of which it is."""
        compared = [comparison.shares(side) for comparison in self._compared]
        needed = self._needed[self.end]
        asked, rank = side.asked(own, needed), side.rank(own, needed)
        unrecorded = OWN_LACKS if own.presence == "not recorded" else 0
        tables = []
        for row, (_, absent, _) in enumerate(side.rows):
            said = _divided({unrecorded | (ABSENT if absent else 0): self._rows}, self._beginning)
            for shares in compared:
                said = _divided(said, shares[row])
            outcomes: dict[int, tuple[Outcome, int]] = {}
            for what, among in said.items():
                for mask, other in self._sorts:
                    if among & mask:
                        outcome = self._outcome(what, asked, rank, other)
                        outcomes[id(outcome)] = (outcome, among & mask)
            tables.append(list(outcomes.values()))
        return tables

    def _in_order(self, own: T, other: T) -> tuple[T, T]:
        return (own, other) if self.end == 0 else (other, own)

    def _outcome(self, said: int, asked: bool, rank: int, other: _OfOther) -> Outcome:
        key = (said, asked, rank, other)
        if key not in self._outcomes:
            self._outcomes[key] = Outcome(
                absent=bool(said & ABSENT),
                assembly_no=bool(said & ASSEMBLY_NO),
                service_no=bool(said & SERVICE_NO),
                straddles=bool(said & STRADDLING),
                lacks=self._in_order(bool(said & OWN_LACKS), bool(said & OTHER_LACKS)),
                asked=self._in_order(asked, other.asked),
                ranks=self._in_order(rank, other.rank),
                supporting_open=bool(said & SUPPORTING_OPEN),
            )
        return self._outcomes[key]

    def _together(self, tables: Sequence[Sequence[tuple[Outcome, int]]]) -> list[tuple[tuple[Outcome, ...], int]]:
        """The interfaces with one row, by the outcomes of all rows of the other."""
        found: list[tuple[tuple[Outcome, ...], int]] = [((), self._single)] if self._single else []
        for table in tables:
            found = [
                ((*before, outcome), among & mask) for before, among in found for outcome, mask in table if among & mask
            ]
        return found

    def _put_several(
        self, own: Side, tables: Sequence[Sequence[tuple[Outcome, int]]], put: Callable[[Judged, int], None]
    ) -> None:
        """The interfaces with several rows, one by one."""
        at: list[dict[int, Outcome]] = [
            {bit: outcome for outcome, mask in table for bit in bits_of(mask & self._rows_of_several)}
            for table in tables
        ]
        bits, beliefs = self._bits, self._others.beliefs
        for k, rows in self._several.items():
            theirs = [beliefs[row] for row in rows]
            if self.end == 0:
                outcomes = [[at[r][bits[row]] for row in rows] for r in range(len(tables))]
                judged = self._judged(own.beliefs, theirs, list(zip(*outcomes, strict=True)))
            else:
                outcomes = [[at[r][bits[row]] for r in range(len(tables))] for row in rows]
                judged = self._judged(theirs, own.beliefs, list(zip(*outcomes, strict=True)))
            put(judged, 1 << k)

    def _judged_plainly(self, outcome: Outcome) -> Judged:
        key = (outcome,)
        if key not in self._plain:
            self._plain[key] = self._interned(Judged(((outcome,),)))
        return self._plain[key]

    def _interned(self, judged: Judged) -> Judged:
        return self._one_of_each.setdefault(judged, judged)

    def _judged(
        self, ones: Sequence[object], others: Sequence[object], outcomes: Sequence[Sequence[Outcome]]
    ) -> Judged:
        """By belief, as ``judge`` puts it: ``outcomes`` by the second side's row, then the first side's."""
        found: dict[object, dict[Outcome, None]] = {}
        for r, one in enumerate(ones):
            for c, other in enumerate(others):
                found.setdefault((one, other), {})[outcomes[c][r]] = None
        return self._interned(Judged(tuple(tuple(belief) for belief in found.values())))


def _divided(said: dict[int, int], shares: Sequence[Share]) -> dict[int, int]:
    """What is said of which rows, with what one more condition adds."""
    found: dict[int, int] = {}
    for before, among in said.items():
        for mask, adds in shares:
            both = among & mask
            if both:
                now = before | adds
                found[now] = found.get(now, 0) | both
    return found
