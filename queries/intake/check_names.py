"""What ``check`` points out in plain tables: names that a command or a cell reads as something else, and dates of which
the calendar has no such day."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping

from knockon.graph.quantity import CellError, no_such_day, read_cell
from knockon.graph.records import Finding
from knockon.graph.tables.files import RawTable
from knockon.queries.as_typed import ALL, fold

ANOTHER_NAME = "another name: this one cannot be typed"
DATES: Mapping[str, str] = {"sources": "date", "notes": "date"}
"""The columns of dates, by table."""


def read_as_else(name: str) -> str:
    """What a name is read as instead, in a cell or by a command: ``?`` is what nobody knows, ``-x`` an option. Blank
    for a name that is only a name."""
    if name[:1] == "-":
        return "begins like an option"
    if name[:1] in ("=", "+", "@"):
        return "begins like a formula"
    if ";" in name:
        return "holds a semicolon, which stands between names"
    try:
        found = read_cell(name, "code")[""]
    except CellError as error:
        return f"is read as something else ({error.why})"
    if found.unknown:
        return "means that nobody knows"
    if found.not_applicable:
        return "means that there can be none"
    return "means that there is none" if found.absent else ""


def vehicle_read_as_else(name: str) -> str:
    """The same of the name of a vehicle."""
    return "means all vehicles" if fold(name) == ALL else read_as_else(name)


def _position_read_as_else(name: str) -> str:
    mark = next((m for m in ",=:" if m in name), "")
    return f"holds {mark!r}, behind which a command reads a size or a part" if mark else read_as_else(name)


NAMED: Mapping[str, tuple[str, Callable[[str], str]]] = {
    "vehicles": ("vehicle", vehicle_read_as_else),
    "parts": ("part", read_as_else),
    "items": ("item", read_as_else),
    "kits": ("kit", read_as_else),
    "suppliers": ("supplier", read_as_else),
    "sources": ("source", read_as_else),
    "layouts": ("layout", read_as_else),
    "positions": ("position", _position_read_as_else),
}
"""The tables whose rows are called by a name that commands and cells take, with its column."""


def names_read_otherwise(tables: Iterable[RawTable]) -> Iterator[Finding]:
    """A finding for each name that is read as something else where somebody types it."""
    for raw in tables:
        column, reads = NAMED.get(raw.table, ("", read_as_else))
        yield from _findings(raw, column, reads, ANOTHER_NAME)


def impossible_dates(tables: Iterable[RawTable]) -> Iterator[Finding]:
    """A finding for each date that is written as one and cannot be: 31.2.2026."""
    for raw in tables:
        yield from _findings(raw, DATES.get(raw.table, ""), no_such_day, "a day that there is, or a month or year")


def _findings(raw: RawTable, column: str, problem_of: Callable[[str], str], expected: str) -> Iterator[Finding]:
    if raw.file.startswith("features/") or column not in raw.header:
        return
    at = raw.header.index(column)
    for number, cells in raw.rows:
        problem = problem_of(cells[at]) if cells[at] else ""
        if problem:
            yield Finding(
                file=raw.file,
                row=number,
                column=column,
                written=cells[at],
                problem=problem,
                expected=expected,
                set_aside=False,
            )
