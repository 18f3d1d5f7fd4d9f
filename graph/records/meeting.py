"""Joints and figures against the features that are recorded: what can never be judged as it is written.

Nothing is set aside for it: a feature that nobody has recorded yet may be recorded tomorrow.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from difflib import get_close_matches

from knockon.graph.records.cells import near, shown
from knockon.graph.records.findings import Finding
from knockon.graph.records.rows import Row
from knockon.graph.schema import Vocabulary

MISTYPED = 0.75
"""So like a recorded name that it is hardly another: one letter in four to six, or two of them changed over."""


@dataclass
class Recorded:
    """The kinds (by IRI) that a feature's name is recorded with, on anything and on each thing; the names of a kind."""

    kinds: dict[str, set[str]] = field(default_factory=lambda: defaultdict(set))
    names: dict[str, set[str]] = field(default_factory=lambda: defaultdict(set))

    things: dict[tuple[str, str], set[str]] = field(default_factory=lambda: defaultdict(set))

    def add(self, thing: str, name: str, kind: str) -> None:
        """One recorded feature."""
        self.kinds[name].add(kind)
        self.names[kind].add(name)
        self.things[(thing, name)].add(kind)

    def otherwise(self, thing: str, name: str, kind: str) -> list[str]:
        """The other kinds that this feature of this thing is recorded as: a bore and a journal are not one feature."""
        return sorted(self.things[(thing, name)] - {kind})


def never_judged(rows: Iterable[Row], recorded: Recorded, vocabulary: Vocabulary) -> Iterator[Finding]:
    """Joints whose feature is mistyped; terms of a size that the feature's kind does not have."""
    for row in rows:
        if row.shape.table == "joints":
            rule = vocabulary.rules[row.cells["rule"]]
            if rule.conditions:  # else nothing is measured, and nobody need have recorded the feature
                yield from _side(row, "feature", rule.first_kind, recorded, vocabulary)
                yield from _side(row, "other feature", rule.second_kind, recorded, vocabulary)
        elif row.shape.table == "figure_terms" and not row.cells.get("assumed"):
            yield from _term(row, recorded.kinds, vocabulary)


def _side(row: Row, column: str, kind: str, recorded: Recorded, vocabulary: Vocabulary) -> Iterator[Finding]:
    name = row.cells[column]
    names = () if name in recorded.kinds else sorted(recorded.names.get(kind, ()))
    like = get_close_matches(name, names, cutoff=MISTYPED)
    if like:
        expected = f"the name of a feature of the kind {vocabulary.kinds[kind].label}"
        found = row.finding(column, "nothing has such a feature: the joint stays open", expected, set_aside=False)
        yield replace(found, suggestions=tuple(like))


def _term(row: Row, recorded: Mapping[str, set[str]], vocabulary: Vocabulary) -> Iterator[Finding]:
    kinds = [vocabulary.kinds[k] for k in sorted(recorded.get(row.cells["feature"], ()))]
    sizes = sorted({c.name for kind in kinds for c in kind.columns})
    if kinds and row.cells["dimension"].partition(".")[0] not in sizes:
        labels = " or ".join(k.label for k in kinds)
        problem = f"the feature is recorded as {shown(labels)}, which has no such size: the figure stays open"
        found = row.finding("dimension", problem, "one of " + ", ".join(sizes), set_aside=False)
        yield replace(found, suggestions=near(row.cells["dimension"], sizes))
