"""A prepared catalogue on a shelf: what a question is not about is never decoded.

Small things (vocabulary, layouts, vehicles, notes ...) are decoded at once. Parts, offers, claims, sets and features,
of which there may be a million, are looked up by name; of features each different one stands once, and a thing names
its own by number. The ways in which questions look for them (by part type, by position, by number) stand beside them.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from operator import attrgetter
from typing import Any, BinaryIO, TypeVar, overload

import msgspec
from msgspec.structs import replace

from knockon.graph.files.shelf import Blobs, BrokenShelf, Keyed, Piece, Pieces, blob_at, keyed, numbers, opened, shelved
from knockon.graph.judge.postings import all_postings
from knockon.graph.model.catalogue import Catalogue
from knockon.graph.model.findings import Finding
from knockon.graph.model.things import Claim, Feature, Note, Offer, Part, Said, SetMember, Source, Statement
from knockon.graph.records.made_of import Kept, MadeOf

Prepared = tuple[Catalogue, tuple[Finding, ...]]
S = TypeVar("S", bound=msgspec.Struct)
_Sizes = tuple[str, str, int, float | None, float | None, bool, str | None, bool, bool]
_SaidBy = tuple[str, int, bool]
_Stated = tuple[str, str, dict[str, tuple[_Sizes, ...]], tuple[_SaidBy, ...], tuple[_SaidBy, ...]]
_Small = tuple[Catalogue, tuple[Finding, ...], dict[str, str], frozenset[str]]
_encode = msgspec.msgpack.Encoder().encode


FEATURES, OWN, TAKEN_OVER = "features of", "own of", "taken over"
"""Mappings of a shelf: the features of each thing; before drawings, where these change them; what takes them over."""
POSTINGS, CLAIMED = "postings", "claimed"
"""Mappings of a shelf: which parts have equal interfaces at each end of a joint; the numbers of which each sort of
claim is made."""


def on_shelf(
    prepared: Prepared,
    made: MadeOf | None = None,
    tables: Mapping[str, str] | None = None,
    beside: Mapping[str, str] | None = None,
) -> list[Piece]:
    """A shelf with this catalogue and these findings, as the parts of a file; ``made``: what they were made of, in
    ``tables``, and notes ``beside`` them, with this content."""
    catalogue, findings = prepared
    sized = sorted(catalogue.sources_with_sizes)
    small = replace(catalogue, parts={}, claims=(), set_members={}, offers={}, features={})
    pieces: dict[str, Piece] = {"small": _encode((small, findings, catalogue.feature_kinds, sized))}
    part, offer, member, claim = (fields_of(cls) for cls in (Part, Offer, SetMember, Claim))
    pieces |= keyed("parts", ((n, _encode(part(p))) for n, p in catalogue.parts.items()))
    pieces |= keyed("offers", ((n, _encode([offer(o) for o in found])) for n, found in catalogue.offers.items()))
    pieces |= keyed("sets", ((n, _encode([member(m) for m in found])) for n, found in catalogue.set_members.items()))
    pieces |= keyed("types", ((t, _encode(found)) for t, found in catalogue.numbers_of_type.items()))
    pieces |= keyed("sets at", ((p, _encode(found)) for p, found in catalogue.sets_at.items()))
    blobs = Blobs()
    at = [blobs.add(_encode(claim(c))) for c in catalogue.claims]
    pieces |= {"claims data": blobs.written, "claims at": numbers(at)}
    about: dict[str, list[int]] = {}
    for stands_at, said in zip(at, catalogue.claims, strict=True):
        for number in dict.fromkeys((said.part, said.other_part)):
            about.setdefault(number, []).append(stands_at)
    pieces |= keyed("claims on", ((n, _encode(about[n])) for n in sorted(about) if n))
    features = Blobs(shared=True)
    seen: dict[int, int] = {}  # by id: things share their features, and all of them live as long as the catalogue

    def stands(feature: Feature) -> int:
        if id(feature) not in seen:
            seen[id(feature)] = features.add(_feature_out(feature))
        return seen[id(feature)]

    def written(things: Mapping[str, Mapping[str, Feature]]) -> Iterator[tuple[str, bytes]]:
        return ((thing, _encode([stands(f) for f in own.values()])) for thing, own in things.items())

    pieces |= keyed(FEATURES, written(catalogue.features), shared=True)
    pieces |= keyed(POSTINGS, all_postings(catalogue))
    pieces |= claimed(catalogue)
    if made is not None and tables is not None and not findings:
        pieces |= _made_of(made, tables, beside or {}, catalogue)
        own, drawn = made.recorded.own, catalogue.features
        other = (t for t in drawn if t in made.recorded.bases or own.get(t, {}) != drawn[t])
        pieces |= keyed(OWN, written({t: own.get(t, {}) for t in other}))
    pieces["features data"] = features.written
    return shelved(pieces)


def _made_of(
    made: MadeOf, tables: Mapping[str, str], beside: Mapping[str, str], catalogue: Catalogue
) -> dict[str, Piece]:
    """The pieces that a copy with some other rows is made from."""
    headers = {file: header for file, (header, _) in made.rows.items()}
    kept = Kept(dict(tables), dict(beside), headers, made.recorded.on_item, made.usual, made.kinds, made.noted)
    pieces: dict[str, Piece] = {"made of": _encode(kept)}
    by_key = sorted(catalogue.features, key=lambda thing: thing.encode("utf-8", "surrogatepass"))
    ranks = {thing: rank for rank, thing in enumerate(by_key)}
    for file, (_, rows) in made.rows.items():
        pieces[f"rows {file}"] = b"".join(digest for digest, _ in rows)
        if file != "sources.csv":
            pieces[f"things {file}"] = numbers(ranks[thing] for _, thing in rows)
    over: dict[str, list[str]] = {}
    for thing, bases in made.recorded.bases.items():
        for base in bases:
            over.setdefault(base, []).append(thing)
    return pieces | keyed(TAKEN_OVER, ((base, _encode(over[base])) for base in sorted(over)))


def claimed(catalogue: Catalogue) -> dict[str, bytes | bytearray]:
    """The numbers of which each sort of claim is made, as pieces of a shelf."""
    return keyed(CLAIMED, ((said, _encode(found)) for said, found in catalogue.numbers_claimed.items()))


def from_shelf(file: BinaryIO) -> Prepared:
    """The catalogue and findings of a shelf. Raises BrokenShelf, OSError."""
    return of_pieces(opened(file))


def of_pieces(pieces: Pieces) -> Prepared:
    """The same from its pieces. Raises BrokenShelf."""
    try:
        small, findings, kinds, sized = msgspec.msgpack.decode(pieces["small"], type=_Small)
        claims = KeptClaims(pieces)
        catalogue = replace(
            small,
            parts=Keyed(pieces, "parts", _one(Part)),
            offers=Keyed(pieces, "offers", _several(Offer)),
            set_members=Keyed(pieces, "sets", _several(SetMember)),
            claims=claims,
            features=some_features(pieces, FEATURES),
        )
        names = msgspec.msgpack.Decoder(tuple[str, ...]).decode
        positions = msgspec.msgpack.Decoder(tuple[int, ...]).decode
        vars(catalogue).update(
            feature_kinds=kinds,
            sources_with_sizes=sized,
            numbers_of_type=Keyed(pieces, "types", names),
            sets_at=Keyed(pieces, "sets at", names),
            kept_postings=Keyed(pieces, POSTINGS, lambda blob: blob),
            numbers_claimed=Keyed(pieces, CLAIMED, names),
            claims_on=Keyed(pieces, "claims on", lambda blob: tuple(map(claims.standing_at, positions(blob)))),
        )
    except (msgspec.MsgspecError, KeyError, TypeError) as error:
        raise BrokenShelf(error) from error
    return catalogue, findings


def fields_of(cls: type[Any]) -> Callable[[Any], tuple[Any, ...]]:
    """What gives a record's fields in their order, as a shelf holds them."""
    return attrgetter(*cls.__struct_fields__)


