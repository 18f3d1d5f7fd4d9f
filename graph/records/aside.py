"""Rows of a layout that were set aside: joints, figures and positions that the catalogue does without, for answers that
would else pass over a check in silence."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from pathlib import Path

from knockon.graph.model import SetAside
from knockon.graph.records.findings import Finding
from knockon.graph.records.pending import settled
from knockon.graph.records.tables import RawTable, read_table, table_files

KINDS = {"joints.csv": "joint", "figures.csv": "figure", "positions.csv": "position"}
TERMS = "figure_terms.csv"
Cells = Mapping[str, str]


def rows_of_layouts(findings: Iterable[Finding], tables: Iterable[RawTable]) -> tuple[SetAside, ...]:
    """The joints, figures and positions that these findings set aside, each row once, with what can be read of it."""
    problems: dict[tuple[str, int], list[str]] = defaultdict(list)
    for f in sorted(findings):
        # In the header only a column that is lacking costs rows: it is named, and nothing was read.
        if f.set_aside and f.file in KINDS and (f.row > 1 or not f.written):
            said = f'{f.column} "{f.written}": {f.problem}' if f.column and f.written else f.problem
            problems[(f.file, f.row)].append(said)
    rows = {(t.file, n): dict(zip(t.header, cells, strict=True)) for t in tables for n, cells in t.rows}
    terms = [cells for (file, _), cells in rows.items() if file == TERMS]
    return tuple(
        _set_aside(file, row, rows.get((file, row), {}), terms, said) for (file, row), said in problems.items()
    )


def _set_aside(file: str, row: int, cells: Cells, terms: Iterable[Cells], problems: Iterable[str]) -> SetAside:
    kind = KINDS[file]
    layout, name = cells.get("layout", ""), cells.get(kind, "")
    if kind == "figure":
        named = [t.get("position", "") for t in terms if (t.get("layout"), t.get("figure")) == (layout, name)]
    else:
        named = [cells.get(column, "") for column in ("position", "other position")]
    part_type = cells.get("part type", "") if kind == "position" else ""
    positions = tuple(p for p in dict.fromkeys(named) if p)
    return SetAside(file, row, kind, layout, name, positions, part_type, "; ".join(dict.fromkeys(problems)))


def read_rows_of_layouts(folder: Path, findings: Iterable[Finding]) -> tuple[SetAside, ...]:
    """The same for a folder; the tables are read once more only where something of them was set aside."""
    found = [f for f in findings if f.set_aside and f.file in KINDS]
    wanted = {*KINDS, TERMS} if found else set()
    paths = [p for p in table_files(folder) if p.parent == folder and p.name in wanted]
    tables = (read_table(p, p.name, [], settled(p, folder)) for p in paths)
    return rows_of_layouts(found, [t for t in tables if t is not None])
