"""A figure's unit and limits against what it adds up: no length is judged in degrees, and no size is shown in a unit
that it is not in."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

import msgspec

from knockon.graph.formulas import Formula, formula
from knockon.graph.model.findings import Finding
from knockon.graph.model.limits import is_percentage, read_limit_in
from knockon.graph.model.rules import BARE_UNITS, BASE_OF_UNIT
from knockon.graph.model.schema import Vocabulary
from knockon.graph.tables.cells import shown
from knockon.graph.tables.recorded import FeaturesAt, Recorded
from knockon.graph.tables.rows import AnyRow, Row

Figure = tuple[str, str]


class _Term(msgspec.Struct, frozen=True):
    """A term, and the base units of the size that it names; none where nobody has recorded the feature."""

    row: Row
    units: frozenset[str]


def units_in_order(
    rows: list[AnyRow], recorded: Recorded, standing: FeaturesAt, vocabulary: Vocabulary, findings: list[Finding]
) -> list[AnyRow]:
    """The rows without figures in another unit than their terms, and terms of another sort than the figure.

    What is wrong with those goes to ``findings``.
    """
    terms: dict[Figure, list[_Term]] = defaultdict(list)
    for row in rows:
        if row.shape.table == "figure_terms" and not row.cells.get("assumed"):
            terms[_figure(row)].append(_Term(row, _units(row, standing, recorded, vocabulary)))
    gone: set[Row] = set()
    for row in rows:
        if row.shape.table == "figures":
            for faulty, finding in _faults(row, terms[_figure(row)]):
                gone.add(faulty)
                findings.append(finding)
    return [r for r in rows if r not in gone]


def _figure(row: Row) -> Figure:
    return row.cells.get("layout", ""), row.cells.get("figure", "")


def _units(row: Row, standing: FeaturesAt, recorded: Recorded, vocabulary: Vocabulary) -> frozenset[str]:
    there = standing.at(row.cells["layout"], row.cells["position"])
    kinds = there.get(row.cells["feature"]) or recorded.kinds.get(row.cells["feature"], set())
    found = (vocabulary.unit_of(vocabulary.kinds[kind], row.cells["dimension"]) for kind in sorted(kinds))
    return frozenset(unit for unit in found if unit is not None)


def _faults(row: Row, terms: list[_Term]) -> Iterator[tuple[Row, Finding]]:
    if row.cells.get("formula"):
        known = formula(row.cells["formula"])
        yield from _arguments(known, terms)
        yield from _in_unit(row, known.unit)
        return
    common = frozenset.intersection(*(t.units for t in terms if t.units)) if any(t.units for t in terms) else None
    if common is None:
        return  # nobody has recorded what it adds up
    if common:
        yield from _in_unit(row, min(common))
        return
    said = " and ".join(sorted({_plain(u) for t in terms for u in t.units}))
    yield row, row.finding("figure", f"it adds {said} together", "terms of one unit")


def _arguments(known: Formula, terms: list[_Term]) -> Iterator[tuple[Row, Finding]]:
    wanted = dict(zip(known.arguments, known.argument_units, strict=True))
    for term in terms:
        unit = wanted.get(term.row.cells.get("role", ""))
        if unit is not None and term.units and unit not in term.units:
            problem = (
                f"is in {_plain(min(term.units))}, and {known.name} takes {shown(term.row.cells['role'])} in {unit}"
            )
            yield term.row, term.row.finding("dimension", problem, f"a size in {unit}")


def _plain(unit: str) -> str:
    return {"count": "whole numbers", "1": "bare numbers", "code": "words"}.get(unit, unit)


def _in_unit(row: Row, base: str) -> Iterator[tuple[Row, Finding]]:
    """Whether a figure's unit and limits are those of a sum in this base unit."""
    bare = base in BARE_UNITS
    unit = row.cells.get("unit", "")
    if unit and unit != base and not (bare and unit not in BASE_OF_UNIT):
        yield row, row.finding("unit", f"the result is in {_plain(base)}", "no unit" if bare else base)
    for column in ("low", "high", "remark within"):
        written = row.cells.get(column, "")
        limit = read_limit_in(written, base) if written else None
        in_percent = base not in ("%", *BARE_UNITS) and is_percentage(written)
        if limit and limit.value != 0 and (in_percent or limit.unit not in ("", base)):
            yield row, row.finding(column, f"the result is in {_plain(base)}", f"a limit in {_plain(base)}")
