"""What a plan costs: exact prices, an exchange surcharge for each unit for which no old part leaves, offers first."""

from __future__ import annotations

import re
from decimal import Decimal
from importlib import resources
from itertools import permutations

import pytest

from knockon.graph.model.layouts.layout import Places
from knockon.graph.records import records_from_text
from knockon.queries.answers import OrderLine
from knockon.queries.fits.checking.checks import Checks
from knockon.queries.plan.changes import changes_of
from knockon.queries.plan.orders import order_groups
from knockon.queries.plan.solving.levels import LEVELS, TOLD, in_order, priorities
from knockon.queries.plan.solving.offered import exact, in_cents
from knockon.queries.plan.solving.planner import Filling, Planner
from knockon.queries.plan.solving.problem import Problem
from knockon.queries.plan.solving.request import read_request
from knockon.queries.ui.texts.plan.levels import COMPARED, COUNTED

TABLES = {
    "sources.csv": "source,title,standing\nbook,the maker's book,drawing\n",
    "parts.csv": "part,name,part type,hand,one use,source\n"
    "OLD,old one,caliper,either,no,book\n"
    "ONE,first,caliper,either,no,book\nTWO,second,caliper,either,no,book\nTHREE,third,caliper,either,no,book\n"
    "BOX,two in a box,set,either,no,book\nSTUD,stud,wheel stud,either,yes,book\nNUT,nut,hub nut,either,no,book\n",
    "set_members.csv": "set,position,as part\nBOX,a,ONE\nBOX,b,TWO\n",
    "layouts.csv": "layout,title\nrig,a rig\n",
    "arrangements.csv": "layout,arrangement,title\nrig,single,one of them\nrig,triple,three of them\n",
    "positions.csv": "layout,position,level,part type,quantity,arrangement,need,group,order\n"
    "rig,alone,vehicle,caliper,1,single,needed,alone,10\nrig,a,vehicle,caliper,1,triple,needed,a,20\n"
    "rig,b,vehicle,caliper,1,triple,needed,b,30\nrig,c,vehicle,caliper,1,triple,needed,c,40\n"
    "rig,stud,vehicle,wheel stud,8,,needed,studs,50\nrig,nut,vehicle,hub nut,1,,needed,nuts,60\n",
    "vehicles.csv": "vehicle,title,layout,as made,arrangement\nrig-1,a rig,rig,yes,single\n",
    "fittings.csv": "vehicle,position,part,condition\n"
    "rig-1,alone,OLD,sound\nrig-1,stud,STUD,sound\nrig-1,nut,NUT,due\n",
    "suppliers.csv": "supplier,title,postage\nMill,a mill,0\nForge,a forge,0\n",
}
HEAD = "supplier,part,price,exchange surcharge\n"


def planned(offers: str, *want: str, prefer: tuple[str, ...] = ()) -> tuple[Problem, Filling, dict[str, OrderLine]]:
    """A plan for the rig and the lines of its order."""
    records = records_from_text({**TABLES, "offers.csv": HEAD + offers})
    assert not records.findings, records.findings
    places = Places(records.catalogue.layouts["rig"])
    request = read_request(records.catalogue, places, want=want, prefer=prefer)
    of = Problem(Checks(records.catalogue, places), records.catalogue.vehicles["rig-1"], request)
    planner = Planner(of)
    filling = planner.best()
    assert filling is not None
    groups = order_groups(of, filling, changes_of(planner, filling, (), with_reasons=False))
    return of, filling, {f"{g.group} {x.number}": x for g in groups for x in g.lines}


def total(lines: dict[str, OrderLine]) -> Decimal:
    return sum((line.total() for line in lines.values()), Decimal(0))


def test_the_order_of_preference_in_words() -> None:
    assert in_order(()) == LEVELS == ("changes", "unproven", "unoffered", "price")
    assert in_order(["price"]) == ("unoffered", "price", "changes", "unproven")
    assert in_order(["price", "unoffered"]) == in_order(["unoffered", "price"]) == in_order(["price"])
    assert in_order(["unoffered"]) == ("unoffered", "changes", "unproven", "price")
    assert in_order(["unoffered", "changes", "price"]) == ("unoffered", "changes", "price", "unproven")
    assert in_order(["unproven", "price"]) == ("unproven", "unoffered", "price", "changes")
    for prefer in permutations(LEVELS):
        order = priorities(prefer)
        assert [level for level in order if level in LEVELS] == list(in_order(prefer))
        assert order["unoffered"] > order["price"] and list(order.values()) == sorted({*order.values()}, reverse=True)
        assert order["kit lines short"] > order["not known"] > max(order[level] for level in LEVELS)
        assert order["work"] < min(order[level] for level in LEVELS)


def test_the_program_states_every_level_and_no_other() -> None:
    program = resources.files("knockon.queries.plan.solving").joinpath("swap.lp").read_text(encoding="utf-8")
    assert set(re.findall(r'level\("(.*?)",L\)', program)) == set(priorities(()))
    assert set(COMPARED) == {*COUNTED, "price"} == set(TOLD)


def test_who_looks_at_the_price_does_not_get_what_nobody_offers() -> None:
    """ONE and THREE have no offer: as a price of nought they would always be cheapest."""
    offers = "Mill,TWO,900,\n"
    for prefer in ((), ("price",), ("price", "unoffered"), ("unproven", "price")):
        _, filling, lines = planned(offers, "a=TWO", prefer=prefer)
        assert {line.number for line in lines.values()} == {"TWO", "NUT"}
        assert (filling.costs["unoffered"], filling.costs["price"]) == (1, 270_000)


