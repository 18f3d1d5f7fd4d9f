"""The joints of a planning problem by class: candidates that a joint cannot tell apart, and the verdicts on classes.

First candidates with one *signature* are taken together: the interface class of their feature, whether they stay, what
claims and notes of work say that meets the other end, their set where it has a member there too, whether they are of
the kit. Proof that a joint cannot tell them apart: ``Checks.joint`` reads nothing else of a candidate. The sizes enter
by the interface class; into ``Weighing`` go notes (``Checks.notes_of``), whether it stays, whether both are of one set,
and claims. Those support two candidates where one goes with the other, or is listed for a vehicle in which the other
stands as made: so of a candidate counts with which candidates of the other end it goes, for which of the vehicles it is
listed that those stand in, and in which of the vehicles it stands that those are listed for (``_spoken_of``). What
counts as not known, or as open from outside the kit, adds only whether it is of the kit; something not recorded is
alone with its signature. So one pair stands for all pairs of two signatures, and is judged once.

Then signatures whose verdicts beside every candidate of the other end are the same are one class: where sizes differ,
but none of the parts at hand minds. Both steps keep every verdict: the program is told of classes what it would be told
of each pair.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterator, Sequence

import msgspec

from knockon.graph.model.layouts.layout import JointAt
from knockon.queries.fits.checking.candidates import Candidate
from knockon.queries.fits.checking.claims import Claims
from knockon.queries.plan.solving.problem import Problem

NOTHING, NO, FIRST, OTHER, OUTSIDE = "", "no", "first_open", "other_open", "outside_open"
"""What a verdict counts as, as swap.lp names it; what is open from outside the kit is not known too."""


class JointClasses(msgspec.Struct, frozen=True):
    """The classes of both ends of a joint, each the numbers of its candidates, and what the verdict between two of them
    counts as, where it counts."""

    members: tuple[list[list[int]], list[list[int]]]
    verdicts: dict[tuple[int, int], str]

    def facts(self, joint: int) -> Iterator[str]:
        """Them as facts; a class between which and all others nothing counts is left out."""
        for end, classes in enumerate(self.members, 1):
            counting = {pair[end - 1] for pair in self.verdicts}
            for k, members in enumerate(classes):
                if k in counting:
                    yield from (f"class({joint},{end},{c},{k})." for c in members)
        for (k, other), name in self.verdicts.items():
            pair = f"({joint},{k},{other})."
            yield FIRST + pair + f" {OUTSIDE}{pair}" if name == OUTSIDE else name + pair


class _Alike(msgspec.Struct, frozen=True):
    """Candidates with one signature, and what of it is asked pair by pair."""

    candidates: list[Candidate]
    interface: int
    spoken_of: frozenset[object]
    notes: frozenset[int]
    set_use: tuple[str, str] | None
    weighed: tuple[bool, bool]

    @property
    def first(self) -> Candidate:
        """The one that stands for all."""
        return self.candidates[0]


def classes_of(problem: Problem, at: JointAt) -> JointClasses:
    """The classes of a joint's candidates."""
    ends = problem.candidates[at.first], problem.candidates[at.second]
    firsts, seconds = (_alike(problem, at, end, ends[end], ends[1 - end]) for end in (0, 1))
    problem.checks.judge_all(at, (a.first.thing for a in firsts), (b.first.thing for b in seconds))
    counts_as = _Pairs(problem, at).counts_as
    rows = [[counts_as(a, b) for b in seconds] for a in firsts]
    classes = [_equal(rows), _equal(list(zip(*rows, strict=True)))]
    members = [
        [[problem.ids[c] for g in inside for c in groups[g].candidates] for inside in merged]
        for groups, merged in zip((firsts, seconds), classes, strict=True)
    ]
    verdicts = {
        (k, m): name
        for k, ones in enumerate(classes[0])
        for m, others in enumerate(classes[1])
        if (name := rows[ones[0]][others[0]])
    }
    return JointClasses((members[0], members[1]), verdicts)


