"""Rows of plain tables beside each other: two that disagree, names that lead in a circle, names of what was set aside.

What is found here takes its row away, whole; what named it by that goes as well, and each time it is said.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Set
from typing import Any, Self, TypeVar

import msgspec
from msgspec.structs import replace

from knockon.graph.model.circles import ways_round
from knockon.graph.model.findings import NOT_FOUND, ROW_SKIPPED, Finding
from knockon.graph.model.schema import Column, Table
from knockon.graph.tables.cells import expected_of, near, shown

Key = tuple[str, ...]


class Cells(Mapping[str, str]):
    """The filled cells of one row by header, over the row as it was split: a table of a million rows keeps no more."""

    __slots__ = ("_texts", "where")

    def __init__(self, where: dict[str, int], texts: tuple[str, ...]) -> None:
        self.where, self._texts = where, texts

    def __getitem__(self, header: str) -> str:
        text = self._texts[self.where[header]]
        if not text:
            raise KeyError(header)
        return text

    def get(self, header: str, default: Any = None) -> Any:
        """The cell, or ``default`` where there is none or it is blank."""
        at = self.where.get(header)
        return default if at is None else self._texts[at] or default

    def __iter__(self) -> Iterator[str]:
        return (header for header, at in self.where.items() if self._texts[at])

    def __len__(self) -> int:
        return sum(1 for _ in self)


class Row(msgspec.Struct, frozen=True, eq=False):
    """One row of a plain table whose every cell was read: where it stands, its key, its cells."""

    file: str
    number: int
    shape: Table
    key: Key
    cells: Mapping[str, str]

    def renamed(self, columns: Mapping[str, str]) -> Self:
        """The row with its cells in other columns: ``columns`` are those that change, each with its new one."""
        return replace(self, cells={columns.get(c, c): text for c, text in self.cells.items()})

    def finding(self, column: str, problem: str, expected: str, set_aside: bool = True) -> Finding:
        """A finding about one cell of this row."""
        written = shown(self.cells.get(column, ""))
        return Finding(
            file=self.file,
            row=self.number,
            column=column,
            written=written,
            problem=problem,
            expected=expected,
            set_aside=set_aside,
        )


AnyRow = TypeVar("AnyRow", bound=Row)


def parts_of(column: Column, written: str) -> list[str]:
    """The values of a cell: several, with semicolons, where the column may hold many."""
    return [t.strip() for t in written.split(";") if t.strip()] if column.many else [written]


def disagreeing(rows: Iterable[Row]) -> Iterator[tuple[Row, Finding]]:
    """Rows of one key that say different things; each is named beside the other.

    Of free text both are kept, and the first in the alphabet is used. Where the cells decide something (a hand, a part
    type, a yes or no, a number, a name) neither can be believed, whatever the order in which they stand.
    """
    for table, same in ((t, s) for t, found in _by_table(rows).items() for s in _of_one_key(found)):
        for column in same[0].shape.columns:
            # Another source for the same row is no disagreement; nor is a cell that says nothing.
            stated = [r for r in same if r.cells.get(column.name)]
            if column.many or (column.name == "source" and table != "sources"):
                continue
            if len({r.cells[column.name] for r in stated}) > 1:
                yield from _pairs(column, stated)


def _of_one_key(rows: list[Row]) -> Iterable[list[Row]]:
    """The rows of each key that several have."""
    if len({row.key for row in rows}) == len(rows):
        return ()
    groups: dict[Key, list[Row]] = defaultdict(list)
    for row in rows:
        groups[row.key].append(row)
    return [same for same in groups.values() if len(same) > 1]


def _pairs(column: Column, stated: list[Row]) -> Iterator[tuple[Row, Finding]]:
    decides = bool(column.values or column.refers_to or column.names or column.datatype not in ("string", ""))
    used = min(r.cells[column.name] for r in stated)
    for row in stated:
        other = next(r for r in stated if r.cells[column.name] != row.cells[column.name])
        problem = f"row {other.number} has the same key and says {shown(other.cells[column.name])!r}, "
        if decides:
            yield row, row.finding(column.name, problem + "so neither is used", "one value")
        elif row is not stated[0]:
            problem += f"so both are kept and {shown(used)!r} is used"
            yield row, row.finding(column.name, problem, "one value", set_aside=False)


def in_circles(rows: Iterable[Row]) -> Iterator[tuple[Row, Finding]]:
    """Rows by which something hangs on itself, is like itself, holds itself: each with the cell that leads on."""
    for column, found in _by_column(rows, lambda column: bool(column.no_circle_from)):
        edges: dict[Key, dict[Key, list[Row]]] = defaultdict(lambda: defaultdict(list))
        for row in found:
            start, scope = row.cells.get(column.no_circle_from, ""), _scope(row, column)
            edges[(*scope, start)][(*scope, row.cells[column.name])].append(row)
        for way in ways_round(edges):
            said = " -> ".join(n[-1] for n in way)
            for row in edges[way[0]][way[1]]:
                yield row, row.finding(column.name, f"leads back to itself: {shown(said)}", "another")


def in_each_others_way(rows: Iterable[Row]) -> Iterator[tuple[Row, Finding]]:
    """Rows by which a thing would have to come off before itself; one that is slackened only waits for nothing."""
    wanted = (
        r
        for r in rows
        if r.shape.table == "in_the_way" and r.cells.get("slackened", "").casefold() not in ("yes", "true")
    )
    ways: dict[tuple[str, str], list[Row]] = defaultdict(list)
    for row in wanted:
        ways[(row.cells["layout"], row.cells.get("arrangement", ""))].append(row)
    for (layout, arrangement), own in sorted(ways.items()):
        edges: dict[Key, dict[Key, list[Row]]] = defaultdict(lambda: defaultdict(list))
        for row in (*own, *(ways.get((layout, ""), ()) if arrangement else ())):
            edges[(row.cells["position"],)][(row.cells["in the way of"],)].append(row)
        for way in ways_round(edges):
            said = " -> ".join(n[-1] for n in way)
            for row in (r for r in edges[way[0]][way[1]] if r in own):
                yield row, row.finding("in the way of", f"leads back to itself: {shown(said)}", "another")


def one_sided(rows: Iterable[Row]) -> Iterator[tuple[Row, Finding]]:
    """Rows that name another as theirs, which names a third: of the three, nobody knows which are a pair."""
    for column, found in _by_column(rows, lambda column: column.mutual):
        named = {row.key[0]: row.cells[column.name] for row in found}
        for row in found:
            other = row.cells[column.name]
            if named.get(other, row.key[0]) != row.key[0]:
                problem = f"{shown(other)} belongs to {shown(named[other])}"
                yield row, row.finding(column.name, problem, "two that name each other")


def two_of_one_choice(rows: Iterable[Row]) -> Iterator[tuple[Row, Finding]]:
    """Vehicles that name two arrangements of which only one can hold."""
    rows = list(rows)
    choice_of = {row.key: row.cells.get("choice", "") for row in rows if row.shape.table == "arrangements"}
    for row in rows:
        if row.shape.table == "vehicles":
            named: dict[str, list[str]] = defaultdict(list)
            for text in dict.fromkeys(t.strip() for t in row.cells.get("arrangement", "").split(";")):
                key = (row.cells.get("layout", ""), text)
                if key in choice_of:
                    named[choice_of[key]].append(text)
            for choice, both in named.items():
                if len(both) > 1:
                    problem = f"{shown(' and '.join(both))} are alternatives" + (f" for {choice}" if choice else "")
                    yield row, row.finding("arrangement", problem, "one arrangement of each choice")


def _scope(row: Row, column: Column) -> Key:
    """What a name is a name in: a layout's position in the layout."""
    keys = [c.name for c in row.shape.columns if c.key]
    return tuple(row.cells.get(k, "") for k in keys[: keys.index(column.no_circle_from)])


