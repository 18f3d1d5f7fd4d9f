"""What a part yet to be found would have to be, as text: each dimension's window, and who sets each end of it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from knockon.graph.model.schema import column_of
from knockon.queries.plan.openings.specified import (
    ASKED,
    NOT_RECORDED_BESIDE,
    OF_SEVERAL,
    SUPPORTING,
    Limit,
    Specification,
    Stated,
    Window,
)
from knockon.queries.ui import units
from knockon.queries.ui.naming import count, listed, places_in_words, sentence
from knockon.queries.ui.sentences.plan import no_plan as say
from knockon.queries.ui.terminal.blocks import BAD, STRONG, WARN, Block, Heading, Para, bullets


def to_find_blocks(found: Sequence[Specification]) -> list[Block]:
    """The parts of a plan that nobody has recorded, each with what its neighbours ask of it."""
    if not found:
        return []
    blocks: list[Block] = [Heading(say.PARTS_TO_FIND), Para(say.NONE_RECORDED, tone=WARN)]
    return [*blocks, *(b for spec in found for b in specification_blocks(spec))]


def would_open_blocks(ways: Sequence[Sequence[Specification]]) -> list[Block]:
    """Parts that would open a request which no known part meets: with each there would be a plan."""
    if not ways:
        return []
    blocks: list[Block] = [Heading(say.MISSING_PART)]
    if len(ways) > 1:
        blocks.append(Para(say.ANY_OF_THESE))
    for way in ways:
        blocks += [Para(say.TOGETHER)] if len(way) > 1 else []
        blocks += [b for spec in way for b in specification_blocks(spec)]
    return blocks


def specification_blocks(spec: Specification) -> Iterator[Block]:
    """What one part must be, each limit with who sets it."""
    places = places_in_words(spec.places)
    yield Para(say.NEEDS.format(places=places, part_type=spec.part_type, features=_features(spec)), tone=STRONG)
    if not spec.is_possible:
        yield Para(say.IMPOSSIBLE, tone=BAD, indent=2)
    yield from bullets([_window(w) for w in spec.windows], indent=2)
    yield from bullets([_stated(s) for s in spec.stated], indent=2)


def _features(spec: Specification) -> str:
    if not spec.features:
        return say.NO_FEATURE
    return say.FEATURES.format(count=count(len(spec.features), "feature"), names=listed(spec.features))


def _window(window: Window) -> str:
    dimension = column_of(window.dimension) if _is_whole(window) else window.dimension
    name = say.DIMENSION.format(feature=window.feature, dimension=dimension)
    better = say.BETTER if window.need == SUPPORTING else ""
    if window.codes:
        size, by = listed(list(dict.fromkeys(c.code for c in window.codes)), "or"), _by(window.codes)
    else:
        size, by = _amount(window), _ends(window)
    said = [say.WINDOW.format(name=name, size=size, better=better, by=by)]
    said += [say.NOT_BOTH] if window.is_empty else []
    return " ".join((*said, *([] if window.sure else [say.NOT_SURE])))


def _is_whole(window: Window) -> bool:
    return window.dimension.endswith(".major")


def _amount(window: Window) -> str:
    low = window.low.value if window.low else None
    high = window.high.value if window.high else None
    if low is not None and high is not None and not window.is_empty:
        return units.amount(min(low, high), max(low, high), window.unit)
    least = "" if low is None else units.amount(low, low, window.unit)
    most = "" if high is None else units.amount(high, high, window.unit)
    if least and most:  # "24 to 25 mm" would say what may be
        return say.LEAST_AND_MOST.format(low=least, high=most)
    if least:
        return say.AT_LEAST.format(size=least)
    return say.AT_MOST.format(size=most) if most else say.ANY_SIZE


def _ends(window: Window) -> str:
    """Who sets each end, once where one sets both."""
    low, high = window.low, window.high
    if low is not None and high is not None and _by((low,)) != _by((high,)):
        return say.BOTH_ENDS.format(low=_by((low,)), high=_by((high,)))
    return _by([x for x in (low, high) if x is not None][:1])


def _by(limits: Sequence[Limit]) -> str:
    said = dict.fromkeys(_set_by(x) for x in limits)
    sources = dict.fromkeys(x.source for x in limits if x.source)
    by = listed(list(said))
    return say.BY_SOURCE.format(by=by, sources="; ".join(sources)) if sources else by


def _set_by(limit: Limit) -> str:
    by = say.AS_ASKED
    if limit.condition == limit.check:
        by = say.BY_CHECK.format(check=limit.check)
    elif limit.condition != ASKED:
        by = say.BY_CONDITION.format(check=limit.check, condition=limit.condition)
    return say.BY_PARTS.format(by=by, parts="; ".join(limit.parts)) if limit.parts else by


def _stated(stated: Stated) -> str:
    check = sentence(stated.check).rstrip(".")
    if stated.condition != stated.check:
        check = say.STATED_CONDITION.format(check=check, condition=stated.condition)
    limits = limits_of(stated) if stated.low is not None or stated.high is not None else say.AS_THE_RULE
    beside = say.WITH_PARTS.format(parts="; ".join(stated.parts)) if stated.parts else ""
    sizes = dict.fromkeys(say.SIZE_OF.format(dimension=v.dimension, size=units.size(v)) for v in stated.sizes)
    beside = say.WITH_SIZES_OF.format(beside=beside, sizes=listed(list(sizes))) if sizes else beside
    if stated.because == OF_SEVERAL:
        return say.STATED.format(check=check, value=stated.value, limits=limits, beside=beside)
    if stated.because == NOT_RECORDED_BESIDE:
        text = say.STATED_SUM.format(check=check, value=stated.value, limits=limits, beside=beside)
        return f"{text} {say.NOT_RECORDED_BESIDE}"
    return say.STATED_FORMULA.format(check=check, value=stated.value, limits=limits, beside=beside)


def limits_of(stated: Stated) -> str:
    """The window of a sum, in words."""
    if stated.low is not None and stated.high is not None:
        return say.WITHIN.format(size=units.amount(stated.low, stated.high, stated.unit))
    if stated.low is not None:
        return say.AT_LEAST.format(size=units.amount(stated.low, stated.low, stated.unit))
    assert stated.high is not None
    return say.AT_MOST.format(size=units.amount(stated.high, stated.high, stated.unit))
