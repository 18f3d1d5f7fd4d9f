"""How well each candidate explains the readings: the factor of each reading, and how far off it lies.

A size that is recorded without limits has none: it is taken as the recorded value ±0.05 mm, in another unit as wide as
its usual tool reads. Of several sources the best standing counts; where equal ones differ, each is as likely. What is
not recorded of a candidate counts as the mean of those of which it is recorded, so that it speaks neither for nor
against it.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from itertools import groupby

import msgspec

from knockon.graph.formulas.likelihoods import deviations_off, log_density, log_mean
from knockon.graph.formulas.splines.involute import flat_jaw_reading
from knockon.graph.judge.beliefs import Known, Size, known_of, presence_of
from knockon.graph.model.catalogue import Catalogue
from knockon.graph.model.things import Feature
from knockon.queries.find.readings_typed import Reading, are_there

NOMINAL_HALF = 0.05
"""mm: how far a size that is recorded without limits may lie from its number. An assumption, common practice."""
LEFT_WITHIN = 3.0
"""Standard deviations beyond which a reading rules a candidate out."""
ABSENT, NO_SIZE = "known absent", "not recorded"


class Held(msgspec.Struct, frozen=True):
    """One reading held against one candidate: the logarithm of its factor and how far it lies off (infinitely: a
    count, a word or a look that is another); None for both: not recorded. ``feature``: the one that it is held
    against, ``recorded``: what computes there."""

    reading: Reading
    feature: str = ""
    log_factor: float | None = None
    off: float | None = None
    recorded: Known = Known()
    absent: bool = False
    jaws: tuple[int, ...] = ()

    @property
    def is_left(self) -> bool:
        """Whether this reading leaves the candidate in."""
        return self.off is None or self.off <= LEFT_WITHIN


class Weighed(msgspec.Struct, frozen=True):
    """One candidate with each reading, and the logarithm of its likelihood."""

    part: str
    held: tuple[Held, ...]
    log_likelihood: float

    @property
    def is_left(self) -> bool:
        """Whether every reading leaves it in."""
        return all(h.is_left for h in self.held)

    @property
    def deviations(self) -> float:
        """How far off the worst reading of a size lies; 0 where none is recorded."""
        return max((h.off for h in self.held if h.off is not None and math.isfinite(h.off)), default=0.0)

    @property
    def total_off(self) -> float:
        """How far off all readings of sizes lie together."""
        return math.fsum(h.off for h in self.held if h.off is not None and math.isfinite(h.off))

    @property
    def unequal(self) -> int:
        """How many counts, words and looks are others."""
        return sum(h.off is not None and math.isinf(h.off) for h in self.held)


def limits_of(catalogue: Catalogue, kind: str, dimension: str, size: Size) -> tuple[float, float] | None:
    """Between which values a size lies; None where an end is open."""
    if size.low is None or size.high is None:
        return None
    if size.high - size.low > 1e-9:
        return size.low, size.high
    unit = catalogue.vocabulary.unit_of(catalogue.vocabulary.kinds[kind], dimension)
    if unit == "count":
        return size.low, size.high
    tool = catalogue.vocabulary.usual_tool(kind, dimension)
    half = NOMINAL_HALF if unit == "mm" else tool.within if tool else 0.0
    middle = (size.low + size.high) / 2
    return middle - half, middle + half


def weigh(catalogue: Catalogue, parts: Sequence[str], readings: Sequence[Reading]) -> list[Weighed]:
    """Every candidate with its likelihood, in the order of ``parts``."""
    means = [0.0] * len(readings)
    options = {part: _options(catalogue, part, readings) for part in parts}
    for i, _ in enumerate(readings):
        found = [_best(held[i] for held in _each(options[part], i)) for part in parts]
        logs = [x for x in found if x is not None]
        mean = log_mean(logs) if logs else 0.0
        means[i] = mean if math.isfinite(mean) else 0.0  # none is equal: all that are left lack it alike
    return [_weighed(part, options[part], means) for part in parts]


Options = list[list[dict[int, Held]]]
"""For each name its features, each with its readings by their number."""


def _options(catalogue: Catalogue, part: str, readings: Sequence[Reading]) -> Options:
    features = catalogue.features_of(part)
    found: Options = []
    for named, numbered in groupby(enumerate(readings), key=lambda pair: pair[1].named):
        own = list(numbered)
        meant = named.of(features)
        there = [f for f in meant if presence_of(f) != "absent"]
        if not there:
            absent = are_there(meant) == "absent"
            found.append([{i: _without(r, meant, absent) for i, r in own}])
        else:
            found.append([{i: _held(catalogue, r, f, _counts(own, f, r)) for i, r in own} for f in there])
    return found


def _each(options: Options, number: int) -> list[dict[int, Held]]:
    return [held for features in options for held in features if number in held]


def _best(held: Iterable[Held]) -> float | None:
    return max((h.log_factor for h in held if h.log_factor is not None), default=None)


def _weighed(part: str, options: Options, means: Sequence[float]) -> Weighed:
    """Readings under one name are of one feature: the one that explains them best."""
    chosen: list[Held] = []
    total = 0.0
    for features in options:
        ranked = [(all(h.is_left for h in held.values()), _sum(held, means), held) for held in features]
        _, log_likelihood, held = max(ranked, key=lambda r: r[:2])
        total += log_likelihood
        chosen += held.values()
    return Weighed(part, tuple(chosen), total)


def _sum(held: Mapping[int, Held], means: Sequence[float]) -> float:
    return math.fsum(means[i] if h.log_factor is None else h.log_factor for i, h in held.items())


def _without(reading: Reading, meant: Sequence[Feature], absent: bool) -> Held:
    """A reading of a feature that the candidate is known to lack, or of which nothing is recorded."""
    feature = meant[0].name if meant else ""
    if not absent:
        return Held(reading, feature)
    equal = reading.there is False
    return Held(reading, feature, 0.0 if equal else -math.inf, 0.0 if equal else math.inf, absent=True)


def _counts(own: Sequence[tuple[int, Reading]], feature: Feature, reading: Reading) -> tuple[int, ...]:
    """Over how many tips flat jaws read: as the candidate has them recorded, else as they were counted."""
    if not reading.over:
        return ()
    recorded = known_of(feature.dimensions.get(reading.over, ())).sizes
    found = [s.low for s in recorded if s.low is not None and s.low == s.high]
    counted = [r.value for _, r in own if r.dimension == reading.over and r.value is not None and not r.within]
    return tuple(int(n) for n in found or counted if n >= 3)


def _held(catalogue: Catalogue, reading: Reading, feature: Feature, counts: tuple[int, ...]) -> Held:
    if reading.there is not None:
        return Held(reading, feature.name, 0.0 if reading.there else -math.inf, 0.0 if reading.there else math.inf)
    known = known_of(feature.dimensions.get(reading.dimension, ()))
    if not known.sizes or (reading.over and not counts):  # over how many tips? the jaws may show anything
        return Held(reading, feature.name)
    told = [_of_size(catalogue, feature.kind, reading, size, counts) for size in known.sizes]
    offs = [off for _, off in told]
    logs = [log for log, _ in told if log is not None]
    log_factor = log_mean(logs) if logs else None
    off = min(offs) if log_factor is not None or min(offs) > LEFT_WITHIN else None
    return Held(reading, feature.name, log_factor, off, known, jaws=counts)


def _of_size(
    catalogue: Catalogue, kind: str, reading: Reading, size: Size, counts: tuple[int, ...]
) -> tuple[float | None, float]:
    """The logarithm of the factor of one recorded size (None: it has no two ends), and how far off the reading is."""
    if reading.code is not None or size.code is not None:
        return _if(size.code == reading.code)
    assert reading.value is not None
    if reading.unit == "count":
        low, high = (math.inf if x is None else x for x in (size.low, size.high))
        return _if((size.low is None or low <= reading.value + reading.within)
                   and (size.high is None or high >= reading.value - reading.within))  # fmt: skip
    limits = limits_of(catalogue, kind, reading.dimension, size)
    if limits is None:
        return None, deviations_off(reading.value, size.low, size.high, reading.deviation)
    each = [_seen(limits, n) for n in counts] or [limits]
    logs = [log_density(reading.value, low, high, reading.deviation) for low, high in each]
    return log_mean(logs), min(deviations_off(reading.value, low, high, reading.deviation) for low, high in each)


def _seen(limits: tuple[float, float], count: int) -> tuple[float, float]:
    """Limits as flat jaws read them over this many tips."""
    low, high = (flat_jaw_reading(x, float(count)) for x in limits)
    assert isinstance(low, float) and isinstance(high, float)
    return low, high


def _if(equal: bool) -> tuple[float, float]:
    return (0.0, 0.0) if equal else (-math.inf, math.inf)
