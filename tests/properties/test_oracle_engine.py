"""The program against the oracle, on random small worlds.

KNOCKON_EXAMPLES sets how many worlds; hypothesis' "ci" profile means 2,000.
"""

from __future__ import annotations

import os

import pytest
from hypothesis import given, settings

from tests.oracle.apart import named_apart
from tests.oracle.engine import Comparison, loaded
from tests.oracle.generate import Case, case_from_seed, cases
from tests.oracle.questions import combination_differences, pair_differences, unmeasured

WORLDS = int(os.environ.get("KNOCKON_EXAMPLES") or 300)
FOLDER = 20
"""Worlds that stand in one records folder, each with names of its own."""


def _folder(first: int, last: int) -> list[tuple[int, Case]]:
    return [(seed, named_apart(case_from_seed(seed), f"W{seed - first}")) for seed in range(first, last)]


@pytest.mark.parametrize("first", range(0, WORLDS, FOLDER))
def test_a_swap_has_the_oracles_plan_forced_changes_and_minimal_reasons(first: int) -> None:
    folder = _folder(first, min(first + FOLDER, WORLDS))
    catalogue = loaded(*(case.world for _, case in folder))
    found = {}
    for seed, case in folder:
        comparison = Comparison(case, catalogue)
        found[seed] = [*comparison.differences(), *unmeasured(comparison)]
    assert not {seed: told for seed, told in found.items() if told}


@settings(max_examples=max(25, WORLDS // 20), deadline=None, derandomize="KNOCKON_EXAMPLES" not in os.environ)
@given(cases())
def test_a_swap_in_a_world_of_its_own_agrees(case: Case) -> None:
    assert not Comparison(case).differences()


@pytest.mark.parametrize("first", range(0, WORLDS // 5, FOLDER))
def test_two_parts_get_the_oracles_verdict_at_each_joint_and_stack(first: int) -> None:
    folder = _folder(first, min(first + FOLDER, WORLDS // 5))
    catalogue = loaded(*(case.world for _, case in folder))
    found = {seed: list(pair_differences(case.world, catalogue, most=8)) for seed, case in folder}
    assert not {seed: told for seed, told in found.items() if told}


@pytest.mark.parametrize("first", range(0, WORLDS // 2, FOLDER))
def test_the_parts_that_go_together_are_those_of_some_consistent_filling(first: int) -> None:
    folder = _folder(first, min(first + FOLDER, WORLDS // 2))
    catalogue = loaded(*(case.world for _, case in folder))
    found = {seed: list(combination_differences(case, catalogue)) for seed, case in folder}
    assert not {seed: told for seed, told in found.items() if told}
