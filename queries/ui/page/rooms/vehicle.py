"""The vehicle as found: what it is, then place by place, left beside right, what nobody looked at as a blank."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from knockon.graph.model.things import SIDES
from knockon.queries.find.place_rows import PlaceRow
from knockon.queries.find.which_vehicle import WhichVehicleAnswer
from knockon.queries.ui.naming import Naming, sentence
from knockon.queries.ui.page.pieces import Go, Heading, Piece, Table, Text
from knockon.queries.ui.page.rooms.from_blocks import folded, pieces_of
from knockon.queries.ui.sentences import page as say
from knockon.queries.ui.terminal.outlet import Answered


def vehicle_room(found: Answered, command: str) -> tuple[str, list[Piece]]:
    """(title, pieces)."""
    answer: WhichVehicleAnswer = found.answer
    title = say.VEHICLE_NAMED.format(title=answer.title, vehicle=answer.vehicle) if answer.title else answer.vehicle
    return title, list(_room(Naming(found.catalogue, answer.layout), found, answer))


def _room(naming: Naming, found: Answered, answer: WhichVehicleAnswer) -> Iterator[Piece]:
    said = pieces_of(found.blocks)
    first = next((i for i, piece in enumerate(said) if isinstance(piece, Heading)), len(said))
    yield from said[:first]
    sided = [row for row in answer.rows if any(place.side for place in row.places)]
    others = [row for row in answer.rows if row not in sided]
    if sided:
        yield Heading(say.LEFT_AND_RIGHT)
        yield Text(say.NOT_LOOKED_AT)
        yield Table(tuple(_corner(naming, sided)), say.CORNER_HEADS, label=say.LEFT_AND_RIGHT)
    if others:
        yield Heading(say.WHOLE_VEHICLE.format(machine=naming.machine))
        rows = tuple((sentence(row.said).removesuffix("."), _here(naming, row)) for row in others)
        yield Table(rows, say.PLACE_HEADS, label=say.WHOLE_VEHICLE.format(machine=naming.machine))
    yield from folded([p for p in said[first:] if not isinstance(p, Go)])


def _corner(naming: Naming, rows: Sequence[PlaceRow]) -> Iterator[tuple[str, ...]]:
    """A row for each position, with what stands on each side."""
    found: dict[str, dict[str, str]] = {}
    for row in rows:
        for place in row.places:
            found.setdefault(place.position, {})[place.side] = _here(naming, row)
    for position, by_side in found.items():
        either = by_side.get("", say.NOTHING_HERE)
        yield sentence(position).removesuffix("."), *(by_side.get(side, either) for side in SIDES)


def _here(naming: Naming, row: PlaceRow) -> str:
    if row.taken_from:
        return say.TAKEN_FROM.format(parts=naming.hands(row.here) or say.NOTHING_HERE, like=row.taken_from)
    return ", ".join(map(naming.part, naming.in_hands(row.here))) or say.NOTHING_HERE
