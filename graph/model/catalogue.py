"""The catalogue: all records, typed, as the questions read them."""

# Types stand here as types, not as texts: a prepared copy would evaluate each text whenever it is opened.
from collections import ChainMap
from collections.abc import Iterable, Mapping, Sequence
from functools import cached_property
from typing import Any

import msgspec

from knockon.graph.model.bound import Things
from knockon.graph.model.drawings import members_by_name
from knockon.graph.model.layouts.mechanism import Layout
from knockon.graph.model.nearest import Others, meanings, nearest
from knockon.graph.model.schema import Vocabulary
from knockon.graph.model.things import (
    Claim,
    Feature,
    Item,
    Kit,
    Note,
    Offer,
    OnShelf,
    Part,
    SetAside,
    SetMember,
    Source,
    Supplier,
    Unbound,
    Vehicle,
)

MOST_NAMED = 8
"""So few names are all named where none is like what was written."""


class UnknownNameError(KeyError):
    """A name that the records do not hold; ``nearest`` are the names most like it. Where a part number is wanted and
    the name is of a sort of parts, that is the ``part_type``, and ``nearest`` are some of its numbers."""

    def __init__(self, sort: str, name: str, nearest: tuple[str, ...], part_type: str = "") -> None:
        super().__init__(name)
        self.sort, self.name, self.nearest, self.part_type = sort, name, nearest, part_type

    def __str__(self) -> str:
        if self.part_type:
            numbers = f". {self.part_type}: {', '.join(self.nearest)}" if self.nearest else ""
            return f"{self.name!r} names a sort of parts: give a part number{numbers}"
        hint = f". Nearest: {', '.join(self.nearest)}" if self.nearest else ""
        return f"no {self.sort} {self.name!r} in these records{hint}"


class SeveralReadingsError(UnknownNameError):
    """A name that can mean several things, of which none is taken: ``nearest`` are all of them."""

    def __str__(self) -> str:
        return f"{self.name!r} can mean {' or '.join(self.nearest)}. Write one of them"


def name_meant(sort: str, name: str, known: Iterable[str], others: Others) -> str:
    """The known name that is written, as itself or as the one thing that the trade calls so. Raises
    SeveralReadingsError where that may be several, UnknownNameError with the nearest where it is none."""
    names = {_fold(k): k for k in sorted(known, reverse=True)}
    if _fold(name) in names:
        return names[_fold(name)]
    meant = tuple(m for m in meanings(name, others) if m in names.values())
    if len(meant) > 1:
        raise SeveralReadingsError(sort, name, meant)
    if meant:
        return meant[0]
    few = tuple(sorted(names.values())) if len(names) <= MOST_NAMED else ()
    raise UnknownNameError(sort, name, nearest(name, names.values(), others=others) or few)


