"""The order lines that two plans do not share."""

from __future__ import annotations

import msgspec

from knockon.queries.plan.swap import SwapAnswer


class LineChange(msgspec.Struct, frozen=True):
    """An order line whose quantity is another one: 0 means that it is not in that plan."""

    number: str
    before: int
    after: int


def line_changes(before: SwapAnswer, after: SwapAnswer) -> tuple[LineChange, ...]:
    """The order lines whose quantity is another one in the second answer's plan."""
    then, now = (
        {line.number: line.quantity for g in (p.plan.groups if p.plan else ()) for line in g.lines}
        for p in (before, after)
    )
    numbers = sorted({*then, *now})
    return tuple(LineChange(n, then.get(n, 0), now.get(n, 0)) for n in numbers if then.get(n) != now.get(n))
