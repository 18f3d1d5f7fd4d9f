"""``knockon list``: what of one sort is in the records, how many, and what the filters leave."""

from __future__ import annotations

import pytest

from knockon.queries.find.listing import SORTS, list_things
from tests.commands.running import Ran, demo, full, run
from tests.demo.demo import demo as demo_records
from tests.unit.small import with_rows, world


def head(ran: Ran) -> str:
    """The line with the count, behind the one that names the records."""
    return ran.lines[1]


@pytest.mark.parametrize("sort", sorted(SORTS))
def test_every_sort_is_listed_with_its_count(sort: str) -> None:
    ran = demo("list", sort, "--full")
    result = full(demo("list", sort, "--json").out)["result"]
    assert ran.status == 0
    assert head(ran) == f"{len(result['listed'])} {sort.replace('-', ' ')}."
    assert result["of"] == len(result["listed"])
    assert all(any(line.startswith(x["name"][:12]) for line in ran.lines) for x in result["listed"])


def test_the_counts_are_those_of_the_records() -> None:
    catalogue = demo_records()
    counts = {"parts": len(catalogue.parts), "vehicles": len(catalogue.vehicles), "kits": len(catalogue.kits)}
    counts |= {"items": len(catalogue.items), "suppliers": len(catalogue.suppliers), "notes": len(catalogue.notes)}
    for sort, how_many in counts.items():
        assert head(demo("list", sort)) == f"{how_many} {sort}."


def names(*arguments: str) -> list[str]:
    return [x["name"] for x in full(demo("list", *arguments, "--json").out)["result"]["listed"]]


def test_parts_by_type_position_source_and_words() -> None:
    assert names("parts", "--type", "wheel bearing") == ["ALDER-111", "ALDER-211", "ALDER-311", "ALDER-911"]
    assert names("parts", "--at", "rotor") == ["LARCH-201", "LARCH-301", "LARCH-901"]
    assert names("parts", "--at", "rotor", "--from", "kettlewray-list") == ["LARCH-901"]
    assert names("parts", "rotor", "210") == ["LARCH-301"]
    assert names("parts", "--type", "rotor", "--layout", "tansy-front-axle", "Quillmere") == ["LARCH-201", "LARCH-301"]
    assert head(demo("list", "parts", "--type", "Wheel-Bearing")) == "4 of 179 parts: type wheel bearing."


def test_a_part_is_from_whoever_states_a_size_of_it() -> None:
    parts = demo_records().parts
    found = names("parts", "--from", "N11")
    assert all(n in parts for n in found)
    assert found == names("parts", "--from", "n11")


def test_ready_made_layouts_are_marked_with_their_choices() -> None:
    rows = full(demo("list", "layouts", "--json").out)["result"]["listed"]
    about = {x["name"]: x["about"] for x in rows}
    assert next(iter(about)) == "tansy front axle" and "ready-made" not in about["tansy front axle"]
    assert about["rear corner"][:2] == ["ready-made", "rear axle"]
    assert {"brake: disc or drum", "bearing: adjusted pair or cartridge"} <= set(about["rear corner"])
    assert about["hydraulics"][:2] == ["ready-made", "whole vehicle"]
    assert "brake: disc or drum" in about["tansy front axle"]


def test_a_position_says_whether_it_is_there_on_each_side() -> None:
    listed = full(demo("list", "positions", "--json").out)["result"]["listed"]
    about = {x["name"]: x["about"][0] for x in listed}
    assert about["stop ring"] == "1 stop ring, each side"
    assert about["rear wheel cylinder"] == "2 rear wheel cylinder, the vehicle"


@pytest.mark.parametrize(("sort", "one"), [("joints", "flange on stub"), ("figures", "nut seat beyond thread start")])
def test_the_checks_of_a_ready_made_layout_are_listed_on_demand(sort: str, one: str) -> None:
    ran = demo("list", sort, "--layout", "driven front corner", "--json")
    listed = {x["name"]: x["about"] for x in full(ran.out)["result"]["listed"]}
    assert ran.status == 0 and listed[one][-1]
    (layout,) = demo_records().layouts.values()
    own = {"joints": len(layout.joints), "figures": len(layout.figures) + len(layout.told)}
    assert len(full(demo("list", sort, "--json").out)["result"]["listed"]) == own[sort]


def test_the_positions_of_a_ready_made_layout_are_listed_on_demand() -> None:
    assert names("positions", "--at", "handbrake lever") == []
    assert names("positions", "--layout", "rear corner", "--at", "handbrake lever") == ["handbrake lever"]
    assert names("positions", "--at", "rotor") == ["rotor"]


def test_joints_and_figures_at_a_position() -> None:
    assert "rotor on flange" in names("joints", "--at", "rotor")
    assert "wheel to caliper, radial" in names("figures", "--at", "caliper")


def test_notes_are_listed_without_their_texts() -> None:
    assert "lbf" not in demo("list", "notes").out
    assert names("notes", "--type", "rotor")


def test_a_supplier_is_listed_with_its_offers_counted() -> None:
    rows = {**with_rows("suppliers.csv", "Barn,a barn,2", "Yard,a yard,3"), **with_rows("offers.csv", "Barn,CAP-1,1,")}
    listed = {x.name: x.about for x in list_things(world(rows), "suppliers").listed}
    assert listed["Yard"] == ("0 offers", "postage 3.00")
    assert listed["Barn"] == ("1 offer", "postage 2.00")
    assert listed["Forge"] == ("2 offers", "postage 9.00")


def test_nothing_found_is_said_and_is_status_1() -> None:
    ran = run("list", "parts", "zzz")
    assert ran.status == 1 and head(ran) == "None of the 179 parts recorded: zzz."


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("prats",), "'prats' is nothing to list. Write parts"),
        (
            ("suppliers", "--at", "rotor"),
            "--at does not filter suppliers. It filters positions, joints, figures, parts",
        ),
        (("parts", "--at", "rottor"), "no position 'rottor' in these records. Nearest: rotor"),
        (("parts", "--type", "rottor"), "no part type 'rottor' in these records. Nearest: rotor"),
        (("parts", "--from", "N99"), "no source 'N99'"),
        (("positions", "--layout", "rear korner"), "no layout 'rear korner' in these records. Nearest: rear corner"),
    ],
)
def test_what_is_wrong_is_said_with_the_nearest(arguments: tuple[str, ...], said: str) -> None:
    ran = run("list", *arguments)
    assert (ran.status, ran.out) == (2, "")
    assert said in " ".join(ran.err.split())
