"""How each size that a layout asks for is measured, and of which kind a feature in a place is.

The layout's own words come first (``how_to_measure.csv``), then those of the kind (``kn:method``). Both are common
practice without a source, unless one is named beside them.
"""

from __future__ import annotations

import msgspec

from knockon.graph.model.layouts.mechanism import Layout
from knockon.graph.model.schema import Table, Vocabulary, column_of

COMMON_PRACTICE = "common practice, no source"


class How(msgspec.Struct, frozen=True):
    """What to do, and with what; blank where nothing can be measured. ``source``: where that comes from."""

    text: str
    source: str = COMMON_PRACTICE


def kind_in_place(vocabulary: Vocabulary, layout: Layout, position: str, feature: str) -> Table | None:
    """The kind of a position's feature as the layout says it, by the fit rules of its joints or by the terms of its
    figures; None where it does not say it."""
    for joint in layout.joints:
        rule = vocabulary.rules.get(joint.rule)
        for here, end in zip(joint.ends, rule.ends, strict=True) if rule else ():
            if (here.position, here.feature) == (position, feature) and end.kind in vocabulary.kinds:
                return vocabulary.kinds[end.kind]
    labels = {kind.label: kind for kind in vocabulary.kinds.values()}
    for figure in (*layout.figures, *layout.told):
        for term in figure.terms:
            if (term.position, term.feature) == (position, feature) and term.kind in labels:
                return labels[term.kind]
    return None


def how_in_place(layout: Layout, kind: Table | None, position: str, feature: str, dimension: str) -> How:
    """How a dimension is measured there; of a part of a cell (``thread.pitch``) how the whole cell is."""
    column = column_of(dimension)
    for own in layout.how_to_measure:
        if (own.position, own.feature, column_of(own.dimension)) == (position, feature, column):
            return How(own.how, own.source_of_it or COMMON_PRACTICE)
    said = next((c for c in kind.columns if c.name == column), None) if kind else None
    return How(said.method, said.method_source or COMMON_PRACTICE) if said else How("")
