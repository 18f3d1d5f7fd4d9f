"""Counting: parts and interface classes of a position, and the pairs of a joint by whether they are a definite no."""

from __future__ import annotations

from typing import Any

import msgspec

from knockon.queries.shortlist.asked import Swap
from knockon.queries.shortlist.engines import Columns
from knockon.queries.shortlist.outward import Left


class PositionCounted(msgspec.Struct, frozen=True):
    """A position: the parts that are recorded for it, and those that are left. Not ``narrowed``: all are kept, since
    something without sizes may stand there."""

    position: str
    parts: int
    left: int
    narrowed: bool


class JointCounted(msgspec.Struct, frozen=True):
    """A joint: the different interfaces at its first and second end, the pairs of things that its ends have, and how
    many of them are a definite no."""

    joint: str
    first_interfaces: int
    second_interfaces: int
    pairs: int
    noes: int


def positions_counted(swap: Swap, left: Left) -> tuple[PositionCounted, ...]:
    """The positions in the layout's order, those that cannot be filled left out."""
    before, after = (_parts_of(t) for t in (left.candidates, left.alive))
    return tuple(
        PositionCounted(
            name, before.get(name, 0), before.get(name, 0) if name in left.unknown else after.get(name, 0),
            name not in left.unknown,
        )
        for name in (p.position for p in swap.places.layout.positions)
        if name in swap.positions
    )  # fmt: skip


def _parts_of(candidates: Any) -> dict[str, int]:
    new = candidates.filter(~candidates.stays)
    found = new.group_by("position").agg(parts=new.part.nunique()).to_pyarrow()
    return dict(zip(found["position"].to_pylist(), found["parts"].to_pylist(), strict=True))


def joints_counted(columns: Columns, swap: Swap, left: Left) -> tuple[JointCounted, ...]:
    """The joints in the layout's order, each with all pairs of candidates that its ends had at first."""
    classes = left.folded.classes
    ends = classes.group_by("end").agg(classes=classes.count(), things=classes.things.sum()).to_pyarrow()
    of_end = {e: (c, t) for e, c, t in zip(*(ends[n].to_pylist() for n in ("end", "classes", "things")), strict=True)}
    first = classes.select(first="cls", end="end", ones="things")
    second = classes.select(second="cls", others="things")
    pairs = left.pairs.inner_join(first, "first").inner_join(second, "second")
    found = pairs.group_by("end").agg(open=(pairs.ones * pairs.others).sum()).to_pyarrow()
    opened = dict(zip(found["end"].to_pylist(), found["open"].to_pylist(), strict=True))
    counted = []
    for n, joint in enumerate(swap.joints):
        (classes1, things1), (classes2, things2) = (of_end.get(2 * n + e, (0, 0)) for e in (0, 1))
        whole = int(things1) * int(things2)
        counted.append(JointCounted(joint.joint, classes1, classes2, whole, whole - int(opened.get(2 * n, 0))))
    return tuple(counted)
