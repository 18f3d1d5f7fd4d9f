"""What is said where the time for a search is over: nothing that was not proved."""

from __future__ import annotations

import _thread
import functools
import signal
import threading
from collections.abc import Callable
from typing import Any

import pytest

from knockon.graph.files.shipped import shipped
from knockon.graph.records import load
from knockon.queries.plan.asked_swaps import asked_swaps
from knockon.queries.plan.changes import (
    CHOSEN,
    FORCED_BY_FIT,
    FORCED_BY_KNOWN,
    RENEWED,
    UNDECIDED,
)
from knockon.queries.plan.combinations import combinations
from knockon.queries.plan.kit import check_kit
from knockon.queries.plan.side_by_side import side_by_side
from knockon.queries.plan.solving import patience as patience_module
from knockon.queries.plan.solving.levels import TOLD
from knockon.queries.plan.solving.patience import (
    MAY_STAY,
    OTHER_PLANS,
    REASONS,
    Patience,
    TimeUp,
    ground,
    is_grounding,
)
from knockon.queries.plan.solving.planner import Planner
from knockon.queries.plan.solving.undecided import (
    BEST,
    FORCED,
    LESS_SURE,
    OTHERS,
    PLAN,
    POSSIBLE,
    REASON,
    WHY_NONE,
    NotDecided,
    is_undecided,
)
from knockon.queries.plan.swap import SwapAnswer, swap
from tests.unit.small import problem
from tests.unit.small import world as made

BIG = "axle=AXLE-25"
world = functools.cache(made)


class Clock:
    """A clock that stands still, and jumps over every limit as a step begins."""

    def __init__(self, step: str) -> None:
        self.now, self.step = 0.0, step

    def __call__(self) -> float:
        return self.now

    def heard(self, step: str, done: int, whole: int) -> None:
        if step == self.step:
            self.now += 1e6
            self.step = ""


def up_at(step: str) -> Patience:
    """The time is over as this step begins. What runs before it has all the time in the world."""
    clock = Clock(step)
    return Patience(60.0, clock.heard, clock)


class Models(Patience):
    """The time is over after so many answers of the solver, whatever the clock says."""

    def __init__(self, most: int) -> None:
        super().__init__(1e6)
        self.most = most

    def wait(self, handle: Any) -> None:
        if not self.most:
            handle.cancel()
            raise TimeUp
        self.most -= 1
        while not handle.wait(1.0):
            pass


def statuses(answer: SwapAnswer) -> dict[str, str]:
    return {str(c.place): c.status for c in answer.changes}


# ---- waiting


class Deaf:
    """A solver that never answers."""

    def __init__(self, clock: list[float]) -> None:
        self.clock, self.cancelled, self.waits = clock, False, list[float]()

    def wait(self, timeout: float) -> bool:
        self.waits.append(timeout)
        self.clock[0] += timeout
        return False

    def cancel(self) -> None:
        self.cancelled = True


def test_a_solver_is_waited_for_in_short_waits_and_cancelled_when_the_time_is_over() -> None:
    clock = [5.0]
    deaf = Deaf(clock)
    with pytest.raises(TimeUp):
        Patience(1.0, clock=lambda: clock[0]).wait(deaf)  # type: ignore[arg-type]
    assert deaf.cancelled and max(deaf.waits) <= patience_module.SHORT
    assert sum(deaf.waits) == pytest.approx(1.0)


def test_the_time_begins_with_the_first_search_and_again_when_it_is_said() -> None:
    clock = [5.0]
    patience = Patience(1.0, clock=lambda: clock[0])
    clock[0] = 100.0
    assert patience.left == 1.0
    clock[0] = 101.5
    with pytest.raises(TimeUp):
        patience.check()
    patience.again()
    clock[0] += 0.25
    assert patience.left == 0.75


def test_one_of_many_searches_leaves_time_for_the_others() -> None:
    clock = [5.0]
    patience = Patience(8.0, clock=lambda: clock[0])
    with patience.a_share(0.25):
        assert patience.left == 2.0
        clock[0] += 1.0
        assert patience.left == 1.0
    assert patience.left == 7.0
    clock[0] += 10.0
    with patience.a_share(0.25), pytest.raises(TimeUp):
        patience.check()


