"""A swap names what its cheapest order costs in all: kits, postage, surcharges and tax in it, as ``order`` finds it."""

from __future__ import annotations

import pytest

from knockon.graph.records import records_from_text
from knockon.queries.buy.order import order
from knockon.queries.buy.priced import priced
from knockon.queries.plan.swap import SwapAnswer, swap
from knockon.queries.ui.naming import Naming
from knockon.queries.ui.texts.plan.cheapest_order import order_in_short
from tests.unit.test_order import csv, tables

KIT = {"kits": csv("kit,is,supplier,price", "K,kit,Beech,120"),
       "kit_lines": csv("kit,part,quantity", "K,R1,2", "K,C1,2")}  # fmt: skip


def answered(want: str = "", **changed: str) -> tuple[SwapAnswer, str]:
    """The swap of the cart on which all is due, with its cheapest order, and that in words."""
    catalogue = records_from_text(tables(**changed)).catalogue
    wants, renew = (want,) if want else (), ("rotor",)
    answer = priced(catalogue, swap(catalogue, "mine", want=wants, renew=renew), want=wants, renew=renew)
    said = order_in_short(Naming.on(catalogue, "mine"), answer.order)
    if answer.order is not None:
        found = order(catalogue, "mine", want=wants, renew=renew)
        one = next(o for o in found.orders if o.name == "cheapest")
        told = answer.order
        assert (told.total, told.goods, told.postage, told.surcharges, told.tax) == (
            one.total, one.goods, one.postage, one.surcharges, one.tax,
        )  # fmt: skip
        assert (told.parcels, told.optimal) == (one.parcels, one.optimal)
    return answer, said


def test_the_total_has_the_postage_in_it() -> None:
    """2 x 20 + 2 x 50 + 8 x 1, and 5 postage."""
    answer, said = answered()
    assert answer.order is not None and answer.order.total == "153.00"
    assert said == "The cheapest order costs 153.00 in all: 1 parcel and postage 5.00."


def test_a_kit_that_is_cheaper_is_in_it_and_named() -> None:
    """The kit at 120 and 3 postage, nuts at 8 and 5 postage: 136."""
    answer, said = answered(**KIT)
    assert answer.order is not None and answer.order.total == "136.00" and answer.order.kits == ("K",)
    assert said == "The cheapest order costs 136.00 in all: 2 parcels with kit K and postage 8.00."


def test_surcharges_and_currency_are_named() -> None:
    """The cart has no calipers to return: two at 50 with 20 each, two rotors at 20, and 5 postage."""
    changed = {
        "fittings": csv("vehicle,position,part,condition", "mine,rotor,R1,due", "mine,wheel nut,N1,sound"),
        "offers": csv("supplier,part,price,exchange surcharge", "Ash,R1,20,", "Ash,C1,50,20", "Ash,N1,1,"),
        "suppliers": csv("supplier,postage,currency", "Ash,5,GBP"),
    }
    _, said = answered(want="caliper=C1", **changed)
    assert said == ("The cheapest order costs 185.00 GBP in all: 1 parcel, postage 5.00 and surcharges 40.00.")


def test_an_order_that_lacks_a_line_has_no_total_in_words() -> None:
    answer, said = answered(offers=csv("supplier,part,price", "Ash,R1,20", "Ash,C1,50"))
    assert answer.order is not None and answer.order.lacks == ("N1",)
    assert said == ""


def test_another_number_that_suits_as_well_and_is_cheaper_is_told() -> None:
    """R2 costs less by itself, so the plan has it; with its own parcel it costs more, so the order has R1."""
    offers = csv("supplier,part,price", "Ash,R1,20", "Ash,C1,50", "Ash,N1,1", "Beech,R2,19")
    answer, said = answered(offers=offers)
    assert answer.plan is not None and answer.order is not None
    assert "R2" in {line.number for g in answer.plan.groups for line in g.lines}
    assert [(n, o) for _, n, o in answer.order.differs] == [("R2", "R1")]
    assert said.endswith("It buys R1 instead of R2, which suit as well.")


@pytest.mark.parametrize(
    "offers",
    ["", "Ash,C1,50 GBP\nAsh,R1,20 EUR\n"],
    ids=["nobody sells anything", "two currencies, which an order refuses"],
)
def test_where_there_is_no_order_the_answer_stays_as_it_is(offers: str) -> None:
    answer, _ = answered(offers="supplier,part,price\n" + offers)
    assert answer.plan is not None and answer.order is None


def test_a_demo_swap_names_the_order_of_the_order_command() -> None:
    """The invented world's own number, with its kit and its postage."""
    from tests.commands.running import demo

    said = demo("swap", "tansy-m080", "--want", "rotor=LARCH-201").flowing
    assert "The cheapest order costs 1688.40 in all: 4 parcels with kit K4, postage 53.00" in said
    assert "for 1688.40" in demo("order", "tansy-m080", "--want", "rotor=LARCH-201").flowing
