"""Which features the places of a thing call for, and of what kind, whether anybody has recorded them or not."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

from knockon.graph.catalogue import Catalogue


def kinds_called_for(catalogue: Catalogue, thing: str) -> dict[str, set[str]]:
    """The features that the joints of a thing's positions read, each with the kinds that the fit rules say it is of."""
    found: dict[str, set[str]] = defaultdict(set)
    for layout in catalogue.layouts.values():
        here = set(_positions(catalogue, thing, layout.layout))
        for joint in layout.joints:
            rule = catalogue.vocabulary.rules.get(joint.rule)
            if rule and joint.position in here:
                found[joint.feature].add(rule.first_kind)
            if rule and joint.other_position in here:
                found[joint.other_feature].add(rule.second_kind)
    return dict(found)


def _positions(catalogue: Catalogue, thing: str, layout: str) -> Iterator[str]:
    """Where a part, an item or a set's member may stand; of a set without members' names, where its members stand."""
    number, _, member = thing.partition("/")
    if member:
        yield member.partition("/")[0]
        return
    item = catalogue.items.get(thing)
    part = catalogue.parts.get(item.part if item else number)
    if part is not None:
        for position in catalogue.layouts[layout].positions:
            if catalogue.vocabulary.is_a(part.part_type, position.part_type):
                yield position.position