def _reader(cls: type[msgspec.Struct], wanted: Callable[[Any], Any]) -> Callable[[memoryview], Any]:
    """A decoder of a record's fields in their order; made when the first is read."""
    made: list[Callable[[memoryview], Any]] = []

    def read(blob: memoryview) -> Any:
        if not made:
            types = tuple(field.type for field in msgspec.structs.fields(cls))
            made.append(msgspec.msgpack.Decoder(wanted(tuple[types])).decode)  # type: ignore[valid-type]
        return made[0](blob)

    return read


def _one(cls: type[S]) -> Callable[[memoryview], S]:
    read = _reader(cls, lambda fields: fields)
    return lambda blob: cls(*read(blob))


def _several(cls: type[S]) -> Callable[[memoryview], tuple[S, ...]]:
    read = _reader(cls, lambda fields: list[fields])  # type: ignore[valid-type]
    return lambda blob: tuple(cls(*fields) for fields in read(blob))


class KeptClaims(Sequence[Claim]):
    """The claims of a shelf in their order; each is read when it is asked for."""

    def __init__(self, pieces: Pieces) -> None:
        self._data, self._at = pieces["claims data"], pieces["claims at"].cast("Q")
        self._read = _one(Claim)
        self._found: dict[int, Claim] = {}  # by where it stands: the same claim made twice is one object

    def standing_at(self, at: int) -> Claim:
        """The claim whose data stands there."""
        found = self._found.get(at)
        if found is None:
            found = self._found[at] = self._read(blob_at(self._data, at))
        return found

    @overload
    def __getitem__(self, index: int) -> Claim: ...
    @overload
    def __getitem__(self, index: slice) -> Sequence[Claim]: ...
    def __getitem__(self, index: int | slice) -> Claim | Sequence[Claim]:
        if isinstance(index, slice):
            return tuple(self.standing_at(at) for at in self._at[index])
        return self.standing_at(self._at[index])

    def __iter__(self) -> Iterator[Claim]:
        return (self.standing_at(at) for at in self._at)

    def __len__(self) -> int:
        return len(self._at)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Sequence) and tuple(self) == tuple(other)

    __hash__ = None  # type: ignore[assignment]


