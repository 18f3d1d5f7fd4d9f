"""What hangs on a size: the verdicts of every joint and figure that reads it, under each belief."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from functools import cached_property

import msgspec

from knockon.graph.judge.conditions import dimensions_of
from knockon.graph.judge.verdicts import Verdict
from knockon.graph.model.catalogue import Catalogue
from knockon.graph.model.layouts.layout import FigureAt, JointAt, Place, Places, fitted
from knockon.graph.model.schema import column_of
from knockon.graph.model.things import Fitting, Vehicle
from knockon.queries.club.contradictions import PRESENCE, SizeConflict
from knockon.queries.fits.checking.candidates import Candidate, new_parts, staying
from knockon.queries.fits.checking.checks import Checks
from knockon.queries.plan.asked_swaps import AskedSwap

MOST_PARTNERS = 200
"""Partners that are compared at one joint; a part that meets more is shown with these, and says so."""
Verdicts = tuple[Verdict, ...]


class Hanging(msgspec.Struct, frozen=True):
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


class HangingSwap(msgspec.Struct, frozen=True):
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
        standing = MayStand(tables[0])
        readings = [*joints_reading(standing, tables, conflict), *figures_reading(standing, tables, conflict)]
        for check, part, other, verdicts in readings:
            if len(set(verdicts[1:])) > 1 and other not in found[(check, part, verdicts)]:
                found[(check, part, verdicts)].append(other)
    kits = Holding(catalogues[0])
    return tuple(
        Hanging(
            check, part, tuple(others), verdicts[0], tuple(zip(labels, verdicts[1:], strict=True)),
            kits.both(part, others),
        )
        for (check, part, verdicts), others in sorted(found.items())
        if others
    )  # fmt: skip


class Holding:
    """What the kits (shelves too) hold, looked up once however many parts ask."""

    def __init__(self, catalogue: Catalogue) -> None:
        self._vehicles = frozenset(catalogue.vehicles)
        self._lines = {k.kit: frozenset(line.part for line in k.lines) for k in catalogue.kits.values()}
        self._kits: dict[str, list[str]] = defaultdict(list)
        for kit, parts in sorted(self._lines.items()):
            for part in parts:
                self._kits[part].append(kit)

    def any_of(self, parts: Iterable[str]) -> tuple[str, ...]:
        """The kits that hold one of the parts, in order."""
        return tuple(sorted({k for p in parts for k in self._kits.get(p, ())}))

    def both(self, part: str, others: Sequence[str]) -> tuple[str, ...]:
        """The kits that hold a part and one of the others; where these are vehicles, the part alone."""
        pairs = self._vehicles.isdisjoint(others)
        return tuple(k for k in self._kits.get(part, ()) if not pairs or not self._lines[k].isdisjoint(others))


def kits_with(catalogue: Catalogue, part: str, others: Sequence[str]) -> tuple[str, ...]:
    """The kits (shelves too) that hold a part and one of the others; where these are vehicles, the part alone."""
    return Holding(catalogue).both(part, others)


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
        for place in sorted(_figure_places(at, conflict), key=lambda p: (p.position, p.side)):
            candidate = chosen[place]
            if candidate is not None and candidate.thing in conflict.things:
                verdicts = tuple(t.figure(at, chosen, t.as_made_value(at, swap.standing)).verdict for t in tables)
                yield at.figure.figure, candidate.number, verdicts


def _reads(checks: Checks, at: JointAt, place: Place, conflict: SizeConflict) -> bool:
    feature, sizes = _read_at(checks, at, place)
    return feature == conflict.feature and _is_about(conflict, sizes)


def _read_at(checks: Checks, at: JointAt, place: Place) -> tuple[str, frozenset[str]]:
    """The feature that a joint reads on one of its places, and its sizes, a thread's as one."""
    rule = checks.rule_of(at)
    end = at.end_at(place)
    return end.feature, frozenset(map(column_of, dimensions_of(rule, rule.ends[end.number].role)))


def _is_about(conflict: SizeConflict, sizes: frozenset[str]) -> bool:
    """Whether the conflict decides one of these sizes of its feature; whether it is there at all decides each."""
    size = column_of(conflict.dimension)
    return bool(sizes) if size == PRESENCE else size in sizes


class _JointEnd(msgspec.Struct, frozen=True):
    """A joint as one of its places sees it: what is read there, and the place on the other side."""

    at: JointAt
    place: Place
    other: Place
    sizes: frozenset[str]


class _Ranked:
    """Candidates in their order, found by their things."""

    def __init__(self, candidates: Iterable[Candidate]) -> None:
        self.all = list(candidates)
        self._places: dict[str, list[int]] = defaultdict(list)
        for n, candidate in enumerate(self.all):
            self._places[candidate.thing].append(n)

    def of(self, things: Iterable[str]) -> list[Candidate]:
        """Those that are one of the things."""
        return [self.all[n] for n in sorted({n for t in things for n in self._places.get(t, ())})]


