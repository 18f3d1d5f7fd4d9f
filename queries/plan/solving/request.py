"""What a user asks of a vehicle: arrangements, parts or properties wanted, positions kept or renewed, parts and
suppliers avoided."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from contextlib import suppress
from typing import TypedDict, Unpack

import msgspec

from knockon.graph.judge.beliefs import EPSILON, known_of, presence_of
from knockon.graph.model.catalogue import Catalogue, SeveralReadingsError, UnknownNameError
from knockon.graph.model.layouts.layout import Place, Places
from knockon.graph.model.nearest import meanings, nearest
from knockon.graph.model.schema import Column
from knockon.graph.model.things import SIDES, Feature, Part, Vehicle
from knockon.graph.quantity import CellError, read_cell
from knockon.queries.answers import with_article
from knockon.queries.as_typed import RequestError, find_places, fold
from knockon.queries.fits.checking.candidates import new_parts
from knockon.queries.fits.checking.standing import standing_on
from knockon.queries.plan.solving.asked import AVOID, KEEP, RENEW, WANT, Asked
from knockon.queries.plan.solving.asked_arrangements import EXPECTED, check_together, read_arrangement
from knockon.queries.plan.solving.levels import LEVELS


class Wanted(msgspec.Struct, frozen=True):
    """One wish: in ``places`` one of ``numbers``, or a thing whose ``dimension`` is in [low, high] or is ``code``."""

    text: str
    places: tuple[Place, ...]
    numbers: tuple[str, ...] = ()
    dimension: str = ""
    feature: str = ""
    low: float | None = None
    high: float | None = None
    code: str = ""

    def is_met_by(self, features: Mapping[str, Feature]) -> bool:
        """Whether a recorded interval lies wholly inside what is asked, or a recorded code is the one that is asked;
        unknown is never met."""
        for feature in features.values():
            if self.feature and fold(feature.name) != fold(self.feature):
                continue
            if presence_of(feature) != "recorded" or self.dimension not in feature.dimensions:
                continue
            sizes = known_of(feature.dimensions[self.dimension]).sizes
            if self.code and sizes and all(s.code == self.code for s in sizes):
                return True
            if (
                not self.code
                and sizes
                and all(
                    (self.low is None or (s.low is not None and s.low >= self.low - EPSILON))
                    and (self.high is None or (s.high is not None and s.high <= self.high + EPSILON))
                    for s in sizes
                )
            ):
                return True
        return False


class Request(msgspec.Struct, frozen=True):
    """What is asked. ``prefer`` reorders the levels changes, unproven, unoffered, price; ``arrangements`` are the
    only ones of their choices that may hold."""

    wants: tuple[Wanted, ...] = ()
    keep: tuple[Place, ...] = ()
    renew: tuple[Place, ...] = ()
    avoid: tuple[str, ...] = ()
    prefer: tuple[str, ...] = ()
    arrangements: tuple[str, ...] = ()

    @property
    def in_words(self) -> tuple[Asked, ...]:
        """The request, line by line."""
        return (
            *(Asked(WANT, a) for a in self.arrangements),
            *(Asked(WANT, w.text, w.places) for w in self.wants),
            *(Asked(KEEP, p, (p,)) for p in self.keep),
            *(Asked(RENEW, p, (p,)) for p in self.renew),
            *(Asked(AVOID, a) for a in self.avoid),
        )


def _known_at(catalogue: Catalogue, places: Places, position: str, feature: str) -> dict[str, Column]:
    """The dimensions of what joints and figures read at a position, and then of what else stands there."""
    vocabulary = catalogue.vocabulary
    wanted = fold(feature)
    read: dict[str, Column] = {}
    for things in catalogue.features.values():
        for used in places.features_at(position):
            if used in things and (not feature or fold(used) == wanted):
                read |= vocabulary.dimensions(things[used].kind)
    there = {c.thing for p in places.all if p.position == position for c in new_parts(catalogue, places, p)}
    for recorded in (f for t in sorted(there) for f in catalogue.features_of(t).values()):
        if not feature or fold(recorded.name) == wanted:
            read = vocabulary.dimensions(recorded.kind) | read
    return read


def _dimension(catalogue: Catalogue, places: Places, position: str, name: str) -> tuple[str, str, Column]:
    """(feature or blank, dimension, its column) for ``dimension`` or ``feature.dimension`` at a position.

    Of several dimensions that end in the word, the outside one is meant: a rotor's diameter is its outside diameter. A
    dimension may have a dot of its own: ``hub nut.thread.hand``.
    """
    words = name.split(".")
    known: dict[str, Column] = {}
    for dots in range(len(words)):
        feature, wanted = ".".join(words[:dots]), fold(".".join(words[dots:]))
        here = _known_at(catalogue, places, position, feature)
        known = here | known
        folded = {fold(n): n for n in here}
        plain = sorted(n for n in folded if n.endswith(" " + wanted) and "." not in n)
        ending = plain or sorted(n for n in folded if n.endswith((" " + wanted, "." + wanted)))
        for match in ([] if feature else ["outside " + wanted], [wanted], ending if len(ending) == 1 else []):
            if match and match[0] in folded:
                return feature, folded[match[0]], here[folded[match[0]]]
        meant = meanings(wanted, {n: column.other for n, column in here.items() if "." not in n})
        if len(meant) > 1:
            raise SeveralReadingsError(f"dimension of {position}", name, meant)
        if meant:
            return feature, meant[0], here[meant[0]]
    others = {n: column.other for n, column in known.items()}
    raise UnknownNameError(f"dimension of {position}", name, nearest(name, known, others=others))


def _code(catalogue: Catalogue, places: Places, text: str, position: str, wanted: tuple[str, str, Column]) -> str:
    """The code that a wish names: one of those that the dimension may have, or that a part for the position has.

    Left and right may be written as on a part: ``L``, ``RH``. Raises RequestError, with the nearest ones.
    """
    feature, dimension, column = wanted
    sign, value = re.findall(r">=|<=|=", text)[0], re.split(r">=|<=|=", text, maxsplit=1)[1].strip()
    if sign != "=":
        raise RequestError(f"{text!r}: {dimension} is a word, not a size. Write POSITION.{dimension}=WORD")
    there = {c.thing for p in places.all if p.position == position for c in new_parts(catalogue, places, p)}
    recorded = {
        statement.code
        for thing in there
        for f in catalogue.features_of(thing).values()
        if not feature or fold(f.name) == fold(feature)
        for statement in f.dimensions.get(dimension, ())
        if statement.code
    }
    allowed = {code.casefold() for code in column.values} or recorded
    asked = value.casefold()
    with suppress(CellError):
        hand = read_cell(value, "hand")[""].code or ""
        asked = next((code for code in (hand, f"{hand[:1]}h", hand[:1]) if code in allowed), asked)
    if asked in allowed:
        return asked
    near = nearest(asked, sorted(allowed)) or tuple(sorted(allowed))
    offered = f"Write {' or '.join(near)}" if near else f"No {dimension} of any part for it is recorded"
    raise RequestError(f"{text!r}: {value!r} is not a known {dimension} of the {position}. {offered}")


def read_wish(catalogue: Catalogue, places: Places, text: str) -> Wanted:
    """Read ``rotor=LARCH-201`` or ``rotor.outside diameter>=190 mm`` (also <=, =); raises RequestError,
    UnknownNameError."""
    match = re.fullmatch(r"\s*([^=<>]+?)\s*(>=|<=|=)\s*([^=<>]+?)\s*", text)
    if match is None:
        raise RequestError(f"cannot read the wish {text!r}. {EXPECTED}, with one sign: =, >= or <=")
    left, sign, value = match.groups()
    position, dot, dimension = left.partition(".")
    found = _places_of(catalogue, places, position)
    if not dot:
        if sign != "=":
            raise RequestError(f"{text!r}: a part takes '=', and a dimension is written POSITION.DIMENSION{sign}VALUE")
        part = catalogue.find("part", value)
        _must_stand_there(catalogue, places, text, part, found)
        return Wanted(text, found, tuple(n for n in (part.part, part.mirror_of) if n))
    feature, name, column = _dimension(catalogue, places, found[0].position, dimension)
    if column.datatype == "code":
        code = _code(catalogue, places, text, found[0].position, (feature, name, column))
        return Wanted(text, found, dimension=name, feature=feature, code=code)
    if column.datatype in catalogue.vocabulary.components:
        parts = " or ".join(f"{name}.{c.name}" for c in catalogue.vocabulary.components[column.datatype])
        raise RequestError(f"{text!r}: {name} has several sizes. Ask for {parts}")
    try:
        size = read_cell(value, column.datatype).get("")
    except CellError as error:
        raise RequestError(f"{text!r}: {error}") from error
    if size is None or size.low is None or size.high is None:
        raise RequestError(f"{text!r}: {value!r} is not a size that can be compared")
    low = size.low if sign in (">=", "=") else None
    high = size.high if sign in ("<=", "=") else None
    return Wanted(text, found, dimension=name, feature=feature, low=low, high=high)


def _must_stand_there(catalogue: Catalogue, places: Places, text: str, part: Part, found: tuple[Place, ...]) -> None:
    """Raise RequestError where a part can never stand in the places that it is wanted for."""
    stands = _positions_of(catalogue, places, part)
    if found[0].position not in stands:
        where = ", ".join(stands) or "no position of this layout"
        raise RequestError(f"{text!r}: {part.part} is {with_article(part.part_type)}. It stands in {where}")
    if len(found) == 1 and part.hand in SIDES and found[0].side not in ("", part.hand):
        other = f". The {found[0].side} one is {part.mirror_of}" if part.mirror_of else ""
        raise RequestError(f"{text!r}: {part.part} is for the {part.hand}{other}")


def _positions_of(catalogue: Catalogue, places: Places, part: Part) -> list[str]:
    """The positions in which a part can stand."""
    return [
        p.position
        for p in places.layout.positions
        if catalogue.vocabulary.is_a(part.part_type, p.part_type)
        or any(m.position == p.position for m in catalogue.set_members.get(part.part, ()))
    ]


def _places_of(catalogue: Catalogue, places: Places, name: str) -> tuple[Place, ...]:
    """The places that a name means; RequestError, with its positions, where it is a part's number."""
    try:
        return find_places(places, name)
    except UnknownNameError as unknown:
        with suppress(UnknownNameError):
            part = catalogue.find("part", name)
            where = " or ".join(_positions_of(catalogue, places, part)) or "none in this layout"
            raise RequestError(f"{name!r} is a part, and a position is expected. Write {where}") from unknown
        raise


