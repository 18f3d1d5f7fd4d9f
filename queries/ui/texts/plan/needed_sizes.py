"""The sizes of a specification in short, a line for each feature: what a part must have, but not who asks it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from knockon.graph.model.schema import column_of
from knockon.queries.plan.openings.specified import SUPPORTING, Limit, Specification, Window
from knockon.queries.ui import units
from knockon.queries.ui.naming import listed
from knockon.queries.ui.sentences.plan import needs as say
from knockon.queries.ui.sentences.plan import no_plan as said_of

NEARLY_EQUAL = 0.03
"""A window no wider than this share of its size asks for one size, which is told as it is written beside."""


def feature_lines(spec: Specification) -> Iterator[str]:
    """Each feature with its sizes; one that only has to be there says so."""
    absent = {d.feature for d in spec.demands if not d.there}
    features = dict.fromkeys((*spec.features, *(w.feature for w in spec.windows)))
    for feature in features:
        sizes = list(_sizes([w for w in spec.windows if w.feature == feature]))
        if sizes:
            yield say.WINDOWS.format(feature=feature, sizes=", ".join(sizes))
        elif feature and feature not in absent:
            yield say.FEATURE_THERE.format(feature=feature)
    for demand in spec.demands:
        words = say.MUST_HAVE if demand.there else say.MUST_LACK
        yield words.format(feature=demand.feature, position=demand.position)


def _sizes(windows: Sequence[Window]) -> Iterator[str]:
    """The sizes of one feature; those that a designation says together, by that."""
    columns: dict[str, list[Window]] = {}
    for window in windows:
        columns.setdefault(column_of(window.dimension), []).append(window)
    for column, here in columns.items():
        written = _designation(here)
        if written:
            yield say.SIZE.format(dimension=column, size=written)
            here = [w for w in here if w.codes]
        by_dimension: dict[str, list[Window]] = {}
        for window in here:
            by_dimension.setdefault(window.dimension, []).append(window)
        yield from (_size(found) for found in by_dimension.values())


def _designation(windows: Sequence[Window]) -> str:
    """The one designation beside, as of a thread, that the windows of a column ask for; else blank."""
    sized = [w for w in windows if not w.codes]
    if not sized or not all(_is_narrow(w) for w in sized):
        return ""
    values = {v for w in sized for x in (w.low, w.high) if x is not None for v in x.sizes if v.is_part}
    written = {v.written for v in values}
    return written.pop() if len(written) == 1 else ""


def _is_narrow(window: Window) -> bool:
    """Whether a window asks for one size, give or take next to nothing."""
    low, high = _value(window.low), _value(window.high)
    return low is not None and high is not None and 0 <= high - low <= NEARLY_EQUAL * abs(high)


def _is_must(window: Window) -> bool:
    """Whether a size outside is a no: always where it is required, else where all that is beside is known exactly."""
    if window.need != SUPPORTING or window.codes:
        return True
    return (window.no_below, window.no_above) == (_value(window.low), _value(window.high))


def _size(windows: Sequence[Window]) -> str:
    """One dimension: what it must be, and what is better."""
    first = windows[0]
    if first.codes:
        codes = listed(list(dict.fromkeys(c.code for w in windows for c in w.codes)), "or")
        if first.dimension.endswith(".hand"):
            assumed = any(c.assumed for w in windows for c in w.codes)
            return (say.ASSUMED_HAND if assumed else say.HAND).format(hand=codes)
        return say.SIZE.format(dimension=first.dimension, size=codes)
    must = [w for w in windows if _is_must(w)]
    better = [amount(w) for w in windows if not _is_must(w)]
    name = column_of(first.dimension) if first.dimension.endswith(".major") else first.dimension
    if not must:
        return say.BETTER_ONLY.format(dimension=name, size=better[0])
    size = " and ".join(dict.fromkeys(map(amount, must)))
    if better and better[0] != size:
        return say.ALLOWED.format(dimension=name, size=size, better=better[0])
    return say.SIZE.format(dimension=name, size=size)


def amount(window: Window) -> str:
    """What one window allows: one size as it is written beside where it asks for that, else its ends."""
    low, high = _value(window.low), _value(window.high)
    if low is not None and high is not None and low <= high:
        beside = {v for x in (window.low, window.high) if x is not None for v in x.sizes}
        one = beside.pop() if len(beside) == 1 else None
        exact = one is not None and one.low is not None and one.low == one.high and low <= one.low <= high
        if one is not None and exact and _is_narrow(window) and one.datatype not in ("length", "", window.unit):
            return units.size(one)
        return units.amount(low, high, window.unit)
    least = "" if low is None else units.amount(low, low, window.unit)
    most = "" if high is None else units.amount(high, high, window.unit)
    if least and most:
        return said_of.LEAST_AND_MOST.format(low=least, high=most)
    if least:
        return said_of.AT_LEAST.format(size=least)
    return said_of.AT_MOST.format(size=most) if most else say.ANY


def _value(limit: Limit | None) -> float | None:
    return None if limit is None else limit.value
