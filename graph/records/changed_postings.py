"""The posting lists of a prepared copy made from an earlier one: those that the changed things touch are put right."""

from __future__ import annotations

from collections.abc import Collection, Mapping

import msgspec
from msgspec.structs import replace

from knockon.graph.files.shelf import Keyed, edited
from knockon.graph.judge.postings import changed_postings
from knockon.graph.model.catalogue import Catalogue
from knockon.graph.records.difference import Base
from knockon.graph.records.kept import FEATURES, POSTINGS, KeptClaims, claimed, some_features

Piece = bytes | bytearray | memoryview


def postings_now(base: Base, found: Mapping[str, Piece], things: Collection[str]) -> dict[str, bytes]:
    """The pieces of the posting lists for a copy with the pieces ``found``, in which these things have other features
    and the parts of ``base`` are new or other."""
    if not things and not base.parts:
        return {}
    pieces = {name: memoryview(piece) for name, piece in found.items()}
    before, parts = base.catalogue, dict(base.parts)
    now = replace(before, parts=parts, features=some_features(pieces, FEATURES))
    names = msgspec.msgpack.Decoder(tuple[str, ...]).decode
    vars(now).update(numbers_of_type=Keyed(pieces, "types", names))
    return edited(base.pieces, POSTINGS, dict(changed_postings(before, now, things, parts)))[0]


def claimed_now(base: Base, found: Mapping[str, Piece]) -> dict[str, bytes]:
    """The pieces of what is claimed of which numbers."""
    pieces = {name: memoryview(piece) for name, piece in found.items()}
    now = Catalogue(base.catalogue.vocabulary, claims=KeptClaims(pieces))
    return {name: bytes(piece) for name, piece in claimed(now).items()}
