"""Swaps of the demo world with only the candidates loaded that can matter: to the byte as with all of them."""

from __future__ import annotations

import pytest

from knockon.queries.plan.solving import narrowed
from knockon.queries.plan.swap import swap
from tests.demo.demo import demo


@pytest.mark.parametrize(
    ("vehicle", "want"),
    [
        ("tansy-m080", "rotor=LARCH-201"),
        ("tansy-mk-b", "brake drum=LARCH-101"),
        ("tansy-mk-a", "outer joint=ROWAN-902"),
    ],
)
def test_a_swap_is_the_same(vehicle: str, want: str, monkeypatch: pytest.MonkeyPatch) -> None:
    loads: list[int] = []
    load_more = narrowed.Narrowed._load_more

    def counted(self: narrowed.Narrowed) -> None:
        load_more(self)
        loads.append(len(self._loading.loaded))

    whole = repr(swap(demo(), vehicle, want=(want,)))
    monkeypatch.setattr(narrowed, "FEW", 0)
    monkeypatch.setattr(narrowed.Narrowed, "_load_more", counted)
    assert repr(swap(demo(), vehicle, want=(want,))) == whole
    assert loads