class Catalogue(msgspec.Struct, frozen=True, weakref=True, dict=True):
    """All records, typed, in a fixed order. ``features`` is keyed by thing (part number, item, ``SET/position``);
    ``set_aside``: what the layouts lack because its row could not be used; ``unbound``: readings whose thing nobody
    knows; ``set_checks`` and ``set_joints``: the figures and the joints that a set states as made.

    Of a prepared copy the large mappings are looked up piece by piece, and so are the ways into them below: look for
    what a question is about, and do not walk over all."""

    vocabulary: Vocabulary
    sources: dict[str, Source] = msgspec.field(default_factory=dict)
    parts: Mapping[str, Part] = msgspec.field(default_factory=dict)
    claims: Sequence[Claim] = ()
    set_members: Mapping[str, tuple[SetMember, ...]] = msgspec.field(default_factory=dict)
    set_checks: dict[str, tuple[str, ...]] = msgspec.field(default_factory=dict)
    set_joints: dict[str, tuple[str, ...]] = msgspec.field(default_factory=dict)
    layouts: dict[str, Layout] = msgspec.field(default_factory=dict)
    vehicles: dict[str, Vehicle] = msgspec.field(default_factory=dict)
    items: dict[str, Item] = msgspec.field(default_factory=dict)
    kits: dict[str, Kit] = msgspec.field(default_factory=dict)
    suppliers: dict[str, Supplier] = msgspec.field(default_factory=dict)
    offers: Mapping[str, tuple[Offer, ...]] = msgspec.field(default_factory=dict)
    shelf: tuple[OnShelf, ...] = ()
    notes: dict[str, Note] = msgspec.field(default_factory=dict)
    features: Mapping[str, dict[str, Feature]] = msgspec.field(default_factory=dict)
    set_aside: tuple[SetAside, ...] = ()
    unbound: tuple[Unbound, ...] = ()

    def find(self, sort: str, name: str) -> Any:
        """The record of this sort (``part``, ``vehicle``, ``kit``, ``layout`` ...); raises UnknownNameError."""
        known: Mapping[str, Any] = getattr(self, sort + "s")
        if name in known:
            return known[name]
        folded = {_fold(k): k for k in sorted(known, reverse=True)}
        if _fold(name) in folded:
            return known[folded[_fold(name)]]
        part_type = self._part_type_meant(name) if sort == "part" else ""
        if part_type:
            raise UnknownNameError(sort, name, self._some_of(part_type), part_type)
        few = tuple(sorted(known)) if len(known) <= MOST_NAMED else ()
        raise UnknownNameError(sort, name, nearest(name, known) or few)

    def _part_type_meant(self, name: str) -> str:
        """The part type that a word names, as itself, by the position of such parts or in the trade; else blank."""
        words = {_fold(p.position): p.part_type for layout in self.layouts.values() for p in layout.positions}
        words |= {_fold(label): label for label in self.vocabulary.part_types}
        by_trade = meanings(name, self.vocabulary.others("PartType"))
        meant = (_fold(word) for word in (name, name.removesuffix("s"), *by_trade))
        return next((words[word] for word in meant if word in words), "")

    def _some_of(self, part_type: str) -> tuple[str, ...]:
        numbers = (p.part for p in self.parts.values() if self.vocabulary.is_a(p.part_type, part_type))
        return tuple(sorted(numbers))[:MOST_NAMED]

    @property
    def things(self) -> Things:
        """Which thing is where, and what is recorded of it."""
        return Things(self.layouts, self.vehicles, self.items, self.set_members, self.features)

    @cached_property
    def numbers_of_type(self) -> Mapping[str, tuple[str, ...]]:
        """The part numbers of each part type, narrower ones not among them, sorted."""
        found: dict[str, list[str]] = {}
        for number, part in sorted(self.parts.items()):
            found.setdefault(part.part_type, []).append(number)
        return {part_type: tuple(found[part_type]) for part_type in sorted(found)}

    def parts_of_type(self, wanted: str) -> tuple[Part, ...]:
        """The parts of a type or a narrower one, by number. Remembered: each place of a layout asks."""
        if wanted not in self._asked:
            types = (t for t in self.numbers_of_type if self.vocabulary.is_a(t, wanted))
            self._asked[wanted] = tuple(
                self.parts[n] for n in sorted(n for t in types for n in self.numbers_of_type[t])
            )
        return self._asked[wanted]

    @cached_property
    def _asked(self) -> dict[str, tuple[Part, ...]]:
        return {}

    @cached_property
    def sets_at(self) -> Mapping[str, tuple[str, ...]]:
        """The sets that have a member for each position, sorted."""
        found: dict[str, dict[str, None]] = {}
        for number, members in sorted(self.set_members.items()):
            for member in members:
                found.setdefault(member.position, {})[number] = None
        return {position: tuple(found[position]) for position in sorted(found)}

    @cached_property
    def claims_on(self) -> Mapping[str, tuple[Claim, ...]]:
        """The claims that name each number, in their order."""
        found: dict[str, list[Claim]] = {}
        for claim in self.claims:
            for number in dict.fromkeys((claim.part, claim.other_part)):
                found.setdefault(number, []).append(claim)
        return {number: tuple(claims) for number, claims in found.items() if number}

    @cached_property
    def numbers_claimed(self) -> Mapping[str, tuple[str, ...]]:
        """The numbers of which something is claimed, by ``claimed_as``; of a claim that names two numbers both."""
        found: dict[str, dict[str, None]] = {}
        for claim in self.claims:
            numbers = found.setdefault(claimed_as(claim.claim, claim.vehicle), {})
            numbers |= dict.fromkeys(n for n in (claim.part, claim.other_part) if n)
        return {said: tuple(found[said]) for said in sorted(found)}

    @cached_property
    def kept_postings(self) -> Mapping[str, memoryview]:
        """What a prepared copy keeps of which parts have equal interfaces (graph/judge/postings.py); else nothing."""
        return {}

    @cached_property
    def feature_kinds(self) -> Mapping[str, str]:
        """The kind of each feature that somebody recorded, by its name, in the order of the names."""
        found = {name: f.kind for features in self.features.values() for name, f in features.items()}
        return {name: found[name] for name in sorted(found)}

    @cached_property
    def sources_with_sizes(self) -> frozenset[str]:
        """The sources that state a size, or that a feature is not there."""
        features = {id(f): f for own in self.features.values() for f in own.values()}.values()
        sized = {s.source for f in features for statements in f.dimensions.values() for s in statements}
        return frozenset(sized | {s.source for f in features for s in f.absent})

    @cached_property
    def members(self) -> dict[str, tuple[SetMember, ...]]:
        """Members of sets by name: ``SET/position/left`` is one, ``SET/position`` all those of the position."""
        return members_by_name(self.set_members)

    def with_sizes(self, features: Mapping[str, dict[str, Feature]]) -> "Catalogue":
        """The same records where these things have these features, of the names and kinds that theirs had.

        The ways in that look at no size are those of this catalogue: where it is a prepared copy, nothing is walked
        over to make them anew.
        """
        other = msgspec.structs.replace(self, features=ChainMap(dict(features), self.features))  # type: ignore[arg-type]
        for way in ("numbers_of_type", "_asked", "sets_at", "claims_on", "feature_kinds", "members"):
            vars(other)[way] = getattr(self, way)
        return other

    def members_beside(self, thing: str) -> tuple[SetMember, ...]:
        """The members that a set has for the position of this one of its members, on whichever side."""
        members = self.members.get(thing, ())
        return tuple(m for one in members[:1] for m in self.set_members[one.set] if m.position == one.position)

    def features_of(self, thing: str) -> Mapping[str, Feature]:
        """The features of a thing, with those of the drawing that it shares."""
        return self.features.get(thing, {})


def claimed_as(claim: str, vehicle: str = "") -> str:
    """What a claim says, but for the numbers."""
    return f"{claim}\n{vehicle}" if vehicle else claim


def _fold(name: str) -> str:
    return "".join(c for c in name.casefold() if c.isalnum())
