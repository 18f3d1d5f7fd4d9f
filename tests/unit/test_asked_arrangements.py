"""Asking by arrangement: what a wish names, in a layout with one choice, with several, and with none."""

from __future__ import annotations

import pytest

from knockon.graph.model.catalogue import Catalogue, UnknownNameError
from knockon.graph.model.layouts.layout import Places
from knockon.graph.model.layouts.mechanism import Choice, Layout
from knockon.graph.records import records_from_text
from knockon.queries.as_typed import RequestError
from knockon.queries.plan.side_by_side import side_by_side
from knockon.queries.plan.solving.asked_arrangements import read_arrangement
from knockon.queries.plan.solving.request import read_request
from knockon.queries.plan.swap import plan_swap, swap
from knockon.queries.ui.terminal.screen import render
from knockon.queries.ui.texts.plan.swap.whole import swap_text
from tests.demo.demo import demo
from tests.unit.small import world

DEMO = Places(demo().layouts["tansy front axle"])
TWO_AXLES = {
    "layout_uses.csv": "layout,uses,as,without\nvan,driven front corner,front,\nvan,rear corner,rear,\n"
    "van,hydraulics,,\n",
    "sources.csv": "source,title,standing\nbook,the maker's book,drawing\n",
    "vehicles.csv": "vehicle,title,layout,as made,arrangement\nvan-1,a van,van,yes,\n",
}


def two_axles() -> Catalogue:
    return records_from_text(TWO_AXLES).catalogue


@pytest.mark.parametrize("text", ["disc", " Disc ", "brake=disc", "Brake = DISC"])
def test_an_arrangement_of_the_only_such_choice(text: str) -> None:
    assert read_arrangement(DEMO, text) == "disc"


@pytest.mark.parametrize("text", ["rotor=LARCH-201", "rotor.diameter>=190 mm", "left rotor=disc", "=disc"])
def test_what_names_no_choice_is_a_wish_for_a_part(text: str) -> None:
    assert read_arrangement(DEMO, text) is None


@pytest.mark.parametrize(
    ("text", "meant"),
    [
        ("front disc", "front disc"),
        ("front brake=disc", "front disc"),
        ("front brake=front disc", "front disc"),
        ("rear-brake=drum", "rear drum"),
        ("shimmed ball pin", "front shimmed ball pin"),
        ("swivel=ball joint", "front ball joint"),
        ("adjusted pair", "rear adjusted pair"),
        ("bearing=adjusted pair", "rear adjusted pair"),
    ],
)
def test_an_axles_arrangement_may_be_named_short_where_only_one_has_it(text: str, meant: str) -> None:
    assert read_arrangement(Places(two_axles().layouts["van"]), text) == meant


@pytest.mark.parametrize("text", ["disc", "brake=disc"])
def test_of_two_readings_both_are_offered_and_none_is_taken(text: str) -> None:
    with pytest.raises(RequestError, match=r"has several readings\. Write front disc or rear disc"):
        read_arrangement(Places(two_axles().layouts["van"]), text)


@pytest.mark.parametrize("text", ["dsic", "brake=dsic"])
def test_an_unknown_name_gets_the_nearest(text: str) -> None:
    with pytest.raises(UnknownNameError) as caught:
        read_arrangement(DEMO, text)
    assert (caught.value.sort, caught.value.nearest) == ("arrangement", ("disc",))


def test_where_nothing_is_like_it_all_are_named() -> None:
    with pytest.raises(UnknownNameError) as caught:
        read_arrangement(DEMO, "xxxx")
    assert set(caught.value.nearest) >= {"disc", "drum"}


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("rotor", "'rotor' is a position. Write rotor=PART or rotor.DIMENSION>=VALUE"),
        ("brake", "'brake' is a choice. Write brake=disc or brake=drum"),
    ],
)
def test_a_position_or_choice_alone_says_what_to_write(text: str, said: str) -> None:
    with pytest.raises(RequestError, match=said.replace(".", r"\.")):
        read_arrangement(DEMO, text)


def test_a_layout_without_choices_expects_a_position() -> None:
    with pytest.raises(RequestError, match="Write POSITION=PART"):
        read_arrangement(Places(world().layouts["cart axle"]), "disc")


def test_a_choice_that_is_called_like_a_position_gives_way_to_its_parts() -> None:
    layout = demo().layouts["tansy front axle"]
    rotor = Choice("rotor", ("plain", "LARCH-201"))
    places = Places(Layout(layout.layout, choices=(*layout.choices, rotor), positions=layout.positions))
    assert read_arrangement(places, "rotor=LARCH-301", demo().parts) is None
    assert read_arrangement(places, "rotor=plain", demo().parts) == "plain"
    with pytest.raises(RequestError, match="a position and a choice"):
        read_arrangement(places, "rotor=LARCH-201", demo().parts)


