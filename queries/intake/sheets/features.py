"""Which sorts of feature go with which part types, as far as the records say."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence

from knockon.graph.model.schema import Vocabulary
from knockon.graph.tables.files import RawTable
from knockon.graph.tables.joint_ends import FEATURES, POSITIONS

Kinds = dict[str, frozenset[str]]


def kinds_by_type(vocabulary: Vocabulary, tables: Sequence[RawTable]) -> Kinds:
    """By part type the feature tables that its joints read, or that parts of that type have; only of types that a
    joint names, since of others the records do not say what belongs to them."""
    type_of = {row.get("part", ""): row.get("part type", "") for row in _rows(tables, "parts")}
    read = _read_by_joints(vocabulary, tables)
    recorded: dict[str, set[str]] = defaultdict(set)
    for raw in tables:
        if raw.file.startswith("features/"):
            for row in _of(raw):
                recorded[type_of.get(row.get("part", ""), "")].add("features/" + raw.table)
    told = _read_by_figures(vocabulary, tables)
    named = {label for label in vocabulary.part_types if any(vocabulary.is_a(label, wide) for wide in read)}
    return {
        label: frozenset(
            recorded.get(label, set()).union(
                *(kinds for found in (read, told) for wide, kinds in found.items() if vocabulary.is_a(label, wide))
            )
        )
        for label in sorted(named)
    }


def features_by_type(vocabulary: Vocabulary, tables: Sequence[RawTable]) -> dict[str, frozenset[tuple[str, str]]]:
    """By part type the features that its joints and figures read, and that parts of that type have: each with its
    table."""
    types = {(r.get("layout"), r.get("position")): r.get("part type", "") for r in _rows(tables, "positions")}
    type_of = {row.get("part", ""): row.get("part type", "") for row in _rows(tables, "parts")} | member_types(tables)
    wide: dict[str, set[tuple[str, str]]] = defaultdict(set)
    for row in _rows(tables, "joints"):
        rule = vocabulary.rules.get(row.get("rule", ""))
        for place, name, end in zip(POSITIONS, FEATURES, rule.ends, strict=True) if rule else ():
            part_type = types.get((row.get("layout"), row.get(place)), "")
            wide[part_type].add((row.get(name, ""), "features/" + vocabulary.kinds[end.kind].table))
    for raw in (r for r in tables if r.file.startswith("features/")):
        for row in _of(raw):
            wide[type_of.get(row.get("part", ""), "")].add((row.get("feature", ""), "features/" + raw.table))
    known = {label: {f for one, have in wide.items() if one and vocabulary.is_a(label, one) for f in have}
             for label in vocabulary.part_types}  # fmt: skip
    return {label: frozenset(f for f in have if f[0]) for label, have in sorted(known.items()) if have}


def member_types(tables: Sequence[RawTable]) -> dict[str, str]:
    """The part type of each set's member, by `SET/position`: that of the position it fills."""
    types = {row.get("position", ""): row.get("part type", "") for row in _rows(tables, "positions")}
    members = ((row.get("set", ""), row.get("position", "")) for row in _rows(tables, "set_members"))
    return {f"{number}/{position}": types[position] for number, position in members if position in types}


def _read_by_joints(vocabulary: Vocabulary, tables: Sequence[RawTable]) -> dict[str, set[str]]:
    types = {(r.get("layout"), r.get("position")): r.get("part type", "") for r in _rows(tables, "positions")}
    found: dict[str, set[str]] = defaultdict(set)
    for row in _rows(tables, "joints"):
        rule = vocabulary.rules.get(row.get("rule", ""))
        for column, end in zip(POSITIONS, rule.ends, strict=True) if rule else ():
            part_type = types.get((row.get("layout"), row.get(column)))
            if part_type:
                found[part_type].add("features/" + vocabulary.kinds[end.kind].table)
    return found


def _read_by_figures(vocabulary: Vocabulary, tables: Sequence[RawTable]) -> dict[str, set[str]]:
    """The same of stacks and figures, which name a feature and not its kind: every kind that has it, or could."""
    types = {(r.get("layout"), r.get("position")): r.get("part type", "") for r in _rows(tables, "positions")}
    named: dict[str, set[str]] = defaultdict(set)
    for raw in (r for r in tables if r.file.startswith("features/")):
        for row in _of(raw):
            named[row.get("feature", "")].add("features/" + raw.table)
    found: dict[str, set[str]] = defaultdict(set)
    for row in _rows(tables, "figure_terms"):
        dimension = row.get("dimension", "").partition(".")[0]
        could = {
            "features/" + k.table for k in vocabulary.kinds.values() if any(c.name == dimension for c in k.columns)
        }
        found[types.get((row.get("layout"), row.get("position")), "")] |= named.get(row.get("feature", "")) or could
    return found


def _rows(tables: Sequence[RawTable], table: str) -> Iterator[dict[str, str]]:
    for raw in tables:
        if raw.table == table and not raw.file.startswith("features/"):
            yield from _of(raw)


def _of(raw: RawTable) -> Iterator[dict[str, str]]:
    for _, cells in raw.rows:
        yield dict(zip((h.casefold() for h in raw.header), cells, strict=True))
