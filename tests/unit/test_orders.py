"""The order list: groups in the layout's order, hands apart, sets counted once, the cheapest offer."""

from __future__ import annotations

from msgspec.structs import replace

from knockon.queries.answers import BestOffer, OrderGroup
from knockon.queries.plan.changes import changes_of
from knockon.queries.plan.orders import best_offer, consumables_of, group_key, order_groups
from knockon.queries.plan.solving.problem import Problem
from tests.unit.small import LEFT, RIGHT, TABLES, planned, problem, with_rows, world


def groups(of: Problem) -> tuple[OrderGroup, ...]:
    planner, filling = planned(of)
    return order_groups(of, filling, changes_of(planner, filling, (), with_reasons=False))


def test_lines_by_group_with_quantity_for_both_hands() -> None:
    found = groups(problem(world(), "hub=HUB-25L"))
    assert [(g.group, g.hand, [(x.number, x.quantity) for x in g.lines]) for g in found] == [
        ("axles", "", [("AXLE-25", 1)]),
        ("hubs", "left", [("HUB-25L", 1)]),
        ("hubs", "right", [("HUB-25R", 1)]),
        ("studs", "", [("STUD-1", 8)]),
        ("caps", "", [("CAP-1", 2)]),
    ]
    assert found[3].why == "pressed into the hub, which leaves"
    assert found[3].lines[0].one_use and found[3].lines[0].places == ("left stud", "right stud")


def test_a_set_is_one_line_in_the_first_group_that_it_serves() -> None:
    found = {(g.group, g.hand): g.lines for g in groups(problem(world(), "axle=AXLE-25"))}
    assert [(x.number, x.quantity) for x in found[("hubs", "")]] == [("PAIR-25", 1)]
    assert [(x.number, x.quantity) for x in found[("caps", "")]] == [("PAIR-25", 0)]
    assert sum(x.quantity for lines in found.values() for x in lines if x.number == "PAIR-25") == 1


def test_the_cheapest_offer_with_and_without_an_old_part_to_hand_in() -> None:
    of = problem(world())
    assert best_offer(of, "AXLE-25", old_part=True) == BestOffer("Forge", 28.0, 0.0)
    assert best_offer(of, "AXLE-25") == BestOffer("Mill", 30.0, 0.0)  # 28 and 5 more at the forge
    assert best_offer(of, "HUB-20L") is None
    line = next(x for g in groups(problem(world(), "axle=AXLE-25")) for x in g.lines if x.number == "AXLE-25")
    assert (line.offer, line.exchanged) == (BestOffer("Forge", 28.0, 0.0), 1)  # the old axle is handed in


def test_the_surcharge_is_shown_where_it_is_part_of_the_cheapest_price() -> None:
    of = problem(world(with_rows("offers.csv", "Forge,HUB-20L,10,4")))
    assert best_offer(of, "HUB-20L") == BestOffer("Forge", 14.0, 4.0)


def test_a_surcharge_counts_for_each_supplier_alike() -> None:
    """The first in the alphabet is not the cheapest where its surcharge is due as well."""
    of = problem(world(with_rows("offers.csv", "Forge,HUB-20L,30,10", "Mill,HUB-20L,30,")))
    assert best_offer(of, "HUB-20L") == BestOffer("Mill", 30.0, 0.0)
    assert best_offer(of, "HUB-20L", old_part=True) == BestOffer("Forge", 30.0, 0.0)


def test_an_avoided_supplier_offers_nothing() -> None:
    of = problem(world())
    of.request = replace(of.request, avoid=("Forge",))
    assert best_offer(of, "AXLE-25", old_part=True) == BestOffer("Mill", 30.0, 0.0)
    assert best_offer(of, "CAP-1") is None


def test_the_hand_is_in_the_group_only_where_the_part_is_handed() -> None:
    of = problem(world())
    by_number = {(c.number, c.place): c for c in of.numbered if not c.stays}
    assert group_key(of, by_number[("HUB-25L", LEFT)]) == ("hubs", "left")
    assert group_key(of, by_number[("HUB-?", RIGHT)]) == ("hubs", "")
    assert group_key(of, by_number[("PAIR-25", LEFT)]) == ("hubs", "")


def test_a_consumable_of_which_no_part_is_recorded_is_needed_all_the_same() -> None:
    rows = with_rows("consumables.csv", "cart axle,brake cleaner,hub,2", "cart axle,brake cleaner,cap,3")
    of = problem(world(rows), "axle=AXLE-25")
    _, filling = planned(of)
    lines = {line.name: line for line in consumables_of(of, filling)}
    needed = lines["brake cleaner"]
    assert (needed.number, needed.quantity, needed.places, needed.offer) == ("", 3, ("cap", "hub"), None)
    assert not needed.recorded and lines["grease"].recorded


def test_consumables_follow_what_is_renewed() -> None:
    of = problem(world(), "axle=AXLE-25")
    _, filling = planned(of)
    (line,) = consumables_of(of, filling)
    assert (line.number, line.quantity, line.places, line.offer) == ("GREASE", 1, ("hub",), None)
    wider = problem(
        world({"consumables.csv": TABLES["consumables.csv"].replace("bearing grease", "workshop consumable")})
    )
    assert [x.number for x in consumables_of(wider, planned(problem(world(), "axle=AXLE-25"))[1])] == ["GREASE"]
    still = problem(world())
    assert consumables_of(still, planned(still)[1]) == ()
