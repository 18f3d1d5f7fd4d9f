"""Whether a kept part is worn out: what was read on the very thing, against the limits that the records hold."""

from __future__ import annotations

from collections.abc import Iterator

import msgspec

from knockon.graph.judge.beliefs import known_of
from knockon.graph.judge.verdicts import ON_THE_ITEM
from knockon.graph.model.catalogue import Catalogue
from knockon.graph.model.layouts.layout import Place, Places
from knockon.graph.model.schema import Column
from knockon.graph.model.things import Statement
from knockon.graph.model.work import WearLimit

PASS, FAIL, NOT_KNOWN = "pass", "fail", "not known"


class Worn(msgspec.Struct, frozen=True):
    """One wear limit of a kept part. ``low`` and ``high`` in ``unit`` (None: no such limit); ``read``: what was read on
    it, as written; ``verdict``: pass, fail or not known. Without a size it is only looked at (``look_for``)."""

    place: Place
    part: str
    verdict: str
    source: str
    what: str = ""
    low: float | None = None
    high: float | None = None
    unit: str = ""
    read: tuple[str, ...] = ()
    look_for: str = ""


def wear_at(catalogue: Catalogue, places: Places, place: Place, number: str, thing: str) -> Iterator[Worn]:
    """The wear limits of what is at a place: a ``thing`` of a ``number`` (either may be blank)."""
    for limit in places.layout.wear_limits:
        if limit.position == place.position and limit.part in ("", number):
            yield _judged(catalogue, limit, place, number, thing)


def _judged(catalogue: Catalogue, limit: WearLimit, place: Place, number: str, thing: str) -> Worn:
    if not limit.feature:
        return Worn(place, number, NOT_KNOWN, limit.source, look_for=limit.look_for)
    feature = catalogue.features_of(thing or number).get(limit.feature)
    said = feature.dimensions.get(limit.dimension, ()) if feature is not None else ()
    column = catalogue.vocabulary.dimensions(feature.kind).get(limit.dimension) if feature is not None else None
    return Worn(
        place=place,
        part=number,
        verdict=_verdict(limit, said),
        source=limit.source,
        what=f"{limit.feature}: {limit.dimension}",
        low=limit.low,
        high=limit.high,
        unit=_unit(column),
        read=tuple(s.written for s in said if _is_read(s)),
        look_for=limit.look_for,
    )


def _is_read(said: Statement) -> bool:
    """Whether it was read on the very thing: what its number's drawing says tells nothing of wear."""
    return said.rank == ON_THE_ITEM and not said.of_number


def _verdict(limit: WearLimit, said: tuple[Statement, ...]) -> str:
    known = known_of(tuple(s for s in said if _is_read(s)))
    if not known.sizes or known.contested:
        return NOT_KNOWN
    low = min((s.low for s in known.sizes if s.low is not None), default=None)
    high = max((s.high for s in known.sizes if s.high is not None), default=None)
    above = limit.low is None or (low is not None and low >= limit.low)
    below = limit.high is None or (high is not None and high <= limit.high)
    if above and below:
        return PASS
    too_small = limit.low is not None and high is not None and high < limit.low
    too_large = limit.high is not None and low is not None and low > limit.high
    return FAIL if too_small or too_large else NOT_KNOWN


def _unit(column: Column | None) -> str:
    from knockon.graph.quantity import DATATYPES

    return DATATYPES[column.datatype].symbol if column is not None and column.datatype in DATATYPES else ""