def _arrangement(catalogue: Catalogue, places: Places, wish: str) -> str | None:
    """As ``read_arrangement``, but a wish that is nothing but a part's number is told where the part goes."""
    try:
        return read_arrangement(places, wish, catalogue.parts)
    except (RequestError, UnknownNameError) as unread:
        with suppress(UnknownNameError):
            part = catalogue.find("part", wish)
            wishes = [f'"{position}={part.part}"' for position in _positions_of(catalogue, places, part)]
            raise RequestError(
                f"{wish!r} is a part. Write {' or '.join(wishes) or EXPECTED.removeprefix('Write ')}"
            ) from unread
        raise


def _part_to_avoid(catalogue: Catalogue, name: str) -> str:
    try:
        return str(catalogue.find("part", name).part)
    except UnknownNameError as error:
        if error.part_type:
            raise
        near = (*nearest(name, catalogue.suppliers), *error.nearest)
        raise UnknownNameError("part or supplier", name, tuple(dict.fromkeys(near))) from error


def check_kept(catalogue: Catalogue, request: Request, places: Places, vehicle: Vehicle) -> None:
    """Raise RequestError where something is to be kept in a place in which the vehicle has nothing."""
    standing = standing_on(catalogue, places, vehicle)
    there = {**standing.found, **standing.perhaps}
    lacking = list(dict.fromkeys(p.position for p in request.keep if p not in there))
    if lacking:
        raise RequestError(
            f"{vehicle.vehicle} has nothing recorded in {', '.join(lacking)}, so there is nothing to keep"
        )


