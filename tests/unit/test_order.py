"""Each rule of buying by itself, on a small cart of which all or some is due."""

from __future__ import annotations

from decimal import Decimal

import pytest

from knockon.graph.records import records_from_text
from knockon.queries.as_typed import RequestError
from knockon.queries.buy.order import OrderAnswer, OrderBought, order, read_accepted

LINES = {"rotor": 2, "caliper": 2, "wheel nut": 8}
PARTS = {"R1": "rotor", "R2": "rotor", "C1": "caliper", "N1": "wheel nut", "N2": "wheel nut"}


def csv(header: str, *rows: str) -> str:
    """One table."""
    return "\n".join((header, *rows)) + "\n"


def tables(**changed: str) -> dict[str, str]:
    """A cart with two rotors, two calipers and eight nuts, all due; ``changed``: tables by name."""
    made = {
        "sources": csv("source,title,standing", "book,a book,drawing"),
        "parts": csv("part,name,part type,hand,one use,source,weight kg",
                     *(f"{n},{n.lower()},{kind},either,no,book,1" for n, kind in PARTS.items())),
        "layouts": csv("layout,title", "cart,a cart"),
        "positions": csv("layout,position,level,part type,quantity,need,group,order",
                         *(f"cart,{p},vehicle,{p},{n},needed,{p},{i}" for i, (p, n) in enumerate(LINES.items()))),
        "vehicles": csv("vehicle,title,layout,as made", "mine,mine,cart,no"),
        "fittings": csv("vehicle,position,part,condition", "mine,rotor,R1,due", "mine,caliper,C1,due",
                        "mine,wheel nut,N1,due"),
        "suppliers": csv("supplier,postage", "Ash,5", "Beech,3"),
        "offers": csv("supplier,part,price", "Ash,R1,20", "Ash,C1,50", "Ash,N1,1"),
    }  # fmt: skip
    return {f"{name}.csv": text for name, text in {**made, **changed}.items()}


def answered(*accept: str, avoid: str = "", **changed: str) -> OrderAnswer:
    """The answer on the cart with some tables changed."""
    records = records_from_text(tables(**changed))
    assert not [f for f in records.findings if f.set_aside], records.findings
    return order(records.catalogue, "mine", accept=accept, avoid=[avoid] if avoid else [])


def cheapest(*accept: str, **changed: str) -> OrderBought:
    """The cheapest order, which must be proven."""
    found = next(o for o in answered(*accept, **changed).orders if o.name == "cheapest")
    assert found.optimal
    return found


def bought(found: OrderBought) -> list[tuple[str, str, int]]:
    """Supplier, part or kit, quantity."""
    return [(line.supplier, line.part or line.kit, line.quantity) for line in found.lines]


def test_goods_and_postage_of_one_parcel() -> None:
    """2 x 20 + 2 x 50 + 8 x 1, and 5 postage."""
    found = cheapest()
    assert (found.goods, found.postage, found.surcharges, found.tax, found.total) == (
        "148.00", "5.00", "0.00", "0.00", "153.00",
    )  # fmt: skip
    assert bought(found) == [("Ash", "C1", 2), ("Ash", "N1", 8), ("Ash", "R1", 2)]
    assert (found.parcels, found.unproven, found.left_over) == (1, 0, ())


def test_packs_are_bought_whole_and_what_is_over_is_left() -> None:
    """Packs of three at 2.00: three for eight nuts, one nut over."""
    offers = csv("supplier,part,price,pack size", "Ash,R1,20,", "Ash,C1,50,", "Ash,N1,2,3", "Ash,N1,1.10,")
    found = cheapest(offers=offers)
    assert ("Ash", "N1", 3) in bought(found)
    assert [(left.part, left.quantity) for left in found.left_over] == [("N1", 1)]
    assert found.total == "151.00"


def test_packs_and_single_ones_of_one_supplier_can_be_mixed() -> None:
    """Two packs of three and two single ones, at 1.90 a pack and 0.50 each."""
    offers = csv("supplier,part,price,pack size", "Ash,R1,20,", "Ash,C1,50,", "Ash,N1,1.00,3", "Ash,N1,0.45,")
    found = cheapest(offers=offers)
    assert Decimal(found.goods) == 140 + 2 + Decimal("0.90")


