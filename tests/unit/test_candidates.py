"""What may stand in a place: parts of the type and hand, members of sets, what is there now and after work."""

from __future__ import annotations

from knockon.graph.model.layouts.layout import Place, Places
from knockon.graph.model.things import Fitting
from knockon.queries.fits.checking.candidates import Candidate, alike, candidates_of, new_parts, staying
from tests.unit.small import AXLE, LEFT, RIGHT, with_rows, world

CATALOGUE = world()
PLACES = Places(CATALOGUE.layouts["cart axle"])


def numbers(place: Place) -> list[str]:
    return [c.number for c in new_parts(CATALOGUE, PLACES, place)]


def test_parts_of_the_type_and_hand_then_sets() -> None:
    assert numbers(LEFT) == ["HUB-20L", "HUB-25L", "HUB-?", "PAIR-25"]
    assert numbers(RIGHT) == ["HUB-20R", "HUB-25R", "HUB-?", "PAIR-25"]
    assert numbers(AXLE) == ["AXLE-20", "AXLE-25"]


def test_a_part_and_its_mirror_are_alike() -> None:
    assert alike(CATALOGUE, "HUB-25R") == alike(CATALOGUE, "HUB-25L") == "HUB-25L"
    assert alike(CATALOGUE, "AXLE-20") == "AXLE-20"
    assert alike(CATALOGUE, "never heard of") == "never heard of"


def test_members_of_one_set_for_both_hands_are_one_use_of_it() -> None:
    members = [c for p in (LEFT, RIGHT) for c in new_parts(CATALOGUE, PLACES, p) if c.set_use]
    assert [c.thing for c in members] == ["PAIR-25/hub/left", "PAIR-25/hub/right"]
    assert {c.set_use for c in members} == {("PAIR-25", "")}
    assert members[0].numbers == ("PAIR-25", "HUB-25L")


def test_a_set_for_one_corner_is_used_once_a_corner() -> None:
    changed = with_rows("parts.csv", "KIT-1,hub with cap,,set,either,no,,,book".replace(",,set", ",set"))
    changed |= with_rows("set_members.csv", "KIT-1,hub,,HUB-25L,1", "KIT-1,cap,,CAP-1,1")
    catalogue = world(changed)
    uses = {c.set_use for p in (LEFT, RIGHT) for c in new_parts(catalogue, PLACES, p) if c.number == "KIT-1"}
    assert uses == {("KIT-1", "left"), ("KIT-1", "right")}


def test_what_stays_is_known_by_its_number_or_by_itself() -> None:
    (as_part,) = staying(CATALOGUE, AXLE, Fitting("axle", "", "AXLE-20", "", "sound"))
    assert as_part == Candidate(AXLE, "AXLE-20", "AXLE-20", "AXLE-20", stays=True)
    (as_item,) = staying(CATALOGUE, AXLE, Fitting("axle", "", "", "odd-axle", "sound"))
    assert (as_item.thing, as_item.number, as_item.stays) == ("odd-axle", "AXLE-20", True)


def test_an_item_without_a_number_is_like_nothing_else() -> None:
    catalogue = world(with_rows("items.csv", "nameless,,an axle,,,survey"))
    (item,) = staying(catalogue, AXLE, Fitting("axle", "", "", "nameless", "sound"))
    assert (item.number, item.alike) == ("nameless", "item nameless")


def test_a_sets_member_that_stays_has_its_own_sizes() -> None:
    (member,) = staying(CATALOGUE, LEFT, Fitting("hub", "left", "PAIR-25", "", "sound"))
    assert (member.thing, member.number, member.same_drawing, member.set_use) == (
        *("PAIR-25/hub/left", "PAIR-25", "HUB-25L", None),
    )


def test_what_work_makes_of_an_item_may_stay_too() -> None:
    catalogue = world(with_rows("items.csv", "turned,AXLE-20,turned down,odd-axle,turn it down,survey"))
    found, now = candidates_of(catalogue, PLACES, catalogue.vehicles["my-cart"])
    assert [(c.thing, c.work) for c in found[AXLE] if c.stays] == [("odd-axle", ""), ("turned", "turn it down")]
    assert now.found[AXLE].item == "odd-axle"


def test_without_a_vehicle_nothing_stays() -> None:
    found, now = candidates_of(CATALOGUE, PLACES, None)
    assert not now.found and not now.perhaps and not any(c.stays for cs in found.values() for c in cs)
    assert list(found) == list(PLACES.all)


def test_another_catalogue_has_parts_of_its_own() -> None:
    """What was looked up for one catalogue is not taken for another one, not even where the first is gone."""
    more = world(with_rows("parts.csv", "HUB-9,hub 9,drive flange,either,no,,,book"))
    assert "HUB-9" in [c.number for c in new_parts(more, PLACES, LEFT)]
    assert "HUB-9" not in numbers(LEFT)
    for _ in range(3):
        assert "HUB-9" in [
            c.number
            for c in new_parts(world(with_rows("parts.csv", "HUB-9,hub 9,drive flange,either,no,,,book")), PLACES, LEFT)
        ]
