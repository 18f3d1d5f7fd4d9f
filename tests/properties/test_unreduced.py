"""What the planner takes together or leaves out changes no answer: the whole program, pair by pair, gives the same
bytes."""

from __future__ import annotations

import os
from itertools import islice

import pytest

from knockon.graph.files.shipped import shipped
from knockon.graph.model.catalogue import Catalogue, UnknownNameError
from knockon.graph.records import load
from knockon.queries.plan.combinations import combinations
from knockon.queries.plan.kit import check_kit
from knockon.queries.plan.swap import plan_swap, swap
from knockon.queries.ui.document import encode
from tests.bench.unreduced import unreduced
from tests.oracle.engine import request_for_engine
from tests.oracle.folders import folder
from tests.oracle.generate import Case
from tests.oracle.kits import kit_of

WORLDS = int(os.environ.get("KNOCKON_EXAMPLES", "100")) // 4


def said(case: Case, catalogue: Catalogue, seed: int) -> list[bytes]:
    """Three answers about a world, as documents."""
    world, vehicle, request = case
    wants = [f"{position}={part}" for position, part in request.wants]
    kit = ", ".join(f"{number} x{count}" for number, count in kit_of(case, seed).items())
    found = [encode("swap", plan_swap(catalogue, vehicle.name, request_for_engine(world, request)), 0, None, False)]
    found.append(encode("combinations", combinations(catalogue, world.layout, wants, first=3), 0, None, False))
    try:
        answer = check_kit(catalogue, kit, vehicle.name, want=wants, keep=request.keep, renew=request.renew)
    except UnknownNameError:
        return found
    return [*found, encode("kit", answer, 0, None, False)]


def test_random_worlds_answer_the_same_on_the_whole_program() -> None:
    for seed, case, catalogue in islice(folder(4_000, 4_000 + WORLDS), WORLDS):
        reduced = said(case, catalogue, seed)
        with unreduced():
            assert said(case, catalogue, seed) == reduced, seed


@pytest.mark.parametrize(("vehicle", "wish"), [("tansy-m080", "rotor=LARCH-201"), ("tansy-mk-b", "disc")])
def test_the_demo_world_answers_the_same_on_the_whole_program(vehicle: str, wish: str) -> None:
    demo = load(shipped("data_demo")).catalogue
    reduced = encode("swap", swap(demo, vehicle, want=(wish,)), 0, None, False)
    with unreduced():
        assert encode("swap", swap(demo, vehicle, want=(wish,)), 0, None, False) == reduced