def test_no_more_packs_than_there_are() -> None:
    """Beech has the nuts cheaper, but only five."""
    offers = csv("supplier,part,price,stock", "Ash,R1,20,", "Ash,C1,50,", "Ash,N1,3,", "Beech,N1,1,5")
    found = cheapest(offers=offers)
    assert ("Beech", "N1", 5) in bought(found)
    assert ("Ash", "N1", 3) in bought(found)
    assert {q.of for q in found.ask if q.about == "stock"} == {"R1", "C1", "N1"}


def test_none_in_stock_is_nothing_to_buy() -> None:
    offers = csv("supplier,part,price,stock", "Ash,R1,20,", "Ash,C1,50,", "Ash,N1,3,0")
    answer = answered(offers=offers)
    assert not answer.complete
    assert not answer.is_good
    assert [(lack.part, lack.quantity) for lack in answer.orders[0].lacks] == [("N1", 8)]
    assert answer.not_sold == ()


def test_where_nobody_sells_a_line_the_order_supplies_most_lines() -> None:
    offers = csv("supplier,part,price", "Ash,R1,20", "Ash,C1,50")
    answer = answered(offers=offers)
    assert answer.not_sold == ("N1", "N2") or answer.not_sold == ("N1",)
    assert bought(answer.orders[0]) == [("Ash", "C1", 2), ("Ash", "R1", 2)]
    assert answer.orders[0].supplied == 2


def test_old_parts_serve_by_type_where_the_surcharge_is_greatest() -> None:
    """Two old calipers leave and three are bought: one of the dearer surcharge and one of the other are saved."""
    rows = ("cart,caliper,vehicle,caliper,2,needed,c,1", "cart,extra,vehicle,caliper,1,optional,e,2")
    changed = {
        "positions": csv("layout,position,level,part type,quantity,need,group,order", *rows),
        "fittings": csv("vehicle,position,part,condition", "mine,caliper,C1,due"),
        "offers": csv("supplier,part,price,exchange surcharge", "Ash,C1,50,20", "Ash,C2,60,30"),
        "parts": tables()["parts.csv"] + "C2,c2,caliper,either,no,book,1\n",
    }
    wants = ["caliper=C1", "extra=C2"]
    found = order(records_from_text(tables(**changed)).catalogue, "mine", want=wants).orders[0]
    assert (found.surcharges, found.total) == ("20.00", "185.00")
    assert {line.part: line.exchanged for line in found.lines} == {"C1": 1, "C2": 1}


@pytest.mark.parametrize(("condition", "surcharges"), [("due", "0.00"), ("sound", "0.00")])
def test_parts_on_the_shelf_are_handed_in_or_used(condition: str, surcharges: str) -> None:
    """Nothing is recorded of the calipers on the cart. One due caliper serves one unit; a sound one is used."""
    fittings = csv("vehicle,position,part,condition", "mine,rotor,R1,due", "mine,wheel nut,N1,due")
    offers = csv("supplier,part,price,exchange surcharge", "Ash,R1,20,", "Ash,C1,50,20", "Ash,N1,1,")
    shelf = csv("part,condition,quantity", f"C1,{condition},2")
    records = records_from_text(tables(fittings=fittings, offers=offers, shelf=shelf))
    answer = order(records.catalogue, "mine", want=["caliper=C1"])
    found = answer.orders[0]
    assert found.surcharges == surcharges
    assert bought(found)[0] == (("Ash", "C1", 2) if condition == "due" else ("Ash", "N1", 8))


def test_something_not_recorded_gives_no_old_part() -> None:
    fittings = csv("vehicle,position,part,condition", "mine,rotor,R1,due", "mine,wheel nut,N1,due")
    offers = csv("supplier,part,price,exchange surcharge", "Ash,R1,20,", "Ash,C1,50,20", "Ash,N1,1,")
    records = records_from_text(tables(fittings=fittings, offers=offers))
    found = order(records.catalogue, "mine", want=["caliper=C1"]).orders[0]
    assert found.surcharges == "40.00"


