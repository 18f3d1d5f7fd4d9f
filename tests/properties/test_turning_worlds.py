"""Turning values of many random worlds, checked at values of which brute force then judges all fillings anew: at each
turning value, just before and just beyond it, and at some values between; of counts, codes and threads at every one.

Every world of a range is looked at. Those without a plan or without a reading, and those with more fillings than brute
force can judge so often, are counted, and a range has to have enough others.
"""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Iterator
from fractions import Fraction
from itertools import islice

import pytest

from knockon.graph.model.catalogue import Catalogue
from knockon.graph.model.layouts.layout import Place
from knockon.queries.plan.measure import Measurement, Risk, measure_first
from knockon.queries.plan.solving.problem import Problem
from knockon.queries.plan.turning.moving import choices, moving
from knockon.queries.plan.turning.supposed import Read
from knockon.queries.plan.turning.told import CODE, Asked, TurnsOf, turns_of
from knockon.queries.plan.turning.turning import Turning
from tests.oracle.engine import Comparison, loaded
from tests.oracle.generate import Case, case_from_seed
from tests.oracle.plan import Swap
from tests.oracle.world import Cell, Size, Thread
from tests.properties.test_turning import as_problem
from tests.properties.turning import Brute, Looked, readable

RANGES = [range(n, n + 40) for n in range(1000, 1080, 40)]
MOST_FILLINGS = 60
MOST_READINGS = 3
BETWEEN = 3
MICRO = Fraction(1, 1000)
ENOUGH = 5
"""Worlds of each range that have to be compared."""


def compared(case: Case, seen: Counter[str]) -> list[str] | None:
    """What differs; None where the world is not compared. ``seen``: why not, and what was compared."""
    if "price" in case.request.prefer or case.vehicle.as_made:
        seen["by price, or as made"] += 1
        return None
    if len(list(islice(Swap(*case).fillings(), MOST_FILLINGS + 1))) > MOST_FILLINGS:
        seen["too many fillings"] += 1
        return None
    catalogue = loaded(case.world)
    problem, filling = as_problem(case, catalogue)
    if filling is None:
        seen["no plan"] += 1
        return None
    first, hidden = measure_first(problem, filling, ())
    named: list[Measurement | Risk] = [*first, *hidden]
    wanted = dict.fromkeys(
        ((p.position, p.side), one.feature, d) for one in named for p in one.places for d in one.dimensions
    )
    readings = list(readable(case, wanted))[:MOST_READINGS]
    if not readings:
        seen["nothing to read"] += 1
        return None
    plan = Comparison(case, catalogue).same_filling()
    assert plan is not None
    asked = [Asked(Place(*r.place), r.feature, r.dimension, str(i)) for i, r in enumerate(readings)]
    found: list[str] = []
    for looked, turns in zip(readings, turns_of(problem, filling, asked), strict=True):
        seen[turns.is_ if not turns.not_known else turns.not_known] += 1
        seen["turns"] += len(turns.turning)
        seen["prices"] += len(turns.prices)
        found += [f"{looked}: {fault}" for fault in _faults(case, catalogue, problem, looked, turns, plan)]
    return found


def _faults(
    case: Case, catalogue: Catalogue, problem: Problem, looked: Looked, turns: TurnsOf, plan: object
) -> Iterator[str]:
    assert problem.vehicle is not None
    kind = next(iri for iri, k in catalogue.vocabulary.kinds.items() if k.label == looked.kind)
    read = Read(catalogue, problem.vehicle, Place(*looked.place), looked.feature, kind, looked.dimension)
    if turns.not_known:
        return
    if turns.is_ == CODE:
        brute = Brute(case, plan, looked, Fraction(0))  # type: ignore[arg-type]
        for choice in choices(read):
            if brute.with_cell(_cell(case, looked, choice.written))[0] != (choice.written in turns.keeps):
                yield f"{choice.written}: {turns.keeps}"
        return
    start = moving(read)
    assert start is not None
    brute = Brute(case, plan, looked, Fraction(start.within).limit_denominator(1000))  # type: ignore[arg-type]
    draw = random.Random(f"{looked}")
    if turns.from_ is None:
        yield from _of_ranges(brute, turns, int(start.most), draw)
    else:
        yield from _of_values(brute, turns, Fraction(turns.from_).limit_denominator(10_000), int(start.most), draw)


