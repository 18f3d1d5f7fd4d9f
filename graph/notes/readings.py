"""The sizes that a note states: of which thing, of which feature, and in which place that thing stands."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence

import msgspec
from msgspec.structs import replace

from knockon.graph.judge.sense import Doubt, UsualSizes
from knockon.graph.judge.usual_sizes import Ranges
from knockon.graph.model import names
from knockon.graph.model.bound import InPlace, in_places, named_in_place
from knockon.graph.model.catalogue import Catalogue, SeveralReadingsError, name_meant
from knockon.graph.model.drawings import member_thing, members_by_name
from knockon.graph.model.layouts.layout import Place, Places, others_than
from knockon.graph.model.layouts.mechanism import Position
from knockon.graph.model.nearest import meanings
from knockon.graph.model.schema import Column, Table
from knockon.graph.model.things import SIDES, Item, Vehicle
from knockon.graph.notes.places import kinds_at, kinds_called_for
from knockon.graph.quantity import CellError
from knockon.graph.tables.cells import BadCellError, read_size
from knockon.graph.tables.stated import ABSENT

ON_THE_ITEM = "on the item"
MOST_OFFERED = 6
_SIZE = re.compile(
    r"\s*(?P<thing>[^,]+?)\s*,\s*(?P<feature>[^:]+?)\s*:\s*(?P<dimension>[^=]+?)\s*=\s*(?P<value>.+?)\s*"
)


class NoteRefused(ValueError):
    """A note cannot be written as it stands; the message says what is wrong and what is expected."""


class Reading(msgspec.Struct, frozen=True):
    """One size that a note states; or that the feature is known absent (``path`` kn:knownAbsent).

    ``item``: the name that the thing gets, where it was read in its place; ``at``: that place.
    """

    bearer: str
    thing: str
    feature: str = ""
    kind: str = ""
    path: str = ""
    datatype: str = ""
    written: str = ""
    item: Item | None = None
    at: InPlace | None = None


class Said(msgspec.Struct, frozen=True):
    """A size as it was typed: PART, ITEM or PLACE; feature; dimension; value."""

    written: str
    thing: str
    feature: str
    dimension: str
    value: str

    def with_place(self, place: Place) -> str:
        """The size as it must be typed for one place."""
        return f'--size "{place}, {self.feature}: {self.dimension} = {self.value}"'


def said_in(written: str) -> Said:
    """The parts of a size as typed. Raises NoteRefused."""
    match = _SIZE.fullmatch(written)
    if match is None:
        raise NoteRefused(
            f"{written!r} is not a reading. Write 'PART, FEATURE: DIMENSION = VALUE', or PLACE or ITEM instead of PART"
        )
    return Said(written, match["thing"], match["feature"], match["dimension"], match["value"])


def names_a_thing(said: Said, vehicle: Vehicle | None, catalogue: Catalogue) -> bool:
    """Whether a size names one particular thing, an item or a place of a vehicle as found, and not a number."""
    if said.thing in catalogue.items:
        return True
    is_number = said.thing in catalogue.parts or said.thing in members_by_name(catalogue.set_members)
    if vehicle is None or vehicle.as_made or is_number:
        return False
    return _position_in(said.thing, catalogue.layouts[vehicle.layout].positions)[0] is not None


def readings_of(
    sizes: Sequence[str],
    vehicle: Vehicle | None,
    standing: str,
    catalogue: Catalogue,
    as_read: bool = False,
    stated: Ranges | None = None,
) -> Iterator[Reading]:
    """What a note's sizes state, each of its thing. ``as_read``: also a size outside the usual ones; ``stated``: those
    of a records folder, where it states its own.

    Raises NoteRefused for what cannot be meant or is asked back, UnknownNameError.
    """
    every = (f for own in catalogue.features.values() for f in own.values())
    usual = UsualSizes.of(every, catalogue.vocabulary, stated=stated)
    for written in sizes:
        said = said_in(written)
        at = _place_of(said, vehicle, standing, catalogue)
        if at is None:
            bearer, thing = bearer_of(said.thing, catalogue)
            of = Reading(bearer=bearer, thing=thing)
        else:
            item = named_in_place(catalogue.things, at)
            of = Reading(bearer=names.iri("items", item.item), thing=item.item, item=item, at=at)
        yield _reading(said, of, catalogue, usual if not as_read else None)


def _place_of(said: Said, vehicle: Vehicle | None, standing: str, catalogue: Catalogue) -> InPlace | None:
    """The place in which the thing was read; None where it is an item by name, or a number that the size is about."""
    if said.thing in catalogue.items:
        _check_item(said, vehicle, standing, catalogue)
        return None
    members = members_by_name(catalogue.set_members)
    number = said.thing if said.thing in members or said.thing in catalogue.parts else ""
    if not number and _is_a_place(said.thing, vehicle, catalogue):
        return _named_place(said, vehicle, catalogue)
    number = number or str(catalogue.find("part", said.thing).part)
    if standing != ON_THE_ITEM:
        return None
    found = _vehicle_as_found(said, vehicle)
    return _one_place(said, number, found, catalogue)


def _check_item(said: Said, vehicle: Vehicle | None, standing: str, catalogue: Catalogue) -> None:
    """Refuse a reading on an item that stands on another vehicle, or in several places."""
    found = (v for v in catalogue.vehicles.values() if not v.as_made)
    places = [at for v in found for at in in_places(catalogue.things, v) if at.item == said.thing]
    if vehicle is not None and places and vehicle.vehicle not in {at.vehicle for at in places}:
        raise NoteRefused(f"{said.thing!r} is not on {vehicle.vehicle}. It is here: {'; '.join(map(str, places))}")
    if standing == ON_THE_ITEM and len(places) > 1:
        raise NoteRefused(
            f"{said.thing!r} names several places ({'; '.join(map(str, places))}). "
            "Give each thing its own name in items.csv and fittings.csv"
        )


def _vehicle_as_found(said: Said, vehicle: Vehicle | None) -> Vehicle:
    if vehicle is None:
        raise NoteRefused(f"{said.thing!r} was read on one particular thing. Name its vehicle with --vehicle")
    if vehicle.as_made:
        raise NoteRefused(
            f"{vehicle.vehicle} is a model as made. Name the vehicle on which you read {said.thing!r} with --vehicle"
        )
    return vehicle


def _position_in(text: str, positions: Sequence[Position]) -> tuple[str | None, str]:
    """The position that a text names, by its name or by what the trade calls it, and the side; (None, "") where it
    names none. Raises SeveralReadingsError."""
    known = {p.position.casefold(): p.position for p in positions}
    folded = " ".join(text.casefold().split())
    side, _, rest = folded.partition(" ")
    ways = [("", folded), *([(side, rest)] if side in SIDES else [])]
    for side, name in ways:
        if name in known:
            return known[name], side
    for side, name in ways:
        meant = meanings(name, {p.position: p.also_called for p in positions})
        if len(meant) > 1:
            raise SeveralReadingsError("position", text, tuple(f"{side} {m}".strip() for m in meant))
        if meant:
            return meant[0], side
    return None, ""


def _is_a_place(text: str, vehicle: Vehicle | None, catalogue: Catalogue) -> bool:
    layouts = [catalogue.layouts[vehicle.layout]] if vehicle else list(catalogue.layouts.values())
    return any(_position_in(text, layout.positions)[0] for layout in layouts)


def _named_place(said: Said, vehicle: Vehicle | None, catalogue: Catalogue) -> InPlace:
    vehicle = _vehicle_as_found(said, vehicle)
    places = Places(catalogue.layouts[vehicle.layout])
    name, side = _position_in(said.thing, places.layout.positions)
    assert name is not None
    sides = places.sides_of(name)
    if side not in sides:
        if not side:
            offered = " or ".join(said.with_place(Place(name, s)) for s in sides)
            raise NoteRefused(f"{vehicle.vehicle} has a {name} on each side. Write {offered}")
        raise NoteRefused(
            f"{vehicle.vehicle} has one {name}, not one on each side. Write {said.with_place(Place(name))}"
        )
    here = {at.place: at for at in in_places(catalogue.things, vehicle)}
    place = Place(name, side)
    others = others_than(places.layout, places.positions[name].arrangement) & set(vehicle.arrangements)
    if place not in here and others:
        raise NoteRefused(f"{vehicle.vehicle} has no {place}. Its arrangement is {places.layout.said(others)}")
    return here.get(place) or InPlace(vehicle.vehicle, place)


def _one_place(said: Said, number: str, vehicle: Vehicle, catalogue: Catalogue) -> InPlace:
    """The one place where a thing of a number stands on a vehicle. Raises NoteRefused where there is none or more."""
    here = in_places(catalogue.things, vehicle)
    places = Places(catalogue.layouts[vehicle.layout])
    names = {member_thing(m) for m in catalogue.members.get(number, catalogue.set_members.get(number, ()))}
    found = [at for at in here if number == at.number or at.member in names]
    calling = [at for at in found if said.feature in places.features_at(at.place.position)]
    found = calling or found
    if len(found) == 1:
        return found[0]
    if found:
        offered = " or ".join(said.with_place(at.place) for at in found[:MOST_OFFERED])
        raise NoteRefused(
            f"{number} stands in {len(found)} places of {vehicle.vehicle}. Which one did you read? Write {offered}"
        )
    part = catalogue.parts.get(number)
    takes = [
        p
        for p in places.all
        if part and catalogue.vocabulary.is_a(part.part_type, places.positions[p.position].part_type)
    ]
    offered = f". Write the place: {' or '.join(map(said.with_place, takes[:MOST_OFFERED]))}" if takes else ""
    raise NoteRefused(f"{number} is not recorded on {vehicle.vehicle}{offered}")


def _reading(said: Said, of: Reading, catalogue: Catalogue, usual: UsualSizes | None) -> Reading:
    """What is said of a thing, with its feature and its size. Raises NoteRefused, UnknownNameError."""
    feature, kind_iri = feature_of(of.at.thing if of.at else of.thing, said.feature, catalogue, of.at)
    kind = catalogue.vocabulary.kinds[kind_iri]
    column = column_meant(feature, kind, said.dimension)
    if said.value.casefold() == "absent":
        return replace(of, feature=feature, kind=kind.iri, path=ABSENT.value)
    doubt = _read(said, kind, column, usual)
    if doubt is not None:
        asked = str(doubt)
        raise NoteRefused(f"{asked}{'' if asked.endswith('?') else '.'} To write it as you read it, add --as-read")
    return replace(of, feature=feature, kind=kind.iri, path=column.path, datatype=column.datatype, written=said.value)


def _read(said: Said, kind: Table, column: Column, usual: UsualSizes | None) -> Doubt | None:
    """Whether there is reason to doubt a size. Raises NoteRefused where it cannot be read."""
    try:
        sizes = read_size(column, said.value)
    except CellError as error:
        raise NoteRefused(str(error)) from error
    except BadCellError as error:
        raise NoteRefused(f"{said.value!r} is not a {column.name}: {error.problem}. Enter {error.expected}") from error
    return usual.doubt(kind, column, said.value, sizes) if usual else None


def bearer_of(thing: str, catalogue: Catalogue) -> tuple[str, str]:
    """The IRI and the name of a part, an item or a set's member."""
    if thing in catalogue.items:
        return names.iri("items", thing), thing
    if thing in members_by_name(catalogue.set_members):
        return names.iri("set_members", thing), thing
    number = str(catalogue.find("part", thing).part)
    return names.iri("parts", number), number


