"""Which part it is, by the plain formula and by adding up slices: nothing of the program is imported here.

A candidate is a mapping from (feature, dimension) to what is recorded of it: a pair of limits, a whole number or a
word; what it lacks is not recorded. A reading names one of these with a value and a ±, or a number or word.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from statistics import NormalDist
from typing import NamedTuple

Recorded = tuple[float, float] | int | str
Candidate = Mapping[tuple[str, str], Recorded]
NORMAL = NormalDist()


class Reading(NamedTuple):
    """``within``: the stated ±, two standard deviations; ``over``: what counts the tips that flat jaws touch."""

    feature: str
    dimension: str
    value: float | int | str
    within: float = 0.0
    over: str = ""


def seen(candidate: Candidate, reading: Reading, readings: Sequence[Reading]) -> Recorded | None:
    """What is recorded, as flat jaws would read it where they are used."""
    recorded = candidate.get((reading.feature, reading.dimension))
    if not reading.over or not isinstance(recorded, tuple):
        return recorded
    counted = [r.value for r in readings if (r.feature, r.dimension) == (reading.feature, reading.over)]
    teeth = candidate.get((reading.feature, reading.over), counted[0] if counted else None)
    if not isinstance(teeth, int):
        return None  # over how many tips? nobody knows what the jaws would show
    share = (1 + math.cos(math.pi / teeth)) / 2 if teeth % 2 else 1.0
    return recorded[0] * share, recorded[1] * share


def factor(recorded: Recorded, reading: Reading) -> float:
    """How likely the reading is."""
    if not isinstance(recorded, tuple):
        return float(recorded == reading.value)
    assert not isinstance(reading.value, str)
    low, high, s = *recorded, reading.within / 2
    return (NORMAL.cdf((high - reading.value) / s) - NORMAL.cdf((low - reading.value) / s)) / (high - low)


def off(recorded: Recorded, reading: Reading) -> float:
    """How many deviations off it is."""
    if not isinstance(recorded, tuple):
        return 0.0 if recorded == reading.value else math.inf
    assert not isinstance(reading.value, str)
    return max(recorded[0] - reading.value, reading.value - recorded[1], 0) / (reading.within / 2)


def likelihoods(candidates: Mapping[str, Candidate], readings: Sequence[Reading]) -> dict[str, float]:
    """Of those left, how likely all readings are."""
    found = {}
    for name, candidate in candidates.items():
        told = [seen(candidate, r, readings) for r in readings]
        if any(rec is not None and off(rec, r) > 3 for rec, r in zip(told, readings, strict=True)):
            continue
        found[name] = math.prod(
            factor(rec, r) if rec is not None else mean(candidates, r, readings)
            for rec, r in zip(told, readings, strict=True)
        )
    return found


def mean(candidates: Mapping[str, Candidate], reading: Reading, readings: Sequence[Reading]) -> float:
    """The mean factor of those of which it is recorded; 1 where of none."""
    told = [seen(c, reading, readings) for c in candidates.values()]
    factors = [factor(rec, reading) for rec in told if rec is not None]
    return sum(factors) / len(factors) if factors else 1.0


def bits(candidates: Mapping[str, Candidate], weights: Mapping[str, float], size: tuple[str, str], s: float) -> float:
    """What a reading of this size would tell about which of these it is (s: the tool's deviation)."""
    recorded = {n: candidates[n][size] for n in weights if size in candidates[n]}
    total = sum(weights.values())
    if not recorded:
        return 0.0
    if not all(isinstance(rec, tuple) for rec in recorded.values()):
        values = sorted(set(recorded.values()), key=str)
        rows = {n: [float(rec == v) for v in values] for n, rec in recorded.items()}
        step = 1.0
    else:
        limits = {n: rec for n, rec in recorded.items() if isinstance(rec, tuple)}
        low, high = min(a for a, _ in limits.values()) - 8 * s, max(b for _, b in limits.values()) + 8 * s
        steps = min(max(round((high - low) / s * 8), 200), 60_000)
        step = (high - low) / steps
        points = [low + (i + 0.5) * step for i in range(steps)]
        rows = {n: [(NORMAL.cdf((b - x) / s) - NORMAL.cdf((a - x) / s)) / (b - a) for x in points]
                for n, (a, b) in limits.items()}  # fmt: skip
    length = len(next(iter(rows.values())))
    even = [sum(row[i] for row in rows.values()) / len(rows) for i in range(length)]
    every = {n: rows.get(n, even) for n in weights}
    mixed = [sum(weights[n] / total * every[n][i] for n in weights) for i in range(length)]

    def entropy(row: Sequence[float]) -> float:
        return -sum(p * math.log2(p) for p in row if p > 0) * step

    return entropy(mixed) - sum(weights[n] / total * entropy(every[n]) for n in weights)
