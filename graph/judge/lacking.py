"""The usual checks that a layout lacks: it has positions for the parts, and nobody looks at them there."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from typing import NamedTuple

import msgspec
from msgspec.structs import replace

from knockon.graph.model.layouts.mechanism import Figure, Layout
from knockon.graph.model.layouts.ready_made import ReadyMade, ready_made
from knockon.graph.model.rules import FitRule
from knockon.graph.model.schema import UsualCheck, Vocabulary


class LackedCheck(msgspec.Struct, frozen=True):
    """A usual check that a layout lacks: its name, what happens where nobody looks, whence it is usual, and the
    positions between which nobody looks."""

    layout: str
    check: str
    why: str
    source: str
    standing: str
    positions: tuple[str, ...]


def lacked_checks(layout: Layout, vocabulary: Vocabulary) -> tuple[LackedCheck, ...]:
    """The usual checks that a layout lacks, in their order.

    A joint is lacking where its part types both have positions, and no joint by such a rule is between them, or a
    position of the first is in no such joint at all. A chain is lacking where all its part types have positions, and no
    stack or figure that is judged has its name, or runs through them all with its dimensions.
    """
    found = []
    axles = [_on_axle(layout, axle) for axle in dict.fromkeys(p.axle for p in layout.positions if p.axle)] or [layout]
    parts = [(part, _by_type(part, vocabulary)) for part in axles]
    ends = _ends(layout, vocabulary)
    for check in vocabulary.usual_checks:
        look = _unwatched_chain if check.chain else _unjoined
        positions = dict.fromkeys(p for part, by_type in parts for p in look(check, part, by_type, ends))
        if positions:
            found.append(
                LackedCheck(layout.layout, check.label, check.why, check.source, check.standing, tuple(positions))
            )
    return tuple(found)


LIKE = 0.5
"""A layout is like a ready-made one where it has positions for this share of what that one always needs, or more, or
where this share of its own positions is for parts that that one has a position for: with less it is of another sort,
and lacks nothing of it."""
FEWEST = 2
"""One position that two layouts share makes them no more alike than any wheel."""


class LackedPositions(msgspec.Struct, frozen=True):
    """A ready-made layout that a layout is like, on one axle (blank: it has one), and the usual positions that it has
    not: no part that belongs there is asked for, or looked at."""

    layout: str
    like: str
    axle: str
    positions: tuple[str, ...]


def lacked_positions(layout: Layout, vocabulary: Vocabulary) -> tuple[LackedPositions, ...]:
    """The usual positions that a layout lacks, axle by axle, by the ready-made layout of an axle that it is most like.

    An axle that comes from a ready-made layout has what that one says. The positions of an arrangement are usual where
    the layout has one that belongs to that arrangement alone, or half of them.
    """
    found = []
    given = {u.as_ for u in layout.uses if u.uses in ready_made() and ready_made()[u.uses].axle}
    made = {name: one for name, one in ready_made().items() if one.axle}
    beside = [p for one in ready_made().values() if not one.axle for _, p in one.tables["positions"]]
    for axle in dict.fromkeys(p.axle for p in layout.positions if p.axle) or [""]:
        types = [p.part_type for p in layout.positions if p.axle in ("", axle)]
        own = [t for t in types if not _taken({t}, beside, vocabulary)]  # what the whole vehicle has is of no axle
        alike = {n: (_shared(one, own, vocabulary), _like(one, types, vocabulary)) for n, one in made.items()}
        name = max(alike, key=lambda n: alike[n][::-1])
        shared, like = alike[name]
        usual = _usual(made[name], types, vocabulary)
        lacked = tuple(p["position"] for p in usual if p["need"] == "needed" and not _has(types, p, vocabulary))
        is_like = like >= LIKE or shared >= max(LIKE * len(own), FEWEST)
        if lacked and axle not in given and is_like:
            found.append(LackedPositions(layout.layout, name, axle, lacked))
    return tuple(found)


def _shared(made: ReadyMade, types: Collection[str], vocabulary: Vocabulary) -> int:
    """How many of these positions, each by its part type, are for parts that a ready-made layout has a position for."""
    positions = [p for _, p in made.tables["positions"]]
    return sum(bool(_taken({t}, positions, vocabulary)) for t in types)


def _taken(
    types: Collection[str], positions: Collection[Mapping[str, str]], vocabulary: Vocabulary
) -> list[Mapping[str, str]]:
    return [p for p in positions if _has(types, p, vocabulary)]


def _like(made: ReadyMade, types: Collection[str], vocabulary: Vocabulary) -> float:
    """The share of what a ready-made layout always needs that these part types have."""
    always = [p for _, p in made.tables["positions"] if not p["arrangement"] and p["need"] == "needed"]
    return len(_taken(types, always, vocabulary)) / len(always)


def _usual(made: ReadyMade, types: Collection[str], vocabulary: Vocabulary) -> Iterator[Mapping[str, str]]:
    positions = [cells for _, cells in made.tables["positions"]]
    for arrangement in dict.fromkeys(p.get("arrangement", "") for p in positions):
        own = [p for p in positions if p.get("arrangement", "") == arrangement]
        others = {p["part type"] for p in positions if p.get("arrangement", "") != arrangement}
        there = _taken(types, own, vocabulary)
        if not arrangement or len(there) >= LIKE * len(own) or any(p["part type"] not in others for p in there):
            yield from own


def _has(types: Collection[str], position: Mapping[str, str], vocabulary: Vocabulary) -> bool:
    return any(vocabulary.is_a(t, position["part type"]) for t in types)


def _on_axle(layout: Layout, axle: str) -> Layout:
    """One axle of a layout with what belongs to the whole vehicle: what is on two axles does not meet."""
    return replace(layout, positions=tuple(p for p in layout.positions if p.axle in ("", axle)))


ByType = Mapping[str, Mapping[str, int]]
"""Part type -> the positions that take it or a narrower one -> their place in the layout's order."""


