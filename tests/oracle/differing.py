"""How two parts differ, by brute force: each feature and size compared, and both judged against every other thing.

Nothing of it is shared with the question under test; only the comparison at the end reads the program's answer.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations
from typing import TYPE_CHECKING

from knockon.queries.find.tell_apart import TellApartAnswer, tell_apart
from tests.oracle.engine import WORDS
from tests.oracle.known import Thing, beliefs_in_feature, contested, share_a_value, sized
from tests.oracle.verdict import judge_joint
from tests.oracle.world import PartSet, Thread, World

if TYPE_CHECKING:
    from knockon.graph.model.catalogue import Catalogue

Turns = dict[tuple[str, str, str], frozenset[tuple[str, str, str]]]
"""By member, joint and feature: number of the other part, the verdict with the first, the verdict with the second."""


def apart_differences(world: World, catalogue: Catalogue, most: int | None = None) -> Iterator[str]:
    """Where the program and brute force tell parts apart differently; `most`: how many pairs, at even steps."""
    found = [(a.number, b.number) for a, b in combinations(world.parts, 2) if a.part_type == b.part_type]
    found += [(a.number, b.number) for a, b in combinations(world.sets, 2)]
    for one, other in found[:: 1 if most is None else max(1, len(found) // most)]:
        theirs = tell_apart(catalogue, one, other)
        ends = _things(world, one), _things(world, other)
        yield from _compared(one, other, "words", dict(_words(world, *ends)), _their_words(theirs))
        yield from _compared(one, other, "turns", _turns(world, one, other, *ends), _their_turns(theirs))
        hands = {n: world.part[n].hand if n in world.part else "either" for n in (one, other)}
        if (hands[one] != hands[other]) != any(d.what == "hand" for d in theirs.differences):
            yield f"{one}, {other}: hands {hands}, theirs {[d.what for d in theirs.differences]}"


def _compared(one: str, other: str, what: str, ours: object, theirs: object) -> Iterator[str]:
    if ours != theirs:
        yield f"{one}, {other}, {what}: ours {ours}, theirs {theirs}"


def _things(world: World, number: str) -> dict[str, tuple[Thing, str]]:
    """What there is of a number, by member, with the position of a member (blank: of the part type)."""
    known = world.part.get(number)
    if known is not None:
        return {"": (Thing(number, (known.drawn_as or number,)), "")}
    whole: PartSet = next(s for s in world.sets if s.number == number)
    found = {}
    for member in whole.members:
        drawn = world.part.get(member.as_part)
        records = (drawn.drawn_as or drawn.number) if drawn else f"{number}/{member.position}"
        label = f"{member.side} {member.position}".strip()
        found[label] = (Thing(number, (records,), as_part=member.as_part), member.position)
    return found


def _positions(world: World, number: str, position: str) -> set[str]:
    known = world.part.get(number)
    if known is None:
        return {position}
    return {p.name for p in world.positions if p.part_type == known.part_type}


def _presence(world: World, thing: Thing, feature: str) -> str:
    rows = [row for owner in thing.records for row in world.rows_of.get((owner, feature), [])]
    if not rows:
        return "not recorded"
    believed = beliefs_in_feature(world, thing, feature)
    return "contested" if len(believed) > 1 else "recorded" if believed[0] else "absent"


def _words(
    world: World, ours: dict[str, tuple[Thing, str]], theirs: dict[str, tuple[Thing, str]]
) -> Iterator[tuple[tuple[str, str, str], str]]:
    """The word of each feature (dimension blank) and each size that is not the same in both."""
    for label in dict.fromkeys((*ours, *theirs)):
        if label not in ours or label not in theirs:
            yield (label, "", ""), "differs"
            continue
        things = (ours[label][0], theirs[label][0])
        places = {p for t, at in (ours[label], theirs[label]) for p in _positions(world, t.number, at)}
        features = {f for o, f in world.rows_of if any(o in t.records for t in things)}
        features |= {j.feature for j in world.joints if j.position in places}
        features |= {j.other_feature for j in world.joints if j.other_position in places}
        features |= {t.feature for s in world.stacks for t in s.terms if t.position in places}
        for feature in features:
            yield from _feature_words(world, label, feature, things)


def _feature_words(
    world: World, label: str, feature: str, things: tuple[Thing, Thing]
) -> Iterator[tuple[tuple[str, str, str], str]]:
    one, two = (_presence(world, t, feature) for t in things)
    unknown = [one, two].count("not recorded")
    if unknown or one != two or one == "contested":
        word = "differs" if not unknown and "contested" not in (one, two) else "may differ"
        word = {1: "not recorded on one side", 2: "not recorded on both sides"}.get(unknown, word)
        yield (label, feature, ""), word
    if "absent" in (one, two) or unknown == 2:
        return
    rows = [row for t in things for owner in t.records for row in world.rows_of.get((owner, feature), [])]
    for kind in {row.kind for row in rows}:
        for dimension in next(k for k in world.kinds if k.name == kind).dimensions:
            if dimension.datatype == "thread":
                yield from _thread_words(world, label, feature, dimension.name, things)
                continue
            a, b = (sized(world, t, feature, dimension.name).statements for t in things)
            if not a or not b:
                yield (label, feature, dimension.name), f"not recorded on {'one side' if a or b else 'both sides'}"
            elif not any(share_a_value(x, y) for x in a for y in b):
                yield (label, feature, dimension.name), "differs"
            elif {_ends(x) for x in a} != {_ends(y) for y in b} or contested(a):
                yield (label, feature, dimension.name), "may differ"


def _thread_words(
    world: World, label: str, feature: str, dimension: str, things: tuple[Thing, Thing]
) -> Iterator[tuple[tuple[str, str, str], str]]:
    """Each size of a designation by itself, of those that either has a word on; all are M20x1, only hands differ."""
    one, two = (_designated(world, thing, feature, dimension) for thing in things)
    if not one and not two:
        yield (label, feature, dimension), "not recorded on both sides"
    for part in {*one, *two}:
        a, b = one.get(part, set()), two.get(part, set())
        if not a or not b:
            yield (label, feature, f"{dimension}.{part}"), f"not recorded on {'one side' if a or b else 'both sides'}"
        elif not a & b:
            yield (label, feature, f"{dimension}.{part}"), "differs"
        elif a != b or len(a) > 1:
            yield (label, feature, f"{dimension}.{part}"), "may differ"


def _designated(world: World, thing: Thing, feature: str, dimension: str) -> dict[str, set[object]]:
    """What is said of each size of a thread; nothing where its source says that it does not know."""
    found: dict[str, set[object]] = {}
    for owner in thing.records:
        for row in world.rows_of.get((owner, feature), []):
            cell = dict(row.cells).get(dimension)
            if cell is not None:
                found |= {part: found.get(part, set()) for part in ("major", "pitch", "flank angle")}
            if isinstance(cell, Thread):
                found |= {part: {"M20x1"} for part in ("major", "pitch", "flank angle")}
            if cell is not None and cell != Thread():
                found["hand"] = set(sized(world, thing, feature, dimension).statements)
    return found


def _ends(said: object) -> object:
    return said if isinstance(said, str) else (said.low, said.high)  # type: ignore[attr-defined]


def _turns(
    world: World, one: str, other: str, ours: dict[str, tuple[Thing, str]], theirs: dict[str, tuple[Thing, str]]
) -> Turns:
    """At each joint, every other thing with which the two have different verdicts."""
    found: Turns = {}
    for label in ours.keys() & theirs.keys():
        (a, at_a), (b, at_b) = ours[label], theirs[label]
        places = _positions(world, one, at_a) & _positions(world, other, at_b)
        for joint in world.joints:
            for mine, yours, feature, swapped in (
                (joint.position, joint.other_position, joint.feature, False),
                (joint.other_position, joint.position, joint.other_feature, True),
            ):
                if mine not in places:
                    continue
                turned = set()
                for x in _standing(world, yours):
                    if x.number in (one, other):
                        continue
                    pairs = ((x, a), (x, b)) if swapped else ((a, x), (b, x))
                    first, second = (WORDS[judge_joint(world, joint, *pair).verdict] for pair in pairs)
                    if first != second:
                        turned.add((x.number, first, second))
                if turned:
                    found[(label, joint.name, feature)] = frozenset(turned)
    return found


def _standing(world: World, position: str) -> Iterator[Thing]:
    place = world.position[position]
    for part in world.parts:
        if part.part_type == place.part_type:
            yield Thing(part.number, (part.drawn_as or part.number,))
    for one in world.sets:
        for thing, at in _things(world, one.number).values():
            if at == position:
                yield thing


def _their_words(answer: TellApartAnswer) -> dict[tuple[str, str, str], str]:
    told = ("feature", "size", "member")
    return {(d.member, d.feature, d.dimension): d.word for d in answer.differences if d.what in told}


def _their_turns(answer: TellApartAnswer) -> Turns:
    """All verdicts that the answer says are turned; every difference at one joint must say the same of it."""
    found: Turns = {}
    for d in answer.differences:
        for rule in d.rules:
            said = frozenset((p, str(t.first), str(t.second)) for t in rule.turns for p in t.parts)
            key = (d.member, rule.joint, d.feature)
            if said:
                assert found.setdefault(key, said) == said, (answer.parts, key)
    return found
