"""The one further measurement: the size not yet read that tells most about which of the candidates left it is."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

import msgspec

from knockon.graph.formulas.likelihoods import Outcome, information, most_information
from knockon.graph.judge.beliefs import known_of, presence_of
from knockon.graph.model.catalogue import Catalogue
from knockon.graph.model.schema import Tool, column_of
from knockon.graph.model.things import Feature
from knockon.queries.find.weighing import limits_of
from knockon.queries.fits.checking.evidence import Value, values_of
from knockon.queries.fits.checking.size_names import FeatureSize

TIE = 0.005
"""Bits: measurements that differ by no more are equally good, and one that tells no more does not help."""
MOST_COUNTED = 1000
NONE_THERE = (-1e6, -1e6)
"""What a look at a part shows that is known to lack the feature: no size at all."""


class Expected(msgspec.Struct, frozen=True):
    """What the further measurement should show on a candidate, as each source states it; none: not recorded.
    ``absent``: the candidate is known to lack the feature."""

    part: str
    values: tuple[Value, ...] = ()
    absent: bool = False


class Measure(msgspec.Struct, frozen=True):
    """The further measurement: how many ``bits`` it tells on average, and with what it is read. ``how`` says how, and
    ``within`` how far off the tool reads, in ``unit``. A blank dimension: look whether the feature is there."""

    feature: str
    dimension: str
    bits: float
    kind: str = ""
    tool: str = ""
    within: float = 0.0
    unit: str = ""
    how: str = ""
    expected: tuple[Expected, ...] = ()


def expected_of(catalogue: Catalogue, part: str, measure: Measure) -> Expected:
    """What the measurement should show on this number."""
    feature = catalogue.features_of(part).get(measure.feature)
    if feature is None or not measure.dimension:
        return Expected(part, absent=presence_of(feature) == "absent")
    if presence_of(feature) == "absent":
        return Expected(part, absent=True)
    name = FeatureSize("", measure.dimension)
    values = values_of(catalogue.vocabulary, feature, measure.dimension, part, name)
    return Expected(part, tuple(v for v in values if v.computes))


def further(
    catalogue: Catalogue, weights: Mapping[str, float], already_read: frozenset[tuple[str, str]]
) -> Measure | None:
    """What tells most about which of these numbers it is, each with its weight; None: nothing that is recorded does."""
    kept: list[tuple[float, Measure]] = []
    best = 0.0
    asked = [_outcomes(catalogue, weights, *key) for key in _dimensions(catalogue, weights, already_read)]
    for outcomes, deviation, measure in sorted(asked, key=lambda a: -most_information(a[0])):
        if most_information(outcomes) < max(best - TIE, TIE):
            break  # the rest can tell even less
        bits = information(outcomes, deviation)
        best = max(best, bits)
        kept.append((bits, measure))
    if best < TIE:
        return None
    tied = [(m.feature, m.dimension, bits, m) for bits, m in kept if bits >= best - TIE]
    _, _, bits, measure = min(tied, key=lambda t: t[:2])
    return msgspec.structs.replace(measure, bits=round(bits, 6))


Key = tuple[str, str, str, Tool]


def _dimensions(
    catalogue: Catalogue, weights: Mapping[str, float], already_read: frozenset[tuple[str, str]]
) -> Iterator[Key]:
    """Every size that is recorded of one of these numbers and not yet read, with its kind and its usual tool."""
    found: dict[tuple[str, str], str] = {}
    looks: dict[str, str] = {}
    for part in weights:
        for name, feature in catalogue.features_of(part).items():
            if presence_of(feature) == "absent":
                looks.setdefault(name, feature.kind)
                continue
            for dimension in feature.dimensions:
                found.setdefault((name, dimension), feature.kind)
    for (name, dimension), kind in sorted(found.items()):
        tool = catalogue.vocabulary.usual_tool(kind, dimension)
        if tool and (name, dimension) not in already_read:
            yield name, dimension, kind, tool
    for name, kind in sorted(looks.items()):
        if (name, "") not in already_read:
            yield name, "", kind, Tool("look", "code", 0.0)


def _outcomes(
    catalogue: Catalogue, weights: Mapping[str, float], name: str, dimension: str, kind: str, tool: Tool
) -> tuple[list[Outcome], float | None, Measure]:
    """What each number would show, those that are alike together."""
    codes: dict[str, int] = {}
    grouped: dict[tuple[tuple[float, float], ...], list[float]] = {}
    for part, weight in weights.items():
        feature = catalogue.features_of(part).get(name)
        limits = _would_show(catalogue, feature, dimension, kind, codes)
        grouped.setdefault(limits, []).append(weight)
    outcomes = [Outcome(limits, sum(w), len(w)) for limits, w in grouped.items()]
    exact = tool.unit in ("code", "count") or tool.within == 0
    column = catalogue.vocabulary.dimension(kind, column_of(dimension))
    label = catalogue.vocabulary.kinds[kind].label
    how = column.method if column else ""
    measure = Measure(name, dimension, 0.0, label, tool.name, tool.within, "" if exact else tool.unit, how)
    return outcomes, None if exact else tool.within / 2, measure


def _would_show(
    catalogue: Catalogue, feature: Feature | None, dimension: str, kind: str, codes: dict[str, int]
) -> tuple[tuple[float, float], ...]:
    """Between which limits a part's size lies; none: it is not recorded, or has an open end. A word is its number."""
    if feature is None or feature.kind != kind:
        return ()
    if presence_of(feature) == "absent":
        return (NONE_THERE,)
    if not dimension:
        return ((1.0, 1.0),)
    is_count = catalogue.vocabulary.unit_of(catalogue.vocabulary.kinds[kind], dimension) == "count"
    found = []
    for size in known_of(feature.dimensions.get(dimension, ())).sizes:
        if size.code is not None:
            number = float(codes.setdefault(size.code, len(codes)))
            found.append((number, number))
        else:
            limits = limits_of(catalogue, kind, dimension, size)
            found += _whole(limits) if limits and is_count else [limits] if limits else []
    return tuple(sorted(set(found)))


def _whole(limits: tuple[float, float]) -> list[tuple[float, float]]:
    """The whole numbers between two limits, as far as anybody counts."""
    first, last = round(limits[0]), round(limits[1])
    return [(float(n), float(n)) for n in range(first, min(last, first + MOST_COUNTED) + 1)]