def _by_table(rows: Iterable[Row]) -> dict[str, list[Row]]:
    tables: dict[str, list[Row]] = defaultdict(list)
    for row in rows:
        tables[row.shape.table].append(row)
    return tables


def _by_column(rows: Iterable[Row], wanted: Callable[[Column], bool]) -> Iterator[tuple[Column, list[Row]]]:
    for same in _by_table(rows).values():
        for column in same[0].shape.columns:
            if wanted(column):
                yield column, [r for r in same if r.cells.get(column.name)]


def members_of_set(table: str, key: Key) -> tuple[str, ...]:
    """A set's member as other rows name it: ``SET/position``, and with its side where it has one; of no other table."""
    if table != "set_members" or len(key) < 2:
        return ()
    return ("/".join(key[:2]), *(["/".join(key[:3])] if len(key) > 2 and key[2] else []))


class Names(msgspec.Struct, frozen=True):
    """What may be named: first keys by table, and the last part of each key with the layouts that have it."""

    keys: dict[str, set[str]]
    inside: dict[str, dict[str, set[str]]]

    @classmethod
    def of(cls, keys: Iterable[tuple[str, Key]], scoped: Collection[str] | None = None) -> Names:
        """The names that these (table, key) give; ``scoped``: the tables in which last parts are looked for, if not in
        all."""
        names = cls(defaultdict(set), defaultdict(lambda: defaultdict(set)))
        for table, key in keys:
            names.keys[table].add(key[0])
            if scoped is None or table in scoped:
                names.inside[table][key[-1]].add(key[0])
            if table == "set_members":
                names.keys[table].update(members_of_set(table, key))
        return names

    def has(self, column: Column, text: str, layout: str) -> bool:
        """Whether a cell of a naming column names something; ``layout`` is the row's own, if it has one."""
        if column.names_in:
            layouts: Set[str] = self.inside[column.names_in].get(text, frozenset())
            return layout in layouts if layout else bool(layouts)
        return any(text in self.keys[t] for t in column.refers_to)