def some_features(pieces: Pieces, name: str) -> Keyed[dict[str, Feature]]:
    """A mapping from things to features, by its name."""
    data, read = pieces["features data"], msgspec.msgpack.Decoder(_Stated)
    places = msgspec.msgpack.Decoder(tuple[int, ...])
    found: dict[int, Feature] = {}

    def feature(at: int) -> Feature:
        if at not in found:
            found[at] = _feature_in(read.decode(blob_at(data, at)))
        return found[at]

    def of_thing(blob: memoryview) -> dict[str, Feature]:
        return {f.name: f for f in map(feature, places.decode(blob))}

    return Keyed(pieces, name, of_thing)


_sizes = fields_of(Statement)


def with_features(pieces: Pieces, features: Iterable[Feature]) -> tuple[dict[int, int], bytes]:
    """The data of a shelf's features with these behind it, and where each stands, by its ``id``."""
    data = bytearray(pieces["features data"])
    places: dict[int, int] = {}
    for feature in features:
        if id(feature) not in places:
            blob = _feature_out(feature)
            places[id(feature)] = len(data)
            data += len(blob).to_bytes(4, "little") + blob
    return places, bytes(data)


def named_features(places: Mapping[int, int], own: Mapping[str, Feature]) -> bytes:
    """A thing's features as a mapping of a shelf holds them."""
    return _encode([places[id(feature)] for feature in own.values()])


def small_with(pieces: Pieces, sized: frozenset[str], sources: dict[str, Source], notes: dict[str, Note]) -> bytes:
    """The small things of a shelf with these sources (``sized``: those that state sizes) and these notes."""
    small, findings, kinds, _ = msgspec.msgpack.decode(pieces["small"], type=_Small)
    return _encode((replace(small, sources=sources, notes=notes), findings, kinds, sorted(sized)))


def _feature_out(feature: Feature) -> bytes:
    dimensions = {name: [_sizes(s) for s in stated] for name, stated in feature.dimensions.items()}
    return _encode((feature.name, feature.kind, dimensions, feature.absent, feature.there))


def _feature_in(stated: _Stated) -> Feature:
    name, kind, dimensions, absent, there = stated
    sizes = {d: tuple(Statement(*s) for s in found) for d, found in dimensions.items()}
    return Feature(name, kind, sizes, tuple(Said(*s) for s in absent), tuple(Said(*s) for s in there))
