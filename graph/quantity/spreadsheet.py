"""Fractions and thread sizes that a spreadsheet turned into dates: what they may have been."""

from __future__ import annotations

from knockon.graph.quantity.cells.cell import Cell
from knockon.graph.quantity.cells.grammar import NotInGrammarError
from knockon.graph.quantity.cells.sheet_date import SheetDate
from knockon.graph.quantity.dates import Written, date_parts, sheet_day

_DAY_FORMS = frozenset({"day_month", "month_figure", "figures", "year_first"})


def offers_behind_a_date(cell: Cell) -> tuple[str, ...] | None:
    """What may have been typed where a date stands now, or None where none does."""
    if cell.datatype.from_date is None:
        return None
    kept = sheet_day(cell.text)
    if kept is not None:
        return tuple(cell.datatype.from_date(SheetDate(kept.day, kept.month, kept.year % 100)))
    try:
        parts = date_parts(cell.text)
    except NotInGrammarError:
        return None
    if parts.form not in _DAY_FORMS or (parts.form == "figures" and not parts.years):
        return None
    return tuple(cell.datatype.from_date(_figures(parts)))


def _figures(parts: Written) -> SheetDate:
    figures = [int(figure) for figure in parts.figures]
    year = int(parts.years[0]) % 100 if parts.years else -1
    if parts.form == "figures":
        return SheetDate(figures[0], figures[1], year)
    if parts.form == "year_first":
        return SheetDate(figures[1], figures[0], year)
    if parts.form == "day_month" and figures[1:]:
        year = figures[1]
    return SheetDate(figures[0], parts.month or 0, year)
