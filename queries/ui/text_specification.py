"""What a part yet to be found would have to be, as text: each dimension's window, and who sets each end of it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from knockon.queries.specified import (
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
from knockon.queries.ui.blocks import BAD, STRONG, WARN, Block, Heading, Para, bullets
from knockon.queries.ui.naming import count, listed, places_in_words, sentence

NONE_SURE = "no size is sure to agree, since the size beside is known too loosely: this is where one may"


def to_find_blocks(found: Sequence[Specification]) -> list[Block]:
    """The parts of a plan that nobody has recorded, each with what its neighbours ask of it."""
    if not found:
        return []
    blocks: list[Block] = [Heading("Yet to be found, and what it would have to be")]
    text = "Of these sorts no part is recorded. Nothing here can be ordered before a part is known to meet this:"
    return [*blocks, Para(text, tone=WARN), *(b for spec in found for b in _blocks(spec))]


def would_open_blocks(ways: Sequence[Sequence[Specification]]) -> list[Block]:
    """Parts that would open a request which no known part meets: with each there would be a plan."""
    if not ways:
        return []
    blocks: list[Block] = [Heading("What the missing part would have to be")]
    if len(ways) > 1:
        blocks.append(Para("Any one of these would do; each was tried, and with it there is a plan:"))
    for way in ways:
        blocks += [Para("These together, with which there is a plan:")] if len(way) > 1 else []
        blocks += [b for spec in way for b in _blocks(spec)]
    return blocks


def _blocks(spec: Specification) -> Iterator[Block]:
    yield Para(f"{places_in_words(spec.places)}: {spec.part_type}. It needs {_features(spec)}.", tone=STRONG)
    if not spec.is_possible:
        yield Para("No part can be all of this: its neighbours contradict each other.", tone=BAD, indent=2)
    yield from bullets([_window(w) for w in spec.windows], indent=2)
    yield from bullets([_stated(s) for s in spec.stated], indent=2)


def _features(spec: Specification) -> str:
    return f"{count(len(spec.features), 'feature')}: {listed(spec.features)}" if spec.features else "no feature"


def _window(window: Window) -> str:
    name = f"{window.feature}, {window.dimension.partition('.')[0] if _is_whole(window) else window.dimension}"
    ends = [x for x in (window.low, window.high) if x is not None]
    better = " (better, not required)" if window.need == SUPPORTING else ""
    if window.codes:
        codes = listed(list(dict.fromkeys(c.code for c in window.codes)), "or")
        text = f"{name}: {codes}{better}, {_by(window.codes)}"
    else:
        text = f"{name}: {_amount(window)}{better}, {_ends(window)}"
    if window.is_empty:
        text += "; nothing is both"
    return text + (f"; {NONE_SURE}" if not all(x.sure for x in ends) else "") + "."


def _is_whole(window: Window) -> bool:
    return window.dimension.endswith(".major")


def _amount(window: Window) -> str:
    low = window.low.value if window.low else None
    high = window.high.value if window.high else None
    if low is not None and high is not None and not window.is_empty:
        return units.amount(min(low, high), max(low, high), window.unit)
    if low is not None and high is not None:  # "24 to 25 mm" would say what may be
        return f"at least {units.amount(low, low, window.unit)} and at most {units.amount(high, high, window.unit)}"
    if low is not None:
        return f"at least {units.amount(low, low, window.unit)}"
    return f"at most {units.amount(high, high, window.unit)}" if high is not None else "any"


def _ends(window: Window) -> str:
    """Who sets each end, once where one sets both."""
    low, high = window.low, window.high
    if low is not None and high is not None and _by((low,)) != _by((high,)):
        return f"the least {_by((low,))}, the most {_by((high,))}"
    return _by([x for x in (low, high) if x is not None][:1])


def _by(limits: Sequence[Limit]) -> str:
    said = dict.fromkeys(
        ("as asked" if x.condition == ASKED else f"by {x.check}, {x.condition}")
        + (f" ({'; '.join(x.parts)})" if x.parts else "")
        for x in limits
    )
    sources = dict.fromkeys(x.source for x in limits if x.source)
    return listed(list(said)) + (f" [{'; '.join(sources)}]" if sources else "")


def _stated(stated: Stated) -> str:
    condition = "" if stated.condition == stated.check else f", {stated.condition}"
    text = f"{sentence(stated.check).rstrip('.')}{condition}: "
    limits = _limits(stated) if stated.low is not None or stated.high is not None else "as the rule asks"
    beside = f" with {'; '.join(stated.parts)}" if stated.parts else ""
    sizes = dict.fromkeys(f"{v.dimension} {units.size(v)}" for v in stated.sizes)
    beside += f" ({listed(list(sizes))})" if sizes else ""
    if stated.because == OF_SEVERAL:
        return f"{text}{stated.value} {limits}{beside}."
    told = "the sum" if stated.because == NOT_RECORDED_BESIDE else "what the formula gives"
    why = f"; {NOT_RECORDED_BESIDE}, so that no window is known" if stated.because == NOT_RECORDED_BESIDE else ""
    return f"{text}{stated.value} counts; {told}{beside} must be {limits}{why}."


def _limits(stated: Stated) -> str:
    if stated.low is not None and stated.high is not None:
        return f"within {units.amount(stated.low, stated.high, stated.unit)}"
    if stated.low is not None:
        return f"at least {units.amount(stated.low, stated.low, stated.unit)}"
    assert stated.high is not None
    return f"at most {units.amount(stated.high, stated.high, stated.unit)}"
