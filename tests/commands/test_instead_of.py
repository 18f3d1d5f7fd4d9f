"""``knockon swap --instead-of``: which other ways round a part have a plan, where each other one is stopped."""

from __future__ import annotations

import json
import shlex
from typing import Any

import pytest
from msgspec.structs import replace

from knockon.graph.records import records_from_text
from knockon.queries.as_typed import RequestError
from knockon.queries.plan.routes import MOST_TRIED, RoutesAnswer, Stopped, routes
from knockon.queries.plan.swap import swap
from knockon.queries.ui.details import Shown
from knockon.queries.ui.terminal.blocks import Box, Para
from knockon.queries.ui.texts.plan.routes import routes_text
from tests.commands.running import SWAP, Ran, demo
from tests.unit.test_order import csv, tables


def told(part: str, *words: str) -> dict[str, Any]:
    ran = demo(*SWAP, "--instead-of", part, *words, "--json")
    assert ran.status in (0, 1), ran.err
    found: dict[str, Any] = json.loads(ran.out)["result"]
    return found


def last(ran: Ran) -> str:
    """The first command to paste."""
    text = " ".join(ran.out[ran.out.index("next:") :].removeprefix("next:").replace("\\\n", " ").split())
    return "knockon " + text.split("knockon ")[1]


def test_every_other_number_and_what_is_there_now_is_a_way_or_a_stop() -> None:
    """The invented world's outer joints: four others, one of which may stand there; none is left out."""
    found = told("ROWAN-201")
    assert [r["number"] for r in found["routes"]] == ["ROWAN-902"]
    assert {s["number"]: s.get("stays", False) for s in found["stopped"]} == {
        "ROWAN-101": True, "ROWAN-301": False, "ROWAN-901": False,
    }  # fmt: skip
    assert found["untried"] == 0


def test_a_way_has_the_costs_of_the_plan_that_its_command_gives() -> None:
    ran = demo(*SWAP, "--instead-of", "HAZEL-201")
    assert ran.status == 0 and "1 of 3 other ways has a plan." in ran.flowing
    (route,) = told("HAZEL-201")["routes"]
    command = shlex.split(last(ran))
    assert command[:2] == ["knockon", "swap"] and "master cylinder=HAZEL-104" in command
    plan = json.loads(demo(*command[1:], "--json").out)["result"]["plan"]
    assert plan["costs"] == route["costs"]


def test_what_goes_together_and_must_not_be_used_is_boxed_before_the_others() -> None:
    """A kept master cylinder whose residual valve holds the pads on: it goes together, and is unsafe."""
    found = told("HAZEL-201")
    assert [s["number"] for s in found["stopped"] if s.get("unsafe")] == ["HAZEL-101"]
    ran = demo(*SWAP, "--instead-of", "HAZEL-201")
    box = ran.out.index("UNSAFE WAYS")
    assert box < ran.out.index("Keep HAZEL-101") < ran.out.index("WHERE THE OTHERS STOP")
    assert "10 psi" in ran.flowing


def test_where_nothing_else_goes_the_answer_is_no() -> None:
    ran = demo(*SWAP, "--instead-of", "ROWAN-251")
    assert ran.status == 1 and "NO OTHER WAY" in ran.flowing


def test_ways_that_rest_on_unknown_checks_are_no_good_answer() -> None:
    """The part that was asked for itself: other rotors have plans, and each must be measured first."""
    ran = demo(*SWAP, "--instead-of", "LARCH-201")
    assert ran.status == 1 and "Every one depends on checks that are not known. Measure first." in ran.flowing
    command = shlex.split(last(ran))
    assert "rotor=LARCH-901" in command and "rotor=LARCH-201" not in command, "what cannot be had is not asked for"
    plan = json.loads(demo(*command[1:], "--json").out)["result"]["plan"]
    assert plan["costs"] == told("LARCH-201")["routes"][0]["costs"]


@pytest.mark.parametrize(
    ("part", "said"), [("ROWAN-2O1", "Nearest"), ("ROWAN-301", "the plan does not buy ROWAN-301"), ("FERN-01", "plan")]
)
def test_a_part_that_is_not_bought_is_refused(part: str, said: str) -> None:
    ran = demo(*SWAP, "--instead-of", part)
    assert ran.status == 2 and said in " ".join(ran.err.split())


def test_the_whole_answer_names_every_line_that_differs() -> None:
    short, full = (demo(*SWAP, "--instead-of", "LARCH-201", *words) for words in ((), ("--full",)))
    assert "68 lines of the order list differ." in short.flowing
    assert "68 lines" not in full.flowing and "8 LARCH-302" in full.flowing


# ---- a small cart, worked out by hand


def ways(part: str, **changed: str) -> RoutesAnswer:
    catalogue = records_from_text(tables(**changed)).catalogue
    return routes(catalogue, "mine", part, renew=("rotor",))


