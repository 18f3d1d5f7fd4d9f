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
from functools import cached_property

import msgspec

from knockon.graph.judge.comparisons import bits_of, mask_of
from knockon.graph.judge.verdicts import Judged
from knockon.graph.model.layouts.layout import JointAt
from knockon.queries.fits.checking.candidates import Candidate
from knockon.queries.fits.checking.checks import Row
from knockon.queries.fits.checking.claims import Claims
from knockon.queries.plan.solving.problem import Problem

NOTHING, NO, FIRST, OTHER, OUTSIDE = "", "no", "first_open", "other_open", "outside_open"
"""What a verdict counts as, as swap.lp names it; what is open from outside the kit is not known too."""


NAMES = (NO, FIRST, OTHER, OUTSIDE)
Named = tuple[tuple[str, int], ...]
"""What one candidate counts as beside those of the other end, where it counts: by name, with the bits of those."""
Classes = Sequence[Sequence[int]]
KINDS = {NO: 0, FIRST: 1, OUTSIDE: 1, OTHER: 2}
Beside = tuple[int, int, int]
"""Classes of the other end, as bits: those beside which one is a no, not known, unproven."""


class JointClasses(msgspec.Struct, frozen=True, dict=True):
    """The classes of both ends of a joint, each the numbers of its candidates, and what the verdict between two of them
    counts as, where it counts: for each of the first end by name, with those of the second end as bits."""

    members: tuple[list[list[int]], list[list[int]]]
    rows: list[Named]

    @cached_property
    def verdicts(self) -> dict[tuple[int, int], str]:
        """The same pair by pair."""
        return {(k, m): name for k, row in enumerate(self.rows) for m, name in _spread(row)}

    def name_of(self, first: int, second: int) -> str:
        """What the verdict on two classes counts as."""
        bit = 1 << second
        return next((name for name, mask in self.rows[first] if mask & bit), NOTHING)

    @cached_property
    def share_of_no(self) -> float:
        """How many of its pairs of classes are a no."""
        pairs = len(self.members[0]) * len(self.members[1])
        noes = sum(mask.bit_count() for row in self.rows for name, mask in row if name == NO)
        return noes / pairs if pairs else 0.0

    def worse_beside(self, end: int, there: tuple[int, int]) -> dict[int, Beside]:
        """Of some classes of both ends, as bits: for each of one end those of the other end beside which it is a no,
        not known, unproven."""
        found = {k: [0, 0, 0] for k in bits_of(there[end])}
        for k in bits_of(there[0]):
            for name, mask in self.rows[k]:
                if end == 0:
                    found[k][KINDS[name]] |= mask & there[1]
                else:
                    for other in bits_of(mask & there[1]):
                        found[other][KINDS[name]] |= 1 << k
        return {k: (no, known, unproven) for k, (no, known, unproven) in found.items()}

    @cached_property
    def class_of(self) -> tuple[dict[int, int], dict[int, int]]:
        """The class of each candidate of both ends."""
        first, second = ({c: k for k, inside in enumerate(classes) for c in inside} for classes in self.members)
        return first, second

    def _of_these(self, there: tuple[Sequence[int], Sequence[int]]) -> list[list[list[int]]]:
        """The members of the classes of both ends that are among these."""
        found: list[list[list[int]]] = [[[] for _ in classes] for classes in self.members]
        for classes, class_of, numbers in zip(found, self.class_of, there, strict=True):
            for number in numbers:
                classes[class_of[number]].append(number)
        return found

    def facts(self, joint: int, there: tuple[Sequence[int], Sequence[int]] | None = None) -> Iterator[str]:
        """Those of some candidates of both ends as facts, of all for None; a class between which and all others nothing
        counts is left out."""
        members = self.members if there is None else self._of_these(there)
        filled = [mask_of(k for k, inside in enumerate(classes) if inside) for classes in members]
        rows = [(k, tuple((n, mask & filled[1]) for n, mask in self.rows[k])) for k in bits_of(filled[0])]
        counting = mask_of(k for k, row in rows if any(mask for _, mask in row)), 0
        for _, row in rows:
            for _, mask in row:
                counting = counting[0], counting[1] | mask
        for end, (classes, some) in enumerate(zip(members, counting, strict=True), 1):
            for k in bits_of(some):
                yield from (f"class({joint},{end},{c},{k})." for c in classes[k])
        for k, row in rows:
            for other, name in _spread(row):
                pair = f"({joint},{k},{other})."
                yield FIRST + pair + f" {OUTSIDE}{pair}" if name == OUTSIDE else name + pair


def _spread(row: Named) -> list[tuple[int, str]]:
    """A row pair by pair, in order of the second."""
    return sorted((bit, name) for name, mask in row for bit in bits_of(mask))


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


def all_classes(problem: Problem) -> dict[int, JointClasses]:
    """Those of all joints between candidates, by the joint's number."""
    joints = problem.joint_ids.items()
    return {
        j: classes_of(problem, at) for j, at in joints if problem.candidates[at.first] and problem.candidates[at.second]
    }


def classes_of(problem: Problem, at: JointAt) -> JointClasses:
    """The classes of a joint's candidates."""
    ends = problem.candidates[at.first], problem.candidates[at.second]
    firsts, seconds = (_alike(problem, at, end, ends[end], ends[1 - end]) for end in (0, 1))
    if not firsts or not seconds:
        return JointClasses(([], []), [])
    rows = _Pairs(problem, at, firsts, seconds).rows()
    alike = _equal(rows)
    classes = alike, _equal(_columns([rows[ones[0]] for ones in alike], len(seconds)))
    # the first of each class stands for it: as these come in order, so do the classes
    standing = mask_of(others[0] for others in classes[1])
    number = {others[0]: m for m, others in enumerate(classes[1])}

    def by_class(row: Named) -> Named:
        return tuple((name, mask_of(number[bit] for bit in bits_of(mask & standing))) for name, mask in row)

    return JointClasses(_members(problem, (firsts, seconds), classes), [by_class(rows[ones[0]]) for ones in alike])


