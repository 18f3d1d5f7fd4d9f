"""The links of a reason, and their order: each after those it follows from, what is physical before what is a claim."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import msgspec

from knockon.graph.judge.verdicts import Verdict
from knockon.graph.model.layouts.layout import Place, nowhere
from knockon.queries.fits.checking.evidence import Evidence, by_name
from knockon.queries.plan.reasons.walks import first_order, reached_from


class Step(msgspec.Struct, frozen=True):
    """One link of a reason.

    ``sort`` is a joint, a figure, ``arrangement``, ``axle rule`` or ``unknown not allowed``. ``given`` stands
    where the chain
    comes from, ``ruled_out`` is what it rules out at ``place``. Where no single pair shows it, ``sought`` is the part
    type that was looked for beside ``given`` and ``agreeing`` are the known parts that agree with it. ``starts``:
    "asked" or "arrangement" where ``given`` was asked for, or comes with the ``arrangement`` that was.
    """

    sort: str
    kind: str
    place: Place = msgspec.field(default_factory=nowhere)
    given: str = ""
    given_place: Place = msgspec.field(default_factory=nowhere)
    ruled_out: str = ""
    verdict: Verdict | None = None
    evidence: Evidence | None = None
    sought: str = ""
    agreeing: tuple[str, ...] = ()
    starts: str = ""
    arrangement: str = ""


class Reason(msgspec.Struct, frozen=True):
    """Why a thing cannot stay: ``cites`` is minimal (drop any one and it is possible again), ``steps`` tell it."""

    cites: tuple[str, ...]
    steps: tuple[Step, ...]


def is_claim(step: Step) -> bool:
    """Whether a link compares names of patterns, or only says which known parts agree: no size shows it."""
    return step.kind == "joint" and (step.evidence is None or by_name(step.evidence))


def _rank(step: Step) -> int:
    if step.kind == "joint":
        return 3 if is_claim(step) else 1
    return {"arrangement": 0, "figure": 2, "axle rule": 4, "unknown": 5}[step.kind]


def follows_from(later: Step, earlier: Step) -> bool:
    """Whether a link starts where the earlier one has put something else, or sums over that place."""
    if earlier.kind != "joint" or later is earlier:
        return False
    if later.kind == "joint":
        return earlier.place == later.given_place
    return later.kind == "figure" and later.evidence is not None and earlier.place in later.evidence.places


def in_order(steps: Sequence[Step]) -> tuple[Step, ...]:
    """The links so that each stands behind those it follows from (of links in a circle the first stays the first);
    where that leaves a choice, joints with sizes come first, then sums, then patterns and claims, then rules."""
    after: list[list[int]] = [[] for _ in steps]
    for earlier, later in _pairs(steps):
        if earlier not in reached_from(later, after):
            after[earlier].append(later)
    sized = {i for i, s in enumerate(steps) if s.kind in ("joint", "figure") and not is_claim(s)}
    free = {i for i, s in enumerate(steps) if is_claim(s) and not sized & reached_from(i, after)}
    order = first_order(after, key=lambda i: (_rank(steps[i]), i in free, i))
    return tuple(steps[i] for i in order)


def _pairs(steps: Sequence[Step]) -> Iterator[tuple[int, int]]:
    """(earlier, later): joints from joints, then a joint that starts nowhere else from the sum that forces its start,
    then sums from joints."""
    numbered = list(enumerate(steps))
    joints = [(i, s) for i, s in numbered if s.kind == "joint"]
    sums = [(i, s) for i, s in numbered if s.kind == "figure"]
    for i, earlier in joints:
        yield from ((i, j) for j, later in joints if follows_from(later, earlier))
    led = {s.place for _, s in joints}
    for i, one in sums:
        yield from ((i, j) for j, s in joints if not s.starts and s.given_place not in led and _sums_over(one, s))
    for i, earlier in joints:
        yield from ((i, j) for j, later in sums if follows_from(later, earlier))


def _sums_over(one: Step, joint: Step) -> bool:
    return one.evidence is not None and joint.given_place in one.evidence.places
