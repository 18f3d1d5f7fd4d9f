"""Two things held against each other, by number and by the sizes that are recorded of both.

A part number is a claim, a size is evidence: where a size of the two differs, an equal number does not make them the
same. What is recorded of one only is never "the same".
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import product

import msgspec

from knockon.graph.judge.beliefs import Known, Size, known_of, presence_of, share_a_value
from knockon.graph.model.catalogue import Catalogue
from knockon.graph.model.things import Feature
from knockon.queries.fits.checking.candidates import Candidate
from knockon.queries.fits.checking.evidence import Value, type_and_unit, values_of
from knockon.queries.fits.checking.size_names import FeatureSize

SAME_NUMBER, SAME_SIZES = "same number", "same sizes"
NUMBER_ONLY = "same number, other sizes"
OTHER, OTHER_NUMBER = "other sizes", "other number, no size of both recorded"
NOT_COMPARED = "no number and no size of both recorded"
NOMINAL_ROOM = 0.05
"""mm: how far a reading may lie from a length that is stated without limits. An assumption, common practice, no
source."""


class SizePair(msgspec.Struct, frozen=True):
    """One size of two things, as stated of each; blank values: the feature is there on one and known absent on the
    other, which ``here`` and ``there`` then say."""

    feature: str
    dimension: str
    here: str
    there: str
    here_values: tuple[Value, ...] = ()
    there_values: tuple[Value, ...] = ()


class Compared(msgspec.Struct, frozen=True):
    """Two things held against each other: one of the words above, how many sizes agree, and those that differ."""

    word: str
    agree: int = 0
    differ: tuple[SizePair, ...] = ()


def compared(catalogue: Catalogue, here: Candidate, there: Candidate) -> Compared:
    """What number and sizes say of two things of the records."""
    agree, differ = 0, []
    for pair, alike in size_pairs(catalogue, here.thing, there.thing):
        agree += alike
        differ += [] if alike else [pair]
    named = [names_of(catalogue, c) for c in (here, there)]
    same = bool(named[0] & named[1])
    if differ:
        return Compared(NUMBER_ONLY if same else OTHER, agree, tuple(differ))
    if same or agree:
        return Compared(SAME_NUMBER if same else SAME_SIZES, agree)
    return Compared(OTHER_NUMBER if all(named) else NOT_COMPARED)


def names_of(catalogue: Catalogue, candidate: Candidate) -> frozenset[str]:
    """The part numbers of a thing: its own, and that of the drawing it is made to as a set's member."""
    return frozenset(n for n in candidate.numbers if n in catalogue.parts)


def known_as(catalogue: Catalogue, thing: Candidate) -> str:
    """What a thing is called: the number that it is drawn as, where that is a part's, else its own."""
    return thing.same_drawing if thing.same_drawing in names_of(catalogue, thing) else thing.number


def size_pairs(catalogue: Catalogue, here: str, there: str) -> Iterator[tuple[SizePair, bool]]:
    """Every size (or feature, where one of the two is known to lack it) that is recorded of both, and whether they
    agree."""
    ours, theirs = catalogue.features_of(here), catalogue.features_of(there)
    for name in (n for n in sorted(ours) if n in theirs):
        one, two = ours[name], theirs[name]
        states = presence_of(one), presence_of(two)
        if "contested" in states:
            continue
        if "absent" in states:
            said = ["none" if s == "absent" else "there" for s in states]
            yield SizePair(name, "", said[0], said[1]), states[0] == states[1]
        else:
            yield from _sizes(catalogue, (here, there), one, two)


def _sizes(
    catalogue: Catalogue, things: tuple[str, str], one: Feature, two: Feature
) -> Iterator[tuple[SizePair, bool]]:
    for dimension in (d for d in one.dimensions if d in two.dimensions):
        known = known_of(one.dimensions[dimension]), known_of(two.dimensions[dimension])
        if all(k.sizes for k in known):
            ours, theirs = (
                values_of(catalogue.vocabulary, f, dimension, thing, FeatureSize("", dimension))
                for f, thing in zip((one, two), things, strict=True)
            )
            is_length = type_and_unit(catalogue.vocabulary, one, dimension)[0] == "length"
            pair = SizePair(one.name, dimension, written(ours), written(theirs), ours, theirs)
            yield pair, agreeing(*known, is_length)


def written(values: tuple[Value, ...]) -> str:
    """A size as it is written, by the sources that count."""
    return " or ".join(dict.fromkeys(v.written for v in values if v.computes))


def agreeing(one: Known, two: Known, is_length: bool) -> bool:
    """Whether some value may be both; a reading may lie a little beside a length that is stated without limits."""
    return any(share_a_value(*_with_room(a, b, is_length)) for a, b in product(one.sizes, two.sizes))


def _with_room(a: Size, b: Size, is_length: bool) -> tuple[Size, Size]:
    room = NOMINAL_ROOM if is_length and a.nominal != b.nominal else 0.0
    return (_wider(a, room), b) if a.nominal else (a, _wider(b, room))


def _wider(size: Size, room: float) -> Size:
    low = None if size.low is None else size.low - room
    high = None if size.high is None else size.high + room
    return Size(low, high, size.nominal, size.code)