def _by_type(layout: Layout, vocabulary: Vocabulary) -> ByType:
    found: dict[str, dict[str, int]] = {}
    for place, position in enumerate(layout.positions):
        known = vocabulary.part_types.get(position.part_type)
        for part_type in (position.part_type, *(known.broader if known else ())):
            found.setdefault(part_type, {})[position.position] = place
    return found


def _standing(by_type: ByType, part_types: Collection[str]) -> list[str]:
    """The positions that take one of these part types, or a narrower one, in the layout's order."""
    found = {p: place for t in part_types for p, place in by_type.get(t, {}).items()}
    return sorted(found, key=found.__getitem__)


def _unjoined(check: UsualCheck, _: Layout, by_type: ByType, joined: Joined) -> list[str]:
    first, other = (_standing(by_type, types) for types in (check.first, check.other))
    if not any(a != b for a in first for b in other):
        return []
    kinds_of_rules = dict.fromkeys(joined.rules.get(rule, ()) for rule in check.rules)
    ends = [end for kinds in kinds_of_rules for end in joined.ends.get(kinds, ())]
    between = [(a, kind) for (a, kind), (b, _) in ends if a in first and b in other]
    if not between:
        return list(dict.fromkeys((*first, *other)))
    kinds = {kind for _, kind in between}  # a nut that takes a screw too is in no such joint by that
    alone = [p for p in first if not any(end[0] == p and end[1] in kinds for end, _ in ends)]
    return list(dict.fromkeys((*alone, *other))) if alone else []


class Joined(NamedTuple):
    """The two ends (position, kind of feature), each way round, of every joint, by its two kinds in alphabetical order;
    and these two kinds of every rule."""

    ends: Mapping[tuple[str, ...], Sequence[tuple[tuple[str, str], tuple[str, str]]]]
    rules: Mapping[str, tuple[str, ...]]


def _ends(layout: Layout, vocabulary: Vocabulary) -> Joined:
    found: dict[tuple[str, ...], list[tuple[tuple[str, str], tuple[str, str]]]] = {}
    for joint in layout.joints:
        rule = vocabulary.rules.get(joint.rule)
        if rule is not None:
            here, there = ((at.position, end.kind) for at, end in zip(joint.ends, rule.ends, strict=True))
            found.setdefault(_kinds(rule), []).extend(((here, there), (there, here)))
    return Joined(found, {label: _kinds(rule) for label, rule in vocabulary.rules.items()})


def _kinds(rule: FitRule) -> tuple[str, ...]:
    return tuple(sorted(end.kind for end in rule.ends))


def _unwatched_chain(check: UsualCheck, layout: Layout, by_type: ByType, _: Joined) -> list[str]:
    standing = [_standing(by_type, [part_type]) for part_type in check.through]
    if not all(standing) or any(_watches(f, check, standing) for f in layout.figures):
        return []
    return [p.position for p in layout.positions if any(p.position in some for some in standing)]


def _watches(figure: Figure, check: UsualCheck, standing: list[list[str]]) -> bool:
    if figure.figure.casefold() == check.chain.casefold():
        return True
    taken = {t.position for t in figure.terms}
    sizes = {t.dimension for t in figure.terms}
    return all(taken & set(some) for some in standing) and set(check.dimensions) <= sizes
