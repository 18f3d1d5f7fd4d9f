"""Where a reading turns the plan, as text."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from decimal import Decimal

from knockon.graph.model.layouts.layout import Place
from knockon.queries.plan.measure import Measurement
from knockon.queries.plan.turning.told import CODE, NOTHING_USUAL, RANGE, TurnsOf
from knockon.queries.plan.turning.turning import Cheaper, Turning
from knockon.queries.ui.naming import listed
from knockon.queries.ui.sentences.plan import measure as say

MOST_PLACES = 3
MOST_VALUES = 8
MOST_SHORT = 3


def turning_lines(turns: Sequence[TurnsOf]) -> Iterator[str]:
    """What is to be said of readings, a sentence each; what is the same of all once."""
    said = {of.of: list(_of(of)) for of in turns}
    if not said:
        return
    if len({tuple(lines) for lines in said.values()}) == 1:
        yield from next(iter(said.values()))
        return
    for name, lines in said.items():
        yield say.TURNS_NAMED.format(of=name)
        yield from lines


def short_turning(measurements: Sequence[Measurement]) -> str:
    """The same in one short sentence, or in one for each that differs: what is the same on both sides once."""
    said: dict[str, dict[str, tuple[TurnsOf, Collection[str]]]] = {}
    for one in measurements:
        each = iter(one.turns_of_each)
        for place in one.places:
            for dimension in one.dimensions:
                turns = next(each, None)
                if turns is None:
                    return ""
                of = {e.written for e in one.expected if e.dimension == dimension}
                said.setdefault(place.side, {})[dimension] = turns, of
    by_side = {side: _one_side(of) for side, of in said.items()}
    if len(set(by_side.values())) == 1:
        return next(iter(by_side.values()))
    return _each(by_side)


def _one_side(of: Mapping[str, tuple[TurnsOf, Collection[str]]]) -> str:
    if len(of) == 1:
        return _short(*next(iter(of.values())))
    if all(turns.turning and not _at_once(turns) for turns, _ in of.values()):
        values = [say.SHORT_VALUE_OF.format(of=d, values=_short_values(turns)) for d, (turns, _) in of.items()]
        return say.SHORT_TURNS_OF.format(values=listed(values, "or"))
    return _each({d: _short(*turns) for d, turns in of.items()})


def _each(said: Mapping[str, str]) -> str:
    """What is said of several, under the name of each."""
    return " ".join(say.SHORT_OF.format(of=f"{of[:1].upper()}{of[1:]}", says=text) for of, text in said.items() if text)


def _short(turns: TurnsOf, expected: Collection[str]) -> str:
    if turns.not_known:
        return "" if turns.not_known == NOTHING_USUAL else say.SHORT_NOT_WORKED_OUT
    if turns.is_ == CODE:
        return _short_keeps(turns, expected)
    if turns.is_never:
        return say.SHORT_NEVER
    if turns.is_ == RANGE:
        return say.SHORT_BETWEEN.format(ranges=_ranges(turns)) if turns.between else say.SHORT_KEEPS_NONE
    if _at_once(turns):
        return say.SHORT_AT_ONCE
    return say.SHORT_TURNS.format(values=_short_values(turns))


def _short_keeps(turns: TurnsOf, expected: Collection[str]) -> str:
    if not turns.keeps:
        return say.SHORT_KEEPS_NONE
    if set(turns.keeps) == set(expected):
        return say.SHORT_KEEPS_ONLY
    if len(turns.keeps) <= MOST_SHORT:
        return say.SHORT_KEEPS.format(values=_some(turns))
    if expected and not set(expected) & set(turns.keeps):
        return say.SHORT_KEEPS_OTHERS
    return say.SHORT_KEEPS_MANY.format(number=len(turns.keeps))


def _short_values(turns: TurnsOf) -> str:
    """The values, the nearest first: at them it turns, or only beyond them, on the side where they are."""
    said: dict[str, list[str]] = {}
    for turning in turns.turning:
        said.setdefault(say.BEYOND if turning.holds else say.AT, []).append(f"{turning.value:.10g}")
    return listed([t.format(values=f"{listed(v, 'or')} {turns.unit}".strip()) for t, v in said.items()], "or")


def _some(turns: TurnsOf) -> str:
    """The values that keep a plan, the first of them where they are many."""
    shown = [*turns.keeps[:MOST_VALUES], *(["..."] if len(turns.keeps) > MOST_VALUES else [])]
    return ", ".join(shown)


def _ranges(turns: TurnsOf) -> str:
    return listed(
        [say.RANGE.format(low=f"{b.low:.10g}", high=f"{b.high:.10g}", unit=b.unit).strip() for b in turns.between], "or"
    )


def _of(turns: TurnsOf) -> Iterator[str]:
    if turns.not_known:
        yield say.NOT_WORKED_OUT.format(why=say.WHY_NOT[turns.not_known])
    elif turns.is_ == CODE:
        yield say.KEEPS.format(values=_some(turns)) if turns.keeps else say.KEEPS_NONE
    elif turns.is_never:
        yield say.NEVER
    elif turns.is_ == RANGE:
        yield say.BETWEEN.format(ranges=_ranges(turns)) if turns.between else say.BETWEEN_NONE
    elif _at_once(turns):
        yield f"{say.AT_ONCE} {_then(turns.turning[0])}"
    else:
        yield say.TURNS.format(values=listed([_value(t) for t in turns.turning], "or"))
        thens = dict.fromkeys(_then(t) for t in turns.turning)
        yield from thens
    for value, checks in _verdicts(turns).items():
        yield say.VERDICT_AT.format(value=value, checks=listed(checks))
    for price in turns.prices:
        value = f"{price.value:.10g} {price.unit}".strip()
        yield say.PRICE_AT.format(value=value, saves=f"{Decimal(price.saves) / 100:.2f}", then=_places(price))


def _at_once(turns: TurnsOf) -> bool:
    """Whether the plan does not hold at the very value that is counted from."""
    first = turns.turning[0]
    return not first.holds and turns.from_ is not None and abs(first.value - turns.from_) < 0.0006


def _value(turning: Turning) -> str:
    value = f"{turning.value:.10g} {turning.unit}".strip()
    return (say.HOLDS if turning.holds else say.TURNED).format(value=value)


def _then(turning: Turning) -> str:
    return say.THEN.format(then=say.THEN_NONE if turning.no_plan else _places(turning))


def _places(turned: Turning | Cheaper) -> str:
    said = [_place(place, number, turned.work.get(place)) for place, number in turned.then.items()]
    if len(said) <= MOST_PLACES:
        return listed(said)
    return say.MORE_PLACES.format(first=", ".join(said[:MOST_PLACES]), number=len(said) - MOST_PLACES)


def _place(place: Place, number: str, work: str | None) -> str:
    if work is not None:
        return (say.THEN_WORK if work else say.THEN_NO_WORK).format(number=number, place=place, work=work)
    return (say.THEN_PLACE if number else say.THEN_EMPTY).format(number=number, place=place)


def _verdicts(turns: TurnsOf) -> dict[str, list[str]]:
    """What changes in verdict alone, by the value; what the plan turns at is said already."""
    found: dict[str, list[str]] = {}
    for change in turns.verdicts:
        value = f"{change.value:.10g} {change.unit}".strip()
        found.setdefault(value, []).append(say.BECOMES.format(check=change.check, verdict=change.becomes))
    return found