# ---- grounding


class Grounds:
    def __init__(self, work: Callable[[], None]) -> None:
        self.work = work

    def ground(self, parts: object) -> None:
        self.work()


def test_ctrl_c_is_heard_while_something_is_ground_and_the_shell_is_told_that_it_goes_on() -> None:
    end = threading.Event()

    def slow() -> None:
        _thread.interrupt_main()
        end.wait(60)

    # what runs in the background of a script is started deaf to Ctrl-C
    before = signal.signal(signal.SIGINT, signal.default_int_handler)
    try:
        with pytest.raises(KeyboardInterrupt):
            ground(Grounds(slow), [])  # type: ignore[arg-type]
    finally:
        signal.signal(signal.SIGINT, before)
    assert is_grounding()
    end.set()
    for thread in [t for t in threading.enumerate() if t.daemon]:
        thread.join(1)
    assert not is_grounding()


def test_what_goes_wrong_in_grounding_is_raised() -> None:
    def wrong() -> None:
        raise RuntimeError("syntax")

    with pytest.raises(RuntimeError, match="syntax"):
        ground(Grounds(wrong), [])  # type: ignore[arg-type]


# ---- a swap, cut off at each step


def test_no_plan_found_in_time_is_neither_a_plan_nor_none() -> None:
    for wish in (BIG, "axle.diameter>=99 mm"):
        answer = swap(world(), "cart", want=(wish,), patience=Patience(0.0))
        assert answer.plan is None and answer.none is None
        assert answer.not_decided == (NotDecided(PLAN),)
        assert not answer.is_settled


def test_changes_are_not_said_to_be_forced_or_chosen_where_that_is_not_decided() -> None:
    whole = statuses(swap(world(), "cart", want=(BIG,)))
    answer = swap(world(), "cart", want=(BIG,), patience=up_at(MAY_STAY))
    assert answer.plan is not None and answer.plan.proved
    proved = {FORCED_BY_FIT, FORCED_BY_KNOWN, CHOSEN, RENEWED}
    assert {p for p, s in statuses(answer).items() if s == UNDECIDED} == {p for p, s in whole.items() if s in proved}
    (forced,) = (n for n in answer.not_decided if n.what == FORCED)
    assert set(forced.names) == {p for p, s in statuses(answer).items() if s == UNDECIDED}
    assert is_undecided(answer.not_decided, OTHERS)


def test_a_forced_change_stays_forced_where_its_reason_is_not_found_in_time() -> None:
    whole = swap(world(), "cart", want=(BIG,))
    answer = swap(world(), "cart", want=(BIG,), patience=up_at(REASONS))
    assert statuses(answer) == statuses(whole) and FORCED_BY_FIT in statuses(answer).values()
    (reason,) = (n for n in answer.not_decided if n.what == REASON)
    for change, full in zip(answer.changes, whole.changes, strict=True):
        assert change.reason == (None if change.place in reason.names else full.reason)
    assert "left hub" in reason.names


def test_other_plans_that_were_not_looked_for_are_not_decided() -> None:
    answer = swap(world(), "cart", want=(BIG,), patience=up_at(OTHER_PLANS))
    assert not answer.alternatives and answer.not_decided == (NotDecided(OTHERS),)


def test_that_there_is_no_plan_stands_where_the_reason_is_not_found_in_time() -> None:
    answer = swap(world(), "cart", want=("axle.diameter>=99 mm",), patience=up_at(REASONS))
    assert answer.plan is None and answer.none is None and answer.not_decided == (NotDecided(WHY_NONE),)


def test_time_that_is_not_used_up_changes_nothing() -> None:
    for wish in (BIG, "axle.diameter>=99 mm"):
        assert swap(world(), "cart", want=(wish,), patience=up_at("never")) == swap(world(), "cart", want=(wish,))


