"""What leads back to where it began, with a shortest way round."""

from __future__ import annotations

import sys

import pytest

from knockon.graph.model.circles import ways_round


@pytest.mark.parametrize(
    ("edges", "ways"),
    [
        ({}, []),
        ({"a": ["b", "c"], "b": ["c"]}, []),
        ({"a": ["a"]}, [("a", "a")]),
        ({"in": ["a"], "a": ["b", "out"], "b": ["a"]}, [("a", "b", "a"), ("b", "a", "b")]),
        (
            {"a": ["b"], "b": ["c", "a"], "c": ["a"]},
            [("a", "b", "a"), ("b", "c", "a", "b"), ("b", "a", "b"), ("c", "a", "b", "c")],
        ),
    ],
)
def test_each_step_that_leads_back_with_a_shortest_way_round(
    edges: dict[str, list[str]], ways: list[tuple[str, ...]]
) -> None:
    assert list(ways_round(edges)) == ways


def test_nothing_slow_is_loaded_where_nothing_leads_round(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "networkx", None)
    assert list(ways_round({"a": ["b"]})) == []
    with pytest.raises(ImportError):
        list(ways_round({"a": ["a"]}))
