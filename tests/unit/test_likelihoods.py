"""How likely a reading is, and how much another would tell: against integration and against the plain formula."""

from __future__ import annotations

import math
from statistics import NormalDist

import pytest
from hypothesis import given
from hypothesis import strategies as st

from knockon.graph.formulas.likelihoods import (
    Outcome,
    deviations_off,
    information,
    log_density,
    log_mean,
    most_information,
)


def folded(reading: float, low: float, high: float, deviation: float, steps: int = 2000) -> float:
    """The density by adding up thin slices of the true size (the middle of each)."""
    width = (high - low) / steps
    middles = (low + (i + 0.5) * width for i in range(steps))
    return math.fsum(NormalDist(m, deviation).pdf(reading) for m in middles) / steps


@pytest.mark.parametrize(
    ("reading", "low", "high", "deviation"),
    [(27.41, 27.36, 27.46, 0.015), (27.5, 27.36, 27.46, 0.015), (10, 9.99, 10.01, 0.5), (3, 1, 9, 0.01), (0, -1, 1, 1)],
)
def test_the_density_is_that_of_slices_added_up(reading: float, low: float, high: float, deviation: float) -> None:
    told = math.exp(log_density(reading, low, high, deviation))
    assert told == pytest.approx(folded(reading, low, high, deviation), rel=1e-4)


@pytest.mark.parametrize("off", [5.0, 20.0, 34.9, 35.1, 60.0, 1000.0])
@pytest.mark.parametrize("width", [1e-9, 1e-5, 0.01, 3.0])
def test_far_off_the_logarithm_keeps_its_figures(off: float, width: float) -> None:
    """Far out the tail is that of its nearest end: exp(-u a) times exp(-a^2/2), added up over the interval."""
    ours = log_density(0.0, off, off + width, 1.0)
    steps = 20_000
    reach = min(width, 40 / off)  # beyond that nothing is left of it
    step = reach / steps
    slices = math.fsum(math.exp(-u * off - u * u / 2) for u in ((i + 0.5) * step for i in range(steps))) * step
    expected = -off * off / 2 - math.log(2 * math.pi) / 2 + math.log(slices) - math.log(width)
    assert ours == pytest.approx(expected, rel=1e-7, abs=1e-4)
    assert log_density(0.0, -off - width, -off, 1.0) == pytest.approx(ours, rel=1e-9)


def test_one_value_has_the_normal_density_and_an_exact_tool_that_of_the_size() -> None:
    assert log_density(1.02, 1.0, 1.0, 0.02) == pytest.approx(math.log(NormalDist(1.0, 0.02).pdf(1.02)))
    assert log_density(1.5, 1.0, 3.0, 0.0) == pytest.approx(math.log(0.5))
    assert log_density(3.5, 1.0, 3.0, 0.0) == -math.inf
    assert log_density(1.0, 1.0, 1.0, 0.0) == 0.0
    with pytest.raises(ValueError, match="no limits"):
        log_density(1.0, 2.0, 1.0, 0.1)


@given(st.floats(-50, 50), st.floats(-50, 50), st.floats(0, 20), st.floats(1e-3, 5))
def test_it_is_never_above_what_is_possible_and_narrowing_is_smooth(
    reading: float, low: float, width: float, deviation: float
) -> None:
    told = log_density(reading, low, low + width, deviation)
    assert told <= -math.log(deviation) - math.log(2 * math.pi) / 2 + 1e-9
    assert math.isfinite(told)


def test_how_far_off() -> None:
    assert deviations_off(5.0, 4.0, 6.0, 0.1) == 0
    assert deviations_off(6.3, 4.0, 6.0, 0.1) == pytest.approx(3.0)
    assert deviations_off(3.8, 4.0, None, 0.1) == pytest.approx(2.0)
    assert deviations_off(3.8, None, None, 0.1) == 0
    assert deviations_off(3.8, 4.0, 6.0, 0.0) == math.inf


def test_the_mean_of_small_numbers() -> None:
    assert log_mean([-1000.0, -1000.0]) == pytest.approx(-1000.0)
    assert log_mean([-math.inf, math.log(4)]) == pytest.approx(math.log(2))
    assert log_mean([-math.inf]) == -math.inf
    with pytest.raises(ValueError, match="no numbers"):
        log_mean([])


def bits_by_slices(outcomes: list[Outcome], deviation: float) -> float:
    """H(reading) - H(reading | which), each integral added up in thin slices."""
    ends = [x for o in outcomes for limits in o.limits for x in limits]
    low, high = min(ends) - 9 * deviation, max(ends) + 9 * deviation
    steps = 6000
    step = (high - low) / steps
    total = sum(o.weight for o in outcomes)
    recorded = [o for o in outcomes if o.limits]
    number = sum(o.number for o in recorded)

    def density(outcome: Outcome, at: float) -> float:
        if not outcome.limits:
            return sum(o.number / number * density(o, at) for o in recorded)
        normal = NormalDist(0, deviation)
        found = 0.0
        for a, b in outcome.limits:
            found += (normal.cdf(b - at) - normal.cdf(a - at)) / (b - a) if b > a else normal.pdf(at - a)
        return found / len(outcome.limits)

    def entropy(densities: list[float]) -> float:
        return -sum(p * math.log2(p) for p in densities if p > 0) * step

    points = [low + (i + 0.5) * step for i in range(steps)]
    each = [[density(o, x) for x in points] for o in outcomes]
    mixed = [sum(o.weight / total * d[i] for o, d in zip(outcomes, each, strict=True)) for i in range(steps)]
    given_which = sum(o.weight / total * entropy(d) for o, d in zip(outcomes, each, strict=True))
    return entropy(mixed) - given_which


CASES = [
    ([Outcome(((10.0, 10.1),), 1), Outcome(((10.5, 10.6),), 1)], 0.01),
    ([Outcome(((10.0, 10.1),), 1), Outcome(((10.05, 10.15),), 0.2), Outcome((), 0.5)], 0.025),
    ([Outcome(((10.0, 10.1), (10.4, 10.5)), 1, 2), Outcome(((10.2, 10.2),), 3), Outcome((), 1, 3)], 0.05),
    ([Outcome(((10.0, 12.0),), 1), Outcome(((11.0, 11.001),), 1)], 0.1),
]


@pytest.mark.parametrize(("outcomes", "deviation"), CASES)
def test_information_is_that_of_slices_added_up(outcomes: list[Outcome], deviation: float) -> None:
    told = information(outcomes, deviation)
    assert told == pytest.approx(bits_by_slices(outcomes, deviation), abs=2e-4)
    assert told <= most_information(outcomes) + 1e-9


def test_information_of_counts() -> None:
    two = [Outcome(((21, 21),), 1), Outcome(((25, 25),), 1)]
    assert information(two, None) == pytest.approx(1.0)
    assert information([*two, Outcome((), 2)], None) == pytest.approx(0.5)
    assert information(two[:1], None) == 0.0
    assert information([Outcome((), 1), Outcome((), 1)], None) == 0.0
    either = [Outcome(((21, 21), (25, 25)), 1), Outcome(((25, 25),), 1)]
    assert information(either, None) == pytest.approx(1.5 - 0.75 * math.log2(3))
