"""Which other numbers have the sizes of a part wherever it meets something: found by size, never by claim."""

from __future__ import annotations

from collections.abc import Iterator

from knockon.graph.judge.beliefs import Interface, interface_of
from knockon.graph.model.catalogue import Catalogue
from knockon.graph.model.layouts.layout import Places
from knockon.graph.model.rules import FitRule, RuleEnd
from knockon.graph.model.things import Part
from knockon.queries.fits.checking.candidates import new_parts
from knockon.queries.fits.checking.checks import Checks

End = tuple[Checks, FitRule, RuleEnd, str]
"""One end of a joint: how it is read, and the name of the feature there."""


def same_by_size(catalogue: Catalogue, part: Part) -> tuple[str, ...]:
    """The parts of the same type and hand that record, at every joint of a part for which some size of it is recorded,
    the same sizes as it; none where nothing of it is recorded.

    What no joint reads may differ, and so may what is recorded of neither: sizes are compared and nothing is judged.
    """
    ends = [(end, own) for end in _ends(catalogue, part) if _says_something(own := _read(catalogue, end, part.part))]
    if not ends:
        return ()
    alike = (p for p in catalogue.parts.values() if (p.part_type, p.hand) == (part.part_type, part.hand))
    return tuple(
        sorted(
            p.part
            for p in alike
            if p.part != part.part and all(_has(_read(catalogue, end, p.part), own) for end, own in ends)
        )
    )


def _ends(catalogue: Catalogue, part: Part) -> Iterator[End]:
    for layout in catalogue.layouts.values():
        places = Places(layout)
        checks = Checks(catalogue, places)
        own = {p.position for p in places.all if any(new_parts(catalogue, places, p, {part.part}))}
        told = set[tuple[str, int]]()
        for at in places.joints:
            rule = checks.rule_of(at)
            for end, here in zip(rule.ends, at.ends, strict=True):
                if here.place.position in own and (at.joint.joint, here.number) not in told:
                    told.add((at.joint.joint, here.number))
                    yield checks, rule, end, here.feature


def _read(catalogue: Catalogue, at: End, thing: str) -> Interface:
    checks, rule, end, name = at
    return interface_of(checks.feature_at(end, thing, name), checks.dimensions(rule)[end.number])


def _says_something(interface: Interface) -> bool:
    return interface.presence == "absent" or any(known.sizes for known in interface.known)


def _has(other: Interface, own: Interface) -> bool:
    """Whether an interface records each size that one's own does, and the same; how well it is known does not count."""
    sizes = ((one.sizes, two.sizes) for one, two in zip(own.known, other.known, strict=True) if one.sizes)
    return other.presence == own.presence and all(one == two for one, two in sizes)
