"""Which vehicle is this? What was found on a vehicle, held against each variant as made of the same layout.

Only what was recorded of the vehicle itself speaks: what it has taken over from the vehicle that it is "like" would
only repeat that name. A place speaks where the variants differ there; what is not recorded speaks for none of them.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import TYPE_CHECKING

import msgspec

from knockon.graph.model.catalogue import Catalogue
from knockon.graph.model.layouts.layout import Places
from knockon.graph.model.things import Vehicle
from knockon.queries.answers import SHORT_CAUTIONS, Answer, short_cautions_on
from knockon.queries.as_typed import RequestError
from knockon.queries.find.compared_things import NOT_COMPARED, NUMBER_ONLY, OTHER, OTHER_NUMBER, SAME_NUMBER, SAME_SIZES
from knockon.queries.find.place_rows import (
    EMPTY_THERE,
    NOT_RECORDED_HERE,
    NOT_RECORDED_THERE,
    NOT_THERE,
    OTHER_ARRANGEMENT,
    SAME_ARRANGEMENT,
    PlaceRow,
    found_on,
    place_rows,
)
from knockon.queries.find.places_to_look import Look, places_to_look

if TYPE_CHECKING:
    import networkx as nx

__all__ = ["Match", "Strand", "WhichVehicleAnswer", "which_vehicle"]

FOR = (SAME_NUMBER, SAME_SIZES, SAME_ARRANGEMENT)
AGAINST = (OTHER, NOT_THERE, OTHER_ARRANGEMENT)
OPEN = (NUMBER_ONLY, OTHER_NUMBER, NOT_COMPARED, NOT_RECORDED_HERE, NOT_RECORDED_THERE, EMPTY_THERE)
"""Every word of a comparison speaks for a variant, against it, or neither way."""


class Match(msgspec.Struct, frozen=True):
    """One variant: at how many places (both hands are one, an arrangement is one) the vehicle is the same by number or
    by sizes, at how many it is another, and how many are open. ``speaks_for``: of the same ones those that not every
    variant has. ``doubtful``: the number is the same, and a size on the thing is another."""

    vehicle: str
    title: str
    same_number: int
    same_sizes: int
    other: int
    open: int
    speaks_for: tuple[str, ...]
    speaks_against: tuple[str, ...]
    doubtful: tuple[str, ...] = ()

    def is_told_by(self, strand: Strand) -> bool:
        """Whether a strand speaks against this variant."""
        return self.vehicle not in strand.vehicles and not set(self.speaks_against).isdisjoint(strand.places)


class Strand(msgspec.Struct, frozen=True):
    """Places that belong together, joined to each other, and speak for the same variants and no others (none: for no
    variant)."""

    vehicles: tuple[str, ...]
    places: tuple[str, ...]


class WhichVehicleAnswer(Answer, frozen=True):
    """The variants, best match first (fewest places against, then most for); ``close``: the best and those that are to
    be told from it.

    ``strands`` tell a mixture: what speaks for which variant. ``look``: the places that would decide between the close
    ones. ``rows``: every place, side by side. ``like``: the vehicle from which ``taken_over`` places were taken over
    and not looked at. ``is_mixture``: something speaks against every variant, and for another what is against the best.
    """

    vehicle: str
    title: str
    layout: str
    as_made: bool
    made_as: str
    like: str
    taken_over: int
    matches: tuple[Match, ...]
    close: tuple[str, ...]
    is_mixture: bool
    strands: tuple[Strand, ...]
    look: tuple[Look, ...]
    rows: tuple[PlaceRow, ...]
    cautions: tuple[str, ...] = SHORT_CAUTIONS

    @property
    def is_settled(self) -> bool:
        """Whether one variant alone is left: something speaks for it, nothing against it, and something against every
        other."""
        best = self.matches[0]
        others = all(m.speaks_against for m in self.matches[1:])
        speaks = bool(best.speaks_for) or (len(self.matches) == 1 and best.same_number > 0)
        return speaks and not best.speaks_against and others


def which_vehicle(catalogue: Catalogue, name: str) -> WhichVehicleAnswer:
    """Hold a vehicle against each variant. Raises UnknownNameError; RequestError where there is no variant."""
    vehicle: Vehicle = catalogue.find("vehicle", name)
    places = Places(catalogue.find("layout", vehicle.layout))
    variants = [
        v
        for v in catalogue.vehicles.values()
        if v.as_made and v.layout == vehicle.layout and v.vehicle != vehicle.vehicle
    ]
    if not variants:
        other = "another vehicle" if vehicle.as_made else "a vehicle"
        raise RequestError(f"{vehicle.vehicle}: {other} as made of the layout {vehicle.layout!r} is not recorded")
    here = found_on(catalogue, places, vehicle)
    there = {v.vehicle: found_on(catalogue, places, v) for v in variants}
    rows = tuple(place_rows(catalogue, places, here, there))
    titles = {v.vehicle: v.title for v in variants}
    matches = sorted((_match(v, t, rows) for v, t in titles.items()), key=_rank)
    close = _close(matches)
    order = [m.vehicle for m in matches]
    strands = tuple(_strands(places, rows, order))
    return WhichVehicleAnswer(
        vehicle=vehicle.vehicle,
        title=vehicle.title,
        layout=vehicle.layout,
        as_made=vehicle.as_made,
        made_as=vehicle.made_as,
        like=vehicle.like,
        taken_over=sum(bool(row.taken_from) for row in rows),
        matches=tuple(matches),
        close=close,
        is_mixture=not vehicle.as_made and _is_mixture(matches, strands),
        strands=strands,
        look=tuple(places_to_look(catalogue, places, here, {v: there[v] for v in close}, _undecided(rows, close))),
        rows=rows,
        cautions=short_cautions_on(catalogue, [places.layout]),
    )


def _words(rows: Iterable[PlaceRow], vehicle: str) -> Iterator[tuple[PlaceRow, str]]:
    return ((row, cell.word) for row in rows for cell in row.cells if cell.vehicle == vehicle)


def _match(vehicle: str, title: str, rows: Sequence[PlaceRow]) -> Match:
    words = [(row, word) for row, word in _words(rows, vehicle)]
    return Match(
        vehicle=vehicle,
        title=title,
        same_number=sum(word == SAME_NUMBER for _, word in words),
        same_sizes=sum(word == SAME_SIZES for _, word in words),
        other=sum(word in AGAINST for _, word in words),
        open=sum(word in OPEN for _, word in words),
        speaks_for=tuple(row.said for row, word in words if word in FOR and _tells(row)),
        speaks_against=tuple(row.said for row, word in words if word in AGAINST),
        doubtful=tuple(row.said for row, word in words if word == NUMBER_ONLY),
    )


def _tells(row: PlaceRow) -> bool:
    """Whether a place speaks for some variants and not for all."""
    said = [cell.word in FOR for cell in row.cells]
    return any(said) and not all(said)


def _rank(match: Match) -> tuple[int, int, str]:
    return len(match.speaks_against), -len(match.speaks_for), match.vehicle


def _close(matches: Sequence[Match]) -> tuple[str, ...]:
    """The best match, and those that are to be told from it: all against which as little speaks, else the next best."""
    least = len(matches[0].speaks_against)
    tied = [m for m in matches if len(m.speaks_against) == least]
    if len(tied) == 1 and len(matches) > 1:
        least = len(matches[1].speaks_against)
        tied += [m for m in matches[1:] if len(m.speaks_against) == least]
    return tuple(m.vehicle for m in tied)


def _undecided(rows: Sequence[PlaceRow], close: Sequence[str]) -> set[str]:
    """The rows that do not tell the close ones apart as they are; what speaks against all of them is decided."""
    found = set()
    for row in rows:
        said = {_voice(cell.word) for cell in row.cells if cell.vehicle in close}
        if said in ({"for"}, {"open"}):
            found.add(row.said)
    return found


def _voice(word: str) -> str:
    return "for" if word in FOR else "against" if word in AGAINST else "open"


def _is_mixture(matches: Sequence[Match], strands: Sequence[Strand]) -> bool:
    """Whether something speaks against every variant, and what speaks against the best speaks for another."""
    best = matches[0]
    return all(m.speaks_against for m in matches) and any(s.vehicles and best.is_told_by(s) for s in strands)


def _strands(places: Places, rows: Sequence[PlaceRow], order: Sequence[str]) -> Iterator[Strand]:
    """What speaks for the same variants, piece by piece: positions that are joined to each other are one piece."""
    import networkx as nx

    graph: nx.Graph[str] = nx.Graph()
    graph.add_edges_from((at.first.position, at.second.position) for at in places.joints)
    by_variants: dict[tuple[str, ...], list[PlaceRow]] = {}
    for row in rows:
        voices = {cell.vehicle: _voice(cell.word) for cell in row.cells}
        speaks = tuple(v for v in order if voices[v] == "for")
        other_there = any(cell.word in (*AGAINST, OTHER_NUMBER) for cell in row.cells)
        if other_there and (speaks or set(voices.values()) == {"against"}):
            by_variants.setdefault(speaks, []).append(row)
    for speaks in sorted(by_variants, key=lambda s: (not s, len(s), [order.index(v) for v in s])):
        yield from (Strand(speaks, piece) for piece in _pieces(graph, by_variants[speaks], places))


def _pieces(graph: nx.Graph[str], rows: Sequence[PlaceRow], places: Places) -> Iterator[tuple[str, ...]]:
    import networkx as nx

    said: dict[str, list[str]] = {}
    for row in rows:
        said.setdefault(row.position, []).append(row.said)
    joined = nx.connected_components(graph.subgraph(said))
    order = list(places.positions)
    alone = [{p} for p in said if p not in graph]
    for piece in sorted(
        [*joined, *alone], key=lambda p: (-len(p), min(order.index(x) if x in order else -1 for x in p))
    ):
        yield tuple(name for position in said if position in piece for name in said[position])
