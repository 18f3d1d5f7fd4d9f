"""A due part that is renewed by another number says whether its own was possible, and what that would cost."""

from __future__ import annotations

from knockon.graph.model.catalogue import Catalogue
from knockon.graph.model.layouts.layout import Place, Places
from knockon.queries.fits.checking.checks import Checks
from knockon.queries.plan.changes import FORCED_BY_FIT, FORCED_BY_KNOWN, RENEWED
from knockon.queries.plan.solving.planner import Planner
from knockon.queries.plan.solving.problem import Problem
from knockon.queries.plan.solving.request import read_request
from knockon.queries.plan.swap import swap
from knockon.queries.ui.terminal.screen import render
from knockon.queries.ui.texts.plan.swap.whole import swap_text
from tests.unit.small import TABLES, with_rows, world

DUE = TABLES["fittings.csv"].replace("cart,cap,,CAP-1,,sound", "cart,cap,,CAP-1,,due")
CLAIMS = ("CAP-0,listed for,cart,,,book", "CAP-0,listed for,big-cart,,,book")
CATALOGUE = world(
    {
        "fittings.csv": DUE,
        **with_rows("parts.csv", "CAP-0,cap,hub washer or collar,either,yes,,,book"),
        **with_rows("claims.csv", *CLAIMS),
        **with_rows("offers.csv", "Mill,CAP-0,0.20,"),
    }
)


def test_a_due_part_renewed_by_another_number_says_what_its_own_would_cost() -> None:
    answer = swap(CATALOGUE, "cart", renew=["cap"])
    changed = {c.place: c for c in answer.changes if c.status == RENEWED}
    assert {c.new for c in changed.values()} == {"CAP-0"} and len(changed) == 2
    assert answer.plan is not None
    for change in changed.values():
        assert change.cause == "due" and change.keeping is not None
        assert change.keeping["price"] - answer.plan.costs["price"] == 2 * 30
    text = " ".join(render(swap_text(CATALOGUE, answer)).split())
    assert "cap CAP-0 for CAP-1: the same number again is possible too. A plan with it: 0.60 dearer." in text


def test_both_hands_are_renewed_by_their_own_numbers_together_and_cost_the_same() -> None:
    both, mirrors = problem_of("cap", catalogue=CATALOGUE), problem_of("hub", catalogue=world())
    for of, position in ((both, "cap"), (mirrors, "hub")):
        left, right = Place(position, "left"), Place(position, "right")
        assert of.are_renewed_together(left) and of.are_renewed_together(right)
        planner = Planner(of)
        assert planner.cost_of_keeping(left) == planner.cost_of_keeping(right) is not None


def test_hands_are_judged_apart_where_one_may_be_renewed_without_the_other() -> None:
    one = problem_of("left cap", catalogue=world())  # the right cap is sound, and may stay
    unlike = world(
        {
            "fittings.csv": DUE.replace("cart,cap,,CAP-1,,due", "cart,cap,left,CAP-1,,due\ncart,cap,right,CAP-0,,due"),
            **with_rows("parts.csv", "CAP-0,cap,hub washer or collar,either,yes,,,book"),
        }
    )
    for of in (one, problem_of("cap", catalogue=unlike)):
        assert not of.are_renewed_together(Place("cap", "left"))
    assert not problem_of("axle", catalogue=world()).are_renewed_together(Place("axle"))


def problem_of(renew: str, catalogue: Catalogue) -> Problem:
    """The cart, with something to be renewed."""
    places = Places(catalogue.layouts["cart axle"])
    request = read_request(catalogue, places, renew=[renew])
    return Problem(Checks(catalogue, places), catalogue.vehicles["cart"], request)


def test_a_due_part_renewed_by_its_own_number_has_nothing_to_compare() -> None:
    answer = swap(CATALOGUE, "cart", renew=["cap"], avoid=["CAP-0"])
    changed = [c for c in answer.changes if c.status == RENEWED]
    assert [(c.old, c.new, c.keeping) for c in changed] == [("CAP-1", "CAP-1", None)] * 2


def test_a_due_part_whose_own_number_is_not_possible_says_why() -> None:
    answer = swap(CATALOGUE, "cart", want=["cap=CAP-0"])
    change = next(c for c in answer.changes if c.position == "cap")
    assert (change.status, change.cause) == (FORCED_BY_FIT, "due")  # it is asked for: no plan takes CAP-1
    assert change.reason is not None and change.keeping is None
    text = " ".join(render(swap_text(CATALOGUE, answer)).split())
    assert "It needs replacing in any case. Its own number is ruled out too." in text


def test_what_could_stay_but_for_an_open_check_is_forced_by_what_is_known_and_not_by_fit() -> None:
    """The worn hub's bore straddles what the new axle allows; a hub whose bore is too small can never go on it."""
    worn = (
        "HUB-WL,worn hub,drive flange,left,no,HUB-WR,,book",
        "HUB-WR,worn hub,drive flange,right,no,HUB-WL,HUB-WL,book",
    )
    tables = {
        **with_rows("parts.csv", *worn),
        **with_rows("features/register_bore.csv", "HUB-WL,bore,24.8..25.4 mm,book"),
    }

    def statuses(left: str, right: str) -> set[str]:
        fittings = TABLES["fittings.csv"].replace("cart,hub,left,HUB-20L", f"cart,hub,left,{left}", 1)
        fittings = fittings.replace("cart,hub,right,HUB-20R", f"cart,hub,right,{right}", 1)
        answer = swap(world({**tables, "fittings.csv": fittings}), "cart", want=["axle=AXLE-25"])
        return {c.status for c in answer.changes if c.position == "hub"}

    assert statuses("HUB-20L", "HUB-20R") == {FORCED_BY_FIT}
    assert statuses("HUB-WL", "HUB-WR") == {FORCED_BY_KNOWN}
