"""What stands on a vehicle as found: something not recorded in each needed place of which its fittings say nothing."""

from __future__ import annotations

import pytest

from knockon.graph.judge.verdicts import Verdict
from knockon.graph.model.catalogue import Catalogue
from knockon.graph.model.layouts.layout import Place, Places
from knockon.queries.as_typed import RequestError
from knockon.queries.fits.checking.candidates import NOT_RECORDED, as_found
from knockon.queries.fits.checking.standing import arrangements_of, is_recorded, standing_on
from knockon.queries.plan.changes import KEPT, RENEWED
from knockon.queries.plan.solving.request import check_kept, read_request
from knockon.queries.plan.swap import swap
from tests.unit.small import AXLE, LEFT, RIGHT, TABLES, with_rows, world

COLUMNS = (
    "layout,position,level,part type,quantity,arrangement,need,with position,lacking feature,carried by,pressed in"
)
POSITIONS = f"""\
{COLUMNS},group,order
cart axle,axle,vehicle,outer joint,1,,needed,,,,no,axles,10
cart axle,hub,corner,drive flange,1,,needed,,,axle,no,hubs,20
cart axle,stud,corner,wheel stud,4,,needed,,,hub,yes,studs,30
cart axle,cap,corner,hub washer or collar,1,,needed,,,hub,no,caps,40
cart axle,drum,corner,front drum,1,drum,needed,,,hub,no,drums,50
cart axle,rotor,corner,rotor,1,disc,needed,,,hub,no,rotors,60
cart axle,pads,corner,pads,1,disc,with,rotor,,,no,pads,70
cart axle,pad pins,corner,pad pin kit,1,disc,with,pads,,,no,pads,80
cart axle,pin,corner,hub split pin,1,,with,hub,pin hole,hub,no,pins,90
cart axle,spacer,corner,wheel spacer,1,,optional,,,hub,no,spacers,95
"""
TWO_WAYS = {
    "positions.csv": POSITIONS,
    "arrangements.csv": "layout,arrangement,title\ncart axle,drum,\ncart axle,disc,\n",
}


def _on(catalogue: Catalogue, vehicle: str) -> tuple[set[str], set[str]]:
    """(places that hold something not recorded, places that perhaps do)."""
    standing = standing_on(catalogue, Places(catalogue.layouts["cart axle"]), catalogue.vehicles[vehicle])
    blank = {str(p) for p, f in standing.found.items() if not is_recorded(f)}
    return blank, {str(p) for p in standing.perhaps}


def _both(*positions: str) -> set[str]:
    return {f"{side} {p}" for p in positions for side in ("left", "right")}


def _vehicles(arrangement: str, *fittings: str) -> dict[str, str]:
    return {
        **TWO_WAYS,
        "vehicles.csv": f"vehicle,title,layout,arrangement,as made,made as,like\ncart,,cart axle,{arrangement},yes,,\n",
        "fittings.csv": "vehicle,position,side,part,item,condition\n" + "".join(f"cart,{f}\n" for f in fittings),
        "claims.csv": "part,claim,vehicle,other part,text,source\n",
        "kits.csv": "kit,title,is\n",
        "kit_lines.csv": "kit,part,quantity\n",
        "notes.csv": "note,text\n",
    }


def test_a_place_that_may_be_empty_and_one_of_the_other_arrangement_are_empty() -> None:
    blank, perhaps = _on(world(_vehicles("drum", "hub,left,HUB-20L,,sound")), "cart")
    assert blank == {"axle", "right hub", *_both("stud", "cap", "drum")}
    assert not perhaps


def test_what_is_needed_with_another_follows_it_also_where_that_is_not_recorded() -> None:
    blank, _ = _on(world(_vehicles("disc")), "cart")
    assert blank == {"axle", *_both("hub", "stud", "cap", "rotor", "pads", "pad pins")}


def test_what_a_part_calls_for_by_what_it_lacks_is_there_only_where_that_is_known() -> None:
    changed = _vehicles("drum", "hub,left,HUB-20L,,sound", "hub,right,HUB-20R,,sound")
    assert not {p for p in _on(world(changed), "cart")[0] if "pin" in p}
    changed["features/register_bore.csv"] = "part,feature,diameter,source\nHUB-20L,pin hole,absent,book\n"
    assert {p for p in _on(world(changed), "cart")[0] if "pin" in p} == _both("pin")


def test_where_nothing_tells_the_arrangement_each_is_perhaps_there() -> None:
    blank, perhaps = _on(world(_vehicles("")), "cart")
    assert blank == {"axle", *_both("hub", "stud", "cap")}
    assert perhaps == _both("drum", "rotor", "pads", "pad pins")


def test_the_arrangement_is_that_of_what_is_recorded_where_the_vehicle_does_not_say() -> None:
    parts = {"parts.csv": TABLES["parts.csv"] + "DRUM-1,drum,front drum,either,no,,,book\n"}
    catalogue = world({**_vehicles("", "drum,left,DRUM-1,,sound"), **parts})
    places = Places(catalogue.layouts["cart axle"])
    assert arrangements_of(catalogue.vehicles["cart"], places) == {"drum"}
    assert _on(catalogue, "cart") == ({"axle", "right drum", *_both("hub", "stud", "cap")}, set())


