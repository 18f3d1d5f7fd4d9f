"""A calculation as blocks of text; every length in mm and inch side by side."""

from __future__ import annotations

import math
from collections.abc import Callable

from knockon.graph.formulas.interval import Interval
from knockon.queries.ui.naming import sentence
from knockon.queries.ui.sentences import workshop as say
from knockon.queries.ui.terminal.blocks import GOOD, QUIET, STRONG, WARN, Block, Gap, Grid, Heading, Para, bullets
from knockon.queries.workshop.answer import Amount, Calculation

Rounder = Callable[[float], str]

_BESIDE: dict[str, tuple[str, float]] = {
    "um": ("in", 1 / 25_400),
    "mm2": ("in2", 1 / 25.4**2),
    "MPa": ("psi", 145.0377377),
    "N": ("lbf", 1 / 4.4482216152605),
    "N m": ("lbf ft", 1 / 1.3558179483314004),
    "ml": ("in3", 1 / 16.387064),
    "K": ("F", 1.8),
}
"""The inch unit that stands beside each unit, and its factor. Exact by definition but for the last figure shown."""


def calculation_blocks(answer: Calculation) -> list[Block]:
    """The answer as one would write it down in a workshop: what it means, the numbers, what they rest on."""
    blocks: list[Block] = [Para(answer.question, tone=STRONG)]
    blocks += [Para(sentence(s), indent=2, tone=GOOD if answer.good else WARN) for s in answer.says]
    if answer.results:
        blocks += [Gap(), Grid(tuple(_row(a) for a in answer.results), indent=2)]
    for listing in answer.listings:
        blocks += [Heading(listing.title), Grid(listing.rows, listing.header, indent=2)]
    if answer.given:
        blocks += [Heading(say.GIVEN), Grid(tuple(_row(a) for a in answer.given), indent=2)]
    if answer.influences:
        rows = tuple((i.name, f"{i.share:.0f} %") for i in answer.influences)
        blocks += [Heading(say.UNCERTAIN), Grid(rows, right=(1,), indent=2)]
    for title, lines in _sections(answer):
        if lines:
            blocks += [
                Heading(title),
                *bullets(tuple(_stopped(line) for line in lines), 2, QUIET * (title != say.MIND)),
            ]
    return blocks


def _sections(answer: Calculation) -> tuple[tuple[str, tuple[str, ...]], ...]:
    return (say.ASSUMED, answer.assumptions), (say.RESTS_ON, answer.sources), (say.MIND, answer.cautions)


def amount_text(value: Interval, unit: str) -> str:
    """An amount in its unit with the inch unit beside it: ``0.007 to 0.041 mm (0.0003 to 0.0016 in)``."""
    if unit == "mm":
        return f"{_span(value, _millimetres)} mm ({_span(value, _inches)} in)"
    text = f"{_span(value, _figures)} {unit}".strip()
    if unit not in _BESIDE:
        return text
    beside, factor = _BESIDE[unit]
    other = Interval(value.low * factor, value.high * factor)
    return f"{text} ({_span(other, _plain_inches if unit == 'um' else _figures)} {beside})"


def _stopped(line: str) -> str:
    """A full stop, but no capital: a source is named as it is written."""
    return line if line.endswith((".", "!", "?")) else line + "."


def _row(amount: Amount) -> tuple[str, str, str]:
    return amount.name, amount_text(amount.value, amount.unit), amount.remark


def _span(value: Interval, rounder: Rounder) -> str:
    low, high = rounder(value.low), rounder(value.high)
    if math.isinf(value.low) and math.isinf(value.high):
        return say.ANY
    if math.isinf(value.high):
        return say.AT_LEAST.format(low=low)
    if math.isinf(value.low):
        return say.AT_MOST.format(high=high)
    if low == high:
        return low
    low, high = (_even(low, high), _even(high, low)) if rounder is not _figures else (low, high)
    return say.SPAN.format(low=low, high=high)


def _even(number: str, other: str) -> str:
    """The number with as many decimals as the other end of its range."""
    decimals, more = (len(n.partition(".")[2]) for n in (number, other))
    if more <= decimals:
        return number
    return number + "." * (not decimals) + "0" * (more - decimals)


def _trimmed(text: str) -> str:
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return "0" if text in ("-0", "") else text


def _millimetres(mm: float) -> str:
    """To 0.001 mm: finer is beyond what a workshop measures."""
    return "" if math.isinf(mm) else _trimmed(f"{mm:.3f}")


def _inches(mm: float) -> str:
    """To 0.0001 in, at least three decimals as the trade writes them."""
    return "" if math.isinf(mm) else _plain_inches(mm / 25.4)


def _plain_inches(inches: float) -> str:
    text = f"{inches:.4f}"
    text = text[:-1] if text.endswith("0") else text
    return text.removeprefix("-") if float(text) == 0 else text


def _figures(number: float) -> str:
    """Four figures."""
    if math.isinf(number):
        return ""
    if number == 0 or abs(number) < 1e-12:
        return "0"
    places = 3 - math.floor(math.log10(abs(number)))
    return _trimmed(f"{round(number, places):.{max(0, min(places, 7))}f}")