def _alike(
    problem: Problem, at: JointAt, end: int, candidates: Sequence[Candidate], others: Sequence[Candidate]
) -> list[_Alike]:
    """The candidates of one end by their signature beside these others."""
    checks, rule = problem.checks, problem.checks.rule_of(at)
    feature = at.ends[end].feature
    sets = {c.set_use for c in others}
    spoken_of = _spoken_of(checks.claims, others)
    found: dict[Hashable, _Alike] = {}
    for candidate in candidates:
        interface = checks.interface_class(rule, rule.ends[end], candidate.thing, feature)
        spoken, notes = spoken_of(candidate), checks.notes_of(at, candidate)
        of_set = candidate.set_use if candidate.set_use in sets else None
        weighed = candidate.stays, candidate.number in problem.kit
        signature = (interface, spoken, notes, of_set, weighed) if candidate.recorded else candidate
        if signature not in found:
            found[signature] = _Alike([], interface, spoken, notes, of_set, weighed)
        found[signature].candidates.append(candidate)
    return list(found.values())


class _Pairs:
    """What the verdict on pairs of a joint counts as, each sort of pair judged once.

    Where nothing is claimed or noted of one of the two, they are of no set together, and both are recorded, the verdict
    hangs on what was judged of their interfaces, whether they stay, and whether they are of the kit.
    """

    def __init__(self, problem: Problem, at: JointAt) -> None:
        self._problem, self._at = problem, at
        self._rule = problem.checks.rule_of(at)
        self._plain: dict[tuple[int, tuple[bool, bool], tuple[bool, bool]], str] = {}

    def counts_as(self, first: _Alike, second: _Alike) -> str:
        """By its name in swap.lp."""
        if (
            (first.spoken_of and second.spoken_of)
            or (first.notes and second.notes)
            or (first.set_use is not None and first.set_use == second.set_use)
            or not (first.first.recorded and second.first.recorded)
        ):
            return _counts_as(self._problem, self._at, first.first, second.first)
        judged = self._problem.checks.judged(self._rule, first.interface, second.interface)
        key = id(judged), first.weighed, second.weighed
        if key not in self._plain:
            self._plain[key] = _counts_as(self._problem, self._at, first.first, second.first)
        return self._plain[key]


def _spoken_of(claims: Claims, others: Sequence[Candidate]) -> Callable[[Candidate], frozenset[object]]:
    """What is claimed of a candidate that counts beside these others."""
    known = {said for other in others for said in claims.spoken_of(other)}
    parts = frozenset(said.part for said in known)
    listed = frozenset(vehicle for said in known for vehicle in said.listed)
    made_in = frozenset(vehicle for said in known for vehicle in said.made_in)

    def of(candidate: Candidate) -> frozenset[object]:
        return frozenset(
            (s.goes_with & parts, s.listed & made_in, s.made_in & listed) for s in claims.spoken_of(candidate)
        ) - {(frozenset(), frozenset(), frozenset())}

    return of


def _counts_as(problem: Problem, at: JointAt, first: Candidate, second: Candidate) -> str:
    result = problem.checks.joint(at, first, second)
    if result.verdict.is_no:
        return NO
    if not problem.counts_first(at, first, second):
        return OTHER if result.verdict.is_unproven else NOTHING
    outside = problem.kit and any(
        o.lacks[i] and not c.stays and c.number not in problem.kit
        for o in result.judged.outcomes
        for i, c in enumerate((first, second))
    )
    return OUTSIDE if outside else FIRST


def _equal(rows: Sequence[Sequence[str]]) -> list[list[int]]:
    """The numbers of rows that are the same, together."""
    found: dict[tuple[str, ...], list[int]] = {}
    for number, row in enumerate(rows):
        found.setdefault(tuple(row), []).append(number)
    return list(found.values())
