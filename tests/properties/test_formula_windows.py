"""Windows of a size in a formula that only rises, or only falls: what lies in them is allowed, and all that is allowed
lies in them, over the whole sensible range and not only near what is usual."""

from __future__ import annotations

import math
from collections.abc import Callable

from hypothesis import assume, given
from hypothesis import strategies as st

from knockon.queries.plan.openings.turning import window_where

LARGEST = 10_000.0
FORMULAS: dict[str, Callable[[float], float | None]] = {
    "square": lambda x: x * x,
    "line": lambda x: 3 * x - 20,
    "share": lambda x: x / (x + 40),
    "falling": lambda x: 1000 / x,
    "root": lambda x: math.sqrt(x - 5) if x >= 5 else None,
}
SIZES = st.integers(1, 10_000_000).map(lambda n: n / 1000)


@given(st.sampled_from(sorted(FORMULAS)), SIZES, SIZES, st.integers(6, 300), st.data())
def test_a_size_is_allowed_where_and_only_where_it_lies_in_the_window(
    name: str, one: float, other: float, usual: int, data: st.DataObject
) -> None:
    formula, (low, high) = FORMULAS[name], sorted((one, other))
    ends = [v for v in (formula(low), formula(high)) if v is not None]
    assume(len(ends) == 2)

    def at(size: float) -> tuple[bool, float] | None:
        value = formula(size)
        return None if value is None else (min(ends) <= value <= max(ends), value)

    found = window_where(at, (usual / 1.5, usual * 1.5), LARGEST)
    if found is None:  # so narrow that no size that was tried lies in it, or without a value among what is usual
        assert high < low * 1.3 + 0.01 or formula(usual / 1.5) is None
        return
    sizes = [data.draw(SIZES) for _ in range(20)]
    sizes += [e + off for e in (found.low, found.high) if e is not None for off in (-0.001, 0, 0.001)]
    for size in (s for s in sizes if 0.001 <= s <= LARGEST):
        here = at(size)
        inside = (found.low is None or size >= found.low) and (found.high is None or size <= found.high)
        assert inside == (here is not None and here[0]), (size, found)


def test_the_window_ends_beyond_what_is_usual() -> None:
    found = window_where(lambda x: (x * x <= 1_000_000, x * x), (10, 20), LARGEST)
    assert found is not None and found.low is None and found.high == 1000
    turning_back = window_where(lambda x: (abs(x - 40) <= 35, abs(x - 40)), (10, 20), LARGEST)
    assert turning_back is None  # it does so beside what is allowed