class MayStand:
    """What may stand in the places of a layout, and what is read there: looked up once however many sizes ask."""

    def __init__(self, checks: Checks) -> None:
        self.checks = checks
        self._bought: dict[Place, _Ranked] = {}
        self._any: dict[Place, _Ranked] = {}

    @cached_property
    def fitted(self) -> list[tuple[Vehicle, Mapping[Place, Fitting]]]:
        """The vehicles of the layout, with what is fitted in their places."""
        places = self.checks.places
        here = (v for v in self.checks.catalogue.vehicles.values() if v.layout == places.layout.layout)
        return [(v, fitted(v, places)) for v in here]

    @cached_property
    def vehicles(self) -> list[tuple[Vehicle, dict[Place, Candidate]]]:
        """The vehicles of the layout, with what stands in their places as it is."""
        catalogue = self.checks.catalogue
        return [(v, {p: next(staying(catalogue, p, f)) for p, f in now.items()}) for v, now in self.fitted]

    @cached_property
    def joint_ends(self) -> dict[str, list[_JointEnd]]:
        """The ends of the joints by the feature that is read there, in the layout's order."""
        found: dict[str, list[_JointEnd]] = defaultdict(list)
        for at in self.checks.places.joints:
            for place, other in ((at.first, at.second), (at.second, at.first)):
                feature, sizes = _read_at(self.checks, at, place)
                found[feature].append(_JointEnd(at, place, other, sizes))
        return found

    @cached_property
    def figures(self) -> dict[str, list[FigureAt]]:
        """The figures by the features that they read, in the layout's order."""
        found: dict[str, list[FigureAt]] = defaultdict(list)
        for at in self.checks.places.figures:
            for feature in {t.feature: None for t in at.figure.terms}:
                found[feature].append(at)
        return found

    def bought(self, place: Place) -> _Ranked:
        """What may be bought for a place."""
        if place not in self._bought:
            self._bought[place] = _Ranked(new_parts(self.checks.catalogue, self.checks.places, place))
        return self._bought[place]

    def any_at(self, place: Place) -> _Ranked:
        """What may be bought for a place, and what stands there in any vehicle of the layout as an item of its own."""
        if place not in self._any:
            found = {c.thing: c for c in self.bought(place).all}
            for _, now in self.fitted:
                fitting = now.get(place)
                if fitting is not None and fitting.item:
                    found |= {c.thing: c for c in staying(self.checks.catalogue, place, fitting)}
            self._any[place] = _Ranked(found.values())
        return self._any[place]


def joints_reading(
    standing: MayStand, tables: Sequence[Checks], conflict: SizeConflict
) -> Iterator[tuple[str, str, str, Verdicts]]:
    """The joints that read a size: joint, the part that has it, each part on the other side, and the verdicts.

    ``standing`` is that of the first of ``tables``.
    """
    for end in standing.joint_ends.get(conflict.feature, ()):
        own = standing.any_at(end.place).of(conflict.things) if _is_about(conflict, end.sizes) else []
        others = standing.any_at(end.other).all[:MOST_PARTNERS] if own else []
        for candidate in own:
            for other in others:
                pair = (candidate, other) if end.place == end.at.first else (other, candidate)
                verdicts = tuple(t.joint(end.at, *pair).verdict for t in tables)
                yield end.at.joint.joint, candidate.number, other.number, verdicts


def figures_reading(
    standing: MayStand, tables: Sequence[Checks], conflict: SizeConflict
) -> Iterator[tuple[str, str, str, Verdicts]]:
    """The figures that read a size: figure, the part that has it, the vehicle, and the verdicts.

    ``standing`` is that of the first of ``tables``.
    """
    reading = [
        (at, sorted(_figure_places(at, conflict), key=lambda p: (p.position, p.side)))
        for at in standing.figures.get(conflict.feature, ())
    ]
    for vehicle, now in standing.vehicles if any(places for _, places in reading) else ():
        for at, found in reading:
            for place in found:
                for candidate in _own_candidates(standing, vehicle, now, place, conflict):
                    chosen = {p: now.get(p) for p in at.places} | _with_its_set(standing, at, place, candidate)
                    verdicts = tuple(t.figure(at, chosen, t.as_made_value(at, vehicle)).verdict for t in tables)
                    yield at.figure.figure, candidate.number, vehicle.vehicle, verdicts


def _with_its_set(standing: MayStand, at: FigureAt, place: Place, candidate: Candidate) -> dict[Place, Candidate]:
    """The candidate in its place; of a set, which is used whole, its other members in theirs."""
    if candidate.set_use is None or candidate.stays:
        return {place: candidate}
    mates = ((p, c) for p in at.places for c in standing.bought(p).all if c.set_use == candidate.set_use)
    return {**dict(mates), place: candidate}


def _figure_places(at: FigureAt, conflict: SizeConflict) -> set[Place]:
    return {
        place
        for place, term in zip(at.places, at.figure.terms, strict=True)
        if term.feature == conflict.feature and _is_about(conflict, frozenset((column_of(term.dimension),)))
    }


def _own_candidates(
    standing: MayStand, vehicle: Vehicle, now: Mapping[Place, Candidate], place: Place, conflict: SizeConflict
) -> list[Candidate]:
    """The conflict's things that stand in the place on this vehicle, and those that are listed for it."""
    there = now.get(place)
    own = [there] if there is not None and there.thing in conflict.things else []
    listed, models = standing.checks.claims.listed, {vehicle.vehicle, vehicle.made_as}
    could = (c for c in standing.bought(place).of(conflict.things) if models & listed(c.number))
    return own + [c for c in could if not own or c.number != own[0].number]