def feature_of(thing: str, said: str, catalogue: Catalogue, at: InPlace | None = None) -> tuple[str, str]:
    """A feature's name and kind: as it is recorded there, else as the joints where it stands call for it, else as all
    other things have a feature of that name."""
    own = {name: {feature.kind} for name, feature in catalogue.features_of(thing).items()}
    if at is not None:
        layout = catalogue.layouts[catalogue.vehicles[at.vehicle].layout]
        called_for = kinds_at(catalogue, layout, {at.place.position})
    else:
        called_for = kinds_called_for(catalogue, thing)
    elsewhere: dict[str, set[str]] = {}
    for features in catalogue.features.values():
        for name, feature in features.items():
            elsewhere.setdefault(name, set()).add(feature.kind)
    for kinds_here in (own, called_for, elsewhere):
        spelled = {n.casefold(): n for n in sorted(kinds_here)}
        found = said if said in kinds_here else spelled.get(said.casefold(), "")
        if found and len(kinds_here[found]) == 1:
            return found, next(iter(kinds_here[found]))
    kinds = catalogue.vocabulary.kinds
    here = {n: kinds[next(iter(k))] for n, k in (called_for | own or elsewhere).items() if len(k) == 1}
    found = feature_meant(at.place if at else thing, here, said)
    return found, here[found].iri


def feature_meant(where: object, features: Mapping[str, Table], said: str) -> str:
    """The feature that is meant of those with these kinds: by its name, by what its kind is called, or by what the
    trade calls that. ``where`` they are, for the message. Raises UnknownNameError, SeveralReadingsError."""
    others = {name: (kind.label, *kind.other) for name, kind in features.items()}
    return name_meant(f"feature of {where}", said.strip(), features, others)


def column_meant(feature: str, kind: Table, said: str) -> Column:
    """The column of a feature's kind that is meant: by its name, or by what the trade calls it. Raises
    UnknownNameError, SeveralReadingsError."""
    columns = {c.name: c for c in kind.columns}
    return columns[
        name_meant(f"dimension of {feature}", said.strip(), columns, {n: c.other for n, c in columns.items()})
    ]
