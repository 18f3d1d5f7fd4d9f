"""Identify: which part is this? Readings of an unmarked part, held against every number that it may be.

Every number is equally likely beforehand. One that no reading rules out is *left*, with its odds against the likeliest
of those; numbers that nothing tells apart are one line. ``weighing`` says how a reading is weighed, ``further`` which
measurement would tell most.
"""

from __future__ import annotations

import math
from collections.abc import Hashable, Iterable, Mapping, Sequence

import msgspec

from knockon.graph.judge.beliefs import Known, known_of, presence_of
from knockon.graph.model.catalogue import Catalogue, UnknownNameError, name_meant
from knockon.graph.model.drawings import member_thing
from knockon.graph.model.nearest import nearest
from knockon.graph.model.schema import Tool
from knockon.graph.model.things import Feature, Part
from knockon.queries.answers import SHORT_CAUTIONS, Answer, cautions_with, short_cautions_on
from knockon.queries.as_typed import RequestError
from knockon.queries.find.further import Measure, expected_of, further
from knockon.queries.find.readings_typed import Named, Reader, Reading, meant, split, unknown_feature
from knockon.queries.find.tell_apart import TellApartAnswer, tell_apart
from knockon.queries.find.weighing import Weighed, weigh
from knockon.queries.fits.checking.evidence import Value, values_of
from knockon.queries.fits.checking.size_names import FeatureSize

MOST_ODDS = 700.0
"""The exponent beyond which odds leave the floats."""


class ReadingSaid(msgspec.Struct, frozen=True):
    """A reading as it was understood: ``value`` ± ``within`` in ``unit``; a word is its ``written`` text.

    ``tool``: what the ± is from, where nobody stated it; ``across``: read with flat jaws over the tips; ``flags``: the
    help that reading it needed; ``unrecorded``: nobody recorded this size of any candidate.
    """

    name: str
    dimension: str
    written: str
    value: float | None = None
    within: float = 0.0
    unit: str = ""
    tool: str = ""
    across: bool = False
    flags: tuple[str, ...] = ()
    unrecorded: bool = False


class ReadingHeld(msgspec.Struct, frozen=True):
    """One reading (by its place among the readings, from 0) held against a candidate's ``feature``: what is recorded
    there, as each source states it, and how many deviations off the reading lies.

    ``deviations`` is None where the size is not recorded, and where it is another count, word or look (not ``agrees``).
    ``teeth``: over how many tips flat jaws were taken to read. ``absent``: the candidate is known to lack the feature.
    """

    reading: int
    feature: str
    agrees: bool
    deviations: float | None = None
    recorded: tuple[Value, ...] = ()
    teeth: tuple[int, ...] = ()
    absent: bool = False


class Candidate(msgspec.Struct, frozen=True):
    """A number that is left. ``odds``: how many times less likely than the likeliest; ``deviations``: how far off the
    worst reading lies (0: within the limits, or none is recorded); ``unrecorded``: which readings are not recorded of
    it; ``also``: other numbers from which nothing recorded tells it apart."""

    part: str
    odds: float
    deviations: float
    name: str = ""
    part_type: str = ""
    hand: str = ""
    also: tuple[str, ...] = ()
    unrecorded: tuple[int, ...] = ()
    held: tuple[ReadingHeld, ...] = ()


class NearestMiss(msgspec.Struct, frozen=True):
    """The number that misses least where none is left: fewest other counts and words (``unequal``), then the least
    deviations."""

    part: str
    deviations: float
    unequal: int
    name: str = ""
    part_type: str = ""
    also: tuple[str, ...] = ()
    held: tuple[ReadingHeld, ...] = ()


class IdentifyAnswer(Answer, frozen=True):
    """Which numbers the part may be, likeliest first; ``none``: the nearest miss where no number is left.

    ``measure``: the one further measurement that tells most (None: nothing recorded tells those left apart);
    ``apart``: the first two told apart. ``part_types``: of which types numbers were looked at, ``looked_at`` how many.
    ``assumed_limits``: some size is recorded without limits, and taken as ±0.05 mm.
    """

    candidates: tuple[Candidate, ...]
    none: NearestMiss | None
    measure: Measure | None
    apart: TellApartAnswer | None
    readings: tuple[ReadingSaid, ...]
    part_types: tuple[str, ...]
    looked_at: int
    assumed_limits: bool = False
    cautions: tuple[str, ...] = SHORT_CAUTIONS


