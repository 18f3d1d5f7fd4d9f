"""Fractions and thread sizes that a spreadsheet turned into dates: what they may have been."""

from __future__ import annotations

from collections.abc import Iterator

from knockon.graph.quantity.cells.amounts import FRACTION_DENOMINATORS
from knockon.graph.quantity.cells.cell import Cell
from knockon.graph.quantity.cells.grammar import NotInGrammarError
from knockon.graph.quantity.dates import Written, date_parts, sheet_day

_NOT_DATES = frozenset({"date", "code", "part number", "hand", "money"})
_DAY_FORMS = frozenset({"day_month", "month_figure", "figures", "year_first"})


def offers_behind_a_date(cell: Cell) -> tuple[str, ...] | None:
    """What may have been typed where a date stands now, or None where none does."""
    if cell.datatype in _NOT_DATES:
        return None
    kept = sheet_day(cell.text)
    if kept is not None:
        return tuple(_offers(cell, kept.day, kept.month, kept.year % 100))
    try:
        parts = date_parts(cell.text)
    except NotInGrammarError:
        return None
    if parts.form not in _DAY_FORMS or (parts.form == "figures" and not parts.years):
        return None
    return tuple(_offers(cell, *_figures(parts)))


def _figures(parts: Written) -> tuple[int, int, int]:
    """Day, month and the last two figures of the year, -1 where none is written."""
    figures = [int(figure) for figure in parts.figures]
    year = int(parts.years[0]) % 100 if parts.years else -1
    if parts.form == "figures":
        return figures[0], figures[1], year
    if parts.form == "year_first":
        return figures[1], figures[0], year
    if parts.form == "day_month" and figures[1:]:
        year = figures[1]
    return figures[0], parts.month or 0, year


def _offers(cell: Cell, day: int, month: int, short_year: int) -> Iterator[str]:
    """Month and day either way round as a fraction, or with the year behind them."""
    for above, below in ((month, day), (day, month)):
        if above < below and below in FRACTION_DENOMINATORS:
            yield from _spelled(cell, f"{above}/{below}", short_year)
    odd = min(day, month) == 1 and max(day, month) not in FRACTION_DENOMINATORS
    if cell.datatype == "length" and odd and short_year < 0:
        yield f"1/{max(day, month)} in"  # 11-Jan: hardly a size, but what was typed
    for whole, above in ((month, day), (day, month)):
        if above < short_year and short_year in FRACTION_DENOMINATORS and cell.datatype == "length":
            yield f"{whole} {above}/{short_year} in"
    if cell.datatype == "thread":
        yield f"{month}-{day}"
        yield f"{day}-{month}"
    if cell.datatype == "ratio":
        yield f"{month}:{day}"
        yield f"{day}:{month}"
    if cell.datatype == "spline pitch":
        yield f"{month}/{day}"
        yield f"{day}/{month}"


def _spelled(cell: Cell, fraction: str, short_year: int) -> Iterator[str]:
    if cell.datatype == "length":
        yield f"{fraction} in"
    elif cell.datatype == "thread":
        if short_year > 0:
            yield f"{fraction}-{short_year}"
        yield f"{fraction} UNF"
        yield f"{fraction} UNC"
    else:
        yield fraction