def naming_nothing(rows: Iterable[Row], every: Names) -> Iterator[tuple[Row, Finding]]:
    """Rows that name what is not among ``rows``: nowhere there (names inside a layout), or set aside before.

    ``every``: the names of all rows, also of those that were set aside.
    """
    rows = list(rows)
    good = Names.of(((r.shape.table, r.key) for r in rows), set(every.inside))
    for column, found in _by_column(rows, lambda column: bool(column.names_in or column.refers_to)):
        lacking = _lacking(column, found, good)
        for row in found if lacking else ():
            layout = _layout(row, column)
            for text in parts_of(column, row.cells[column.name]):
                if (text, layout) not in lacking:
                    continue
                if every.has(column, text, layout):
                    yield row, row.finding(column.name, ROW_SKIPPED.format(name=shown(text)), "a row without errors")
                    continue
                where = column.names_in or " or ".join(column.refers_to)
                known = [n for n, ls in every.inside[column.names_in].items() if not layout or layout in ls]
                problem = f"{NOT_FOUND}{where}" + (f" of {shown(layout)!r}" if layout else "")
                found_one = row.finding(column.name, problem, expected_of(column))
                yield row, replace(found_one, written=shown(text), suggestions=near(text, known))


def _layout(row: Row, column: Column) -> str:
    return row.cells.get("layout", "") if column.names_in else ""


def _lacking(column: Column, rows: Iterable[Row], good: Names) -> set[tuple[str, str]]:
    """The names, each with its layout, that these rows name and that are not there; each is looked for once."""
    named = {(row.cells[column.name], _layout(row, column)) for row in rows}
    several = {(text, layout) for cell, layout in named for text in parts_of(column, cell)}
    return {(text, layout) for text, layout in several if not good.has(column, text, layout)}


def kept_rows(rows: list[AnyRow], every: Names, findings: list[Finding]) -> list[AnyRow]:
    """The rows that can be used together; what is wrong with the others goes to ``findings``."""
    gone: set[Row] = set()

    def strike(found: Iterable[tuple[Row, Finding]]) -> bool:
        before = len(gone)
        for row, finding in found:
            findings.append(finding)
            if finding.set_aside:
                gone.add(row)
        return len(gone) > before

    strike(disagreeing(rows))
    strike(in_circles(rows))
    strike(in_each_others_way(rows))
    strike(one_sided(rows))
    strike(two_of_one_choice(rows))
    while strike(naming_nothing((r for r in rows if r not in gone), every)):
        pass
    return [r for r in rows if r not in gone]
