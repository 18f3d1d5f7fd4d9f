"""Posting lists: of the parts of a type, which interface class each is at one end of a rule.

They are made once for each end of a joint and stay: a prepared copy of the records keeps them beside the parts, so
that a question about one part reads neither the features of all that it may meet nor their records.
"""

from __future__ import annotations

from array import array
from collections.abc import Collection, Iterator, Mapping, Sequence
from typing import Any

import msgspec

from knockon.graph.judge.beliefs import Interface, Known, Size, interface_of
from knockon.graph.judge.conditions import dimensions_of
from knockon.graph.model.catalogue import Catalogue
from knockon.graph.model.rules import FitRule, RuleEnd
from knockon.graph.model.things import Feature, Part

HANDS = ("either", "left", "right")
"""As a posting list writes them."""
_Known = tuple[tuple[tuple[float | None, float | None, bool, str | None], ...], bool, bool, int]
_Interface = tuple[str, tuple[_Known, ...]]
_encode = msgspec.msgpack.encode
_decoder: msgspec.msgpack.Decoder[tuple[tuple[_Interface, ...], bytes]] = msgspec.msgpack.Decoder(
    tuple[tuple[_Interface, ...], bytes]
)


class Posting(msgspec.Struct, frozen=True):
    """The parts of a type, and of narrower ones, by number: of each the place of its interface among ``interfaces``."""

    interfaces: tuple[Interface, ...]
    classes: Sequence[int]


def feature_at(features: Mapping[str, Feature], end: RuleEnd, name: str) -> Feature | None:
    """The feature that this end of a rule judges: one of another kind has sizes of the same names, and says nothing
    here; that it is known absent says so whatever its kind."""
    recorded = features.get(name)
    return recorded if recorded is not None and (recorded.kind == end.kind or recorded.absent) else None


def name_of(rule: FitRule, end: RuleEnd, feature: str, part_type: str) -> str:
    """The name under which a posting list is kept."""
    return "\n".join((part_type, rule.label, str(end.number), feature))


def hands_named(part_type: str) -> str:
    """The name under which the hands of a type's parts are kept."""
    return f"{part_type}\nhands"


def numbers_of(catalogue: Catalogue, part_type: str) -> tuple[str, ...]:
    """The numbers of a type's parts, and of narrower ones, sorted."""
    by_type, is_a = catalogue.numbers_of_type, catalogue.vocabulary.is_a
    types = [t for t in by_type if is_a(t, part_type)]
    return by_type[types[0]] if len(types) == 1 else tuple(sorted(n for t in types for n in by_type[t]))


def posting_of(catalogue: Catalogue, rule: FitRule, end: RuleEnd, feature: str, part_type: str) -> Posting:
    """The posting list of a type at an end of a rule: the one that is kept, else made now."""
    kept = catalogue.kept_postings.get(name_of(rule, end, feature, part_type))
    return _read(kept) if kept is not None else _made(catalogue, rule, end, feature, part_type)


def _made(catalogue: Catalogue, rule: FitRule, end: RuleEnd, feature: str, part_type: str) -> Posting:
    dimensions = dimensions_of(rule, end.role)
    places: dict[Interface, int] = {}
    seen: dict[int, int] = {}  # things share their features: by id, as all of them live as long as the catalogue
    classes = array("I")
    for number in numbers_of(catalogue, part_type):
        found = feature_at(catalogue.features_of(number), end, feature)
        place = seen.get(id(found))
        if place is None:
            place = seen[id(found)] = places.setdefault(interface_of(found, dimensions), len(places))
        classes.append(place)
    return Posting(tuple(places), classes)


def hands_of(catalogue: Catalogue, part_type: str) -> Sequence[int]:
    """The hand of each part of a type and of narrower ones, by number: its place in HANDS."""
    kept = catalogue.kept_postings.get(hands_named(part_type))
    if kept is not None:
        return bytes(kept)
    return bytes(_hand(catalogue.parts[number]) for number in numbers_of(catalogue, part_type))


