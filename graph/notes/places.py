"""Which features the places of a thing call for, and of what kind, whether anybody has recorded them or not."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

from knockon.graph.model.catalogue import Catalogue
from knockon.graph.model.layouts.mechanism import Layout


def kinds_called_for(catalogue: Catalogue, thing: str) -> dict[str, set[str]]:
    """The features that the joints of a thing's positions read, each with the kinds that the fit rules say it is of."""
    found: dict[str, set[str]] = defaultdict(set)
    for layout in catalogue.layouts.values():
        for feature, kinds in kinds_at(catalogue, layout, set(_positions(catalogue, thing, layout.layout))).items():
            found[feature] |= kinds
    return dict(found)


def kinds_at(catalogue: Catalogue, layout: Layout, positions: set[str]) -> dict[str, set[str]]:
    """The features that the joints and figures of these positions of a layout read there, each with the kinds that the
    fit rules say, or that the figure's term gives where no rule does."""
    found: dict[str, set[str]] = defaultdict(set)
    for joint in layout.joints:
        rule = catalogue.vocabulary.rules.get(joint.rule)
        for here, end in zip(joint.ends, rule.ends, strict=True) if rule else ():
            if here.position in positions:
                found[here.feature].add(end.kind)
    by_rules = frozenset((e.position, e.feature) for joint in layout.joints for e in joint.ends)
    iris = {kind.label: iri for iri, kind in catalogue.vocabulary.kinds.items()}
    for figure in (*layout.figures, *layout.told):
        for term in figure.terms:
            if term.position in positions and (term.position, term.feature) not in by_rules and term.kind in iris:
                found[term.feature].add(iris[term.kind])
    return dict(found)


def _positions(catalogue: Catalogue, thing: str, layout: str) -> Iterator[str]:
    """Where a part, an item or a set's member may stand; of a set without members' names, where its members stand."""
    item = catalogue.items.get(thing)
    if item is not None and item.position:
        yield item.position
        return
    members = catalogue.members.get(item.member if item else thing, ())
    if members:
        yield members[0].position
        return
    part = catalogue.parts.get(item.part if item else thing)
    if part is not None:
        for position in catalogue.layouts[layout].positions:
            if catalogue.vocabulary.is_a(part.part_type, position.part_type):
                yield position.position