def _cell(case: Case, looked: Looked, written: str) -> Cell:
    datatype = next(d.datatype for k in case.world.kinds if k.name == looked.kind for d in k.dimensions
                    if d.name == looked.dimension)  # fmt: skip
    if datatype == "count":
        return Size(int(written), int(written))
    if datatype == "thread":
        return Thread("LH" if "LH" in written else "RH" if "RH" in written else "")
    return written


def _of_ranges(brute: Brute, turns: TurnsOf, most: int, draw: random.Random) -> Iterator[str]:
    ranges = [(Fraction(str(k.low)), Fraction(str(k.high))) for k in turns.between]
    values = {v + off for ends in ranges for v in ends for off in (-MICRO, 0, MICRO)}
    values |= {Fraction(draw.randrange(most * 1000 + 1), 1000) for _ in range(BETWEEN)}
    for value in sorted(v for v in values if 0 <= v <= most):
        if brute.at(value)[0] != any(low <= value <= high for low, high in ranges):
            yield f"{float(value)}: {turns.between}"


def _of_values(brute: Brute, turns: TurnsOf, start: Fraction, most: int, draw: random.Random) -> Iterator[str]:
    there = [t for t in turns.turning if _value(t) == start]
    if brute.at(start)[0] == any(not t.holds for t in there):
        yield f"at the start: {turns.turning}"
    elif there and there[0].holds and all(brute.at(start + out * MICRO / 20)[0] for out in (-1, 1)):
        yield f"just beyond the start: {there}"
    for out in (-1, 1) if not there else ():
        turn = next((t for t in turns.turning if (_value(t) - start) * out > 0), None)
        end = _value(turn) if turn is not None else Fraction(most if out > 0 else 0)
        if turn is not None:
            beyond = brute.at(end + out * MICRO / 20 if turn.holds else end)
            if beyond != (False, not turn.no_plan) or brute.at(end)[0] != turn.holds:
                yield f"{turn}: {brute.at(end)}, {beyond}"
        prices = [Fraction(p.steps, 1000) for p in turns.prices if (Fraction(p.steps, 1000) - start) * out >= 0]
        yield from _between(brute, (start, end - out * MICRO if turn else end), prices, draw, str(turns))


def _value(turning: Turning) -> Fraction:
    return Fraction(turning.steps, 1000)


def _between(
    brute: Brute, ends: tuple[Fraction, Fraction], prices: list[Fraction], draw: random.Random, told: str
) -> Iterator[str]:
    """Whether the plan holds between a start and an end, and no other is as good and cheaper before a price is told."""
    start, end = ends
    low, high = min(ends), max(ends)
    halves = (Fraction(n, 2) for n in range(int(2 * low), int(2 * high) + 1))
    inside = [v for h in halves for v in (h - brute.within, h, h + brute.within) if low < v < high]
    values = {start + (end - start) * Fraction(draw.randrange(1, 1000), 1000) for _ in range(BETWEEN)}
    values |= {end, *draw.sample(inside, min(BETWEEN, len(inside)))}
    nearest = min((abs(p - start) for p in prices), default=None)
    for value in sorted(values):
        if not brute.at(value)[0]:
            yield f"{float(value)}: {told}"
        elif brute.is_cheaper(value) and (nearest is None or abs(value - start) < nearest):
            yield f"cheaper at {float(value)}: {told}"
    yield from (f"no cheaper at {float(p)}: {told}" for p in prices if not brute.is_cheaper(p))


@pytest.mark.parametrize("seeds", RANGES, ids=lambda r: str(r.start))
def test_plans_turn_where_it_is_said_and_hold_elsewhere(seeds: range) -> None:
    seen: Counter[str] = Counter()
    done = {seed: compared(case_from_seed(seed), seen) for seed in seeds}
    assert {seed: faults for seed, faults in done.items() if faults} == {}
    assert sum(faults is not None for faults in done.values()) >= ENOUGH, seen
    assert seen["code"] and seen["number"] and seen["turns"], seen
