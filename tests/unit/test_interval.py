"""Closed intervals: ends count, the sign is lost at zero only, and powers below zero are quotients."""

from __future__ import annotations

import pytest

from knockon.graph.formulas.interval import DividedByZeroError, Interval, middle, sqrt, width


def test_intervals_that_touch_share_their_end() -> None:
    assert Interval(1.0, 2.0).overlaps(Interval(2.0, 3.0)) and Interval(2.0, 3.0).overlaps(Interval(1.0, 2.0))
    assert not Interval(1.0, 2.0).overlaps(2.5) and not Interval(3.0, 4.0).overlaps(2.5)


@pytest.mark.parametrize(
    ("given", "size"),
    [((0.2, 0.5), (0.2, 0.5)), ((-0.5, -0.2), (0.2, 0.5)), ((-5.0, -3.0), (3.0, 5.0)), ((-0.5, 0.2), (0.0, 0.5))],
)
def test_the_size_without_its_sign(given: tuple[float, float], size: tuple[float, float]) -> None:
    assert abs(Interval(*given)) == Interval(*size)


def test_a_power_below_zero_is_one_over_the_power() -> None:
    assert Interval(2.0, 4.0) ** -1 == Interval(0.25, 0.5)
    assert Interval(-4.0, -2.0) ** -2 == Interval(1 / 16, 0.25)
    with pytest.raises(DividedByZeroError):
        Interval(-1.0, 1.0) ** -1


def test_no_root_of_what_reaches_below_zero() -> None:
    for value in (Interval(-0.5, 1.0), -0.5):
        with pytest.raises(ValueError, match="reaches below zero"):
            sqrt(value)


def test_a_point_and_a_middle_with_its_half_width() -> None:
    assert Interval.point(3.0) == Interval(3.0, 3.0)
    assert Interval.around(3.0, 0.5) == Interval(2.5, 3.5)
    assert Interval.point(3.0).is_point is True
    assert Interval.around(3.0, 0.5).is_point is False


def test_the_middle_lies_half_way_and_a_number_has_no_width() -> None:
    assert (middle(Interval(1.0, 4.0)), width(Interval(1.0, 4.0))) == (2.5, 3.0)
    assert (middle(-2.0), width(-2.0)) == (-2.0, 0.0)


def test_nothing_times_what_has_no_limit_is_nothing() -> None:
    up = Interval(2.0, float("inf"))
    assert Interval(0.0, 1.0) * up == up * Interval(0.0, 1.0) == Interval(0.0, float("inf"))
    assert Interval(0.0, 1.0) * -up == Interval(-float("inf"), 0.0)
    assert Interval(0.0, 0.0) * up == Interval(0.0, 0.0)