def test_a_surcharge_is_paid_for_each_unit_for_which_no_old_part_leaves() -> None:
    """Three are bought, one old one leaves: two surcharges."""
    _, filling, lines = planned("Mill,ONE,100,40\n", "a=ONE", "b=ONE", "c=ONE")
    assert filling.costs["price"] == 38_000 == total(lines) * 100
    assert [line.exchanged for line in lines.values()] == [1, 0, 0, 0]
    offers = [line.offer for line in lines.values() if line.offer]
    assert [(o.price, o.surcharge) for o in offers] == [(100, 0), (140, 40), (140, 40)]


def test_the_old_part_serves_where_it_saves_most() -> None:
    """Of three with surcharges of 10, 50 and 30 the one with 50 is exchanged; where another supplier asks 15 more and
    no surcharge an old part saves only those 15."""
    wants = ("a=ONE", "b=TWO", "c=THREE")
    _, filling, lines = planned("Mill,ONE,100,10\nMill,TWO,100,50\nMill,THREE,100,30\n", *wants)
    assert filling.costs["price"] == 34_000 == total(lines) * 100
    assert lines["b TWO"].exchanged == 1
    _, filling, lines = planned("Mill,ONE,100,10\nMill,TWO,100,50\nForge,TWO,115,\nMill,THREE,100,30\n", *wants)
    assert filling.costs["price"] == 32_500 == total(lines) * 100
    assert lines["c THREE"].exchanged == 1
    assert lines["b TWO"].offer is not None and lines["b TWO"].offer.supplier == "Forge"


def test_an_old_part_of_another_type_serves_nothing() -> None:
    """The nut is renewed and its old one leaves: that is no old caliper."""
    _, filling, lines = planned("Mill,ONE,100,40\nMill,NUT,5,2\n", "a=ONE", "b=ONE", "c=ONE")
    assert filling.costs["price"] == 38_500 == total(lines) * 100
    assert lines["nuts NUT"].offer is not None and lines["nuts NUT"].offer.surcharge == 0


def test_a_set_is_one_unit() -> None:
    _, filling, lines = planned("Mill,BOX,150,60\nMill,THREE,100,40\n", "a=BOX", "c=THREE")
    assert filling.costs["price"] == 29_000 == total(lines) * 100
    assert lines["a BOX"].exchanged == 1


@pytest.mark.parametrize(("surcharge", "number"), [("26.66", "ONE"), ("26.68", "TWO")])
def test_the_cheapest_plan_counts_what_the_old_part_saves_there(surcharge: str, number: str) -> None:
    """The old part serves the one that is asked for; the others are of the number that is cheaper without one."""
    _, filling, lines = planned(f"Mill,ONE,100,{surcharge}\nForge,TWO,126.67,\n", "a=ONE")
    assert [line.number for line in lines.values()] == ["ONE", number, number, "NUT"]
    assert filling.costs["price"] == 10_000 + 2 * min(12_667, 10_000 + in_cents(Decimal(surcharge)))
    assert filling.costs["price"] == total(lines) * 100


def test_units_of_one_line_that_are_paid_differently() -> None:
    """Of a line of two at one position and place each unit is counted by itself."""
    tables = {"positions.csv": TABLES["positions.csv"].replace("rig,a,vehicle,caliper,1", "rig,a,vehicle,caliper,3")}
    records = records_from_text({**TABLES, **tables, "offers.csv": HEAD + "Mill,ONE,100,40\nMill,TWO,1,\n"})
    places = Places(records.catalogue.layouts["rig"])
    of = Problem(
        Checks(records.catalogue, places),
        records.catalogue.vehicles["rig-1"],
        read_request(records.catalogue, places, want=["a=ONE"]),
    )
    planner = Planner(of)
    filling = planner.best()
    assert filling is not None
    groups = order_groups(of, filling, changes_of(planner, filling, (), with_reasons=False))
    (line,) = (x for g in groups for x in g.lines if x.number == "ONE")
    assert line.offer is not None and line.exchange is not None
    assert (line.quantity, line.exchanged, line.offer.price, line.exchange.price) == (3, 1, 140, 100)
    assert line.total() == 380 and filling.costs["price"] == 38_200


def test_prices_are_exact() -> None:
    """Eight at 0.125 are 1.00, and three at 0.10 are not 0.30000000000000004."""
    _, filling, lines = planned("Mill,STUD,0.125,\nMill,ONE,0.10,\n", "stud=STUD", "a=ONE")
    assert filling.costs["price"] == in_cents(total(lines))
    assert exact(0.1) * 3 == Decimal("0.3")
    assert [in_cents(Decimal(x)) for x in ("0.125", "0.115", "0.114", "1000000")] == [13, 12, 11, 100_000_000]


def test_no_other_plan_seems_cheaper_by_a_surcharge_that_is_not_paid() -> None:
    """These plans differ in price alone, so that there is no other one worth showing."""
    of, filling, _ = planned("Mill,ONE,100,40\nForge,TWO,130,\nMill,THREE,99,70\n", "c=THREE")
    assert filling.costs["price"] == 9_900 + 2 * 13_000
    planner = Planner(of)
    planner.exclude_no_better(filling.costs)
    assert planner.best() is None
