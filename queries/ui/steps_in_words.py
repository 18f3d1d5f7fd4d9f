"""A step of the work in words: its parts, tool, readings and values. Screens and prints say the same."""

from __future__ import annotations

from collections.abc import Iterator

from knockon.queries.job.card import CardLine, PartAt, Tight
from knockon.queries.job.wear import Worn
from knockon.queries.ui import units
from knockon.queries.ui.naming import Naming, listed
from knockon.queries.ui.sentences import job as say


def side_heading(naming: Naming, side: str) -> str:
    """What the steps of a side are headed with."""
    return say.ON_SIDE.format(side=side.capitalize()) if side else say.ON_VEHICLE.format(machine=naming.machine)


def beside(naming: Naming, line: CardLine) -> Iterator[str]:
    """The parts, tool, readings and values of a step, a sentence each."""
    parts: dict[str, list[PartAt]] = {}
    for part in line.parts:
        parts.setdefault(_part(naming, line, part), []).append(part)
    if parts:
        said = (say.PARTS.format(places=listed([p.place.position for p in of]), what=t) for t, of in parts.items() if t)
        yield " ".join(said)
    if line.tool:
        sizes = [
            (say.SIZE_ON if s.size else say.NO_SIZE).format(size=s.size, what=s.what, part=s.part)
            for s in line.tool_sizes
        ]
        yield (say.TOOL_SIZE if sizes else say.TOOL).format(tool=line.tool, sizes=listed(sizes, "or"))
    if line.reading is not None:
        r = line.reading
        if r.expected:
            size = units.amount(r.low, r.high, r.unit) if r.low is not None and r.high is not None else ""
            yield say.READ_EXPECTED.format(what=r.what, amount=say.EXPECTED.format(size=size) if size else "")
        else:
            yield say.READ.format(what=r.what, limits=limits(r.low, r.high, r.unit))
    yield from (tightened(t) for t in line.tightening if t.source)
    bare = [t.position for t in line.tightening if not t.source]
    if bare:
        yield say.NO_TORQUE.format(positions=listed(bare))
    yield from (worn(w) for w in line.wear)


def _part(naming: Naming, line: CardLine, part: PartAt) -> str:
    off = line.kind in ("make safe", "remove", "inspect")
    if part.stays:
        return say.STAYS.format(old=naming.part(part.old)) if part.old else ""
    if off:
        return say.LEAVES.format(old=naming.part(part.old)) if part.old else ""
    changed = part.old and part.old != part.new
    return say.OLD_TO_NEW.format(new=naming.part(part.new), old=part.old) if changed else naming.part(part.new)


def limits(low: float | None, high: float | None, unit: str) -> str:
    """The limits of a reading, after its name."""
    if low is not None and high is not None:
        return say.LIMITS.format(low=f"{low:g}", high=f"{high:g}", unit=unit)
    if low is not None:
        return say.AT_LEAST.format(low=f"{low:g}", unit=unit)
    return say.AT_MOST.format(high=f"{high:g}", unit=unit) if high is not None else ""


def tightened(tight: Tight) -> str:
    """How tight a fastener is done up."""
    same = tight.low == tight.high
    template = say.TIGHTEN_VALUE if same else say.TIGHTEN_RANGE
    return say.TIGHTEN.format(
        position=tight.position,
        value=template.format(low=f"{tight.low:.0f}", high=f"{tight.high:.0f}"),
        condition=say.CONDITION.format(condition=tight.condition) if tight.condition else "",
        source=tight.source,
        then=say.THEN.format(then=tight.then) if tight.then else "",
    )


def worn(wear: Worn) -> str:
    """One wear limit, with what was read."""
    if not wear.what:
        return say.LOOK_FOR.format(place=wear.place, look=wear.look_for, source=wear.source)
    read = say.READ_AS.format(read=listed(list(wear.read), "or")) if wear.read else ""
    return say.WEAR.format(
        place=wear.place,
        what=wear.what,
        limits=limits(wear.low, wear.high, wear.unit) + read,
        verdict=say.VERDICTS[wear.verdict],
        source=wear.source,
    )