def test_it_has_no_sizes_and_no_number_and_counts_as_what_stands_on_the_other_hand() -> None:
    catalogue = world(_fitted("axle,,AXLE-20,,sound", "hub,left,HUB-20L,,sound"))
    now = as_found(catalogue, Places(catalogue.layouts["cart axle"]), catalogue.vehicles["bare"])
    blank = now[RIGHT]
    assert (blank.number, blank.numbers, blank.recorded, blank.stays) == (NOT_RECORDED, (), False, True)
    assert not catalogue.features_of(blank.thing)
    assert blank.alike == now[LEFT].alike
    assert now[Place("cap", "left")].alike == now[Place("cap", "right")].alike != now[LEFT].alike


def _fitted(*fittings: str) -> dict[str, str]:
    """A vehicle of its own beside those that have all their parts."""
    return {
        **with_rows("vehicles.csv", "bare,as found,cart axle,no,cart,"),
        **with_rows("fittings.csv", *(f"bare,{f}" for f in fittings)),
    }


BARE = world(_fitted("axle,,AXLE-20,,sound", "hub,left,HUB-20L,,sound"))


def test_no_plan_replaces_it_only_because_it_is_not_recorded() -> None:
    answer = swap(BARE, "bare", want=["axle=AXLE-20"])
    assert answer.plan is not None and not answer.plan.groups
    assert answer.plan.costs["changes"] == 0
    assert {c.status for c in answer.changes} == {KEPT}
    assert set(answer.findings.not_recorded) == {"right hub", *_both("stud", "cap")}
    assert {f.place for f in answer.plan.filled if not f.recorded} == set(answer.findings.not_recorded)
    assert not answer.record_first  # it meets nothing that changes


def test_what_takes_the_place_of_what_stands_on_the_other_hand_takes_its_place_too() -> None:
    answer = swap(BARE, "bare", want=["axle=AXLE-25"])
    assert answer.plan is not None
    ordered = {p: line.number for g in answer.plan.groups for line in g.lines for p in line.places}
    # the left hub is forced out by the axle, and the right one is taken to be the same; the studs are pressed into them
    assert set(ordered) == {"axle", *_both("hub", "stud")}
    assert answer.plan.costs["changes"] == 3  # axle and two hubs; the caps are not known to be one-use
    assert set(answer.record_first) == _both("cap")
    by_place = {str(c.place): c for c in answer.changes}
    assert by_place["right hub"].not_recorded and by_place["right hub"].old == NOT_RECORDED


def test_what_meets_a_new_part_is_measured_and_recorded_first() -> None:
    catalogue = world(_fitted("hub,left,HUB-20L,,sound", "hub,right,HUB-20R,,sound"))
    answer = swap(catalogue, "bare", want=["hub=HUB-25L"])
    assert answer.plan is not None and answer.plan.costs["not known"] == 0  # only what is kept lacks sizes
    assert "axle" in answer.record_first
    assert any(m.position == "axle" and m.dimensions == ("diameter",) for m in answer.measure_first)


def test_to_leave_it_costs_nothing_that_a_claim_for_a_known_part_would_save() -> None:
    """Nobody recorded the rims where hub and cap meet. CAP-1 is claimed to belong to the new hub; what is there is not
    known to be one, and is not replaced for that. Of a hub that nothing is claimed of the rim is not known at all."""
    catalogue = world(_fitted("axle,,AXLE-20,,sound", "hub,left,HUB-20L,,sound", "hub,right,HUB-20R,,sound"))
    listed = swap(catalogue, "bare", want=["axle=AXLE-25", "hub=HUB-25L"])
    assert listed.plan is not None and listed.plan.costs["not known"] == 0
    assert {f.place for f in listed.plan.filled if f.number == NOT_RECORDED} == _both("cap")
    assert {e.check for e in listed.plan.unproven if e.verdict is Verdict.NOT_KNOWN} == {"cap on hub"}
    stall = swap(catalogue, "bare", want=["axle=AXLE-25", "hub=HUB-?"])
    assert stall.plan is not None and stall.plan.costs["not known"] == 6  # its bore, its rim, its holes, on both sides


def test_it_can_be_kept_or_renewed() -> None:
    kept = swap(BARE, "bare", want=["axle=AXLE-20"], keep=["right hub"])
    assert kept.plan is not None and not kept.plan.groups
    renewed = swap(BARE, "bare", renew=["cap"])
    assert renewed.plan is not None and renewed.plan.costs["changes"] == 0
    changed = {c.place: (c.status, c.new) for c in renewed.changes if c.status != KEPT}
    assert changed == dict.fromkeys(_both("cap"), (RENEWED, "CAP-1"))


def test_a_row_that_tells_no_more_than_the_condition_counts() -> None:
    catalogue = world(_fitted("axle,,AXLE-20,,sound", "cap,,,,due"))
    answer = swap(catalogue, "bare", want=["axle=AXLE-20"])
    assert {c.place for c in answer.changes if c.status == RENEWED} == _both("cap")


def test_an_empty_place_is_not_kept() -> None:
    catalogue = world(_vehicles("drum"))
    places = Places(catalogue.layouts["cart axle"])
    for position in ("spacer", "rotor"):
        request = read_request(catalogue, places, keep=[position])
        with pytest.raises(RequestError, match=f"nothing recorded in {position}, so there is nothing to keep"):
            check_kept(catalogue, request, places, catalogue.vehicles["cart"])
    check_kept(catalogue, read_request(catalogue, places, keep=["axle"]), places, catalogue.vehicles["cart"])
    assert AXLE in standing_on(catalogue, places, catalogue.vehicles["cart"]).found
