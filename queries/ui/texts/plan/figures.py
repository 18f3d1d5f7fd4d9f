"""The workshop's figures of a plan as text: a few lines, each with what makes it uncertain and what is not known."""

from __future__ import annotations

import math
from collections.abc import Sequence

from knockon.graph.formulas.interval import Interval
from knockon.graph.model.layout_words import FIGURES
from knockon.graph.model.several import Several
from knockon.queries.plan.figures import AS_MADE, ToldFigure
from knockon.queries.plan.numbers import Estimate
from knockon.queries.ui import units
from knockon.queries.ui.naming import Naming, listed, sentence
from knockon.queries.ui.sentences.plan import figures as say
from knockon.queries.ui.terminal.blocks import QUIET, WARN, Block, Heading, Para, bullets
from knockon.queries.ui.texts.fits.evidence import measured_words
from knockon.queries.ui.texts.fits.links import assumed_words
from knockon.queries.ui.texts.workshop.calculation import amount_text


def figure_blocks(naming: Naming, figures: Sequence[ToldFigure], meetings: Sequence[ToldFigure]) -> list[Block]:
    """The block of figures; nothing where there are none."""
    pairs = _pairs(meetings)
    if not figures and not pairs:
        return []
    blocks: list[Block] = [Heading(say.FIGURES)]
    blocks += bullets([_line(naming, f, beside) for f, beside in _both_hands(figures)])
    if pairs:
        blocks += [Para(say.RULED_OUT), *bullets(pairs)]
    return [*blocks, *_standing(naming, figures)]


def _both_hands(figures: Sequence[ToldFigure]) -> list[tuple[ToldFigure, bool]]:
    """The figures, and whether the other hand lacks the same sizes: then it is not told again."""
    found: dict[tuple[str, object], tuple[ToldFigure, bool]] = {}
    for one in figures:
        alike = (one.figure, len(one.to_measure) if one.planned is None else one.planned)
        found[alike] = (found[alike][0], True) if alike in found else (one, False)
    return list(found.values())


def _line(naming: Naming, told: ToldFigure, both: bool) -> str:
    name = say.ON_ONE_SIDE.format(name=told.figure, side=told.sides[0]) if len(told.sides) == 1 and not both else ""
    number = _number(naming, told)
    number = say.SAME_ON_BOTH.format(number=number) if both else number
    said = [say.FIGURE.format(name=name or told.figure, number=number)]
    said += [say.AS_MADE.format(number=_as_made(naming, told))] if told.as_made or told.to_measure_as_made else []
    said += [sentence(x) for x in (told.words, _window(told), told.says, *assumed_words(told.assumed)) if x]
    disputed = listed(measured_words(naming, told.disputed))
    said += [say.DISPUTED.format(sizes=disputed)] if told.disputed else []
    return " ".join((*said, *_mostly(told)))


def _number(naming: Naming, told: ToldFigure) -> str:
    if told.planned is None:
        return say.NOT_KNOWN.format(sizes=listed(measured_words(naming, told.to_measure)))
    text = estimate_text(told.planned, told.unit)
    if told.as_made is None or told.planned.middle is None or told.as_made.middle is None:
        return text
    change = told.planned.middle - told.as_made.middle
    if told.unit == "%" or told.as_made.middle == 0:
        return say.CHANGED_BY.format(
            number=text, change=f"{change:+.1f} {say.POINTS if told.unit == '%' else told.unit}"
        )
    return say.CHANGED_BY.format(number=text, change=f"{100 * change / told.as_made.middle:+.0f} %")


def _as_made(naming: Naming, told: ToldFigure) -> str:
    if told.as_made is not None:
        return estimate_text(told.as_made, told.unit)
    sizes = [s.with_remark(s.remark.removesuffix(AS_MADE)) for s in told.to_measure_as_made]
    return say.NOT_KNOWN.format(sizes=listed(measured_words(naming, sizes)))


def estimate_text(number: Estimate, unit: str) -> str:
    """``4.7 mm (0.185 in)``; with a range ``4.2 to 5.2 mm (...), worst case; root sum of squares ±0.5 mm``."""
    low, high = (-math.inf if number.low is None else number.low), (math.inf if number.high is None else number.high)
    text = _rounded(Interval(low, high), unit)
    if number.likely and number.likely > 0:
        return say.LIKELY.format(worst=text, likely=_rounded(Interval.point(number.likely), unit))
    return text


def _rounded(value: Interval, unit: str) -> str:
    if unit in ("%", "turns"):
        low, high = (f"{x:.1f}".removesuffix(".0") if math.isfinite(x) else say.NO_END for x in (value.low, value.high))
        return f"{low if low == high else say.FROM_TO.format(low=low, high=high)} {unit}"
    if unit == "mm" and math.isfinite(value.low) and math.isfinite(value.high):
        return units.amount(value.low, value.high, unit)
    return amount_text(value, unit)


def _window(told: ToldFigure) -> str:
    """The window that the figure is judged by elsewhere, where it is not simply the value as made."""
    if told.as_made is not None:
        return say.NOT_BELOW if told.low is not None else ""
    if told.low is None and told.high is None:
        return ""
    if told.low is not None and told.high is not None:
        return say.NEEDED.format(size=_rounded(Interval(told.low, told.high), told.unit))
    limit = told.low if told.low is not None else told.high
    assert limit is not None
    end = say.AT_LEAST if told.low is not None else say.AT_MOST
    return say.NEEDED.format(size=end.format(number=_rounded(Interval.point(limit), told.unit)))


def _mostly(told: ToldFigure) -> list[str]:
    """The input that makes the number uncertain."""
    first = told.influences[0] if told.influences else None
    return [say.MOSTLY.format(name=first.name, share=f"{first.share:.0f}")] if first else []


def _pairs(meetings: Sequence[ToldFigure]) -> list[str]:
    """What it would do in words, or its numbers where words say nothing, and the pairs of which that holds.

    Of a pair that does not go together at all numbers say nothing, and its no is told elsewhere.
    """
    numbers: dict[Several, list[ToldFigure]] = {}
    for one in meetings:
        numbers.setdefault(one.about, []).append(one)
    found: dict[str, list[str]] = {}
    for about, told in numbers.items():
        said = [t.words for t in told if t.words]
        if not said and all(t.holds for t in told):
            said = [f"{t.figure} {estimate_text(t.planned, t.unit)}" for t in told if t.planned]
        if not said:
            continue
        joint, pair = about.each
        found.setdefault("; ".join(said), []).append(f"{joint} ({pair})")
    return [
        say.DOES.format(what=sentence(words).removesuffix("."), pairs="; ".join(pairs))
        for words, pairs in found.items()
    ]


def _standing(naming: Naming, figures: Sequence[ToldFigure]) -> list[Block]:
    """What all the figures rest on, once."""
    nominal = any(f.nominal and f.planned for f in figures)
    assumed = list(dict.fromkeys(a for f in figures for a in f.assumptions))
    memory = [f.figure for f in figures if f.standing == "from memory" and f.planned]
    lines = [say.EXACT] if nominal else []
    lines += [say.ASSUMED.format(values="; ".join(assumed))] if assumed else []
    lines += [say.FROM_MEMORY.format(figures=listed(memory))] if memory else []
    return [*(Para(line, tone=QUIET, indent=2) for line in lines), Para(naming.words[FIGURES], tone=WARN, indent=2)]
