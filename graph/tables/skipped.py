"""Rows that were set aside and would have counted: joints, figures, positions, fittings and members of sets that the
catalogue does without, for answers that would else pass over them in silence."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping
from pathlib import Path

import msgspec

from knockon.graph.model.findings import Finding
from knockon.graph.model.layouts.ready_made import is_ready_made
from knockon.graph.model.things import SetAside
from knockon.graph.tables.files import RawTable
from knockon.graph.tables.written_out import written_out

KINDS = {
    "joints": "joint",
    "figures": "figure",
    "positions": "position",
    "fittings": "fitting",
    "set_members": "set member",
}
NAMED_BY = {"fitting": "vehicle", "set member": "set"}
"""The column that a kind's row is named by, where it is not the kind's own."""
FIGURES, TERMS = "figures", "figure_terms"
TABLES = frozenset({*KINDS, TERMS})
Cells = Mapping[str, str]
Figure = tuple[str, str]


class Lost(msgspec.Struct, frozen=True):
    """A row that was set aside, from a table (``row``: its number) or from RDF (``row`` 0, ``graph`` where it stood);
    its cells as far as they can be read, and what is wrong."""

    file: str
    row: int
    table: str
    cells: Cells
    problem: str
    graph: str = ""


def set_aside_of(lost: Iterable[Lost], kept: Iterable[tuple[str, Cells]]) -> tuple[SetAside, ...]:
    """The rows of these sorts among those that were set aside; ``kept``: table and cells of the others.

    A figure is among them where every term of it was set aside (one that lost only some stays open, and is judged so);
    one that is told is not, since it checks nothing.
    """
    lost = list(lost)
    every = [*((r.table, r.cells) for r in lost), *(rows := list(kept))]
    told = {_figure(cells) for table, cells in every if table == FIGURES and cells.get("is") == "told"}
    terms: dict[Figure, list[str]] = defaultdict(list)
    for table, cells in every:
        if table == TERMS:
            terms[_figure(cells)].append(cells.get("position", ""))
    found = [_set_aside(row, terms) for row in lost if row.table in KINDS]
    gone = {(r.layout, r.name) for r in found if r.kind == "figure"}
    standing = Counter(_figure(cells) for table, cells in rows if table == TERMS)
    for row in lost:
        figure = _figure(row.cells)
        if row.table == TERMS and all(figure) and not standing[figure] and figure not in gone:
            gone.add(figure)
            found.append(_set_aside(row, terms))
    return tuple(r for r in found if r.kind != "figure" or (r.layout, r.name) not in told)


def _figure(cells: Cells) -> Figure:
    return cells.get("layout", ""), cells.get("figure", "")


def _set_aside(row: Lost, terms: Mapping[Figure, list[str]]) -> SetAside:
    kind, cells = KINDS.get(row.table, "figure"), row.cells
    named = [cells.get(column, "") for column in ("position", "other position")]
    if kind == "figure":
        named = terms.get(_figure(cells), [])
    return SetAside(
        file=row.file,
        row=row.row,
        kind=kind,
        layout=cells.get("layout", ""),
        name=cells.get(NAMED_BY.get(kind, kind), ""),
        positions=tuple(p for p in dict.fromkeys(named) if p),
        part_type=cells.get("part type", "") if kind == "position" else "",
        problem=row.problem,
        side=cells.get("side", ""),
    )


def rows_of_layouts(findings: Iterable[Finding], tables: Iterable[RawTable]) -> tuple[SetAside, ...]:
    """The rows of these sorts that these findings of tables set aside, each row once."""
    tables = list(tables)
    tables += written_out(tables, [])
    problems: dict[tuple[str, int], list[str]] = defaultdict(list)
    for f in sorted(findings):
        # In the header only a column that is lacking costs rows: it is named, and nothing was read.
        if _is_of_layouts(f) and (f.row > 1 or not f.written):
            problems[(f.file, f.row)].append(said_of(f.column, f))
    if not problems:
        return ()
    # Of a column that stands twice the first is read.
    told = (t for t in tables if Path(t.file).stem in TABLES and not t.file.startswith("features/"))
    rows = {(t.file, n): dict(zip(t.header[::-1], cells[::-1], strict=True)) for t in told for n, cells in t.rows}
    for file, row in rows:
        if file == f"{TERMS}.csv" and (file, 1) in problems:  # a table that lacks a column loses every row
            problems[(file, row)] = problems[(file, 1)]
    lost = (Lost(f, n, Path(f).stem, rows.get((f, n), {}), _joined(said)) for (f, n), said in problems.items())
    return set_aside_of(lost, ((Path(f).stem, cells) for (f, n), cells in rows.items() if (f, n) not in problems))


def said_of(column: str, finding: Finding) -> str:
    """What is wrong with a row, as its caution says it."""
    named = column and finding.written
    return f'{column} "{finding.written}": {finding.problem}' if named else finding.problem


def _joined(problems: Iterable[str]) -> str:
    return "; ".join(dict.fromkeys(problems))


def _is_of_layouts(finding: Finding) -> bool:
    file = Path(finding.file)
    is_table = finding.file == file.name or is_ready_made(finding.file)
    return finding.set_aside and is_table and file.suffix == ".csv" and file.stem in TABLES
