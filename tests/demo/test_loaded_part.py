"""Swaps of the demo world with only the candidates loaded that can matter: to the byte as with all of them."""

from __future__ import annotations

import pytest

from knockon.queries.plan.solving import planner
from knockon.queries.plan.swap import swap
from tests.demo.demo import demo


@pytest.mark.parametrize(
    ("vehicle", "want"),
    [("tansy-m080", "rotor=LARCH-201"), ("tansy-mk-b", "brake drum=LARCH-101"), ("tansy-mk-a", "outer joint=ROWAN-902")],
)
def test_a_swap_is_the_same(vehicle: str, want: str, monkeypatch: pytest.MonkeyPatch) -> None:
    loads: list[int] = []
    load = planner.Planner._load

    def counted(self: planner.Planner) -> None:
        load(self)
        loads.append(len(self._part.ids))

    whole = repr(swap(demo(), vehicle, want=(want,)))
    monkeypatch.setattr(planner, "FEW", 0)
    monkeypatch.setattr(planner.Planner, "_load", counted)
    assert repr(swap(demo(), vehicle, want=(want,))) == whole
    assert len(loads) > 1
