"""Telling parts apart, against brute force on random small worlds. KNOCKON_EXAMPLES sets how many worlds."""

from __future__ import annotations

import os

import pytest

from tests.oracle.differing import apart_differences
from tests.oracle.folders import folder

WORLDS = int(os.environ.get("KNOCKON_EXAMPLES") or 100)
FOLDER = 20


@pytest.mark.parametrize("first", range(0, WORLDS, FOLDER))
def test_two_parts_are_told_apart_as_by_brute_force(first: int) -> None:
    told = {
        seed: found
        for seed, case, catalogue in folder(first, min(first + FOLDER, WORLDS))
        if (found := list(apart_differences(case.world, catalogue, most=10)))
    }
    assert not told