def test_two_arrangements_of_one_choice_cannot_hold_together() -> None:
    with pytest.raises(RequestError, match="disc and drum are both brake arrangements, and only one can hold"):
        read_request(demo(), DEMO, want=["drum", "disc"])
    van = two_axles()
    request = read_request(van, Places(van.layouts["van"]), want=["front disc", "rear drum", "front brake=disc"])
    assert request.arrangements == ("front disc", "rear drum")


def test_a_part_of_the_other_arrangement_is_refused_with_both_names() -> None:
    with pytest.raises(RequestError, match="'rotor=LARCH-201' is only in the disc arrangement, and you ask for drum"):
        read_request(demo(), DEMO, want=["drum", "rotor=LARCH-201"])


def test_the_plan_is_the_best_with_that_arrangement() -> None:
    catalogue = demo()
    disc = swap(catalogue, "tansy-m080", want=["disc"])
    assert disc.plan is not None and disc.asked == ("disc",) and disc.arrangements == ("disc brakes",)
    rotors = [swap(catalogue, "tansy-m080", want=[f"rotor={n}"]).plan for n in ("LARCH-201", "LARCH-301", "LARCH-901")]
    least = min((p.costs for p in rotors if p), key=lambda c: (c["not known"], c["changes"]))
    assert disc.plan.costs == least
    assert disc.given_up is None  # it was asked for
    knuckle = next(c for c in disc.changes if c.place == "left knuckle")
    assert knuckle.reason is not None
    assert [(s.given_place, s.starts, s.arrangement) for s in knuckle.reason.steps if s.kind == "joint"] == [
        ("left caliper", "arrangement", "disc")
    ]


def test_a_vehicle_that_has_it_already_has_nothing_to_order() -> None:
    drum = plan_swap(demo(), "tansy-mk-a", read_request(demo(), DEMO, want=["drum"]))
    assert drum.plan is not None and not drum.plan.groups and drum.is_settled and not drum.perhaps_there


UNTOLD = {
    "sources.csv": "source,title,standing\nbook,the maker's book,drawing\n",
    "parts.csv": "part,name,part type,hand,one use,source\nBEAM-1,beam,outer joint,either,no,book\n"
    "DRUM-1,drum,brake drum,either,no,book\nDISC-1,disc,rotor,either,no,book\n",
    "layouts.csv": "layout,title\ncart axle,a cart's axle\n",
    "arrangements.csv": "layout,arrangement,choice,title\ncart axle,drum,brake,drum brakes\n"
    "cart axle,disc,brake,disc brakes\n",
    "positions.csv": "layout,position,level,part type,quantity,arrangement,need,group,order\n"
    "cart axle,beam,vehicle,outer joint,1,,needed,beams,10\n"
    "cart axle,drum,corner,brake drum,1,drum,needed,drums,20\n"
    "cart axle,rotor,corner,rotor,1,disc,needed,rotors,30\n",
    "vehicles.csv": "vehicle,title,layout,as made,arrangement\nmine,mine as found,cart axle,no,\n",
    "fittings.csv": "vehicle,position,part,condition\nmine,beam,BEAM-1,sound\n",
}


def test_where_nothing_tells_whether_it_is_there_it_is_not_so_already() -> None:
    answer = swap(records_from_text(UNTOLD).catalogue, "mine", want=["disc"])
    assert answer.perhaps_there == ("disc brakes",)
    assert not answer.is_settled
    text = " ".join(render(swap_text(records_from_text(UNTOLD).catalogue, answer)).split())
    assert "NOT KNOWN YET: the records do not say whether the machine has disc brakes. Look first." in text
    assert "so already" not in text


def test_each_axle_is_asked_for_by_itself() -> None:
    brakes = "FRONT-DRUM,drum,brake drum,either,no,book\nFRONT-DISC,disc,rotor,either,no,book\n"
    parts = f"part,name,part type,hand,one use,source\n{brakes}"
    vehicles = "vehicle,title,layout,as made,arrangement\nvan-1,a van,van,no,front drum;rear drum\n"
    van = records_from_text({**TWO_AXLES, "parts.csv": parts, "vehicles.csv": vehicles}).catalogue
    answer = swap(van, "van-1", want=["front disc"])
    assert answer.arrangements == ("disc brakes (front disc)",) and not answer.perhaps_there
    assert answer.plan is not None
    rotors = {f.place for f in answer.plan.filled if f.number == "FRONT-DISC"}
    assert rotors == {"left front rotor", "right front rotor"}  # the rear ones stay drums
    compared = side_by_side(van, "van-1", want=["front disc"])
    assert compared.position == "front rotor"
    assert [(t.wish, t.costs) for t in compared.targets] == [("front rotor=FRONT-DISC", answer.plan.costs)]
    assert side_by_side(van, "van-1", want=["rear drum"]).targets == ()  # nobody recorded one