def test_a_cart_on_which_two_rotors_may_stand() -> None:
    """Without R1 the only other rotor is R2, bought instead: two for two, and nothing offers it."""
    found = ways("R1")
    assert [(r.number, r.stays) for r in found.routes] == [("R2", False)]
    assert [(x.number, x.before, x.after) for x in found.routes[0].lines] == [("R1", 2, 0), ("R2", 0, 2)]
    assert found.stopped == () and found.is_good


def test_a_part_for_which_the_records_have_nothing_else() -> None:
    found = ways("C1")
    assert found.routes == () and found.stopped == () and not found.is_good


def test_of_very_many_ways_the_rest_is_counted() -> None:
    more = "".join(f"X{n:02},x,rotor,either,no,book,1\n" for n in range(MOST_TRIED + 3))
    found = ways("R1", parts=tables()["parts.csv"] + more)
    assert len(found.routes) + len(found.stopped) == MOST_TRIED and found.untried == 4


def test_the_best_way_is_tried_among_very_many() -> None:
    """Thirty rotors that nobody offers stand before the one that is sold: that one is found, and is the best."""
    many = "".join(f"A{n:02},a,rotor,either,no,book,1\n" for n in range(MOST_TRIED + 6))
    found = ways("R1", parts=tables()["parts.csv"] + many, offers=csv("supplier,part,price", "Ash,R1,2", "Ash,R2,3"))
    assert found.untried == 7 and found.routes[0].number == "R2"


def test_a_page_with_many_stops_counts_what_it_does_not_name() -> None:
    """Where nothing else goes, that is proven of all ways, tried or not; five stops of each sort are named."""
    catalogue = records_from_text(tables()).catalogue
    stops = [Stopped(f"X{n}", (f"X{n}",), f"rotor=X{n}", stays=False, unsafe=n < 7) for n in range(14)]
    answer = replace(routes(catalogue, "mine", "C1", renew=("rotor",)), stopped=tuple(stops), untried=3)
    said = list(routes_text(catalogue, answer, Shown(), "ask", str))
    (box,) = [b for b in said if isinstance(b, Box)]
    assert len(box.lines) == 7 and box.lines[-1] == "2 more: --full."
    texts = [b.text for b in said if isinstance(b, Para)]
    assert texts.count("2 more: --full.") == 1 and "3 more stop too. They were not tried one by one." in texts
    whole = list(routes_text(catalogue, answer, Shown(full=True), "ask", str))
    assert [len(b.lines) for b in whole if isinstance(b, Box)] == [8]


def test_nothing_at_all_is_no_way_round_what_was_asked_for() -> None:
    rows = ("cart,rotor,vehicle,rotor,2,needed,r,1", "cart,extra,vehicle,caliper,1,optional,e,2")
    positions = csv("layout,position,level,part type,quantity,need,group,order", *rows)
    fittings = csv("vehicle,position,part,condition", "mine,rotor,R1,due")
    catalogue = records_from_text(tables(positions=positions, fittings=fittings)).catalogue
    assert routes(catalogue, "mine", "C1", want=("extra=C1",)).routes == ()


def test_another_arrangement_that_needs_no_part_there_is_a_way_too() -> None:
    """The plain cart has a caliper that is due; the fancy one has nuts there instead, and no caliper."""
    head = "layout,position,level,part type,quantity,arrangement,need,group,order"
    rows = (
        "cart,rotor,vehicle,rotor,2,,needed,r,1",
        "cart,caliper,vehicle,caliper,1,plain,needed,c,2",
        "cart,wheel nut,vehicle,wheel nut,8,fancy,needed,n,3",
    )
    catalogue = records_from_text(
        tables(
            arrangements=csv("layout,arrangement,title", "cart,plain,plain", "cart,fancy,fancy"),
            positions=csv(head, *rows),
            vehicles=csv("vehicle,title,layout,arrangement,as made", "mine,mine,cart,plain,no"),
            fittings=csv("vehicle,position,part,condition", "mine,rotor,R1,sound", "mine,caliper,C1,due"),
        )
    ).catalogue
    found = routes(catalogue, "mine", "C1", renew=("caliper",))
    (way,) = found.routes
    assert way.number == "" and [(x.number, x.after) for x in way.lines] == [("C1", 0), ("N1", 8)]
    said = [b.text for b in routes_text(catalogue, found, Shown(), "ask", str) if isinstance(b, Para)]
    assert any(text.startswith("Put nothing there: ") for text in said)


def test_every_way_is_a_plan_of_its_own() -> None:
    """Against the swap itself: the same costs where it has a plan, none where it has none."""
    catalogue = records_from_text(tables(offers=csv("supplier,part,price", "Ash,R2,3", "Ash,N2,2"))).catalogue
    answer = routes(catalogue, "mine", "R2", renew=("rotor",))
    assert answer.routes
    for route in answer.routes:
        alone = swap(catalogue, "mine", want=[route.wish], avoid=["R2"], renew=["rotor"], alternatives=0)
        assert alone.plan is not None and alone.plan.costs == route.costs


def test_without_a_plan_there_is_no_way_round_it() -> None:
    catalogue = records_from_text(tables()).catalogue
    with pytest.raises(RequestError):
        routes(catalogue, "mine", "R1", want=("rotor=R1",), avoid=("R1",))