def _members(
    problem: Problem, groups: tuple[list[_Alike], list[_Alike]], classes: tuple[Classes, Classes]
) -> tuple[list[list[int]], list[list[int]]]:
    """The numbers of the candidates of each class, at both ends."""
    first, second = (
        [[problem.ids[c] for g in inside for c in alike[g].candidates] for inside in merged]
        for alike, merged in zip(groups, classes, strict=True)
    )
    return first, second


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
    hangs on what was judged of their interfaces, whether they stay, and whether they are of the kit: these are found
    row by row, for all of the other end at once. The few others are asked pair by pair.
    """

    def __init__(self, problem: Problem, at: JointAt, firsts: list[_Alike], seconds: list[_Alike]) -> None:
        self._problem, self._at, self._firsts, self._seconds = problem, at, firsts, seconds
        self._plain: dict[tuple[int, tuple[bool, bool], tuple[bool, bool]], str] = {}
        self._single = _Single.among(seconds)

    def rows(self) -> list[Named]:
        """For each first what it counts as beside the seconds, where it counts: by name, with the bits of those."""
        ends = ([one.interface for one in end] for end in (self._firsts, self._seconds))
        judged = self._problem.checks.rows(self._at, 0, *ends)
        return [self._row(first, row) for first, row in zip(self._firsts, judged, strict=True)]

    def _row(self, first: _Alike, row: Row) -> Named:
        by_pair = self._single.beside(first)
        found: dict[str, int] = {}
        for judged, mask in row:
            for of_these in self._single.weighed.values():
                among = mask & of_these & ~by_pair
                if among:
                    second = self._seconds[(among & -among).bit_length() - 1]
                    key = id(judged), first.weighed, second.weighed
                    if key not in self._plain:
                        self._plain[key] = self._counts_as(first, second, judged)
                    found[self._plain[key]] = found.get(self._plain[key], 0) | among
            for bit in bits_of(mask & by_pair):
                name = self._counts_as(first, self._seconds[bit], judged)
                found[name] = found.get(name, 0) | 1 << bit
        return tuple((name, found[name]) for name in NAMES if name in found)

    def _counts_as(self, first: _Alike, second: _Alike, judged: Judged) -> str:
        self._problem.checks.note_judged(self._at, first.interface, second.interface, judged)
        return _counts_as(self._problem, self._at, first.first, second.first)


class _Single(msgspec.Struct, frozen=True):
    """Those of one end, as sets of bits, by what is asked of them pair by pair."""

    spoken_of: int
    noted: int
    not_recorded: int
    of_set: dict[tuple[str, str], int]
    weighed: dict[tuple[bool, bool], int]
    all: int

    @classmethod
    def among(cls, end: Sequence[_Alike]) -> _Single:
        """Of these."""

        def having(what: Callable[[_Alike], Hashable]) -> dict[Hashable, int]:
            found: dict[Hashable, list[int]] = {}
            for bit, one in enumerate(end):
                found.setdefault(what(one), []).append(bit)
            return {said: mask_of(bits) for said, bits in found.items()}

        return cls(
            spoken_of=having(lambda one: bool(one.spoken_of)).get(True, 0),
            noted=having(lambda one: bool(one.notes)).get(True, 0),
            not_recorded=having(lambda one: one.first.recorded).get(False, 0),
            of_set=having(lambda one: one.set_use),  # type: ignore[arg-type]
            weighed=having(lambda one: one.weighed),  # type: ignore[arg-type]
            all=(1 << len(end)) - 1,
        )

    def beside(self, own: _Alike) -> int:
        """Those that are asked pair by pair beside one of the other end."""
        if not own.first.recorded:
            return self.all
        found = self.not_recorded | (self.spoken_of if own.spoken_of else 0) | (self.noted if own.notes else 0)
        return found | (self.of_set.get(own.set_use, 0) if own.set_use is not None else 0)


def _spoken_of(claims: Claims, others: Sequence[Candidate]) -> Callable[[Candidate], frozenset[object]]:
    """What is claimed of a candidate that counts beside these others."""
    known = {said for other in others for said in claims.spoken_of(other)}
    parts = frozenset(said.part for said in known)
    listed = frozenset(vehicle for said in known for vehicle in said.listed)
    made_in = frozenset(vehicle for said in known for vehicle in said.made_in)

    def of(candidate: Candidate) -> frozenset[object]:
        return frozenset(
            (s.goes_with & parts, s.listed & made_in, s.made_in & listed)
            for s in claims.spoken_of(candidate)
            if s.goes_with or s.listed or s.made_in
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


def _columns(rows: Sequence[Named], width: int) -> list[tuple[int, ...]]:
    """What is counted in each column of some rows, as numbers."""
    told = []
    for row in rows:
        codes = 0
        for name, mask in row:  # a byte for each bit: put together and turned round without a step for each pair
            codes |= int.from_bytes(f"{mask:0{width}b}".encode().translate(_CODES[name]), "little")
        told.append(codes.to_bytes(width, "little")[::-1])
    return list(zip(*told, strict=True))


_CODES = {name: bytes.maketrans(b"01", bytes((0, code))) for code, name in enumerate(NAMES, 1)}


def _equal(rows: Sequence[Hashable]) -> list[list[int]]:
    """The numbers of rows that are the same, together."""
    found: dict[Hashable, list[int]] = {}
    for number, row in enumerate(rows):
        found.setdefault(row, []).append(number)
    return list(found.values())
