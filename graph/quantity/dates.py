"""Dates as exact or as vague as they are written, and dates that a spreadsheet made of something else."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, timedelta
from fractions import Fraction

import msgspec
from msgspec.structs import replace

from knockon.graph.quantity.cells.cell import Cell
from knockon.graph.quantity.cells.grammar import NotInGrammarError, parse, words_in
from knockon.graph.quantity.cells.model import CellError, Quantity

MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
_MONTHS_OF = {
    "spring": (3, 5),
    "summer": (6, 8),
    "autumn": (9, 11),
    "fall": (9, 11),
    "winter": (1, 14),
    "early": (1, 4),
    "mid": (5, 8),
    "late": (9, 12),
}
"""The months of a season or part of a year, northern; a winter may be at either end of its year."""
NO_SUCH_DAY = "no such day"
"""How it begins that a date is written as one, and that the calendar does not have it."""
_PIVOT = 70
"""Two-figure years from here on are of the twentieth century."""
_SHEET_EPOCH = date(1899, 12, 30)
_SHEET_YEARS = range(1990, 2050)
"""Years in which a whole number in a sheet is taken for one of its day numbers."""


class Written(msgspec.Struct, frozen=True):
    """What a date says: the parts that are written, by grammar form."""

    form: str
    years: tuple[str, ...]
    figures: tuple[str, ...]
    month: int | None
    word: str


def date_parts(text: str) -> Written:
    """The parts of a date. Raises NotInGrammarError."""
    tree = parse("dates", text)
    tokens = words_in(tree)
    months = [MONTHS.index(t[:3].lower()) + 1 for t in tokens if t.type == "MONTH"]
    words = [t.lower() for t in tokens if t.type in ("SEASON", "PART")]
    return Written(
        form=str(tree.data),
        years=tuple(str(t) for t in tokens if t.type == "YEAR"),
        figures=tuple("".join(c for c in t if c.isdigit()) for t in tokens if t.type == "FIGURE"),
        month=months[0] if months else None,
        word=words[0] if words else "",
    )


class Span(msgspec.Struct, frozen=True):
    """The days that a date may mean, its code, and what was needed to read it."""

    first: date
    last: date
    code: str
    flags: tuple[str, ...] = ()


def read_date(cell: Cell) -> dict[str, Quantity]:
    """The reading "" of a date: its first and last day as ordinals, and its code.

    The code is in the extended date-time format of ISO 8601-2 (2011-05, 2013-06/2013-08 for a
    summer, [2019-03-05,2019-05-03] for one of two days). Raises CellError.
    """
    kept = sheet_day(cell.text)
    if kept is not None:
        raise cell.error("a spreadsheet's day number", kept.isoformat())
    try:
        parts = date_parts(cell.text)
        span = _READERS[parts.form](cell, parts)
    except NotInGrammarError:
        raise cell.error("not a date") from None
    except CellError:
        raise
    except ValueError as error:
        raise cell.error(f"{NO_SUCH_DAY}: {error}") from None
    dated = cell.interval(Fraction(span.first.toordinal()), Fraction(span.last.toordinal()), flags=span.flags)
    return {"": replace(dated, code=span.code)}


def sheet_day(text: str) -> date | None:
    """The day that a spreadsheet keeps as this whole number, if it is one of recent years."""
    figures = text.removesuffix(".0")
    if not (figures.isascii() and figures.isdigit() and len(figures) == 5):
        return None
    day = _SHEET_EPOCH + timedelta(days=int(figures))
    return day if day.year in _SHEET_YEARS else None


def _month(year: int, month: int, flags: tuple[str, ...] = ()) -> Span:
    return Span(date(year, month, 1), _last_day(year, month), f"{year:04}-{month:02}", flags)


def _last_day(year: int, month: int) -> date:
    from calendar import monthrange

    return date(year, month, monthrange(year, month)[1])


def _day(year: int, month: int, day: int, flags: tuple[str, ...] = ()) -> Span:
    only = date(year, month, day)
    return Span(only, only, only.isoformat(), flags)


def _full_year(parts: Written, index: int) -> tuple[int, tuple[str, ...]]:
    """The year as written, or completed from two figures, with a flag."""
    if parts.years:
        return int(parts.years[0]), ()
    figure = parts.figures[index]
    if len(figure) != 2:
        raise ValueError(f"year {figure}")
    year = int(figure) + (1900 if int(figure) >= _PIVOT else 2000)
    return year, (f"year read as {year}",)


def _year(cell: Cell, parts: Written) -> Span:
    return _years_between(int(parts.years[0]), int(parts.years[0]), parts.years[0])


def _years_between(first: int, last: int, code: str, flags: tuple[str, ...] = ()) -> Span:
    if last < first:
        raise ValueError("the years run backwards")
    return Span(date(first, 1, 1), date(last, 12, 31), code, flags)


def _year_month(cell: Cell, parts: Written) -> Span:
    year, figure = int(parts.years[0]), int(parts.figures[0])
    if figure > 12:
        last = year // 100 * 100 + figure
        return _years_between(year, last, f"{year}/{last}", (f"read as {year} to {last}",))
    return _month(year, figure)


def _years(cell: Cell, parts: Written) -> Span:
    first, last = (int(year) for year in parts.years)
    return _years_between(first, last, f"{first}/{last}")


def _about(cell: Cell, parts: Written) -> Span:
    year = int(parts.years[0])
    return _years_between(year - 1, year + 1, f"{year}~", ("approximate: read as within a year",))


def _year_first(cell: Cell, parts: Written) -> Span:
    month, day = (int(figure) for figure in parts.figures)
    return _day(int(parts.years[0]), month, day)


def _figures(cell: Cell, parts: Written) -> Span:
    """14/3/12, and 03/05/2019, which is one of two days unless the sheet's order is known."""
    one, two = int(parts.figures[0]), int(parts.figures[1])
    year, flags = _full_year(parts, 2)
    order = cell.context.date_order
    if order is None and cell.text.count(".") >= 2:
        order = "day first"
        flags += ("read as day.month.year",)
    possible = [(two, one)] if order != "month first" else []
    possible += [(one, two)] if order != "day first" else []
    days = sorted({date(year, month, day) for month, day in possible if month <= 12})
    if not days:
        raise ValueError(cell.text)
    code = days[0].isoformat()
    if len(days) > 1:
        code = f"[{days[0].isoformat()},{days[1].isoformat()}]"
        flags += ("day and month undecided",)
    return Span(days[0], days[-1], code, flags)


