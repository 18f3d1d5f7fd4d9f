"""The readings that decide a plan: on random small worlds they leave no check open that any could decide, and no fewer
do. All subsets are tried, and the oracle judges.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator
from itertools import combinations

import pytest

from knockon.queries.plan.deciding import ReadingWanted, deciding
from tests.oracle.engine import Comparison, loaded, spoken
from tests.oracle.generate import Case, case_from_seed
from tests.oracle.known import sized
from tests.oracle.motion import Filling
from tests.oracle.plan import Swap
from tests.oracle.verdict import Verdict
from tests.oracle.world import Cell, Place
from tests.properties.test_turning import as_problem
from tests.properties.turning import Looked, said, with_cell

SEEDS = range(100, 150)
MOST = 5
Check = tuple[str, frozenset[str]]


def _looked(case: Case, swap: Swap, reading: ReadingWanted) -> tuple[Looked, Cell] | None:
    """The reading in the oracle's words, with what is recorded of it; None where nothing is, or of a set's member."""
    place = (reading.place.position, reading.place.side)
    thing = swap.there.get(place)
    fitting = swap.fitted.get(place)
    if thing is None or fitting is None or thing.number not in case.world.part or "/" in fitting.part:
        return None
    known = sized(case.world, thing, reading.feature, reading.dimension)
    kind = next((row.kind for row in case.world.rows if row.feature == reading.feature), "")
    if len(known.statements) != 1:
        return None
    item = thing.records[0] if thing.records[0] in case.world.item else ""
    return Looked(place, item, thing.number, reading.feature, kind, reading.dimension), known.statements[0]


def _open(case: Case, plan: Filling, read: Collection[tuple[Looked, Cell]]) -> dict[Check, Verdict]:
    """The unproven checks of the plan once some sizes are read on the vehicle, as they are recorded."""
    for looked, cell in read:
        case = with_cell(case, looked, cell)
    swap = Swap(*case)
    now = next(f for f in swap.fillings() if said(f) == said(plan))
    found: dict[Check, Verdict] = {}
    for (name, ends), result in swap.joint_results(now).items():
        found[(name, frozenset(map(spoken, ends)))] = result.verdict
    for (name, side), result in swap.stack_results(now).items():
        found[(name, frozenset({side}))] = result.verdict
    return {check: verdict for check, verdict in found.items() if verdict.is_unproven}


def _in_words(case: Case, name: str, places: tuple[Place, ...] | tuple[str, ...]) -> Check:
    stack = next((s for s in case.world.stacks if s.name == name), None)
    if stack is None:
        return name, frozenset(map(str, places))
    sides = {p.side for p in places if p.side}  # type: ignore[union-attr]
    return name, frozenset({next(iter(sides)) if len(sides) == 1 else ""})


def faults(case: Case) -> Iterator[str]:
    catalogue = loaded(case.world)
    plan = Comparison(case, catalogue).same_filling()
    problem, filling = as_problem(case, catalogue)
    if plan is None or filling is None or case.vehicle.as_made:
        return
    readings, stays = deciding(problem, filling)
    read = [_looked(case, Swap(*case), r) for r in readings]
    if not readings or len(readings) > MOST or None in read:
        return
    known = [r for r in read if r is not None]
    before = _open(case, plan, [])
    left = {_in_words(case, s.check, s.places) for s in stays}
    decided = _of_readings(case, problem, filling)
    assert not decided & left
    after = _open(case, plan, known)
    TRIED.append(len(readings))
    for check in decided & set(after):
        if not (before.get(check) is after[check] is Verdict.NOT_KNOWN):  # its sizes straddle a limit: a finer tool
            yield f"{check} stays {after[check]} though all of {readings} are read"
    certain = decided - set(after)
    for size in range(len(known)):
        for some in combinations(known, size):
            if certain and not certain & set(_open(case, plan, some)) and certain == decided:
                yield f"{some} are enough for {certain}"


TRIED: list[int] = []


def _of_readings(case: Case, problem: object, filling: object) -> set[Check]:
    from knockon.queries.plan.deciding import across

    open_ones = across(problem, filling)  # type: ignore[arg-type]
    return {_in_words(case, c.check, c.places) for c in open_ones if not c.why}


@pytest.mark.parametrize("seed", SEEDS)
def test_the_readings_decide_and_none_can_be_spared(seed: int) -> None:
    assert list(faults(case_from_seed(seed))) == []


def test_the_worlds_have_readings_to_take() -> None:
    found = [seed for seed in SEEDS if list(faults(case_from_seed(seed))) == [] and TRIED]
    assert found and max(TRIED) > 1
