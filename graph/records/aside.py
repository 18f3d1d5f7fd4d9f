"""Rows of a layout that were set aside: joints, figures and positions that the catalogue does without, for answers that
would else pass over a check in silence."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path

from knockon.graph.model import SetAside
from knockon.graph.records.findings import Finding
from knockon.graph.records.tables import RawTable, read_table, table_files

KINDS = {"joints.csv": "joint", "figures.csv": "figure", "positions.csv": "position"}
FIGURES, TERMS = "figures.csv", "figure_terms.csv"
TABLES = frozenset({*KINDS, TERMS})
Cells = Mapping[str, str]
Problems = Mapping[tuple[str, int], list[str]]


def rows_of_layouts(findings: Iterable[Finding], tables: Iterable[RawTable]) -> tuple[SetAside, ...]:
    """The joints, figures and positions that these findings set aside, each row once, with what can be read of it.

    A figure is among them where every term of it was set aside (one that lost only some stays open, and is judged so);
    one that is told is not, since it checks nothing.
    """
    problems: dict[tuple[str, int], list[str]] = defaultdict(list)
    for f in sorted(findings):
        # In the header only a column that is lacking costs rows: it is named, and nothing was read.
        if f.set_aside and f.file in TABLES and (f.row > 1 or not f.written):
            said = f'{f.column} "{f.written}": {f.problem}' if f.column and f.written else f.problem
            problems[(f.file, f.row)].append(said)
    if not problems:
        return ()
    # Of a column that stands twice the first is read.
    rows = {(t.file, n): dict(zip(t.header[::-1], cells[::-1], strict=True)) for t in tables for n, cells in t.rows}
    told = {_figure(cells) for (file, _), cells in rows.items() if file == FIGURES and cells.get("is") == "told"}
    found = [_set_aside(file, row, rows, said) for (file, row), said in problems.items() if file in KINDS]
    gone = {(r.layout, r.name) for r in found if r.kind == "figure"}
    found += [r for r in _without_terms(rows, problems) if (r.layout, r.name) not in gone]
    return tuple(r for r in found if r.kind != "figure" or (r.layout, r.name) not in told)


def _figure(cells: Cells) -> tuple[str, str]:
    return cells.get("layout", ""), cells.get("figure", "")


def _without_terms(rows: Mapping[tuple[str, int], Cells], problems: Problems) -> Iterator[SetAside]:
    theirs: dict[tuple[str, str], list[int]] = defaultdict(list)
    for (file, row), cells in rows.items():
        if file == TERMS and all(_figure(cells)):
            theirs[_figure(cells)].append(row)
    for there in theirs.values():
        if all((TERMS, row) in problems for row in there):
            yield _set_aside(TERMS, there[0], rows, problems[(TERMS, there[0])])


def _set_aside(file: str, row: int, rows: Mapping[tuple[str, int], Cells], problems: Iterable[str]) -> SetAside:
    kind, cells = KINDS.get(file, "figure"), rows.get((file, row), {})
    if kind == "figure":
        terms = (c for (f, _), c in rows.items() if f == TERMS and _figure(c) == _figure(cells))
        named = [c.get("position", "") for c in terms]
    else:
        named = [cells.get(column, "") for column in ("position", "other position")]
    return SetAside(
        file,
        row,
        kind,
        cells.get("layout", ""),
        cells.get(kind, ""),
        tuple(p for p in dict.fromkeys(named) if p),
        cells.get("part type", "") if kind == "position" else "",
        "; ".join(dict.fromkeys(problems)),
    )


def read_rows_of_layouts(folder: Path, findings: Iterable[Finding]) -> tuple[SetAside, ...]:
    """The same for a folder; the tables are read once more only where something of them was set aside."""
    found = [f for f in findings if f.set_aside and f.file in TABLES]
    paths = [p for p in table_files(folder) if p.parent == folder and p.name in TABLES] if found else []
    tables = (read_table(p, p.name, [], folder) for p in paths)
    return rows_of_layouts(found, [t for t in tables if t is not None])
