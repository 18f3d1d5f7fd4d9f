"""What a reading is of, as people write it (``left rear drum, diameter``): a place of a vehicle, a feature, a size.

The place comes first: a position with its side, what the trade calls it, the number or the name of the thing there.
Then the size: a feature with its dimension, a feature alone where it has one size, a dimension alone where one feature
of what stands there has it. What may mean two things is asked back, and nothing is taken.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence

import msgspec

from knockon.graph.model.bound import InPlace, in_places
from knockon.graph.model.catalogue import Catalogue, SeveralReadingsError, UnknownNameError
from knockon.graph.model.layouts.layout import Place, Places, others_than
from knockon.graph.model.layouts.mechanism import Figure
from knockon.graph.model.nearest import meanings, nearest
from knockon.graph.model.schema import Column, Table, column_of
from knockon.graph.model.things import SIDES, Vehicle
from knockon.graph.notes.places import kinds_at
from knockon.graph.notes.readings import column_meant, feature_meant
from knockon.graph.quantity import CellError, read_cell
from knockon.queries.as_typed import RequestError, fold, others_of

BOTH = "left and right"
_LONGEST_SIDE = 3
"""Words that say a side at most: ``left hand side``."""
MOST_OFFERED = 6


class Subject(msgspec.Struct, frozen=True):
    """One size of one thing: what stands ``at`` a place of a vehicle, the feature and the column of its ``kind``.

    ``one_of_several``: the side that was written of a place in which the things of both sides stand.
    """

    at: InPlace
    feature: str
    kind: Table
    column: Column
    one_of_several: str = ""

    @property
    def place(self) -> Place:
        """Where the thing stands."""
        return self.at.place

    def __str__(self) -> str:
        return named(self.place, self.feature, self.column.name)


def named(place: Place, feature: str, dimension: str) -> str:
    """A size as ``measured`` takes it: ``left hub, bore: diameter``."""
    return f"{place}, {feature}: {dimension}"


class NotOne(RequestError):
    """What was written means several sizes; ``meant`` are these, as they must be written."""

    def __init__(self, written: str, meant: Sequence[str]) -> None:
        offered = " or ".join(f'"{m}"' for m in meant[:MOST_OFFERED])
        more = f" ({len(meant) - MOST_OFFERED} more)" if len(meant) > MOST_OFFERED else ""
        super().__init__(f"{written!r} may mean {len(meant)} things. Write {offered}{more}")
        self.meant = tuple(meant)


def subject_of(catalogue: Catalogue, vehicle: Vehicle, text: str) -> Subject:
    """The one size that a text means on a vehicle as found. Raises RequestError where it is none or several."""
    found = subjects_of(catalogue, vehicle, text)
    if len(found) > 1:
        raise NotOne(text, [str(s) for s in found])
    if not found:
        raise RequestError(f"{text!r} names no size. Write its feature and size behind the place, with a comma between")
    return found[0]


def subjects_of(catalogue: Catalogue, vehicle: Vehicle, text: str) -> tuple[Subject, ...]:
    """The sizes that a text names: on both sides where it names none, of a feature alone each that checks read.

    Raises RequestError where what was written is of several positions or features, UnknownNameError.
    """
    if vehicle.as_made:
        raise RequestError(f"{vehicle.vehicle} is a model as made. Name the vehicle on which you read it")
    here = _Here(catalogue, vehicle)
    places, side, size = here.split(text)
    found = [replaced for place in places for replaced in here.sizes(place, size, side)]
    return tuple(dict.fromkeys(found))


class _Here:
    """A vehicle, and what stands in its places."""

    def __init__(self, catalogue: Catalogue, vehicle: Vehicle) -> None:
        self.catalogue, self.vehicle = catalogue, vehicle
        self.places = Places(catalogue.find("layout", vehicle.layout))
        self.standing = {at.place: at for at in in_places(catalogue.things, vehicle)}

    def split(self, text: str) -> tuple[list[Place], str, str]:
        """The places that the beginning of a text means, the side that was written of a place that has none, and the
        size that the rest names. Without a comma the longest beginning that means a place is taken."""
        head, comma, size = text.partition(",")
        if comma:
            try:
                places, side = self._places(head)
            except NotOne as error:  # the place is not clear; what was read there is
                raise NotOne(text, [f"{meant}, {size.strip()}" for meant in error.meant]) from error
            return places, side, size.strip()
        words = text.split()
        for count in range(len(words) - 1, 0, -1):
            try:
                places, side = self._places(" ".join(words[:count]))
            except UnknownNameError:
                continue
            return places, side, " ".join(words[count:])
        places, side = self._places(text)
        return places, side, ""

    def _places(self, text: str) -> tuple[list[Place], str]:
        """The places that a name means, and the side that was written where a place has none."""
        found = self._by_thing(text)
        if found:
            return found, ""
        for side, name in _sides(text):
            positions = self._positions(name)
            if len(positions) > 1:
                raise NotOne(text, [f"{side} {p}".strip() for p in positions])
            if positions:
                return self._on_side(positions[0], side)
        name = next((n for _, n in list(_sides(text))[1:]), text)
        raise UnknownNameError("position", text, nearest(name, self.places.positions))

    def _on_side(self, position: str, side: str) -> tuple[list[Place], str]:
        sides = self.places.sides_of(position)
        places = [Place(position, s) for s in sides if side in ("", BOTH, s)]
        if places:
            return [self._standing(p) for p in places], ""
        return [self._standing(Place(position))], side

    def _standing(self, place: Place) -> Place:
        """The place, if the vehicle has it. Raises RequestError."""
        own = set(self.vehicle.arrangements)
        others = others_than(self.places.layout, self.places.positions[place.position].arrangement) & own
        if place not in self.standing and others:
            said = self.places.layout.said(others)
            raise RequestError(f"{self.vehicle.vehicle} has no {place}. Its arrangement is {said}")
        return place

    def _by_thing(self, text: str) -> list[Place]:
        """The places of a thing by its own name, or of a number."""
        wanted = fold(text)
        return [p for p, at in self.standing.items() if wanted in (fold(at.item), fold(at.number)) and wanted]

    def _positions(self, name: str) -> list[str]:
        """The positions of a name: by their own, by the part type that they take, by what the trade calls that."""
        known = self.places.positions.values()
        for words in (
            {fold(name), fold(name).removesuffix("s")},
            {fold(p) for p in meanings(name, others_of(self.places))},
        ):
            by_name = [p.position for p in known if fold(p.position) in words]
            by_type = [p.position for p in known if fold(p.part_type) in words]
            found = by_name or by_type
            if found:
                there = [p for p in found if any(at.position == p for at in self.standing)]
                return there or found
        return []

    def sizes(self, place: Place, size: str, side: str) -> Iterator[Subject]:
        """The sizes that a text names of what stands in a place. Raises NotOne, UnknownNameError."""
        features = self._features(place)
        chosen = self._named(place, features, size)
        at = self.standing.get(place) or InPlace(self.vehicle.vehicle, place)
        for feature, column in chosen:
            yield Subject(at, feature, features[feature], column, side)

    def _features(self, place: Place) -> dict[str, Table]:
        """The features of what stands there, recorded or read by the checks of the place, by name."""
        at = self.standing.get(place)
        kinds = self.catalogue.vocabulary.kinds
        own = self.catalogue.features_of(at.thing) if at is not None else {}
        found = {name: kinds[feature.kind] for name, feature in own.items()}
        called = kinds_at(self.catalogue, self.places.layout, {place.position})
        named_so = self.catalogue.feature_kinds
        read = {t.feature for f in self._figures for t in f.terms if t.position == place.position}
        for name in sorted({*called, *read} - {*found}):
            of_kind = called.get(name) or ({named_so[name]} if name in named_so else set())
            if len(of_kind) == 1:
                found[name] = kinds[next(iter(of_kind))]
        return found

    @property
    def _figures(self) -> Sequence[Figure]:
        layout = self.places.layout
        return (*layout.figures, *layout.told)

    def _named(self, place: Place, features: dict[str, Table], size: str) -> list[tuple[str, Column]]:
        said, colon, dimensions = size.partition(":")
        if colon:
            feature = feature_meant(place, features, said)
            return [(feature, column_meant(feature, features[feature], d)) for d in _several(dimensions)]
        itself = _folded(features, size)
        if itself:
            return [(itself, column) for column in self._columns_read(place, itself, features[itself])]
        try:
            return [self._by_dimension(place, features, d) for d in _several(size)]
        except UnknownNameError as no_size:
            try:  # no size is called so: a feature may be, by the trade
                feature = feature_meant(place, features, size)
            except SeveralReadingsError:
                raise
            except UnknownNameError:
                raise no_size from None
            return [(feature, column) for column in self._columns_read(place, feature, features[feature])]

    def _by_dimension(self, place: Place, features: dict[str, Table], dimension: str) -> tuple[str, Column]:
        """The feature that alone has a dimension of this name; of several, the one in which checks read it."""
        wanted = fold(dimension)
        columns = [(name, c) for name, kind in features.items() for c in kind.columns if c.method]
        ways = [(name, c, (fold(c.name), f"{fold(name)} {fold(c.name)}")) for name, c in columns]
        meant = meanings(dimension, {c.name: c.other for _, c in columns})
        for found in (
            [(n, c) for n, c, names in ways if wanted in names or f"outside {wanted}" in names],
            [(n, c) for n, c in columns if c.name in meant],
            [(n, c) for n, c, names in ways if names[0].endswith(f" {wanted}")],
        ):
            read = [(n, c) for n, c in found if c.name in self._read_at(place, n)]
            chosen = read if len(read) == 1 else found
            if len(chosen) > 1:
                raise NotOne(f"{place}, {dimension}", [named(place, n, c.name) for n, c in read or found])
            if chosen:
                return chosen[0]
        others = {c.name: c.other for _, c in columns} | dict.fromkeys(features, ())
        raise UnknownNameError(f"size of {place}", dimension, nearest(dimension, others, others=others))

    def _columns_read(self, place: Place, feature: str, kind: Table) -> list[Column]:
        """The columns of a feature that is named alone: the one that it is named after, its only one, or those that
        the checks of its place read."""
        measured = [c for c in kind.columns if c.method]
        after = [c for c in measured if fold(feature).endswith(fold(c.name))]
        if len(after) == 1:
            return after
        read = [c for c in measured if c.name in self._read_at(place, feature)]
        return read or measured

    def _read_at(self, place: Place, feature: str) -> set[str]:
        """The columns of a feature that joints and figures of its place read."""
        found: set[str] = set()
        for joint in self.places.layout.joints:
            rule = self.catalogue.vocabulary.rules.get(joint.rule)
            for end, of in zip(joint.ends, rule.ends, strict=True) if rule else ():
                if (end.position, end.feature) == (place.position, feature) and rule is not None:
                    found |= {column_of(t.dimension) for c in rule.conditions for t in c.terms if t.role == of.role}
        terms = (t for f in self._figures for t in f.terms)
        return found | {column_of(t.dimension) for t in terms if (t.position, t.feature) == (place.position, feature)}


def _sides(text: str) -> Iterator[tuple[str, str]]:
    """What a name may mean: as it stands, then with the side that its first or last words say. Raises RequestError for
    a side that depends on where the driver sits."""
    yield "", text
    words = text.split()
    for count in range(min(_LONGEST_SIDE, len(words) - 1), 0, -1):
        for said, rest in ((words[:count], words[count:]), (words[-count:], words[:-count])):
            side = _side(" ".join(said))
            if side:
                yield side, " ".join(rest)


def _side(text: str) -> str:
    try:
        code = read_cell(text, "hand")[""].code or ""
    except CellError as error:
        if "driver" in error.why:
            raise RequestError(f"{text!r} depends on the country. Write left or right") from error
        return ""
    return code if code in (*SIDES, BOTH) else ""


def _several(dimensions: str) -> list[str]:
    """``dish depth and barrel radius``: each by itself."""
    return [d.strip() for d in re.split(r",|\band\b", dimensions) if d.strip()]


def _folded(known: Iterable[str], written: str) -> str | None:
    return {fold(n): n for n in known}.get(fold(written))
