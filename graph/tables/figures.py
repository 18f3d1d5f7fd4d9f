"""Figures against their own terms: what no formula could take, and limits that every size keeps or none."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

from msgspec.structs import replace

from knockon.graph.formulas import Formula, formula
from knockon.graph.model.findings import Finding
from knockon.graph.model.limits import read_limit_in
from knockon.graph.tables.cells import near
from knockon.graph.tables.rows import AnyRow, Row

Figure = tuple[str, str]


def figures_in_order(rows: list[AnyRow], findings: list[Finding]) -> list[AnyRow]:
    """The rows without figures that nothing could judge, and terms that their formula does not take.

    What is wrong with those goes to ``findings``.
    """
    terms: dict[Figure, list[Row]] = defaultdict(list)
    for row in rows:
        if row.shape.table == "figure_terms":
            terms[_figure(row)].append(row)
    gone: set[Row] = set()
    for row in rows:
        if row.shape.table == "figures":
            for faulty, finding in _faults(row, terms[_figure(row)]):
                gone.add(faulty)
                findings.append(finding)
    return [r for r in rows if r not in gone]


def _figure(row: Row) -> Figure:
    return row.cells.get("layout", ""), row.cells.get("figure", "")


def _faults(row: Row, terms: list[Row]) -> Iterator[tuple[Row, Finding]]:
    yield from _limits(row)
    if row.cells.get("formula"):
        yield from _arguments(row, formula(row.cells["formula"]), terms)


def _limits(row: Row) -> Iterator[tuple[Row, Finding]]:
    cells = row.cells
    unit = formula(cells["formula"]).unit if cells.get("formula") else cells.get("unit", "")
    low, high = (read_limit_in(cells[c], unit).value if cells.get(c) else None for c in ("low", "high"))
    if low is not None and high is not None and low > high:
        yield row, row.finding("low", "is above the high limit", "a low limit that is not above the high one")
    judged = cells["is"] != "told" and cells["compared with"] == "limits" and not cells.get("method")
    if judged and low is None and high is None:
        yield row, row.finding("low", "the figure has no limits, so every size would agree", "a low or a high limit")


def _arguments(row: Row, known: Formula, terms: list[Row]) -> Iterator[tuple[Row, Finding]]:
    expected = "one of " + ", ".join(known.arguments)
    seen: set[str] = set()
    for term in terms:
        role = term.cells.get("role", "")
        if role not in known.arguments:
            found = term.finding("role", f"{known.name} has no such argument", expected)
            yield term, replace(found, suggestions=near(role, known.arguments))
        elif role in seen and row.cells["is"] != "told":  # of what is told such terms add up
            yield term, term.finding("role", f"{known.name} takes this argument once", expected)
        seen.add(role)
    lacking = [a for a in known.arguments[: known.required] if a not in seen]
    if lacking and seen <= set(known.arguments):
        said = " and ".join(lacking)
        yield row, row.finding("formula", f"{known.name} has no term for {said}", f"a term for {said}")
