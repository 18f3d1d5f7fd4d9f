"""How likely a reading is of a size that is known between limits, and how much a further reading would tell.

The model: the true size is anywhere between its limits, each value as likely as the next, and the tool errs normally. A
reading r of a size between a and b with standard deviation s then has the density (P((b - r)/s) - P((a - r)/s))/(b - a)
with the normal distribution function P: the even density of the size folded with the normal one of the error (any
textbook of probability; the density of a sum of independent variables is the convolution of theirs). The information is
Shannon's (The Bell System Technical Journal 27, 1948, "A mathematical theory of communication"), in bits.

All sizes of one call in one unit. Densities are told as logarithms: far off, they are too small for a float.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import msgspec

__all__ = ["Outcome", "deviations_off", "information", "log_density", "log_mean", "most_information"]

_ROOT_2 = math.sqrt(2)
_LOG_ROOT_2_PI = math.log(2 * math.pi) / 2
_FAR = 35.0
"""Standard deviations beyond which erfc leaves the floats, and its series is exact to 1e-10."""
_NARROW = 1e-3
"""Below this the difference of two tails would lose its figures, and the middle of the interval says it better."""


def log_density(reading: float, low: float, high: float, deviation: float) -> float:
    """The natural logarithm of the density of a reading, where the true size lies evenly from ``low`` to ``high`` and
    the tool errs normally with the standard deviation ``deviation``; -inf where it is 0.

    All in one unit, the density in one over it. Where both limits are one value it is the normal density; where
    ``deviation`` is 0, that of the size itself. Source: the definition of a sum's density, as the module says.
    Raises ValueError where the limits are the wrong way round, or the deviation is below 0.
    """
    if low > high or deviation < 0:
        raise ValueError(f"no limits: {low!r} to {high!r}, deviation {deviation!r}")
    if deviation == 0:
        inside = low <= reading <= high
        return -math.inf if not inside else 0.0 if low == high else -math.log(high - low)
    a, b = (low - reading) / deviation, (high - reading) / deviation
    if a + b < 0:  # the same distance on the other side, so that both are in the upper tail
        a, b = -b, -a
    middle, width = (a + b) / 2, b - a
    if width * (1 + middle) < _NARROW:
        curve = (middle * middle - 1) * width * width / 24  # the next term of the series about the middle
        return -middle * middle / 2 - _LOG_ROOT_2_PI - math.log(deviation) + math.log1p(curve)
    return _log_between(a, b) - math.log(high - low)


def _log_between(a: float, b: float) -> float:
    """The logarithm of the share of a standard normal distribution between a and b, with a + b not below 0."""
    if a <= 0:
        return math.log((math.erf(b / _ROOT_2) - math.erf(a / _ROOT_2)) / 2)
    upper, lower = _log_tail(a), _log_tail(b)
    return upper + math.log1p(-math.exp(lower - upper))


def _log_tail(x: float) -> float:
    """The logarithm of the share of a standard normal distribution above x (above 0)."""
    if x < _FAR:
        return math.log(math.erfc(x / _ROOT_2) / 2)
    inverse = 1 / (x * x)
    return -x * x / 2 - math.log(x) - _LOG_ROOT_2_PI + math.log1p(-inverse * (1 - inverse * (3 - 15 * inverse)))


def deviations_off(reading: float, low: float | None, high: float | None, deviation: float) -> float:
    """By how many standard deviations a reading lies outside the limits of a size; 0 within them.

    All in one unit, the answer in none. A missing limit is none; without a deviation whatever lies outside is
    infinitely far. Source: the definition of a standard score.
    """
    below = low - reading if low is not None else 0.0
    above = reading - high if high is not None else 0.0
    off = max(below, above, 0.0)
    return 0.0 if off == 0 else off / deviation if deviation > 0 else math.inf


def log_mean(logs: Sequence[float]) -> float:
    """The logarithm of the mean of numbers that are given by their logarithms, all in one unit: from the definition of
    the mean, the greatest taken out first so that nothing leaves the floats. Raises ValueError for none.
    """
    if not logs:
        raise ValueError("the mean of no numbers")
    most = max(logs)
    if most == -math.inf:
        return most
    return most + math.log(math.fsum(math.exp(x - most) for x in logs) / len(logs))


class Outcome(msgspec.Struct, frozen=True):
    """What a further reading may show, if it is of one of some candidates that are alike in this.

    ``limits``: the true size lies in one of these intervals, each as likely; none: it is not recorded. ``weight``: how
    likely these candidates are, together; ``number``: how many they are.
    """

    limits: tuple[tuple[float, float], ...]
    weight: float
    number: int = 1


def information(outcomes: Sequence[Outcome], deviation: float | None) -> float:
    """How many bits a reading tells, on average, about which of the outcomes it comes from: the mutual information.

    Source: Shannon's definition, as the module says. ``deviation``: of the tool, normal, in the unit of the limits;
    None: the reading is exact, and each interval stands for its first end (a count, a code by its number). What is not
    recorded reads as the even mixture of all candidates that are recorded. Weights need not sum to 1. Numerical
    integration over steps of a quarter of the deviation: better than 1e-6 bit.
    """
    total = math.fsum(o.weight for o in outcomes)
    recorded = [o for o in outcomes if o.limits]
    if total <= 0 or len({o.limits for o in recorded}) < 2:
        return 0.0
    densities = [_density(o.limits, deviation) for o in recorded]
    everything: dict[int, float] = {}
    unrecorded: dict[int, float] = {}
    number = sum(o.number for o in recorded)
    for outcome, density in zip(recorded, densities, strict=True):
        for at, p in density.items():
            everything[at] = everything.get(at, 0.0) + outcome.weight / total * p
            unrecorded[at] = unrecorded.get(at, 0.0) + outcome.number / number * p
    open_ = math.fsum(o.weight for o in outcomes if not o.limits) / total
    if open_ > 0:
        for at, p in unrecorded.items():
            everything[at] += open_ * p
    told = [o.weight / total * _divergence(d, everything) for o, d in zip(recorded, densities, strict=True)]
    told.append(open_ * _divergence(unrecorded, everything) if open_ > 0 else 0.0)
    step = 1.0 if deviation is None else deviation * _STEP
    return max(math.fsum(told) * step, 0.0)


_STEP = 0.25
_REACH = 8.0
"""Standard deviations beyond the limits that are looked at: 1e-15 of the readings lie further off."""


def _density(limits: Sequence[tuple[float, float]], deviation: float | None) -> dict[int, float]:
    """The density of a reading at multiples of a step; of an exact one the share of each value."""
    found: dict[int, float] = {}
    for low, high in limits:
        if deviation is None:
            found[round(low)] = found.get(round(low), 0.0) + 1 / len(limits)
            continue
        step = deviation * _STEP
        first, last = math.floor((low - _REACH * deviation) / step), math.ceil((high + _REACH * deviation) / step)
        even = _even_density if high - low > _NARROW * deviation else _normal_density
        for at in range(first, last + 1):
            found[at] = found.get(at, 0.0) + even(at * step, low, high, deviation) / len(limits)
    return found


def _even_density(reading: float, low: float, high: float, deviation: float) -> float:
    """As ``log_density`` says, not as a logarithm: what is too small for a float tells nothing here."""
    scale = _ROOT_2 * deviation
    return (math.erf((high - reading) / scale) - math.erf((low - reading) / scale)) / (2 * (high - low))


def _normal_density(reading: float, low: float, high: float, deviation: float) -> float:
    off = ((low + high) / 2 - reading) / deviation
    return math.exp(-off * off / 2 - _LOG_ROOT_2_PI) / deviation


def most_information(outcomes: Sequence[Outcome]) -> float:
    """What no reading of these can tell more than, in bits (a unit of information): the entropy of which outcome it
    is, by Shannon's definition. Weights need not sum to 1; any that are not above 0 are left out.
    """
    total = math.fsum(o.weight for o in outcomes)
    shares = [o.weight / total for o in outcomes if o.weight > 0] if total > 0 else []
    return -math.fsum(p * math.log2(p) for p in shares)


def _divergence(one: dict[int, float], everything: dict[int, float]) -> float:
    return math.fsum(p * math.log2(p / everything[at]) for at, p in one.items() if p > 0)