def identify(catalogue: Catalogue, typed: Sequence[str], part_type: str = "", tool_name: str = "") -> IdentifyAnswer:
    """Which part is this?

    ``typed``: readings, ``FEATURE: DIMENSION = VALUE, ...``; ``part_type``: what it is, if that is known;
    ``tool_name``: what was used where no ± is said. Raises UnknownNameError, RequestError.
    """
    if not typed:
        raise RequestError("no reading. Write at least one, such as 'external spline: teeth = 25'")
    tool = tool_named(catalogue, tool_name) if tool_name else None
    parts, names = _candidates(catalogue, [split(t)[0] for t in typed], part_type)
    features = [catalogue.features_of(p) for p in parts]
    readings = _readings(Reader(catalogue, features, tool), typed, names)
    if tool and not any(r.is_size and tool.unit == r.unit for r in readings):
        raise RequestError(f"none of these readings is taken with a {tool.name}")
    weighed = weigh(catalogue, parts, readings)
    left = [w for w in weighed if w.is_left]
    lines = _lines(catalogue, left)
    best = lines[0][0].log_likelihood if lines else 0.0
    candidates = tuple(_candidate(catalogue, line, best, readings) for line in lines)
    weights = {w.part: math.exp(max(w.log_likelihood - best, -MOST_ODDS)) for w in left}
    several = len(candidates) > 1
    return IdentifyAnswer(
        candidates=candidates,
        none=None if candidates else _miss(catalogue, weighed, readings),
        measure=_next(catalogue, weights, left, candidates) if several else None,
        apart=tell_apart(catalogue, candidates[0].part, candidates[1].part) if several else None,
        readings=tuple(_said(r, i, weighed) for i, r in enumerate(readings)),
        part_types=tuple(sorted({catalogue.parts[p].part_type for p in parts})),
        looked_at=len(parts),
        assumed_limits=_assumes(weighed),
        cautions=cautions_with(catalogue, [c.part for c in candidates], short_cautions_on(catalogue)),
    )


def _next(
    catalogue: Catalogue, weights: Mapping[str, float], left: Iterable[Weighed], candidates: Iterable[Candidate]
) -> Measure | None:
    """The further measurement, with what it should show on each candidate."""
    found = further(catalogue, weights, _already_read(left))
    if found is None:
        return None
    return msgspec.structs.replace(found, expected=tuple(expected_of(catalogue, c.part, found) for c in candidates))


def tool_named(catalogue: Catalogue, name: str) -> Tool:
    """The tool of this name. Raises UnknownNameError."""
    tool = catalogue.vocabulary.tools.named(name)
    if tool is None:
        known = [n for t in catalogue.vocabulary.tools.by_name.values() for n in (t.name, *t.other_names)]
        raise UnknownNameError("tool", name, nearest(name, known))
    return tool


def type_named(catalogue: Catalogue, name: str) -> str:
    """The part type that a word names, by its label or as the trade calls it. Raises UnknownNameError,
    SeveralReadingsError where the trade calls several so."""
    vocabulary = catalogue.vocabulary
    return name_meant("part type", name, vocabulary.part_types, vocabulary.others("PartType"))


def _candidates(catalogue: Catalogue, names: Sequence[str], part_type: str) -> tuple[list[str], dict[str, Named]]:
    """The numbers that the part may be, and what each name means. Of every type of which some number has all the
    features; of the part type alone, where it is said."""
    if part_type:
        wanted = type_named(catalogue, part_type)
        types = [t for t in catalogue.numbers_of_type if catalogue.vocabulary.is_a(t, wanted)]
        if not types:
            raise RequestError(f"no part of the type {wanted!r} is recorded")
    else:
        types = list(catalogue.numbers_of_type)
    features = {t: [catalogue.features_of(n) for n in catalogue.numbers_of_type[t]] for t in types}
    every = [own for t in types for own in features[t]]
    found: dict[str, Named] = {}
    for name in dict.fromkeys(names):
        named = meant(catalogue, name, every)
        if named is None:
            raise unknown_feature(catalogue, name, every)
        found[name] = named
    having = [t for t in types if all(any(n.of(own) for own in features[t]) for n in found.values())]
    if not having:
        raise RequestError(f"no part type has all of these features: {', '.join(found)}. Name fewer")
    return sorted(n for t in having for n in catalogue.numbers_of_type[t]), found


def _readings(reader: Reader, typed: Sequence[str], names: Mapping[str, Named]) -> list[Reading]:
    """All readings, those of one feature together, in the order in which the features are first named."""
    found: dict[Named, list[Reading]] = {}
    for name, items in map(split, typed):
        found.setdefault(names[name], []).extend(reader.readings(names[name], items))
    readings = [reading for readings in found.values() for reading in readings]
    _agree(readings)
    return readings


def _agree(readings: Iterable[Reading]) -> None:
    """Raises RequestError where one thing is read as two: a size may be read twice, a count not."""
    said: dict[tuple[Named, str], Reading] = {}
    for reading in readings:
        if reading.is_size:
            continue
        other = said.setdefault((reading.named, reading.dimension), reading)
        if (other.value, other.code, other.there) != (reading.value, reading.code, reading.there):
            read = f"{other.written!r} and as {reading.written!r}"
            raise RequestError(f"{reading.dimension or 'the feature'} is read as {read}. Write one of them")


def _by_record(catalogue: Catalogue, weighed: Iterable[Weighed]) -> list[list[Weighed]]:
    """Those together that nothing recorded tells apart."""
    alike: dict[Hashable, list[Weighed]] = {}
    for one in weighed:
        alike.setdefault(_recorded(catalogue, catalogue.parts[one.part]), []).append(one)
    return list(alike.values())


