"""Over which range of an assumed value a figure's verdict holds, everything else as it is.

Some formulas hold numbers that nobody recorded (the friction of a pad, the self-servo of a drum). Where such a figure
decides, the range of each says how far the answer rests on it. The vehicle as made, if the figure is compared with it,
is taken with the same assumption.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import lru_cache

import msgspec

from knockon.graph.formulas import formula
from knockon.graph.judge.figures import TermValue, judge_figure, value_of
from knockon.graph.judge.verdicts import Verdict
from knockon.graph.model.layouts.mechanism import Figure

FACTOR = 1.1
"""Values are tried in steps of this factor; the end in between is found by halving."""
STEPS_OUT = 48
"""So many steps either way (to about a hundredth and a hundredfold): what holds so far has no end."""
DIGITS = 6
HALVINGS = 60


class AssumedRange(msgspec.Struct, frozen=True):
    """An assumed number of a formula, and the closed range in which the verdict is the same (None: without end); the
    ends are rounded inwards. Numbers without unit; ``standing`` is that of the assumption."""

    name: str
    value: float
    low: float | None
    high: float | None
    standing: str = "from memory"


def assumptions(
    figure: Figure, terms: tuple[TermValue, ...], as_made: tuple[TermValue, ...], stated: bool = False
) -> tuple[AssumedRange, ...]:
    """The assumptions on which the verdict of a figure rests, each by itself; none where nothing is decided.

    ``as_made``: the terms on the vehicle as made (none where nothing is compared with it).
    """
    known = not any(t.missing or t.absent for t in (*terms, *as_made))
    return _assumptions(figure, terms, as_made, stated) if figure.formula and known else ()


@lru_cache(maxsize=1_000)
def _assumptions(
    figure: Figure, terms: tuple[TermValue, ...], as_made: tuple[TermValue, ...], stated: bool
) -> tuple[AssumedRange, ...]:
    found = []
    for one in formula(figure.formula).assumed:

        def values_at(value: float, name: str = one.name) -> tuple[object, object]:
            held = ((name, value),)
            return value_of(figure, terms, held), value_of(figure, as_made, held) if as_made else None

        def verdict_at(value: float, name: str = one.name) -> Verdict:
            held = ((name, value),)
            made = value_of(figure, as_made, held) if as_made else None
            return judge_figure(figure, terms, made[0] if made else None, stated, held).verdict

        verdict = verdict_at(one.value)
        if verdict in (Verdict.NOT_KNOWN, Verdict.DISPUTED) or values_at(one.value) == values_at(FACTOR * one.value):
            continue

        def holds(value: float, wanted: Verdict = verdict, at: Callable[[float], Verdict] = verdict_at) -> bool:
            return at(value) is wanted

        step = 10.0**-DIGITS / 2

        def inwards_up(value: float, most: float = one.value, by: float = step) -> float:
            return min(most, round(value + by, DIGITS))

        def inwards_down(value: float, least: float = one.value, by: float = step) -> float:
            return max(least, round(value - by, DIGITS))

        low = _end(holds, one.value, 1 / FACTOR, inwards_up)
        high = _end(holds, one.value, FACTOR, inwards_down)
        found.append(AssumedRange(one.words, one.value, low, high))
    return tuple(found)


def _end(
    holds: Callable[[float], bool], start: float, factor: float, rounded: Callable[[float], float]
) -> float | None:
    """The last value in one direction up to which it holds, ``rounded``; None where it holds as far as was looked.

    Halving keeps the end between the last value inside and the first outside. ``rounded`` never falls where values
    rise, so once it makes one number of both, it makes that number of the end too, and there is no more to look for.
    """
    inside = start
    for _ in range(STEPS_OUT):
        outside = inside * factor
        if not holds(outside):
            break
        inside = outside
    else:
        return None
    for _ in range(HALVINGS):
        if rounded(inside) == rounded(outside):
            break
        middle = (inside + outside) / 2
        if holds(middle):
            inside = middle
        else:
            outside = middle
    return rounded(inside)
