"""The thing that a reading was made on: what stands in one place of one vehicle, which gets a name when first read."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

import msgspec

from knockon.graph.model.bound import InPlace, in_places, named_in_place
from knockon.graph.model.catalogue import Catalogue, UnknownNameError
from knockon.graph.model.layouts.layout import Place, Places, others_than
from knockon.graph.model.nearest import nearest
from knockon.graph.model.schema import Column, Table
from knockon.graph.model.things import SIDES, Vehicle
from knockon.graph.notes.readings import feature_of

Cells = Mapping[str, str]


class NotThere(ValueError):
    """A vehicle has no such place, or no such size is there; ``column``: what is wrong (place, feature, size);
    ``offered``: what may be meant."""

    def __init__(self, column: str, why: str, offered: Iterable[str] = ()) -> None:
        super().__init__(why)
        self.column, self.offered = column, tuple(offered)


class Bound(msgspec.Struct, frozen=True):
    """A size of the thing in a place: the row of the table of items that names the thing, and what was read."""

    at: InPlace
    item: Cells
    feature: str
    kind: Table
    column: Column


class Binder(msgspec.Struct):
    """Binds what is read on one vehicle. ``named``: the rows of items that earlier readings of the same file brought;
    they stay, so that what was read on a part that has been replaced is not read on the new one."""

    catalogue: Catalogue
    vehicle: Vehicle
    named: Mapping[Place, Cells] = msgspec.field(default_factory=dict)
    _here: dict[Place, InPlace] = msgspec.field(default_factory=dict)

    def __post_init__(self) -> None:
        """Look up what stands where, once."""
        self._here = {at.place: at for at in in_places(self.catalogue.things, self.vehicle)}

    def at(self, position: str, side: str) -> InPlace:
        """What stands in a place, known by a number or by none. Raises NotThere."""
        places = Places(self.catalogue.layouts[self.vehicle.layout])
        folded = {p.position.casefold(): p.position for p in places.layout.positions}
        name = folded.get(" ".join(position.casefold().split()), "")
        if not name:
            raise NotThere(
                "place", f"no such place on {self.vehicle.vehicle}", nearest(position, list(folded.values()))
            )
        place = Place(name, side)
        if place not in places.all:
            both = side not in SIDES
            why = f"{self.vehicle.vehicle} has a {name} on each side" if both else f"{name} is there once, on no side"
            raise NotThere("place", f"{why}. Move the line to the sheet of that side")
        others = others_than(places.layout, places.positions[name].arrangement) & set(self.vehicle.arrangements)
        if place not in self._here and others:
            raise NotThere(
                "place", f"no {name}: the arrangement of {self.vehicle.vehicle} is {places.layout.said(others)}"
            )
        return self._here.get(place) or InPlace(self.vehicle.vehicle, place)

    def bind(self, at: InPlace, feature: str, dimension: str) -> Bound:
        """A size of the thing that stands in a place. Raises NotThere."""
        try:
            name, iri = feature_of(at.thing, feature, self.catalogue, at)
        except UnknownNameError as error:
            raise NotThere("feature", f"no such feature of {at.place}", error.nearest) from error
        kind = self.catalogue.vocabulary.kinds[iri]
        wanted = " ".join(dimension.casefold().split())
        column = next((c for c in kind.columns if c.name.casefold() == wanted), None)
        if column is None:
            names = [c.name for c in kind.columns]
            raise NotThere("size", f"no such size of {name}", nearest(dimension, names) or names[:3])
        return Bound(at, self.item_row(at), name, kind, column)

    def item_row(self, at: InPlace) -> Cells:
        """The row of items.csv that names the thing in a place."""
        if at.place in self.named:
            return self.named[at.place]
        item = named_in_place(self.catalogue.things, at)
        row = {"item": item.item, "part": item.member or item.part, "title": item.title}
        return row | {"vehicle": at.vehicle, "position": at.place.position, "side": at.place.side}

    def may_be_empty(self, place: Place) -> bool:
        """Whether a place need hold nothing, and nothing is recorded there."""
        places = Places(self.catalogue.layouts[self.vehicle.layout])
        return places.positions[place.position].need == "optional" and place not in self._here
