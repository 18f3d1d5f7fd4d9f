"""The club's wish list: the sizes that nobody has recorded, ranked by how many answers each would unlock.

An answer is (1) the plan of a swap that the records suggest (asked_swaps), (2) a pair of parts at a joint, (3) a figure
on a vehicle. Of (2) and (3) those count that are *not known* for want of a size; of (1) each plan in which a joint or
figure is not known, or fits on paper by a claim alone, for want of a size. A size unlocks an answer if that check lacks
nothing else; it helps if the check lacks more. Plans come first, since they are what somebody means to do.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence
from heapq import nsmallest

import msgspec

from knockon.graph.judge.beliefs import Interface, interface_of
from knockon.graph.judge.conditions import REQUIRED, dimensions_of, judge
from knockon.graph.judge.verdicts import Verdict, Weighing, verdict_of
from knockon.graph.model.catalogue import Catalogue
from knockon.graph.model.layouts.layout import FigureAt, JointAt, Place, PlaceEnd, Places
from knockon.graph.model.schema import column_of
from knockon.queries.answers import Answer
from knockon.queries.fits.checking.candidates import Candidate, as_found, new_parts
from knockon.queries.fits.checking.checks import Checks
from knockon.queries.plan.asked_swaps import AskedSwap

WAITING = (Verdict.NOT_KNOWN, Verdict.FITS_ON_PAPER)
Size = tuple[str, str, str]
"""Thing, feature, dimension (of a thread: the thread, which is read as one)."""


class Wish(msgspec.Struct, frozen=True):
    """A size that is missing. ``unlocks``: answers that lack nothing else; ``helps``: all that lack it.

    An answer is a pair of parts at a joint, or a figure on a vehicle, that is not known for want of a size. ``plans``
    names the swaps in whose plan a check lacks this size and nothing else. ``how``: the vocabulary's method.
    """

    thing: str
    feature: str
    dimension: str
    unlocks: int
    helps: int
    checks: tuple[str, ...]
    safety_critical: bool
    how: str
    plans: tuple[str, ...] = ()


class WishesAnswer(Answer, frozen=True):
    """The missing sizes, those that unlock most first; ``unknown_answers`` is how many answers lack some size."""

    wishes: tuple[Wish, ...]
    unknown_answers: int


class _Tally:
    """Counts of answers by the sizes that they lack."""

    def __init__(self) -> None:
        self.unlocks: Counter[Size] = Counter()
        self.helps: Counter[Size] = Counter()
        self.checks: dict[Size, dict[str, None]] = defaultdict(dict)
        self.critical: set[Size] = set()
        self.plans: dict[Size, dict[str, None]] = defaultdict(dict)
        self.answers = 0

    def add(self, lacks: set[Size], check: str, critical: bool, times: int) -> None:
        """Count ``times`` answers of a check that lack these sizes."""
        self.answers += times
        for size in lacks:
            self.helps[size] += times
            self.unlocks[size] += times if len(lacks) == 1 else 0
            self.checks[size][check] = None
            if critical:
                self.critical.add(size)


def wish_list(catalogue: Catalogue, most: int = 0, swaps: Sequence[AskedSwap] = ()) -> WishesAnswer:
    """The wish list; ``most`` cuts it off (0: all). Cost: pairs of different interfaces, not pairs of parts."""
    tally = _Tally()
    for layout in catalogue.layouts.values():
        checks = Checks(catalogue, Places(layout))
        done = set()
        for at in checks.places.joints:
            if at.joint.joint not in done:
                done.add(at.joint.joint)
                _count_joint(checks, at, tally)
        _count_figures(checks, tally)
    for swap in swaps:
        _count_plan(swap, tally)
    sizes = tally.helps.keys() | tally.plans.keys()

    def rank(size: Size) -> tuple[int, int, int, Size]:
        return -len(tally.plans.get(size, ())), -tally.unlocks[size], -tally.helps[size], size

    order = nsmallest(most, sizes, key=rank) if most else sorted(sizes, key=rank)
    kinds = _kinds(catalogue, {feature for _, feature, _ in order})
    return WishesAnswer(tuple(_wish(catalogue, tally, s, kinds) for s in order), tally.answers)


def _wish(catalogue: Catalogue, tally: _Tally, size: Size, kinds: Mapping[str, str]) -> Wish:
    return Wish(
        *size,
        unlocks=tally.unlocks[size],
        helps=tally.helps[size],
        checks=tuple(tally.checks[size]),
        safety_critical=size in tally.critical,
        how=_how(catalogue, size, kinds),
        plans=tuple(tally.plans.get(size, ())),
    )


def _count_plan(swap: AskedSwap, tally: _Tally) -> None:
    """Note the sizes that a check of the plan lacks, where it lacks one only."""
    checks = swap.problem.checks
    open_ones: list[tuple[set[Size], str, bool]] = []
    for at in swap.joints:
        pair = (swap.chosen[at.first], swap.chosen[at.second])
        if checks.joint(at, *pair).verdict in WAITING:
            lacks = {
                (candidate.thing, end.feature, dimension)
                for candidate, end in zip(pair, at.ends, strict=True)
                for dimension in _lacking(checks, at, end, candidate.thing)
            }
            open_ones.append((lacks, at.joint.joint, checks.is_safety_critical(at)))
    for figure in swap.figures:
        chosen = {p: swap.chosen.get(p) for p in figure.places}
        result = checks.figure(figure, chosen, checks.as_made_value(figure, swap.standing))
        if result.verdict in WAITING:
            lacks = _missing_of(figure, chosen, result.missing)
            open_ones.append((lacks, figure.figure.figure, figure.figure.safety_critical))
    for lacks, check, critical in open_ones:
        if len(lacks) == 1:
            size = next(iter(lacks))
            tally.plans[size][swap.said] = None
            tally.checks[size][check] = None
            if critical:
                tally.critical.add(size)


def _missing_of(at: FigureAt, chosen: Mapping[Place, Candidate | None], missing: Sequence[int]) -> set[Size]:
    """The sizes that a figure lacks on what stands in its places."""
    found = set()
    for index in missing:
        candidate, term = chosen.get(at.places[index]), at.figure.terms[index]
        if candidate is not None and candidate.recorded:
            found.add((candidate.thing, term.feature, column_of(term.dimension)))
    return found


def _things(checks: Checks, place: Place) -> list[str]:
    """The things that may be bought for a position, on either side."""
    sides = checks.places.sides_of(place.position)
    found = [c.thing for s in sides for c in new_parts(checks.catalogue, checks.places, Place(place.position, s))]
    return list(dict.fromkeys(found))


def _count_joint(checks: Checks, at: JointAt, tally: _Tally) -> None:
    rule = checks.rule_of(at)
    classes: list[dict[Interface, list[str]]] = [defaultdict(list), defaultdict(list)]
    for end, dimensions in zip(at.ends, checks.dimensions(rule), strict=True):
        for thing in _things(checks, end.place):
            recorded = checks.feature_at(rule.ends[end.number], thing, end.feature)
            classes[end.number][interface_of(recorded, dimensions)].append(thing)
    if not classes[0] or not classes[1]:
        return
    critical = checks.is_safety_critical(at)
    table = judge(rule, list(classes[0]), list(classes[1]))
    for row, firsts in zip(table, classes[0].values(), strict=True):
        for judged, seconds in zip(row, classes[1].values(), strict=True):
            if verdict_of(judged, Weighing(critical)) is not Verdict.NOT_KNOWN:
                continue
            lacks = [
                _lacking(checks, at, end, things[0]) for end, things in zip(at.ends, (firsts, seconds), strict=True)
            ]
            if lacks[0] or lacks[1]:
                _count_pairs(tally, at, critical, (firsts, seconds), (lacks[0], lacks[1]))


def _count_pairs(
    tally: _Tally,
    at: JointAt,
    critical: bool,
    things: tuple[list[str], list[str]],
    lacks: tuple[set[str], set[str]],
) -> None:
    """Count all pairs of two classes: what each thing lacks is the same within a class."""
    alone = len(lacks[0]) + len(lacks[1]) == 1
    tally.answers += len(things[0]) * len(things[1])
    for end, other in zip(at.ends, at.ends[::-1], strict=True):
        for thing in things[end.number]:
            for dimension in lacks[end.number]:
                size = (thing, end.feature, dimension)
                times = len(things[other.number])
                tally.helps[size] += times
                tally.unlocks[size] += times if alone else 0
                tally.checks[size][at.joint.joint] = None
                if critical:
                    tally.critical.add(size)


def _lacking(checks: Checks, at: JointAt, end: PlaceEnd, thing: str) -> set[str]:
    """The required dimensions that a thing at this end lacks."""
    rule = checks.rule_of(at)
    needed = dimensions_of(rule, rule.ends[end.number].role, REQUIRED)
    interface: Interface = interface_of(checks.catalogue.features_of(thing).get(end.feature), needed)
    return {column_of(d) for d, k in zip(needed, interface.known, strict=True) if not k.sizes}


def _count_figures(checks: Checks, tally: _Tally) -> None:
    for vehicle in checks.catalogue.vehicles.values():
        if vehicle.layout != checks.places.layout.layout:
            continue
        now = as_found(checks.catalogue, checks.places, vehicle)
        for at in checks.places.figures:
            result = checks.figure(at, {p: now.get(p) for p in at.places}, checks.as_made_value(at, vehicle))
            lacks = _missing_of(at, now, result.missing)
            if result.verdict is Verdict.NOT_KNOWN and lacks:
                tally.add(lacks, at.figure.figure, at.figure.safety_critical, 1)


def _how(catalogue: Catalogue, size: Size, kinds: Mapping[str, str]) -> str:
    thing, feature, dimension = size
    recorded = catalogue.features_of(thing).get(feature)
    kind = recorded.kind if recorded else kinds.get(feature, "")
    columns = catalogue.vocabulary.kinds[kind].columns if kind else ()
    return next((c.method for c in columns if c.name == dimension), "")


def _kinds(catalogue: Catalogue, features: set[str]) -> dict[str, str]:
    """Of each of these features, of which kind the first one is that is recorded of anything."""
    found: dict[str, str] = {}
    for recorded in catalogue.features.values():
        for feature in recorded.keys() & features:
            found.setdefault(feature, recorded[feature].kind)
    return found
