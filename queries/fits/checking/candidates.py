"""Candidates: what may stand in each place of a layout, new, staying, or staying after work."""

from __future__ import annotations

from collections.abc import Collection, Iterator

import msgspec
from msgspec.structs import replace

from knockon.graph.model.catalogue import Catalogue
from knockon.graph.model.drawings import member_at, member_thing
from knockon.graph.model.layouts.layout import Place, Places
from knockon.graph.model.things import Fitting, Part, SetMember, Vehicle
from knockon.queries.fits.checking.standing import Standing, is_recorded, standing_on

NOT_RECORDED = "something not recorded"
"""What is known of the thing in a needed place of which the vehicle's fittings say nothing."""


class Candidate(msgspec.Struct, frozen=True):
    """One thing that may stand in a place.

    ``thing`` is the key of its features; ``number`` what is ordered or what it is known as (a set's number for a member
    of it); ``alike`` the number shared by both hands (axle rule); ``set_use`` the use of a set that it belongs to. Not
    ``recorded``: it is only known that something stands there; its key leads to no features, its number to no part.
    So it is with one ``to_be_found``, of which no part is recorded.
    """

    place: Place
    thing: str
    number: str
    alike: str
    stays: bool = False
    work: str = ""
    set_use: tuple[str, str] | None = None
    same_drawing: str = ""
    recorded: bool = True
    to_be_found: bool = False

    def __hash__(self) -> int:
        return hash((self.thing, self.place.position, self.place.side, self.stays))  # enough, and quick

    @property
    def numbers(self) -> tuple[str, ...]:
        """The numbers whose claims speak of it."""
        return tuple(n for n in (self.number, self.same_drawing) if n) if self.is_known else ()

    @property
    def is_known(self) -> bool:
        """Whether it is a thing of the records."""
        return self.recorded and not self.to_be_found


def alike(catalogue: Catalogue, number: str) -> str:
    """One name for a part and its mirror."""
    part = catalogue.parts.get(number)
    return min(number, part.mirror_of) if part and part.mirror_of else number


def new_parts(
    catalogue: Catalogue, places: Places, place: Place, only: Collection[str] | None = None
) -> Iterator[Candidate]:
    """The parts and set members that may be bought for a place; of ``only`` these numbers."""
    position = places.positions[place.position]
    wanted = position.part_type
    for part in catalogue.parts_of_type(wanted) if only is None else _among(catalogue, only, wanted):
        if part.hand in ("either", place.side or part.hand):
            yield Candidate(place, part.part, part.part, alike(catalogue, part.part))
    for number in catalogue.sets_at.get(place.position, ()) if only is None else sorted({*only}):
        members = catalogue.set_members.get(number, ())
        for member in members:
            if (
                member.position == place.position
                and member.side in ("", place.side)
                and _belongs(catalogue, places, member)
            ):
                yield _member(place, number, member, axle=any(m.side for m in members))


def _among(catalogue: Catalogue, numbers: Collection[str], wanted: str) -> Iterator[Part]:
    for part in (catalogue.parts.get(number) for number in sorted({*numbers})):
        if part is not None and catalogue.vocabulary.is_a(part.part_type, wanted):
            yield part


def _belongs(catalogue: Catalogue, places: Places, member: SetMember) -> bool:
    """Whether a set's member means this layout's position, where several layouts have one of that name."""
    others = [o for o in catalogue.layouts.values() if o.layout != places.layout.layout]
    namesakes = [Places(o) for o in others if any(p.position == member.position for p in o.positions)]
    if not namesakes:
        return True
    drawn = catalogue.parts.get(member.as_part)
    if drawn is not None:
        return catalogue.vocabulary.is_a(drawn.part_type, places.positions[member.position].part_type)
    own = set(catalogue.features_of(member_thing(member)))
    elsewhere = {f for other in namesakes for f in other.features_at(member.position)}
    return bool(own & places.features_at(member.position)) or not own & elsewhere