def test_a_kit_that_is_dearer_than_its_parts_wins_through_the_surcharge() -> None:
    """The kit costs 130, its parts 2 x 50 and a surcharge of 20 on each, as the cart's rotors give no calipers."""
    fittings = csv("vehicle,position,part,condition", "mine,rotor,R1,due", "mine,wheel nut,N1,due")
    offers = csv("supplier,part,price,exchange surcharge", "Ash,R1,20,", "Ash,C1,50,20", "Ash,N1,1,")
    changed = {
        "fittings": fittings, "offers": offers,
        "kits": csv("kit,is,supplier,price,not itemised", "pair,kit,Ash,130,all fittings"),
        "kit_lines": csv("kit,part,quantity", "pair,C1,2"),
    }  # fmt: skip
    found = order(records_from_text(tables(**changed)).catalogue, "mine", want=["caliper=C1"]).orders[0]
    assert ("Ash", "pair", 1) in bought(found)
    assert (found.surcharges, found.total) == ("0.00", "183.00")
    assert [q.what for q in found.ask if q.about == "not itemised"] == ["all fittings"]
    without = {**changed, "offers": offers.replace("50,20", "50,14")}
    found = order(records_from_text(tables(**without)).catalogue, "mine", want=["caliper=C1"]).orders[0]
    assert ("Ash", "pair", 1) not in bought(found)
    assert found.total == "181.00"


def test_the_cheapest_purchase_needs_another_filling_than_the_best_plan() -> None:
    """The plan takes N1, the cheaper nut; with postage the order takes N2 from who sells all else."""
    offers = csv("supplier,part,price", "Ash,R1,20", "Ash,C1,50", "Ash,N2,1.10", "Beech,N1,1")
    found = cheapest(offers=offers)
    assert bought(found) == [("Ash", "C1", 2), ("Ash", "N2", 8), ("Ash", "R1", 2)]
    assert found.total == "153.80"


@pytest.mark.parametrize(("free", "postage"), [("148", "0.00"), ("148.01", "5.00")])
def test_free_postage_is_met_at_its_value(free: str, postage: str) -> None:
    found = cheapest(suppliers=csv("supplier,postage,free over", f"Ash,5,{free}"))
    assert found.postage == postage


@pytest.mark.parametrize(("least", "nuts"), [("148", 8), ("148.01", 8)])
def test_the_smallest_order_is_met_at_its_value(least: str, nuts: int) -> None:
    """Of each offer no more may be bought than the line takes, so goods of more than 148 cannot be had."""
    answer = answered(suppliers=csv("supplier,postage,smallest order", f"Ash,5,{least}"))
    assert answer.complete == (least == "148")


def test_more_is_bought_where_that_saves_postage() -> None:
    """A kit of two rotors at 34 beside the two that are needed makes postage of 40 free."""
    changed = {
        "suppliers": csv("supplier,postage,free over", "Ash,40,170"),
        "kits": csv("kit,is,supplier,price", "rotors,kit,Ash,30"),
        "kit_lines": csv("kit,part,quantity", "rotors,R1,1"),
    }
    found = cheapest(**changed)
    assert found.postage == "0.00"
    assert Decimal(found.total) < 148 + 40
    assert [left.part for left in found.left_over] == ["R1"]


@pytest.mark.parametrize(("weights", "postage"), [("1,1,0.25", "4.00"), ("1,1,0.26", "9.00"), ("1,1,", "15.00")])
def test_postage_by_weight(weights: str, postage: str) -> None:
    """2 + 2 + 8 x 0.25 kg is six; a little more takes the next step; what has no weight the highest."""
    rotor, caliper, nut = weights.split(",")
    parts = csv("part,name,part type,hand,one use,source,weight kg", f"R1,r,rotor,either,no,book,{rotor}",
                f"C1,c,caliper,either,no,book,{caliper}", f"N1,n,wheel nut,either,no,book,{nut}")  # fmt: skip
    steps = csv("supplier,up to kg,postage", "Ash,2,2", "Ash,6,4", "Ash,10,9", "Ash,30,15")
    found = cheapest(parts=parts, postage_steps=steps, suppliers=csv("supplier,postage", "Ash,"))
    assert found.postage == postage
    assert [q.of for q in found.ask if q.about == "weight"] == ([] if nut else ["N1"])


def test_a_heavier_parcel_than_the_last_step_takes_that() -> None:
    steps = csv("supplier,up to kg,postage", "Ash,1,2", "Ash,2,4")
    assert cheapest(postage_steps=steps, suppliers=csv("supplier,postage", "Ash,")).postage == "4.00"


def test_tax_is_rounded_once_a_supplier_and_halves_go_up() -> None:
    """Ash: (140 + 5) x 5 % = 7.25. Beech: (8 x 0.05 + 0.10) x 5 % = 0.025, which is 0.03."""
    found = cheapest(
        suppliers=csv("supplier,postage,prices,tax", "Ash,5,net,5", "Beech,0.10,net,5"),
        offers=csv("supplier,part,price", "Ash,R1,20", "Ash,C1,50", "Beech,N1,0.05"),
    )
    assert {bill.supplier: bill.tax for bill in found.parcel_bills} == {"Ash": "7.25", "Beech": "0.03"}
    assert (found.tax, found.total) == ("7.28", "152.78")


