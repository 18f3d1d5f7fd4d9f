"""Closed intervals: a size that is known only between two limits, and arithmetic on it.

Everything that computes with sizes works on ``float | Interval`` (the alias ``Value``): floats in,
float out; one interval among the arguments, interval out. End points are computed in ordinary
floats and are not rounded outward: a size is read to about 1e-6 mm at best, nine orders of
magnitude above the error of a float. In a formula where one argument occurs twice, plain interval
arithmetic gives too wide an answer; :func:`over_corners` gives the exact one.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from itertools import product
from typing import TypeAlias

import msgspec

__all__ = [
    "DividedByZeroError",
    "Interval",
    "Value",
    "absolute",
    "as_interval",
    "high",
    "hull",
    "low",
    "maximum",
    "middle",
    "minimum",
    "over_corners",
    "sqrt",
    "width",
]


class DividedByZeroError(ZeroDivisionError):
    """The divisor is zero, or an interval that holds zero: the quotient has no limits."""


class Interval(msgspec.Struct, frozen=True):
    """All numbers from ``low`` to ``high``, both included. An end may be infinite.

    Raises ValueError where an end is not a number, or the ends are the wrong way round.
    """

    low: float
    high: float

    def __post_init__(self) -> None:
        if math.isnan(self.low) or math.isnan(self.high):
            raise ValueError("an end of an interval is not a number")
        if self.low > self.high:
            raise ValueError(f"the low end {self.low!r} lies above the high end {self.high!r}")

    @classmethod
    def point(cls, value: float) -> Interval:
        """The interval that holds this one number."""
        return cls(value, value)

    @classmethod
    def around(cls, middle: float, half_width: float) -> Interval:
        """``middle`` plus or minus ``half_width`` (which is not negative)."""
        return cls(middle - half_width, middle + half_width)

    @property
    def is_point(self) -> bool:
        """Whether the interval holds exactly one number."""
        return self.low == self.high

    @property
    def width(self) -> float:
        """``high - low``."""
        return self.high - self.low

    @property
    def middle(self) -> float:
        """The number half way between the ends."""
        return self.low + (self.high - self.low) / 2

    def __contains__(self, value: float | Interval) -> bool:
        return self.low <= low(value) and high(value) <= self.high

    def overlaps(self, other: float | Interval) -> bool:
        """Whether at least one number lies in both."""
        return self.low <= high(other) and low(other) <= self.high

    def __neg__(self) -> Interval:
        return Interval(-self.high, -self.low)

    def __pos__(self) -> Interval:
        return self

    def __abs__(self) -> Interval:
        if self.low >= 0:
            return self
        if self.high <= 0:
            return -self
        return Interval(0.0, max(-self.low, self.high))

    def __add__(self, other: float | Interval) -> Interval:
        return Interval(self.low + low(other), self.high + high(other))

    __radd__ = __add__

    def __sub__(self, other: float | Interval) -> Interval:
        return Interval(self.low - high(other), self.high - low(other))

    def __rsub__(self, other: float | Interval) -> Interval:
        return Interval(low(other) - self.high, high(other) - self.low)

    def __mul__(self, other: float | Interval) -> Interval:
        if self.low > 0.0 and low(other) > 0.0:  # most sizes: the products grow with both, so the ends are these
            return Interval(self.low * low(other), self.high * high(other))
        ends = [_times(a, b) for a in (self.low, self.high) for b in (low(other), high(other))]
        return Interval(min(ends), max(ends))

    __rmul__ = __mul__

    def __truediv__(self, other: float | Interval) -> Interval:
        return _quotient(self, other)

    def __rtruediv__(self, other: float | Interval) -> Interval:
        return _quotient(other, self)

    def __pow__(self, exponent: int) -> Interval:
        if exponent < 0:
            return 1.0 / self**-exponent
        if exponent % 2:
            return Interval(self.low**exponent, self.high**exponent)
        size = abs(self)
        return Interval(size.low**exponent, size.high**exponent)

    def __str__(self) -> str:
        return f"{self.low:g}" if self.is_point else f"{self.low:g}..{self.high:g}"


Value: TypeAlias = float | Interval


def low(value: Value) -> float:
    """The low end; of a float, the float itself."""
    return value.low if isinstance(value, Interval) else value


def high(value: Value) -> float:
    """The high end; of a float, the float itself."""
    return value.high if isinstance(value, Interval) else value


def middle(value: Value) -> float:
    """The number half way between the ends; of a float, the float itself."""
    return value.middle if isinstance(value, Interval) else value


def width(value: Value) -> float:
    """``high - low``; of a float, 0."""
    return value.width if isinstance(value, Interval) else 0.0


def as_interval(value: Value) -> Interval:
    """The interval itself, or the point interval of a float."""
    return value if isinstance(value, Interval) else Interval(value, value)


def hull(*values: Value) -> Interval:
    """The smallest interval that holds all of ``values`` (at least one)."""
    return Interval(min(low(v) for v in values), max(high(v) for v in values))


def minimum(*values: Value) -> Value:
    """The least of the values; an interval where any of them is one."""
    return _ends(min, values)


def maximum(*values: Value) -> Value:
    """The greatest of the values; an interval where any of them is one."""
    return _ends(max, values)


def absolute(value: Value) -> Value:
    """The size without its sign."""
    return abs(value) if isinstance(value, Interval) else math.fabs(value)


def sqrt(value: Value) -> Value:
    """The square root. Raises ValueError where any part of the value lies below zero."""
    if low(value) < 0:
        raise ValueError(f"no square root: {value} reaches below zero")
    if isinstance(value, Interval):
        return Interval(math.sqrt(value.low), math.sqrt(value.high))
    return math.sqrt(value)


def over_corners(function: Callable[..., float], *arguments: Value) -> Value:
    """The range of ``function`` over the box of its arguments.

    Exact where the function is monotone in each argument by itself. ``function`` takes and gives
    floats. It is called at every corner of the box: 2 to the power of the number of proper
    intervals among ``arguments``. All floats in, float out. An argument may occur in the function
    as often as it likes. The caller vouches that, with all other arguments held, the function never
    turns round in one of them.
    """
    if not any(isinstance(a, Interval) for a in arguments):
        return function(*arguments)
    ends = [sorted({low(a), high(a)}) for a in arguments]
    values = [function(*corner) for corner in product(*ends)]
    return Interval(min(values), max(values))


def _ends(pick: Callable[..., float], values: tuple[Value, ...]) -> Value:
    if any(isinstance(v, Interval) for v in values):
        return Interval(pick(low(v) for v in values), pick(high(v) for v in values))
    return pick(low(v) for v in values)


def _times(a: float, b: float) -> float:
    # An end at infinity stands for "no limit"; times an exact zero it is still zero, not "not a
    # number".
    return 0.0 if a == 0.0 or b == 0.0 else a * b


def _quotient(dividend: Value, divisor: Value) -> Interval:
    if low(divisor) <= 0.0 <= high(divisor):
        raise DividedByZeroError(f"{dividend} cannot be divided by {divisor}, which holds zero")
    ends = [a / b for a in (low(dividend), high(dividend)) for b in (low(divisor), high(divisor))]
    return Interval(min(ends), max(ends))
