"""What is known of one feature: which statements compute, which contradict each other, what is missing.

Better evidence computes: what is said of the very thing stands before what is said of its number, whoever says it;
then the standing decides. Among statements of the best standing those that share no value are *beliefs*: a check is
found for each of them. Nothing is averaged.
"""

from __future__ import annotations

from collections.abc import Iterable
from itertools import combinations

import msgspec

from knockon.graph.judge.verdicts import ON_THE_ITEM
from knockon.graph.model.things import Feature, Said, Statement

EPSILON = 1e-6
NOTHING = 99  # the rank of what nobody states


class Size(msgspec.Struct, frozen=True):
    """One value that may compute: an interval in the base unit, or a code."""

    low: float | None
    high: float | None
    nominal: bool
    code: str | None


class Known(msgspec.Struct, frozen=True):
    """What computes for one dimension: ``sizes`` (none: missing), whether they contradict, whether ``?`` was
    written; ``rank``: the standing, best first, on which it is known of the thing."""

    sizes: tuple[Size, ...] = ()
    contested: bool = False
    asked: bool = False  # the source says that it does not know
    rank: int = NOTHING


class Interface(msgspec.Struct, frozen=True):
    """A feature's signature for one kind: parts with equal interfaces are one interface class.

    ``presence`` is recorded, absent, contested (equal sources say both) or not recorded; ``known`` follows the kind's
    dimension names in the order asked for.
    """

    presence: str
    known: tuple[Known, ...]


def computing(statements: Iterable[Statement]) -> tuple[Statement, ...]:
    """The statements that compute: of those that say a size or a code the best."""
    sized = [s for s in statements if s.low is not None or s.high is not None or s.code is not None]
    best = min((s.order for s in sized), default=None)
    return tuple(s for s in sized if s.order == best)


def known_of(statements: tuple[Statement, ...]) -> Known:
    """What computes for a dimension."""
    found = computing(statements)
    if not found:
        return Known(asked=any(s.unknown for s in statements))
    sizes = sorted({Size(s.low, s.high, s.nominal, s.code) for s in found}, key=_order)
    return Known(tuple(sizes), any(not share_a_value(a, b) for a, b in combinations(sizes, 2)), False, proven(found[0]))


def proven(said: Statement | Said) -> int:
    """The standing on which it is known of the thing. What was read on another thing of its number was not read on
    this one."""
    return max(said.rank, ON_THE_ITEM + 1) if said.of_number else said.rank


def _order(size: Size) -> tuple[float, float, bool, str]:
    return (
        size.low if size.low is not None else -1e99,
        size.high if size.high is not None else 1e99,
        size.nominal,
        size.code or "",
    )


def share_a_value(a: Size | Statement, b: Size | Statement) -> bool:
    """Whether some value lies in both, or both say the same code; a missing bound is no limit."""
    if a.code is not None or b.code is not None:
        return a.code == b.code
    low = max(x.low for x in (a, b) if x.low is not None) if a.low is not None or b.low is not None else -1e99
    high = min(x.high for x in (a, b) if x.high is not None) if a.high is not None or b.high is not None else 1e99
    return low <= high + EPSILON


def presence_of(feature: Feature | None) -> str:
    """Recorded, absent, contested or not recorded."""
    if feature is None:
        return "not recorded"
    if not feature.absent:
        return "recorded"
    absent = min(said.order for said in feature.absent)
    stated = [s.order for d in feature.dimensions.values() for s in d if not s.unknown]
    stated += [said.order for said in feature.there]
    if not stated or absent < min(stated):
        return "absent"
    return "contested" if absent == min(stated) else "recorded"


def interface_of(feature: Feature | None, dimensions: tuple[str, ...]) -> Interface:
    """The interface of a feature, as far as these dimensions go."""
    presence = presence_of(feature)
    if feature is None or presence == "absent":
        return Interface(presence, tuple(Known() for _ in dimensions))
    return Interface(presence, tuple(known_of(feature.dimensions.get(d, ())) for d in dimensions))
