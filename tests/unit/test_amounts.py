"""Amounts of checks as people read them."""

from __future__ import annotations

import pytest

from knockon.queries.ui import units


@pytest.mark.parametrize(
    ("value", "unit", "said"),
    [(0.0, "%", "0 %"), (70.94, "%", "70.9 %"), (0.0123, "%", "0.01 %"), (-0.0123, "%", "-0.01 %"),
     (0.04, "turns", "0.04 turns"), (0.0004, "N", "0.0004 N"), (1e-9, "%", "0 %")],
)  # fmt: skip
def test_what_is_not_nought_is_not_said_to_be(value: float, unit: str, said: str) -> None:
    assert units.amount(value, value, unit) == said
