"""The goods-in card in words: a line, a size, a bench check. Screens and prints say the same."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from knockon.queries.job.goods_in import COMES_OFF, BenchCheck, GoodsLine, LookAlike
from knockon.queries.job.goods_sizes import SizeToCheck
from knockon.queries.ui import units
from knockon.queries.ui.naming import Naming, listed, places_in_words, sentence
from knockon.queries.ui.sentences import goods_in as say

FEW_DIFFERENCES = 2


def beside(line: GoodsLine) -> Iterator[str]:
    """Where a part goes, how its hand is seen, and what it can be mixed up with."""
    if line.places:
        yield say.GOES.format(places=places_in_words(line.places))
    if line.hand:
        sign = say.SIGN.format(sign=sentence(line.hand_sign)) if line.hand_sign else say.NO_SIGN
        yield f"{say.HAND.format(hand=line.hand)} {sign}"
    yield from map(look_alike_said, line.look_alikes)


def look_alike_said(other: LookAlike) -> str:
    """What a part can be mixed up with, and how the two are told apart."""
    where = say.OLD_ONE if other.where == COMES_OFF else say.ORDERED_TOO
    head = where.format(part=other.part)
    if not other.told_apart:
        return f"{head} {say.NOT_TOLD_APART}"
    return f"{head} {say.TOLD_APART.format(differs='; '.join(other.differs[:FEW_DIFFERENCES]))}"


def size_said(size: SizeToCheck) -> str:
    """A size to measure, with its limits, tool, and the checks that it decides."""
    tool = say.WITH_TOOL.format(tool=size.tool) if size.tool and not size.codes else ""
    recorded = say.RECORDED.format(written=size.recorded) if size.recorded else say.NOT_RECORDED
    limits = limits_of(size.low, size.high, size.unit, size.codes)
    name = f"{size.feature}: {size.dimension}"
    template = say.WORD if size.codes else say.SIZE
    return template.format(name=name, tool=tool, limits=limits, checks=listed(size.checks), recorded=recorded)


def to_measure(line: GoodsLine) -> Iterator[tuple[str, str]]:
    """All that is to be measured on a part, each with the unit of its reading: the sizes, how they are measured once
    for those that are measured alike, and what several sizes decide together."""
    for n, size in enumerate(line.sizes):
        alike_follows = n + 1 < len(line.sizes) and line.sizes[n + 1].how == size.how
        how = say.HOW.format(how=sentence(size.how)) if size.how and not alike_follows else ""
        yield f"{size_said(size)} {how}".rstrip(), size.unit
    for one in line.together:
        limits = limits_of(one.low, one.high, one.unit)
        yield say.TOGETHER.format(check=one.check, value=one.value, limits=limits), one.unit


def limits_of(low: float | None, high: float | None, unit: str, codes: Sequence[str] = ()) -> str:
    """The limits of a size in words."""
    if codes:
        return listed(list(codes), "or")
    if low is not None and high is not None:
        return units.amount(min(low, high), max(low, high), unit)
    if low is not None:
        return say.AT_LEAST.format(size=units.amount(low, low, unit))
    return say.AT_MOST.format(size=units.amount(high, high, unit)) if high is not None else say.NO_LIMIT


def bench_said(naming: Naming, check: BenchCheck) -> str:
    """A bench check in words."""
    limits = ""
    if check.low is not None or check.high is not None:
        limits = say.BENCH_LIMITS.format(limits=limits_of(check.low, check.high, check.unit))
    parts = naming.hands(check.parts)
    said = sentence(say.BENCH_CHECK.format(kind=check.kind, check=check.check, parts=parts, limits=limits))
    return f"{said} {sentence(check.method)}" if check.method else said
