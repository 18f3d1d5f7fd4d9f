"""Where the reading of a size turns a plan, ready to be told: values on either side, or those of a count or a code that
keep the plan."""

from __future__ import annotations

from collections.abc import Sequence

import msgspec
from msgspec.structs import replace

from knockon.graph.model.layouts.layout import Place
from knockon.graph.model.layouts.measuring import kind_in_place
from knockon.queries.plan.solving.patience import Patience, TimeUp
from knockon.queries.plan.solving.planner import Filling
from knockon.queries.plan.solving.problem import Problem
from knockon.queries.plan.solving.too_large import TooLarge
from knockon.queries.plan.turning.breakpoints import TooMany
from knockon.queries.plan.turning.moving import Choice, choices, moves, moving
from knockon.queries.plan.turning.supposed import Read, Supposed
from knockon.queries.plan.turning.turning import Changes, Cheaper, Kept, OfCodes, Sought, Turning

NUMBER, CODE, RANGE = "number", "code", "range"
NOTHING_USUAL, TOO_MANY, NO_TIME = "nothing usual", "too many combinations", "no time"


class TurnsOf(msgspec.Struct, frozen=True):
    """Where a reading turns the plan. ``of``: its name, as ``measured`` takes it.

    ``turning``: the values at which it does, the nearest first, where it is a size; none: never. ``keeps``: where it is
    a count, a code or a designation, the values that keep the plan; ``between``: of a size of which nothing is expected
    the readings that do. ``from_``: the value that is counted from, in ``unit``; ``most``: the largest usual size, up
    to which is looked. ``verdicts`` and ``prices``: the nearest values at which a verdict alone changes, or the price
    alone. ``not_known``: why it could not be worked out; blank: it was.
    """

    of: str
    is_: str = NUMBER
    from_: float | None = None
    unit: str = ""
    most: float | None = None
    turning: tuple[Turning, ...] = ()
    verdicts: tuple[Changes, ...] = ()
    prices: tuple[Cheaper, ...] = ()
    keeps: tuple[str, ...] = ()
    between: tuple[Kept, ...] = ()
    not_known: str = ""

    @property
    def is_never(self) -> bool:
        """Whether no value up to the largest usual one turns the plan."""
        if self.is_ == RANGE:
            return any(not kept.low and kept.high == self.most for kept in self.between)
        return self.is_ == NUMBER and not self.turning and not self.not_known


class Asked(msgspec.Struct, frozen=True):
    """A size of a thing on the vehicle of which it is asked where its reading turns the plan; ``of``: its name."""

    place: Place
    feature: str
    column: str
    of: str


def turns_of(
    problem: Problem, filling: Filling, asked: Sequence[Asked], patience: Patience | None = None
) -> tuple[TurnsOf, ...]:
    """Where readings of sizes turn a plan, each by itself; what is recorded is asked of one ground program."""
    reads = [_read(problem, one) for one in asked]
    recorded = {read.place: read for read in reads if read is not None and read.is_recorded}
    together = Supposed(problem, list(recorded.values())) if recorded else None
    seekers: list[_Of | TurnsOf] = []
    for one, read in zip(asked, reads, strict=True):
        if read is None:
            seekers.append(TurnsOf(one.of, not_known=NOTHING_USUAL))
        else:
            alone = together is None or not read.is_recorded
            seekers.append(_seeker(one, read, Supposed(problem, [read]) if alone else together))  # type: ignore[arg-type]
    return tuple(s if isinstance(s, TurnsOf) else _sought(s, filling, patience) for s in seekers)


class _Of(msgspec.Struct, frozen=True):
    """A size whose values are told to the solver: how they are shown, and what seeks among them."""

    of: str
    sought: Sought | OfCodes
    offered: Sequence[Choice] = ()


def _seeker(asked: Asked, read: Read, supposed: Supposed) -> _Of | TurnsOf:
    if not moves(read):
        offered = choices(read)
        if not offered:
            return TurnsOf(asked.of, not_known=NOTHING_USUAL)
        return _Of(asked.of, OfCodes(supposed, read, [c.reading for c in offered]), offered)
    start = moving(read)
    if start is None:
        return TurnsOf(asked.of, not_known=NOTHING_USUAL)
    try:
        return _Of(asked.of, Sought(supposed, read, start))
    except TooMany:
        return TurnsOf(asked.of, not_known=TOO_MANY)


def _sought(one: _Of, filling: Filling, patience: Patience | None) -> TurnsOf:
    try:
        if isinstance(one.sought, OfCodes):
            kept = one.sought.that_keep(filling, patience)
            return TurnsOf(one.of, CODE, keeps=tuple(one.offered[n].written for n in kept))
        found = one.sought.turns(filling, patience)
    except (TimeUp, TooLarge):
        return TurnsOf(one.of, not_known=NO_TIME)
    turning = tuple(replace(t, of=one.of) for t in found.turning)
    return TurnsOf(
        one.of,
        NUMBER if found.from_ is not None else RANGE,
        from_=found.from_,
        unit=found.unit,
        most=found.most,
        turning=turning,
        verdicts=tuple(v for v in found.verdicts if v.value not in {t.value for t in turning}),
        prices=found.prices,
        between=found.between,
    )


def _read(problem: Problem, asked: Asked) -> Read | None:
    place, feature, column = asked.place, asked.feature, asked.column
    catalogue, there = problem.checks.catalogue, problem.staying(place)
    recorded = catalogue.features_of(there.thing).get(feature) if there is not None else None
    vocabulary, layout = catalogue.vocabulary, problem.places.layout
    kind = problem.checks.kind_of(feature) or kind_in_place(vocabulary, layout, place.position, feature)
    iri = recorded.kind if recorded is not None else kind.iri if kind is not None else ""
    if problem.vehicle is None or there is None or not iri:
        return None
    return Read(catalogue, problem.vehicle, place, feature, iri, column)
