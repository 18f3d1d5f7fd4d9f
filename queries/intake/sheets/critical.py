"""The sizes on which safety rests: of them no unit is inferred."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence

from knockon.graph.model.rules import FitRule
from knockon.graph.model.schema import Vocabulary, column_of
from knockon.graph.tables.cells import BOOLEANS
from knockon.graph.tables.files import RawTable
from knockon.graph.tables.joint_ends import FEATURES
from knockon.graph.tables.written_out import written_out

Sizes = frozenset[tuple[str, str]]
"""Pairs of a feature table and a dimension in it."""


def critical_sizes(vocabulary: Vocabulary, tables: Sequence[RawTable]) -> Sizes:
    """The sizes that a safety-critical rule, joint, stack or figure reads.

    A rule says it of itself, a joint's row may say it over its rule, and a stack's row says it of its terms: the
    spacer's length is read by the float and by no rule. A term's feature is of the kinds under which the records or the
    joints know its name; where none knows it, every kind that has the dimension counts.
    """
    tables = [*tables, *written_out(tables, [])]
    rows: dict[str, list[dict[str, str]]] = defaultdict(list)
    for raw in tables:
        if not raw.file.startswith("features/"):
            rows[raw.table] += _rows(raw)
    joints = [(row, rule) for row in rows.get("joints", ()) if (rule := vocabulary.rules.get(row.get("rule", "")))]
    found = set()
    for rule in vocabulary.rules.values():
        if rule.safety_critical:
            found |= _read_by(vocabulary, rule)
    for row, rule in joints:
        if _is_yes(row.get("safety critical", "")):
            found |= _read_by(vocabulary, rule)
    named = _kinds_by_feature(vocabulary, tables, joints)
    critical = {
        (r.get("layout"), r.get("figure")) for r in rows.get("figures", ()) if _is_yes(r.get("safety critical"))
    }
    for term in rows.get("figure_terms", ()):
        if (term.get("layout"), term.get("figure")) in critical:
            dimension = term.get("dimension", "").partition(".")[0]
            kinds = named.get(term.get("feature", "")) or _having(vocabulary, dimension)
            found |= {(kind, dimension) for kind in kinds}
    return frozenset(found)


def _rows(raw: RawTable) -> Iterator[dict[str, str]]:
    for _, cells in raw.rows:
        yield dict(zip((h.casefold() for h in raw.header), cells, strict=True))


def _is_yes(cell: str | None) -> bool:
    return BOOLEANS.get((cell or "").casefold(), "") == "true"


def _read_by(vocabulary: Vocabulary, rule: FitRule) -> set[tuple[str, str]]:
    return {
        ("features/" + vocabulary.kinds[rule.end_of(term).kind].table, column_of(term.dimension))
        for condition in rule.conditions
        for term in condition.terms
    }


def _kinds_by_feature(
    vocabulary: Vocabulary, tables: Sequence[RawTable], joints: Sequence[tuple[dict[str, str], FitRule]]
) -> dict[str, set[str]]:
    """The feature tables in which a feature of this name stands, by the records' rows and by the joints."""
    found: dict[str, set[str]] = defaultdict(set)
    for raw in tables:
        if raw.file.startswith("features/"):
            for row in _rows(raw):
                found[row.get("feature", "")].add("features/" + raw.table)
    for row, rule in joints:
        for column, end in zip(FEATURES, rule.ends, strict=True):
            found[row.get(column, "")].add("features/" + vocabulary.kinds[end.kind].table)
    return found


def _having(vocabulary: Vocabulary, dimension: str) -> set[str]:
    return {"features/" + k.table for k in vocabulary.kinds.values() if any(c.name == dimension for c in k.columns)}
