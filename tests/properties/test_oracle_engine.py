"""The program against the oracle, on random small worlds.

KNOCKON_EXAMPLES sets how many worlds, KNOCKON_FIRST_WORLD the number of the first one.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable
from typing import TYPE_CHECKING

import pytest
from hypothesis import given, settings

from tests.oracle.engine import Comparison
from tests.oracle.folders import folder
from tests.oracle.generate import Case, cases
from tests.oracle.kits import kit_differences
from tests.oracle.pairs import pair_differences, some_differences
from tests.oracle.questions import combination_differences, unmeasured

if TYPE_CHECKING:
    from knockon.graph.model.catalogue import Catalogue

WORLDS = int(os.environ.get("KNOCKON_EXAMPLES") or 300)
FIRST = int(os.environ.get("KNOCKON_FIRST_WORLD") or 0)
FOLDER = 25
"""Worlds that stand in one records folder, each with names of its own."""

Ask = Callable[[int, Case, "Catalogue"], Iterable[str]]


def each(worlds: int) -> pytest.MarkDecorator:
    """One test for each folder of so many worlds."""
    return pytest.mark.parametrize(
        ("first", "last"), [(n, min(n + FOLDER, FIRST + worlds)) for n in range(FIRST, FIRST + worlds, FOLDER)]
    )


def differences(first: int, last: int, ask: Ask) -> dict[int, list[str]]:
    """What differs in one folder of worlds, by seed; empty where all agree."""
    worlds = folder(first, last)
    told = {seed: list(ask(seed, case, catalogue)) for seed, case, catalogue in worlds}
    return {seed: found for seed, found in told.items() if found}


def _swap(seed: int, case: Case, catalogue: Catalogue) -> Iterable[str]:
    comparison = Comparison(case, catalogue)
    return [*comparison.differences(), *unmeasured(comparison)]


@each(WORLDS)
def test_a_swap_has_the_oracles_plan_forced_changes_and_minimal_reasons(first: int, last: int) -> None:
    assert not differences(first, last, _swap)


@settings(max_examples=max(20, WORLDS // 50), deadline=None, derandomize="KNOCKON_EXAMPLES" not in os.environ)
@given(cases())
def test_a_swap_in_a_world_of_its_own_agrees(case: Case) -> None:
    assert not Comparison(case).differences()


@each(WORLDS // 5)
def test_two_parts_get_the_oracles_verdict_at_each_joint_and_stack(first: int, last: int) -> None:
    assert not differences(first, last, lambda _, case, known: pair_differences(case.world, known, most=8))


@each(WORLDS // 5)
def test_three_parts_and_more_get_the_oracles_verdict_and_what_is_left_out(first: int, last: int) -> None:
    assert not differences(first, last, lambda seed, case, known: some_differences(case.world, known, seed))


@each(WORLDS // 2)
def test_the_parts_that_go_together_are_those_of_some_consistent_filling(first: int, last: int) -> None:
    assert not differences(first, last, lambda _, case, known: combination_differences(case, known))


@each(WORLDS // 2)
def test_a_kit_is_held_against_the_oracles_best_plan_given_the_kit(first: int, last: int) -> None:
    assert not differences(first, last, lambda seed, case, known: kit_differences(case, known, seed))
