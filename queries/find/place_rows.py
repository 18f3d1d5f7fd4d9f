"""The places of a vehicle beside those of each variant: what stands there, and in one word how the two compare."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

import msgspec
from msgspec.structs import replace

from knockon.graph.model.catalogue import Catalogue
from knockon.graph.model.layouts.layout import Place, Places, others_than
from knockon.graph.model.several import Several
from knockon.graph.model.things import SIDES, Vehicle
from knockon.queries.find.compared_things import SizePair, compared, known_as
from knockon.queries.fits.checking.candidates import Candidate, kept_in
from knockon.queries.fits.checking.standing import arrangements_of, standing_on

NOT_RECORDED_HERE, NOT_RECORDED_THERE = "not recorded here", "not recorded there"
NOT_THERE = "not there"
EMPTY_THERE = "nothing recorded there, and it may be empty"
SAME_ARRANGEMENT, OTHER_ARRANGEMENT = "same arrangement", "other arrangement"


class Cell(msgspec.Struct, frozen=True):
    """One variant at one place: the word, the number there, how many sizes agree, and those that differ."""

    vehicle: str
    word: str
    number: Several
    agree: int = 0
    differ: tuple[SizePair, ...] = ()


class PlaceRow(msgspec.Struct, frozen=True):
    """One place, both hands together where they are alike, or one choice of arrangement.

    ``here``: the number or arrangement found, blank where nothing is recorded; ``taken_from``: the vehicle from which
    it was taken over, so that nobody looked at it here.
    """

    said: str
    position: str = ""
    places: tuple[Place, ...] = ()
    here: tuple[str, ...] = ()
    taken_from: str = ""
    cells: tuple[Cell, ...] = ()


class Found(msgspec.Struct, frozen=True):
    """What is known of a vehicle: the thing in each place, those taken over from another vehicle, and its arrangements,
    one of each choice of which something was recorded on the vehicle itself."""

    vehicle: Vehicle
    things: Mapping[Place, Candidate] = msgspec.field(default_factory=dict)
    taken: Mapping[Place, str] = msgspec.field(default_factory=dict)
    arrangements: frozenset[str] = frozenset()

    def thing(self, place: Place) -> Candidate | None:
        """What was recorded of a place on the vehicle itself."""
        return self.things.get(place) if place not in self.taken else None


def found_on(catalogue: Catalogue, places: Places, vehicle: Vehicle) -> Found:
    """What is known of a vehicle. One as made is what its maker says, also where it is like another."""
    standing = standing_on(catalogue, places, vehicle)
    things = {p: next(kept_in(catalogue, p, standing)) for p in standing.found}
    taken = {}
    for place, fitting in standing.found.items():
        read = catalogue.items.get(fitting.item)
        if fitting.taken_from and not vehicle.as_made and (read is None or read.vehicle != vehicle.vehicle):
            taken[place] = fitting.taken_from
    own = (
        vehicle
        if vehicle.as_made
        else replace(vehicle, fittings=tuple(f for f in vehicle.fittings if not f.taken_from))
    )
    known = {p: c for p, c in things.items() if c.recorded}
    return Found(vehicle, known, taken, arrangements_of(own, places))


def place_rows(catalogue: Catalogue, places: Places, here: Found, there: Mapping[str, Found]) -> Iterator[PlaceRow]:
    """A row for each choice of the layout that leaves one, then one for each place that any of them fills."""
    for choice in places.layout.choices:
        if len(choice.arrangements) > 1:
            yield _choice_row(choice.choice, choice.arrangements, here, there)
    for position in places.positions:
        rows = [
            row
            for side in places.sides_of(position)
            if (row := _row(catalogue, places, Place(position, side), here, there))
        ]
        yield from _together(rows)


def _choice_row(choice: str, arrangements: Sequence[str], here: Found, there: Mapping[str, Found]) -> PlaceRow:
    def held(found: Found) -> str:
        return next((a for a in arrangements if a in found.arrangements), "")

    cells = []
    for name, found in there.items():
        ours, theirs = held(here), held(found)
        word = NOT_RECORDED_HERE if not ours else NOT_RECORDED_THERE if not theirs else SAME_ARRANGEMENT
        if ours and theirs and ours != theirs:
            word = OTHER_ARRANGEMENT
        cells.append(Cell(name, word, Several([theirs] if theirs else [])))
    said = f"{choice} arrangement".strip()
    return PlaceRow(said=said, here=(held(here),) if held(here) else (), cells=tuple(cells))


def _row(
    catalogue: Catalogue, places: Places, place: Place, here: Found, there: Mapping[str, Found]
) -> PlaceRow | None:
    """The row of one place; None where neither the vehicle nor a variant has anything there."""
    arrangement = places.positions[place.position].arrangement
    ruled_out = bool(arrangement) and bool(others_than(places.layout, arrangement) & here.arrangements)
    thing = here.things.get(place)
    if thing is None and (ruled_out or all(place not in f.things for f in there.values())):
        return None  # told by its arrangement, or nobody has it
    taken = here.taken.get(place, "")
    cells = tuple(_cell(catalogue, places, place, here, name, found) for name, found in there.items())
    numbers = (known_as(catalogue, thing),) if thing is not None else ()
    return PlaceRow(place, place.position, (place,), numbers, taken, cells)


def _cell(catalogue: Catalogue, places: Places, place: Place, here: Found, name: str, found: Found) -> Cell:
    ours, theirs = here.thing(place), found.things.get(place)
    number = Several([known_as(catalogue, theirs)] if theirs is not None else [])
    if ours is None:
        return Cell(name, NOT_RECORDED_HERE, number)
    if theirs is None:
        arrangement = places.positions[place.position].arrangement
        others = others_than(places.layout, arrangement) if arrangement else set()
        if others & found.arrangements:
            return Cell(name, NOT_THERE, Several(()))
        needed = places.positions[place.position].need == "needed"
        return Cell(name, NOT_RECORDED_THERE if needed else EMPTY_THERE, Several(()))
    result = compared(catalogue, ours, theirs)
    return Cell(name, result.word, number, result.agree, result.differ)


def _together(rows: Sequence[PlaceRow]) -> Iterator[PlaceRow]:
    """Both hands as one row where the same is said of both."""
    if len(rows) == len(SIDES) and _alike(*rows):
        first, second = rows
        cells = tuple(
            replace(a, number=Several(dict.fromkeys((*a.number.each, *b.number.each)), "; "))
            for a, b in zip(first.cells, second.cells, strict=True)
        )
        here = tuple(dict.fromkeys((*first.here, *second.here)))
        places = (*first.places, *second.places)
        yield replace(first, said=first.position, places=places, here=here, cells=cells)
    else:
        yield from rows


def _alike(first: PlaceRow, second: PlaceRow) -> bool:
    def said(row: PlaceRow) -> tuple[object, ...]:
        return row.taken_from, bool(row.here), tuple((c.word, c.agree, c.differ and _sizes(c)) for c in row.cells)

    return said(first) == said(second)


def _sizes(cell: Cell) -> tuple[tuple[str, str, str, str], ...]:
    return tuple((d.feature, d.dimension, d.here, d.there) for d in cell.differ)