def _lines(catalogue: Catalogue, left: Iterable[Weighed]) -> list[list[Weighed]]:
    """Those left, likeliest first (to the ninth decimal of a logarithm); of equally likely ones those first of which
    more is recorded."""

    def order(line: list[Weighed]) -> tuple[float, int, str]:
        first = line[0]
        return -round(first.log_likelihood, 9), sum(h.off is None for h in first.held), first.part

    return sorted(_by_record(catalogue, left), key=order)


def _recorded(catalogue: Catalogue, part: Part) -> Hashable:
    """Everything by which a part can be told from another: what it is, its hand, and all of its sizes that compute."""
    things = {"": part.part} | {
        f"{m.position}/{m.side}/{m.quantity}": member_thing(m) for m in catalogue.set_members.get(part.part, ())
    }
    sizes = {label: _signature(catalogue.features_of(thing)) for label, thing in things.items()}
    return part.part_type, part.hand, part.one_use, frozenset(sizes.items())


def _signature(features: Mapping[str, Feature]) -> Hashable:
    said = []
    for name, feature in features.items():
        known = {d: known_of(s) for d, s in feature.dimensions.items()}
        sizes = frozenset((d, _of_known(k)) for d, k in known.items() if k.sizes)
        said.append((name, feature.kind, presence_of(feature), sizes))
    return frozenset(said)


def _of_known(known: Known) -> Hashable:
    """A size without the way in which it was stated, to the sixth decimal: as finely as sizes are compared."""
    return tuple(
        (*(None if x is None else round(x, 6) for x in (s.low, s.high)), s.code) for s in known.sizes
    )  # fmt: skip


def _already_read(left: Iterable[Weighed]) -> frozenset[tuple[str, str]]:
    """The sizes that are read, by feature; a feature that was looked for, with a blank."""
    return frozenset((h.feature, h.reading.dimension) for w in left for h in w.held)


def _candidate(catalogue: Catalogue, line: Sequence[Weighed], best: float, readings: Sequence[Reading]) -> Candidate:
    first = line[0]
    part = catalogue.parts[first.part]
    return Candidate(
        part=first.part,
        odds=math.exp(min(best - first.log_likelihood, MOST_ODDS)),
        deviations=first.deviations,
        name=part.name,
        part_type=part.part_type,
        hand=part.hand,
        also=tuple(w.part for w in line[1:]),
        unrecorded=tuple(readings.index(h.reading) for h in first.held if h.off is None),
        held=_held(catalogue, first, readings),
    )


def _held(catalogue: Catalogue, weighed: Weighed, readings: Sequence[Reading]) -> tuple[ReadingHeld, ...]:
    """Each reading beside what is recorded of one number."""
    features = catalogue.features_of(weighed.part)
    found = []
    for held in weighed.held:
        feature = features.get(held.feature)
        dimension = held.reading.dimension
        stated = dimension and not held.absent and feature is not None and held.recorded.sizes
        values = (
            values_of(catalogue.vocabulary, feature, dimension, weighed.part, FeatureSize("", dimension))
            if stated else ()
        )  # fmt: skip
        found.append(
            ReadingHeld(
                reading=readings.index(held.reading),
                feature=held.feature,
                agrees=held.is_left,
                deviations=held.off if held.off is not None and math.isfinite(held.off) else None,
                recorded=tuple(v for v in values if v.computes),
                teeth=held.jaws,
                absent=held.absent,
            )
        )
    return tuple(found)


def _miss(catalogue: Catalogue, weighed: Sequence[Weighed], readings: Sequence[Reading]) -> NearestMiss:
    def miss(line: list[Weighed]) -> tuple[int, float, float, str]:
        first = line[0]
        return first.unequal, round(first.deviations, 9), round(first.total_off, 9), first.part

    line = min(_by_record(catalogue, weighed), key=miss)
    first = line[0]
    part = catalogue.parts[first.part]
    return NearestMiss(
        part=first.part,
        deviations=first.deviations,
        unequal=first.unequal,
        name=part.name,
        part_type=part.part_type,
        also=tuple(w.part for w in line[1:]),
        held=_held(catalogue, first, readings),
    )


def _said(reading: Reading, number: int, weighed: Sequence[Weighed]) -> ReadingSaid:
    return ReadingSaid(
        name=reading.named.name,
        dimension=reading.dimension,
        written=reading.written,
        value=reading.value,
        within=reading.within,
        unit="" if reading.unit in ("code", "count") else reading.unit,
        tool=reading.tool,
        across=bool(reading.over),
        flags=reading.flags,
        unrecorded=all(w.held[number].off is None for w in weighed),
    )


def _assumes(weighed: Iterable[Weighed]) -> bool:
    """Whether some size that was compared is recorded without limits."""
    held = (h for w in weighed for h in w.held if h.reading.is_size)
    return any(s.low is not None and s.low == s.high for h in held for s in h.recorded.sizes)