def _month_year_figures(cell: Cell, parts: Written) -> Span:
    return _month(int(parts.years[0]), int(parts.figures[0]))


def _day_month(cell: Cell, parts: Written) -> Span:
    if not parts.years and len(parts.figures) < 2:
        raise cell.error("a day without a year")
    year, flags = _full_year(parts, 1)
    return _day(year, parts.month or 0, int(parts.figures[0]), flags)


def _month_figure(cell: Cell, parts: Written) -> Span:
    year, flags = _full_year(parts, 0)
    return _month(year, parts.month or 0, flags)


def _month_day_year(cell: Cell, parts: Written) -> Span:
    return _day(int(parts.years[0]), parts.month or 0, int(parts.figures[0]))


def _month_year(cell: Cell, parts: Written) -> Span:
    return _month(int(parts.years[0]), parts.month or 0)


def _part_of_year(cell: Cell, parts: Written) -> Span:
    year, (first, last) = int(parts.years[0]), _MONTHS_OF[parts.word]
    end = date(year + (last > 12), (last - 1) % 12 + 1, 1)
    span = _months(date(year, first, 1), end)
    return replace(span, flags=(f"{parts.word} {year} read as {span.code}",))


def _months(first: date, last: date) -> Span:
    """From the first day of one month to the last of another."""
    if last < first:
        raise ValueError("the months run backwards")
    end = _last_day(last.year, last.month)
    return Span(first, end, f"{first:%Y-%m}/{last:%Y-%m}")


def _month_span(cell: Cell, parts: Written) -> Span:
    years = [int(year) for year in parts.years]
    months = [int(figure) for figure in parts.figures]
    return _months(date(years[0], months[0], 1), date(years[1], months[1], 1))


def _one_of(cell: Cell, parts: Written) -> Span:
    years, figures = parts.years, parts.figures
    days = [date(int(years[n]), int(figures[2 * n]), int(figures[2 * n + 1])) for n in range(len(years))]
    if days != sorted(days):
        raise ValueError("the days run backwards")
    return Span(days[0], days[1], f"[{days[0]},{days[1]}]", ("day and month undecided",))


_READERS: dict[str, Callable[[Cell, Written], Span]] = {
    "year": _year,
    "year_month": _year_month,
    "years": _years,
    "about": _about,
    "year_first": _year_first,
    "figures": _figures,
    "month_year_figures": _month_year_figures,
    "day_month": _day_month,
    "month_figure": _month_figure,
    "month_day_year": _month_day_year,
    "year_month_day": _month_day_year,
    "month_year": _month_year,
    "year_then_month": _month_year,
    "season_year": _part_of_year,
    "year_season": _part_of_year,
    "part_of_year": _part_of_year,
    "month_span": _month_span,
    "one_of": _one_of,
}