def _member(place: Place, number: str, member: SetMember, axle: bool) -> Candidate:
    return Candidate(
        place,
        member_thing(member),
        number,
        number,
        set_use=(number, "" if axle else place.side),
        same_drawing=member.as_part,
    )


def staying(catalogue: Catalogue, place: Place, fitting: Fitting) -> Iterator[Candidate]:
    """What is in the place, as it is, and as it would be after work on it."""
    item = catalogue.items.get(fitting.item)
    number = fitting.part or (item.part if item else "")
    name = number or fitting.item
    named = fitting.member or (item.member if item else "")
    member = member_at(catalogue.set_members, number, named, place.position, place.side)
    drawn = member.as_part if member else ""
    thing = fitting.item or (member_thing(member) if member else number)
    key = alike(catalogue, number) if number else f"item {fitting.item}"
    yield Candidate(place, thing, name, key, stays=True, same_drawing=drawn)
    for other in sorted(catalogue.items):
        if item is not None and catalogue.items[other].after_work_on == item.item:
            yield Candidate(
                place, other, name, key, stays=True, work=catalogue.items[other].work or "work", same_drawing=drawn
            )


def not_recorded(catalogue: Catalogue, place: Place, standing: Standing) -> Candidate:
    """What stands where nobody recorded what: for the axle rule the same as what was found on the other hand."""
    key = _as_on_the_other_hand(catalogue, place, standing)
    return Candidate(place, f"{place} (not recorded)", NOT_RECORDED, key, stays=True, recorded=False)


def _as_on_the_other_hand(catalogue: Catalogue, place: Place, standing: Standing) -> str:
    other = place.other_hand
    fitting = standing.found.get(other)
    if fitting is not None and is_recorded(fitting) and not _is_only_read(catalogue, fitting):
        return next(staying(catalogue, other, fitting)).alike
    return f"not recorded: {place.position}"


def _is_only_read(catalogue: Catalogue, fitting: Fitting) -> bool:
    """Whether all that is known of what stands there was read in its place: nobody recorded what it is."""
    item = catalogue.items.get(fitting.item)
    return item is not None and bool(item.vehicle) and not (fitting.part or item.part)


def yet_to_be_found(place: Place, part_type: str) -> Candidate:
    """A part that nobody has recorded; the same for both hands."""
    said = f"{part_type} yet to be found"
    return Candidate(place, f"{place.position} (yet to be found)", said, said, to_be_found=True)


def kept_in(catalogue: Catalogue, place: Place, standing: Standing) -> Iterator[Candidate]:
    """What may stay in a place: what was found there, as it is or after work, or something not recorded."""
    fitting = standing.found.get(place) or standing.perhaps.get(place)
    if fitting is None:
        return
    if not is_recorded(fitting):
        yield not_recorded(catalogue, place, standing)
    elif _is_only_read(catalogue, fitting):
        key = _as_on_the_other_hand(catalogue, place, standing)
        yield from (replace(c, alike=key) for c in staying(catalogue, place, fitting))
    else:
        yield from staying(catalogue, place, fitting)


def candidates_of(
    catalogue: Catalogue, places: Places, vehicle: Vehicle | None
) -> tuple[dict[Place, tuple[Candidate, ...]], Standing]:
    """All candidates by place, and what stands on the vehicle now (nothing without one)."""
    now = standing_on(catalogue, places, vehicle) if vehicle else Standing(found={}, perhaps={})
    found: dict[Place, tuple[Candidate, ...]] = {}
    for place in places.all:
        found[place] = (*kept_in(catalogue, place, now), *new_parts(catalogue, places, place))
    return found, now


def as_found(catalogue: Catalogue, places: Places, vehicle: Vehicle) -> dict[Place, Candidate]:
    """What stands in each place of a vehicle now, something not recorded too."""
    now = standing_on(catalogue, places, vehicle)
    return {p: next(kept_in(catalogue, p, now)) for p in now.found}