@pytest.mark.parametrize("wish", [(BIG,), ("axle.diameter>=99 mm",), ("left hub=HUB-?",), (BIG, "left hub=HUB-?")])
def test_whenever_the_time_is_over_nothing_is_said_that_the_whole_search_denies(wish: tuple[str, ...]) -> None:
    whole = swap(world(), "cart", want=wish)
    said = statuses(whole)
    for most in range(60):
        answer = swap(world(), "cart", want=wish, patience=Models(most))
        if answer.plan is None:
            decided = not is_undecided(answer.not_decided, PLAN)
            assert whole.plan is None or not decided
            assert answer.none in (None, whole.none)
        if answer == whole:
            return
        assert answer.not_decided, f"something is left out after {most} answers, and nobody says so"
        if answer.plan is None:
            continue
        assert whole.plan is not None
        costs, best = ([p.costs[level] for level in TOLD] for p in (answer.plan, whole.plan))
        assert costs == best if answer.plan.proved else costs >= best
        assert answer.plan.proved or is_undecided(answer.not_decided, BEST)
        for place, status in statuses(answer).items():
            if status in (FORCED_BY_FIT, FORCED_BY_KNOWN):
                assert said[place] == status
            if status == CHOSEN and said[place] in (FORCED_BY_FIT, FORCED_BY_KNOWN):
                pytest.fail(f"{place} is forced, and said to be chosen after {most} answers")
    pytest.fail("the search never came to its end")


# ---- other questions


def test_lines_of_a_kit_are_neither_wrong_nor_more_than_needed_where_that_is_not_decided() -> None:
    kit = "HUB-25L, HUB-25R, PAIR-25, GREASE, CAP-1, HUB-?"
    answer = check_kit(world(), kit, "cart", want=(BIG,), patience=up_at(MAY_STAY))
    said = {p.number: p.status for p in answer.parts}
    used = dict.fromkeys(("CAP-1", "HUB-25L", "HUB-25R"), "usable")
    assert said == {**used, "GREASE": "wrong", "HUB-?": UNDECIDED, "PAIR-25": UNDECIDED}  # grease has no place at all
    assert answer.not_decided == (NotDecided(POSSIBLE, ("HUB-?", "PAIR-25")),)
    nothing = check_kit(world(), "box", "cart", want=(BIG,), patience=Patience(0.0))
    assert not nothing.is_planned and nothing.none is None and not nothing.parts


def test_parts_that_were_not_found_possible_in_time_are_not_ruled_out() -> None:
    whole = combinations(world(), "cart axle", (BIG,))
    answer = combinations(world(), "cart axle", (BIG,), patience=up_at(MAY_STAY))
    assert answer.combinations[0] == whole.combinations[0] and not answer.possible
    assert {n.what for n in answer.not_decided} == {POSSIBLE, LESS_SURE, OTHERS}
    for most in range(60):
        found = combinations(world(), "cart axle", (BIG,), patience=Models(most))
        listed = {(at.position, part.number) for at in found.possible for part in at.parts}
        every = {(at.position, part.number) for at in whole.possible for part in at.parts}
        assert listed <= every and (listed == every or not found.combinations or found.not_decided)
        if found == whole:
            return
    pytest.fail("the search never came to its end")


def test_targets_without_a_plan_in_time_are_named_and_not_said_to_have_none() -> None:
    answer = side_by_side(world(), "cart", want=("axle.diameter>=21 mm",), patience=Patience(0.0))
    assert not answer.targets and not answer.without_plan
    assert answer.not_decided == (NotDecided(PLAN, ("AXLE-25",)),)


def test_suggested_swaps_without_a_plan_in_time_are_passed_over(monkeypatch: pytest.MonkeyPatch) -> None:
    records = load(shipped("data_demo"))
    whole = asked_swaps(records.catalogue, 1)
    assert len(whole.planned) == 1
    late = asked_swaps(records.catalogue, 1, Patience(0.0))
    monkeypatch.setattr("knockon.queries.plan.solving.too_large.MOST_FACTS", 10)
    for answer in (late, asked_swaps(records.catalogue, 1)):
        assert not answer.planned and not answer.without_plan
        assert answer.passed_over == whole.passed_over + 1


def test_what_may_stay_is_at_least_what_was_found() -> None:
    full = Planner(problem(world(), BIG)).may_stay(unknown_limited=False)
    assert full.whole
    for most in range(20):
        found = Planner(problem(world(), BIG), Models(most)).may_stay(unknown_limited=False)
        assert found <= full and (found == full or not found.whole)
