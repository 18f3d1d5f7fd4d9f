"""The two ends of a joint against the kinds that its rule joins: turned round where they stand the other way, set aside
where the features are of other kinds."""

from __future__ import annotations

from collections.abc import Iterator

from knockon.graph.model.findings import Finding
from knockon.graph.model.schema import Vocabulary
from knockon.graph.tables.recorded import FeaturesAt
from knockon.graph.tables.rows import AnyRow, Row

POSITIONS, FEATURES = ("position", "other position"), ("feature", "other feature")
ENDS = (POSITIONS, FEATURES, ("reached", "other reached"))
"""The columns of a joint's first end, each with that of its second."""


def ends_in_order(
    rows: list[AnyRow], standing: FeaturesAt, vocabulary: Vocabulary, findings: list[Finding]
) -> list[AnyRow]:
    """The rows, each joint with its ends as its rule has them; without joints whose features are of other kinds.

    What is wrong with those goes to ``findings``. A feature that nobody has recorded yet is of any kind.
    """
    kept: list[AnyRow] = []
    for row in rows:
        if row.shape.table != "joints":
            kept.append(row)
            continue
        wrong = list(_wrong(row, standing, vocabulary))
        if not wrong:
            kept.append(row)
        elif not list(_wrong(turned := _turned(row), standing, vocabulary)):
            kept.append(turned)
        else:
            findings += wrong
    return kept


def _wrong(row: Row, standing: FeaturesAt, vocabulary: Vocabulary) -> Iterator[Finding]:
    rule = vocabulary.rules[row.cells["rule"]]
    for position, feature, end in zip(POSITIONS, FEATURES, rule.ends, strict=True):
        kind = end.kind
        kinds = standing.at(row.cells["layout"], row.cells[position]).get(row.cells[feature], set())
        if kinds and kind not in kinds:
            is_ = " and ".join(sorted(vocabulary.kinds[k].label for k in kinds))
            problem = f"is recorded as {is_}, and the rule joins {vocabulary.kinds[kind].label}"
            yield row.finding(feature, problem, f"a feature of the kind {vocabulary.kinds[kind].label}")


def _turned(row: AnyRow) -> AnyRow:
    """The same joint with its ends the other way round."""
    return row.renamed({a: b for pair in ENDS for a, b in (pair, pair[::-1])})