def _hand(part: Part) -> int:
    return HANDS.index(part.hand) if part.hand in HANDS else len(HANDS)


_End = tuple[FitRule, RuleEnd, str, str]


def _ends(catalogue: Catalogue) -> dict[str, _End]:
    """Each end of each joint of the layouts, with the part type of its place, by name."""
    found: dict[str, _End] = {}
    for layout in catalogue.layouts.values():
        types = {p.position: p.part_type for p in layout.positions}
        for joint in layout.joints:
            rule = catalogue.vocabulary.rules.get(joint.rule)
            for number, end in enumerate(joint.ends):
                if rule is not None and end.position in types:
                    read = rule, rule.ends[number], end.feature, types[end.position]
                    found[name_of(*read)] = read
    return {name: found[name] for name in sorted(found)}


def all_postings(catalogue: Catalogue) -> Iterator[tuple[str, bytes]]:
    """Everything that is kept of them, by name."""
    ends = _ends(catalogue)
    for name, read in ends.items():
        yield name, _written(_made(catalogue, *read))
    for part_type in sorted({part_type for *_, part_type in ends.values()}):
        yield hands_named(part_type), bytes(hands_of(catalogue, part_type))


def changed_postings(
    before: Catalogue, now: Catalogue, features: Collection[str], parts: Collection[str]
) -> dict[str, bytes]:
    """What is kept of them and is other than ``before``, where these things have other features ``now`` and these
    parts are new or have another hand; no part is gone or of another type."""
    found = {}
    ends = _ends(now)
    numbers = {t: (numbers_of(before, t), numbers_of(now, t)) for t in sorted({t for *_, t in ends.values()})}
    standing = {t: (set(now_) & set(features), set(now_) & set(parts)) for t, (_, now_) in numbers.items()}
    for name, (rule, end, feature, part_type) in ends.items():
        if standing[part_type][0] or len(set(numbers[part_type])) > 1:
            old = posting_of(before, rule, end, feature, part_type)
            found[name] = _written(_changed(old, now, rule, end, feature, *numbers[part_type], standing[part_type][0]))
    for part_type, (_, other) in standing.items():
        if other:
            hands = dict(zip(numbers[part_type][0], hands_of(before, part_type), strict=True))
            hands |= {number: _hand(now.parts[number]) for number in other}
            found[hands_named(part_type)] = bytes(hands[number] for number in numbers[part_type][1])
    return found


def _changed(
    old: Posting,
    now: Catalogue,
    rule: FitRule,
    end: RuleEnd,
    feature: str,
    before: Sequence[str],
    numbers: Sequence[str],
    other: Collection[str],
) -> Posting:
    """A list in which these others of the parts have other features."""
    dimensions = dimensions_of(rule, end.role)
    places = {interface: k for k, interface in enumerate(old.interfaces)}
    classes = dict(zip(before, old.classes, strict=True))
    for number in [n for n in numbers if n in other or n not in classes]:
        interface = interface_of(feature_at(now.features_of(number), end, feature), dimensions)
        classes[number] = places.setdefault(interface, len(places))
    return Posting(tuple(places), array("I", [classes[number] for number in numbers]))


def _written(posting: Posting) -> bytes:
    interfaces = [
        (f.presence, [([(s.low, s.high, s.nominal, s.code) for s in k.sizes], k.contested, k.asked, k.rank)
                      for k in f.known])
        for f in posting.interfaces
    ]  # fmt: skip
    return _encode((interfaces, array("I", posting.classes).tobytes()))


def _read(blob: Any) -> Posting:
    interfaces, classes = _decoder.decode(blob)
    known: dict[_Known, Known] = {}

    def of(said: _Known) -> Known:
        if said not in known:
            known[said] = Known(tuple(Size(*size) for size in said[0]), *said[1:])
        return known[said]

    found = tuple(Interface(presence, tuple(map(of, dimensions))) for presence, dimensions in interfaces)
    return Posting(found, memoryview(classes).cast("I"))
