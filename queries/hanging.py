"""What hangs on a size: the verdicts of every joint and figure that reads it, under each belief."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from knockon.graph.catalogue import Catalogue
from knockon.graph.fit import dimensions_of
from knockon.graph.layout import FigureAt, JointAt, Place, Places, fitted
from knockon.graph.model import Vehicle
from knockon.graph.verdicts import Verdict
from knockon.queries.asked_swaps import AskedSwap
from knockon.queries.candidates import Candidate, new_parts, staying
from knockon.queries.checks import Checks
from knockon.queries.contradictions import PRESENCE, SizeConflict

MOST_PARTNERS = 200
"""Partners that are compared at one joint; a part that meets more is shown with these, and says so."""
Verdicts = tuple[Verdict, ...]


@dataclass(frozen=True, slots=True)
class Hanging:
    """A check whose verdict depends on whom one believes.

    ``others``: the parts on the other side, or the vehicle of a figure. ``now`` is the verdict as it is; ``if_right``
    gives the verdict that each statement would lead to if it alone were right, as (source, verdict). ``kits``: those
    that hold the part, and one of the others where these are parts.
    """

    check: str
    part: str
    others: tuple[str, ...]
    now: Verdict
    if_right: tuple[tuple[str, Verdict], ...]
    kits: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class HangingSwap:
    """A swap in whose plan a check stands that depends on whom one believes: the plan holds as long as it is no no."""

    swap: str
    check: str
    part: str
    now: Verdict
    if_right: tuple[tuple[str, Verdict], ...]


def answers_hanging_on(
    catalogues: Sequence[Catalogue], labels: Sequence[str], conflict: SizeConflict
) -> tuple[Hanging, ...]:
    """The checks in which the conflict's size matters: the first catalogue is as things are, the others as ``labels``
    would have them."""
    found: dict[tuple[str, str, Verdicts], list[str]] = defaultdict(list)
    for layout in catalogues[0].layouts.values():
        tables = [Checks(c, Places(layout)) for c in catalogues]
        for check, part, other, verdicts in [*joints_reading(tables, conflict), *figures_reading(tables, conflict)]:
            if len(set(verdicts[1:])) > 1 and other not in found[(check, part, verdicts)]:
                found[(check, part, verdicts)].append(other)
    return tuple(
        Hanging(
            check, part, tuple(others), verdicts[0], tuple(zip(labels, verdicts[1:], strict=True)),
            kits_with(catalogues[0], part, others),
        )
        for (check, part, verdicts), others in sorted(found.items())
        if others
    )  # fmt: skip


def kits_with(catalogue: Catalogue, part: str, others: Sequence[str]) -> tuple[str, ...]:
    """The kits (shelves too) that hold a part and one of the others; where these are vehicles, the part alone."""
    pairs = not set(others) & set(catalogue.vehicles)
    held = {k.kit: {line.part for line in k.lines} for k in catalogue.kits.values()}
    return tuple(sorted(k for k, has in held.items() if part in has and (not pairs or has & set(others))))


def swaps_hanging_on(
    catalogues: Sequence[Catalogue], labels: Sequence[str], conflict: SizeConflict, swaps: Sequence[AskedSwap]
) -> tuple[HangingSwap, ...]:
    """The plans in which a check reads the conflict's size and says something else under another belief."""
    found: dict[HangingSwap, None] = {}
    for swap in swaps:
        tables = [Checks(c, swap.problem.places) for c in catalogues]
        reading = [*joints_of_swap(swap, tables, conflict), *figures_of_swap(swap, tables, conflict)]
        for check, part, verdicts in reading:
            if len(set(verdicts[1:])) > 1:
                if_right = tuple(zip(labels, verdicts[1:], strict=True))
                found[HangingSwap(swap.said, check, part, verdicts[0], if_right)] = None
    return tuple(found)


def joints_of_swap(
    swap: AskedSwap, tables: Sequence[Checks], conflict: SizeConflict
) -> Iterator[tuple[str, str, Verdicts]]:
    """The joints of a swap's plan that read a size, with the part that has it and the verdicts."""
    for at in swap.joints:
        pair = (swap.chosen[at.first], swap.chosen[at.second])
        for candidate in pair:
            if candidate.thing in conflict.things and _reads(tables[0], at, candidate.place, conflict):
                yield at.joint.joint, candidate.number, tuple(t.joint(at, *pair).verdict for t in tables)


