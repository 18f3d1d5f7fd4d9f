"""Other questions asked twice: which parts go together at all, what to measure first."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING

from knockon.queries.plan.combinations import CombinationsAnswer, combinations
from knockon.queries.plan.measure import Measurement, Risk
from tests.oracle.engine import Comparison, levels_of, spoken
from tests.oracle.fillings import stack_places
from tests.oracle.generate import Case
from tests.oracle.known import ON_THE_ITEM, Thing, contested, sized
from tests.oracle.motion import Filling, Request
from tests.oracle.plan import Levels, Swap
from tests.oracle.world import Place, Thread, Vehicle, World

if TYPE_CHECKING:
    from knockon.graph.model.catalogue import Catalogue


# ---------------------------------------------------------------------------------- combinations


def combination_differences(case: Case, catalogue: Catalogue, first: int = 3) -> Iterator[str]:
    """Where the parts that go together around given ones, or the first fillings, differ."""
    world = case.world
    request = Request(wants=case.request.wants, avoid=case.request.avoid)
    given = [f"{position}={part}" for position, part in request.wants]
    theirs = combinations(catalogue, world.layout, given, first=first, avoid=request.avoid)
    swap = _Alone(world, Vehicle("bare", (), ()), request)
    found = [(swap.levels(filling), filling) for filling in _distinct(swap)]
    number = theirs.counted
    if number is None or (number.number, number.exact) != (str(len(found)), True):
        yield f"{given}: ours {len(found)} fillings, theirs {number}"
    if not found or not theirs.combinations:
        if found or theirs.combinations:
            yield f"{given}: ours {len(found)} fillings, theirs {len(theirs.combinations)}"
        return
    best = min(levels for levels, _ in found)
    fewest: dict[tuple[str, str], int] = {}
    for levels, filling in found:
        for (position, _), choice in filling.items():
            if choice is not None:
                key = (position, choice.thing.number)
                fewest[key] = min(levels.unsupported, fewest.get(key, levels.unsupported))
    ours = {key: count > best.unsupported for key, count in fewest.items()}
    yield from _possible_differ(ours, theirs)
    in_order = sorted((levels, swap.numbers(filling)) for levels, filling in found)
    yield from _first_differ(world, in_order[:first], theirs)


class _Alone(Swap):
    """A layout without a vehicle: nothing stands in it."""

    def nothing_recorded(self) -> None:
        """There is nothing."""


def _distinct(swap: Swap) -> list[Filling]:
    """Fillings that differ in what stands somewhere, not only in the arrangement's name."""
    best: dict[object, Filling] = {}
    for filling in swap.fillings():
        key = tuple(filling.items())
        if key not in best or swap.levels(filling) < swap.levels(best[key]):
            best[key] = filling
    return list(best.values())


def _possible_differ(ours: dict[tuple[str, str], bool], theirs: CombinationsAnswer) -> Iterator[str]:
    said = {(at.position, part.number): part.only_unknown for at in theirs.possible for part in at.parts}
    if ours != said:
        different = set(ours.items()) ^ set(said.items())
        yield f"possible parts, and whether only on more unknowns: in one answer only {different}"


def _first_differ(
    world: World, ours: list[tuple[Levels, tuple[tuple[bool, str], ...]]], theirs: CombinationsAnswer
) -> Iterator[str]:
    """The best fillings, one after another: how good they are, and what stands where."""
    expected = [(tuple(levels), [number for _, number in numbers]) for levels, numbers in ours]
    said = []
    for one in theirs.combinations:
        standing = {str(filled.place): filled.number for filled in one.filled}
        said.append((levels_of(one.costs), [standing.get(spoken(place), "") for place in world.places]))
    if said != expected:
        yield f"first fillings: ours {expected}, theirs {said}"


# ------------------------------------------------------------------------------- what to measure


def unmeasured(comparison: Comparison) -> Iterator[str]:
    """Sizes of what stays that an unproven check across the cut needs and nobody is told to measure; and others told.

    A size that was read on the item needs no second reading.  What leaves may be looked at for other reasons.
    """
    filling = comparison.same_filling()
    if filling is None:
        return
    named: list[Measurement | Risk] = [*comparison.theirs.measure_first, *comparison.theirs.risks]
    told = {(place, one.feature, size) for one in named for place in one.places for size in one.dimensions}
    wanted = {(spoken(place), *size) for place, *size in _across_the_cut(comparison.swap, filling)}
    stays = {spoken(place) for place in filling if _stays(filling, place)}
    for place_name, feature, dimension in sorted(told - wanted):
        if place_name in stays:
            yield f"needlessly measured first: {place_name}, {feature}, {dimension}"
    for place, feature, dimension in _across_the_cut(comparison.swap, filling):
        thing = filling.thing(place)
        assert thing is not None
        if _read_on_it(comparison.swap.world, thing, feature, dimension):
            continue
        if (spoken(place), feature, dimension) not in told:
            yield f"not measured first: {spoken(place)}, {feature}, {dimension}; told: {sorted(told)}"


def _read_on_it(world: World, thing: Thing, feature: str, dimension: str) -> bool:
    """Whether a size was read on the very thing, undisputed; of a thread also where no hand was written."""
    size = sized(world, thing, feature, dimension)
    if size.statements:
        return size.standing == ON_THE_ITEM and not contested(size.statements)
    rows = (row for owner in thing.records for row in world.rows_of.get((owner, feature), []))
    return any(world.standing[r.source] == ON_THE_ITEM and dict(r.cells).get(dimension) == Thread() for r in rows)


def _across_the_cut(swap: Swap, filling: Filling) -> Iterator[tuple[Place, str, str]]:
    """Sizes of kept things in the required conditions of unproven checks between kept and new."""
    world = swap.world
    joint_named = {joint.name: joint for joint in world.joints}
    for (name, ends), result in swap.joint_results(filling).items():
        joint = joint_named[name]
        features = (joint.feature, joint.other_feature)
        if not result.verdict.is_unproven or not _cut(filling, ends):
            continue
        for condition in world.rule[joint.rule].conditions:
            for term in condition.terms if condition.need == "required" else ():
                if _stays(filling, ends[term.role]):
                    yield ends[term.role], features[term.role], term.dimension
    for (name, side), result in swap.stack_results(filling).items():
        stack = next(one for one in world.stacks if one.name == name)
        places = stack_places(world, stack, side)
        if not result.verdict.is_unproven or not _cut(filling, places):
            continue
        for part in stack.terms:
            place = next(place for place in places if place[0] == part.position)
            if _stays(filling, place):
                yield place, part.feature, part.dimension


def _stays(filling: Filling, place: Place) -> bool:
    thing = filling.thing(place)
    return thing is not None and thing.stays


def _cut(filling: Filling, places: Iterable[Place]) -> bool:
    """Something stays and something is new."""
    return {thing.stays for place in places if (thing := filling.thing(place)) is not None} == {True, False}