class TypedRequest(TypedDict, total=False):
    """A request as it is typed: the words of each option, none of those left out."""

    want: Iterable[str]
    keep: Iterable[str]
    renew: Iterable[str]
    avoid: Iterable[str]
    prefer: Iterable[str]


def asked_of(catalogue: Catalogue, vehicle_name: str, typed: TypedRequest) -> tuple[Vehicle, Places, Request]:
    """The vehicle, the places of its layout, and what is asked of it; raises RequestError or UnknownNameError."""
    vehicle: Vehicle = catalogue.find("vehicle", vehicle_name)
    places = Places(catalogue.find("layout", vehicle.layout))
    request = read_request(catalogue, places, **typed)
    check_kept(catalogue, request, places, vehicle)
    return vehicle, places, request


def read_request(catalogue: Catalogue, places: Places, **typed: Unpack[TypedRequest]) -> Request:
    """Read a request as it is typed; raises RequestError or UnknownNameError."""
    prefer = tuple(typed.get("prefer", ()))
    avoided = []
    for name in typed.get("avoid", ()):
        folded = {fold(s): s for s in catalogue.suppliers}
        avoided.append(folded[fold(name)] if fold(name) in folded else _part_to_avoid(catalogue, name))
    for level in prefer:
        if level not in LEVELS:
            raise RequestError(f"{level!r} cannot be preferred. Write {', '.join(LEVELS)}")
    named = [(w, _arrangement(catalogue, places, w)) for w in typed.get("want", ())]
    wants = tuple(read_wish(catalogue, places, w) for w, arrangement in named if arrangement is None)
    arrangements = tuple(dict.fromkeys(a for _, a in named if a is not None))
    stand = [(w.text, places.positions[p.position].arrangement) for w in wants for p in w.places]
    check_together(places.layout, arrangements, stand)
    return Request(
        wants=wants,
        keep=tuple(p for k in typed.get("keep", ()) for p in _places_of(catalogue, places, k)),
        renew=tuple(p for r in typed.get("renew", ()) for p in _places_of(catalogue, places, r)),
        avoid=tuple(sorted(avoided)),
        prefer=prefer,
        arrangements=arrangements,
    )