def figures_of_swap(
    swap: AskedSwap, tables: Sequence[Checks], conflict: SizeConflict
) -> Iterator[tuple[str, str, Verdicts]]:
    """The figures of a swap's plan that read a size, with the part that has it and the verdicts."""
    for at in swap.figures:
        chosen = {p: swap.chosen.get(p) for p in at.places}
        for place in sorted(_figure_places(at, conflict)):
            candidate = chosen[place]
            if candidate is not None and candidate.thing in conflict.things:
                verdicts = tuple(t.figure(at, chosen, t.as_made_value(at, swap.standing)).verdict for t in tables)
                yield at.figure.figure, candidate.number, verdicts


def _reads(checks: Checks, at: JointAt, place: Place, conflict: SizeConflict) -> bool:
    rule = checks.rule_of(at)
    is_first = place == at.first
    feature = at.joint.feature if is_first else at.joint.other_feature
    dimensions = dimensions_of(rule, rule.first_role if is_first else rule.second_role)
    return feature == conflict.feature and any(_is_about(conflict, d) for d in dimensions)


def _is_about(conflict: SizeConflict, dimension: str) -> bool:
    """Whether the conflict decides this dimension of its feature; whether it is there at all decides each."""
    base = conflict.dimension.partition(".")[0]
    return base in (PRESENCE, dimension.partition(".")[0])


def candidates_at(checks: Checks, place: Place) -> list[Candidate]:
    """What may be bought for a place, and what stands there in any vehicle of the layout as an item of its own."""
    found = {c.thing: c for c in new_parts(checks.catalogue, checks.places, place)}
    for vehicle in checks.catalogue.vehicles.values():
        if vehicle.layout == checks.places.layout.layout:
            fitting = fitted(vehicle, checks.places).get(place)
            if fitting is not None and fitting.item:
                found |= {c.thing: c for c in staying(checks.catalogue, place, fitting)}
    return list(found.values())


def joints_reading(tables: Sequence[Checks], conflict: SizeConflict) -> Iterator[tuple[str, str, str, Verdicts]]:
    """The joints that read a size: joint, the part that has it, each part on the other side, and the verdicts."""
    checks = tables[0]
    for at in checks.places.joints:
        for place, other_place in ((at.first, at.second), (at.second, at.first)):
            if not _reads(checks, at, place, conflict):
                continue
            own = [c for c in candidates_at(checks, place) if c.thing in conflict.things]
            others = candidates_at(checks, other_place)[:MOST_PARTNERS] if own else []
            for candidate in own:
                for other in others:
                    pair = (candidate, other) if place == at.first else (other, candidate)
                    verdicts = tuple(t.joint(at, *pair).verdict for t in tables)
                    yield at.joint.joint, candidate.number, other.number, verdicts


def figures_reading(tables: Sequence[Checks], conflict: SizeConflict) -> Iterator[tuple[str, str, str, Verdicts]]:
    """The figures that read a size: figure, the part that has it, the vehicle, and the verdicts."""
    checks = tables[0]
    for vehicle in checks.catalogue.vehicles.values():
        if vehicle.layout != checks.places.layout.layout:
            continue
        now = {p: next(staying(checks.catalogue, p, f)) for p, f in fitted(vehicle, checks.places).items()}
        for at in checks.places.figures:
            for place in sorted(_figure_places(at, conflict)):
                for candidate in _own_candidates(checks, vehicle, now, place, conflict):
                    chosen = {**{p: now.get(p) for p in at.places}, place: candidate}
                    verdicts = tuple(t.figure(at, chosen, t.as_made_value(at, vehicle)).verdict for t in tables)
                    yield at.figure.figure, candidate.number, vehicle.vehicle, verdicts


def _figure_places(at: FigureAt, conflict: SizeConflict) -> set[Place]:
    return {
        place
        for place, term in zip(at.places, at.figure.terms, strict=True)
        if term.feature == conflict.feature and _is_about(conflict, term.dimension)
    }


def _own_candidates(
    checks: Checks, vehicle: Vehicle, now: Mapping[Place, Candidate], place: Place, conflict: SizeConflict
) -> list[Candidate]:
    """The conflict's things that stand in the place on this vehicle, or are listed for it."""
    standing = now.get(place)
    found = [standing] if standing is not None and standing.thing in conflict.things else []
    listed = checks.claims.listed
    models = {vehicle.vehicle, vehicle.made_as}
    found += [
        c
        for c in new_parts(checks.catalogue, checks.places, place)
        if c.thing in conflict.things and not found and models & listed.get(c.number, set())
    ]
    return found