def test_gross_prices_have_their_tax_in_them() -> None:
    found = cheapest(suppliers=csv("supplier,postage,prices,tax", "Ash,5,gross,20"))
    assert (found.tax, found.total) == ("0.00", "153.00")


def test_net_prices_without_a_tax_are_asked_about() -> None:
    found = cheapest(suppliers=csv("supplier,postage,prices", "Ash,,net"))
    assert found.tax == "0.00"
    assert {q.about for q in found.ask} >= {"tax", "postage"}


def test_two_currencies_are_refused_unless_one_is_avoided() -> None:
    changed = {
        "suppliers": csv("supplier,postage,currency", "Ash,5,cr", "Beech,3,groats"),
        "offers": csv("supplier,part,price", "Ash,R1,20", "Ash,C1,50", "Ash,N1,1", "Beech,N1,1"),
    }
    with pytest.raises(RequestError, match=r"cr \(Ash\) and groats \(Beech\)"):
        answered(**changed)
    assert answered(avoid="Beech", **changed).currency == "cr"


def test_fewest_parcels_and_cheapest_differ() -> None:
    """Nuts from Beech save 4.80 and cost 3 postage."""
    answer = answered(offers=csv("supplier,part,price", "Ash,R1,20", "Ash,C1,50", "Ash,N1,1", "Beech,N1,0.40"))
    found = {o.name: (o.parcels, o.total) for o in answer.orders}
    assert found == {"cheapest": (2, "151.20"), "fewest parcels": (1, "153.00"), "safest": (2, "151.20")}


@pytest.mark.parametrize(
    ("condition", "quantity", "total", "unproven"),
    [("sound", 8, "145.00", 0), ("unknown", 8, "145.00", 1), ("", 8, "145.00", 1), ("due", 8, "153.00", 0),
     ("sound", 3, "150.00", 0)],
)  # fmt: skip
def test_the_shelf(condition: str, quantity: int, total: str, unproven: int) -> None:
    """Sound parts supply; unknown ones too, and their line is unproven; due ones supply nothing."""
    answer = answered(shelf=csv("part,condition,quantity", f"N1,{condition},{quantity}"))
    found = {o.name: o for o in answer.orders}
    assert (found["cheapest"].total, found["cheapest"].unproven) == (total, unproven)
    assert found["safest"].unproven == 0
    assert found["safest"].total == ("153.00" if unproven else total)


def test_an_item_whose_reading_is_not_that_of_its_number_supplies_nothing() -> None:
    sizes = csv("part,feature,diameter,source", "R1,seat,20 mm,book", "odd,seat,25.00 ±0.02 mm,read")
    changed = {
        "features/spigot": sizes,
        "items": csv("item,part,title,source", "odd,R1,a rotor,read"),
        "sources": csv("source,title,standing", "book,a book,drawing", "read,read on it,on the item"),
        "shelf": csv("item,condition,quantity", "odd,sound,1"),
    }
    answer = answered(**changed)
    assert answer.orders[0].total == "153.00"
    assert answer.not_usable == ("odd, seat: its diameter is not that of R1",)
    changed["features/spigot"] = sizes.replace("25.00", "20.01")
    assert answered(**changed).orders[0].total == "133.00"


def test_the_price_at_which_the_nearest_rival_wins() -> None:
    """The kit holds what costs 40; at 45 it loses, below 40 it wins."""
    changed = {
        "kits": csv("kit,is,supplier,price", "pair,kit,Ash,45"),
        "kit_lines": csv("kit,part,quantity", "pair,R1,2"),
    }
    (rival,) = answered(**changed).rivals
    assert (rival.kit, rival.bought, rival.more, rival.below) == ("pair", True, "5.00", "40.00")
    changed["kits"] = csv("kit,is,supplier,price", "pair,kit,Ash,35")
    (rival,) = answered(**changed).rivals
    assert (rival.bought, rival.more, rival.above) == (False, "5.00", "40.00")


@pytest.mark.parametrize("typed", ["changes", "changes=-1", "price=1", "changes=1.5", "=1"])
def test_what_may_be_accepted(typed: str) -> None:
    with pytest.raises(RequestError, match="changes=1 or unproven=1"):
        read_accepted([typed])
    assert read_accepted(["unproven=2", "changes = 1"]) == {"changes": 1, "unproven": 2}
