"""Layouts put together from ready-made ones: three lines and a dozen parts plan a swap; two axles stay apart."""

from __future__ import annotations

from functools import cache

import pytest

from knockon.graph.judge.verdicts import Verdict
from knockon.graph.model.catalogue import Catalogue
from knockon.graph.model.layouts.layout import Places
from knockon.graph.model.layouts.mechanism import LayoutUse
from knockon.graph.model.layouts.ready_made import KEYS, Composition, NotTaken, ready_made
from knockon.graph.records import Records, records_from_text
from knockon.queries.fits.fits import judge_parts
from knockon.queries.fits.on_all import judge_on_all
from knockon.queries.plan.changes import KEPT, MOVED_OVER, TAKEN_OFF
from knockon.queries.plan.solving.request import Request
from knockon.queries.plan.swap import SwapAnswer, plan_swap, swap
from knockon.queries.ui.naming import Naming
from knockon.queries.ui.terminal.blocks import Para
from knockon.queries.ui.texts.fits.dangers import danger_blocks
from knockon.queries.ui.texts.plan.swap.whole import swap_text

SOURCES = "source,standing,title\nbook,drawing,a made-up book\n"
USES = "layout,uses,as,without\nmy car,driven front corner,,cartridge;ball joint\nmy car,hydraulics,,\n"
PARTS = """part,name,part type,hand,one use,source
K-1,knuckle,knuckle,either,no,book
B-25,bearing,wheel bearing,either,no,book
B-28,bearing,wheel bearing,either,no,book
J-20,outer joint,outer joint,either,no,book
J-25,outer joint,outer joint,either,no,book
F-20,flange,drive flange,either,no,book
F-25,flange,drive flange,either,no,book
N-18,nut,hub nut,either,no,book
N-20,nut,hub nut,either,no,book
R-100,rotor,rotor,either,no,book
R-120,rotor,rotor,either,no,book
C-1,caliper,caliper,either,no,book
"""
SPLINE = ",teeth,pitch,pressure angle,form,"
CAR = {
    "sources.csv": SOURCES,
    "layout_uses.csv": USES,
    "parts.csv": PARTS,
    "vehicles.csv": "vehicle,title,layout,arrangement,as made,source\nmine,my own,my car,disc,no,book\n",
    "fittings.csv": "vehicle,position,side,part,condition\n"
    + "".join(
        f"mine,{position},,{part},sound\n"
        for position, part in (
            ("knuckle", "K-1"), ("inner bearing", "B-25"), ("outer bearing", "B-25"), ("outer joint", "J-20"),
            ("drive flange", "F-20"), ("hub nut", "N-18"), ("rotor", "R-100"), ("caliper", "C-1"),
        )
    ),
    "features/bearing_seat.csv": "part,feature,diameter,source\nK-1,bearing bores,52 mm,book\n",
    "features/rolling_bearing.csv": "part,feature,type,bore,outside diameter,source\n"
    "B-25,bearing,ball,25 mm,52 mm,book\nB-28,bearing,ball,28 mm,52 mm,book\n",
    "features/journal.csv": "part,feature,diameter,source\nJ-20,journal,25 mm,book\nJ-25,journal,28 mm,book\n",
    "features/external_spline.csv": f"part,feature{SPLINE}major diameter,source\n"
    "J-20,stub spline,20,module 1.0,30 deg,involute flat root,20.9 mm,book\n"
    "J-25,stub spline,25,module 1.0,30 deg,involute flat root,25.9 mm,book\n",
    "features/internal_spline.csv": f"part,feature{SPLINE}minor diameter,major diameter,source\n"
    "F-20,flange spline,20,module 1.0,30 deg,involute flat root,19.1 mm,21.5 mm,book\n"
    "F-25,flange spline,25,module 1.0,30 deg,involute flat root,24.1 mm,26.5 mm,book\n",
    "features/stub_end.csv": "part,feature,thread,source\nJ-20,stub end,M18x1.5,book\nJ-25,stub end,M20x1.5,book\n",
    "features/nut.csv": "part,feature,thread,height,source\nN-18,nut,M18x1.5,16 mm,book\nN-20,nut,M20x1.5,16 mm,book\n",
    "features/bolt_circle.csv": "part,feature,count,pitch circle diameter,source\n"
    "R-100,bolt circle,4,100 mm,book\nF-20,rotor circle,4,100 mm,book\n"
    "R-120,bolt circle,4,120 mm,book\nF-25,rotor circle,4,120 mm,book\n",
}  # fmt: skip


def car(**changed: str) -> Records:
    return records_from_text({**CAR, **{name.replace("__", "/") + ".csv": text for name, text in changed.items()}})


def plan(catalogue: Catalogue, *want: str) -> SwapAnswer:
    return swap(catalogue, "mine", want=want)


def test_three_lines_and_a_dozen_parts_give_a_first_right_swap() -> None:
    records = car()
    assert not records.findings
    assert USES.count("\n") == 3 and PARTS.count("\n") == 13
    answer = plan(records.catalogue, "rotor=R-120")
    assert answer.plan is not None
    now = {f.place: f.number for f in answer.plan.filled if f.recorded and f.place.startswith("left ")}
    assert now == {
        "left knuckle": "K-1", "left inner bearing": "B-28", "left outer bearing": "B-28", "left outer joint": "J-25",
        "left drive flange": "F-25", "left hub nut": "N-20", "left rotor": "R-120", "left caliper": "C-1",
        "left wheel stud": "wheel stud yet to be found",  # pressed into the flange that goes, and none is recorded
    }  # fmt: skip
    changed = {c.position for c in answer.changes if c.status not in (KEPT, MOVED_OVER, TAKEN_OFF)}
    assert changed == {
        "rotor",
        "drive flange",
        "outer joint",
        "inner bearing",
        "outer bearing",
        "hub nut",
        "wheel stud",
    }
    by_fit = {c.position: c.reason.cites for c in answer.changes if c.status == "forced by fit" and c.reason}
    assert by_fit["drive flange"] == ("arrangement", "rotor on flange")
    assert set(by_fit["outer joint"]) == {"arrangement", "rotor on flange", "flange on stub"}
    assert set(by_fit["hub nut"]) >= {"rotor on flange", "flange on stub", "hub nut on stub"}


def test_what_is_not_recorded_of_the_ready_made_positions_stays() -> None:
    answer = plan(car().catalogue, "rotor=R-120")
    assert answer.plan is not None
    blank = [f for f in answer.plan.filled if not f.recorded]
    assert len(blank) > 60 and all(f.stays for f in blank)


def test_a_layout_needs_no_row_of_its_own_and_may_have_one() -> None:
    assert car().catalogue.layouts["my car"].title == "driven front corner, hydraulics"
    titled = car(layouts="layout,title\nmy car,what I drive\n").catalogue.layouts["my car"]
    assert titled.title == "what I drive" and len(titled.joints) == len(car().catalogue.layouts["my car"].joints)


def test_a_row_of_ones_own_stands_instead_of_the_ready_made_one() -> None:
    joints = "layout,joint,position,feature,other position,other feature,rule\n"
    own = car(joints=joints + "my car,rotor on flange,rotor,own circle,drive flange,own circle,bolt circle\n")
    (joint,) = [j for j in own.catalogue.layouts["my car"].joints if j.joint == "rotor on flange"]
    assert (joint.feature, joint.other_feature, joint.reached) == ("own circle", "own circle", "")
    figures = "layout,figure,is,sort,low,unit,compared with,standing,source,says\n"
    limit = car(
        figures=figures + "my car,nut fully on,stack,service,2 mm,mm,limits,from memory,my own book,too short\n"
    )
    (figure,) = [f for f in limit.catalogue.layouts["my car"].figures if f.figure == "nut fully on"]
    assert (figure.low, figure.source) == (2.0, "my own book") and len(figure.terms) == 7


def test_a_row_of_ones_own_that_names_a_position_which_is_not_there_is_an_error() -> None:
    joints = "layout,joint,position,feature,other position,other feature,rule\n"
    records = car(joints=joints + "my car,mine,rotor,x,cartridge bearing,x,fitting place\n")
    (finding,) = records.findings
    assert (finding.file, finding.column, finding.set_aside) == ("joints.csv", "other position", True)


def test_a_use_of_what_is_no_ready_made_layout_is_told_with_what_there_is() -> None:
    records = car(layout_uses="layout,uses\nmy car,driven front corners\n")
    finding = next(f for f in records.findings if f.file == "layout_uses.csv")
    assert finding.suggestions[0] == "driven front corner" and "hydraulics" in finding.expected


def test_a_ready_made_joint_that_cannot_be_used_is_told_where_its_parts_are_judged() -> None:
    """The bore of the rotor's circle is recorded as a thread: no bolt circle can be judged there."""
    records = car(features__external_thread="part,feature,thread,source\nF-25,rotor circle 2,M10x1.5,book\n",
                  joints="layout,joint,position,feature,other position,other feature,rule\n"
                  "my car,rotor on flange,rotor,bolt circle,drive flange,rotor circle 2,bolt circle\n")  # fmt: skip
    assert [(r.kind, r.name) for r in records.catalogue.set_aside] == [("joint", "rotor on flange")]
    thread = CAR["features/bolt_circle.csv"].replace("F-25,rotor circle,4,120 mm,book\n", "")
    thread = thread.replace("F-20,rotor circle,4,100 mm,book\n", "")
    records = car(features__bolt_circle=thread, features__external_thread="part,feature,thread,source\n"
                  "F-25,rotor circle,M10x1.5,book\nF-20,rotor circle,M10x1.5,book\n")  # fmt: skip
    (row,) = [r for r in records.catalogue.set_aside if r.name == "rotor on flange"]
    assert (row.kind, row.layout, row.positions) == ("joint", "my car", ("rotor", "drive flange"))
    answer = judge_parts(records.catalogue, ["R-120", "F-25"])
    assert answer.verdict is Verdict.NOT_KNOWN and [r.name for r in answer.set_aside] == ["rotor on flange"]


def test_a_slip_in_what_is_to_be_left_out_is_told() -> None:
    (finding,) = car(layout_uses=USES.replace("cartridge;", "cartrige;")).findings
    assert (finding.file, finding.row, finding.column, finding.written) == ("layout_uses.csv", 2, "without", "cartrige")
    assert "cartridge" in finding.suggestions


def test_a_layout_uses_a_dozen_ready_made_ones_at_most_and_one_row_twice_is_one() -> None:
    rows = "".join(f"my car,hydraulics,line {i},\n" for i in range(40))
    records = records_from_text({"layout_uses.csv": "layout,uses,as,without\n" + rows})
    refused = [f for f in records.findings if f.file == "layout_uses.csv"]
    assert len(refused) == 28 and all(f.set_aside and "at most 12" in f.expected for f in refused)
    assert len(records.catalogue.layouts["my car"].uses) >= 12
    once, twice = car(), car(layout_uses=USES + USES.splitlines()[1] + "\n")
    assert twice.catalogue.layouts == once.catalogue.layouts


def test_a_position_that_is_left_out_takes_its_joints_along_and_each_is_named() -> None:
    use = LayoutUse("my car", "driven front corner", "", ("splash shield", "cartridge"))
    composition = Composition("my car", [use])
    not_taken: list[NotTaken] = []
    rows = list(composition.rows(not_taken))
    names = {cells["position"] for _, table, _, cells in rows if table == "positions"}
    assert "splash shield" not in names and "shield screw" not in names  # which hangs on it
    assert "cartridge bearing" not in names and "inner bearing" in names
    gone = {(n.kind, n.name) for n in not_taken}
    assert {("position", "shield screw"), ("joint", "shield on knuckle"), ("joint", "pipe nut in master")} <= gone
    assert not {n for n in not_taken if n.name == "shield on knuckle" and n.lacking != ("splash shield",)}


# ---------------------------------------------------------------------------------------- two axles

TWO = "layout,uses,as,without\nboth,driven front corner,front,cartridge;ball joint\nboth,rear corner,rear,cartridge\n"
TWO += "both,hydraulics,,\n"
BRAKES = """part,name,part type,hand,one use,source
FC,front caliper,caliper,either,no,book
FD,front drum,front drum,either,no,book
FW,front wheel cylinder,front wheel cylinder,either,no,book
RD,rear drum,rear drum,either,no,book
RW,rear wheel cylinder,rear wheel cylinder,either,no,book
RW-BIG,rear wheel cylinder,rear wheel cylinder,either,no,book
RC,rear caliper,caliper,either,no,book
"""

VAN = (("front brake drum", "FD"), ("front wheel cylinder", "FW"), ("rear drum", "RD"), ("rear wheel cylinder", "RW"))


@cache
def two_axles() -> Records:
    return records_from_text(two_axles_tables())


def two_axles_tables() -> dict[str, str]:
    rows = "".join(f"van,{position},,{part},sound\n" for position, part in VAN)
    made = "".join(f"made,{position},,{part},sound\n" for position, part in VAN)
    return {
        "sources.csv": SOURCES,
        "layout_uses.csv": TWO,
        "parts.csv": BRAKES,
        "vehicles.csv": "vehicle,title,layout,arrangement,as made,made as,source\n"
        "van,a van,both,front drum;rear drum,no,made,book\nmade,as made,both,front drum;rear drum,yes,,book\n",
        "fittings.csv": "vehicle,position,side,part,condition\n" + rows + made,
        "features/caliper_pistons.csv": "part,feature,diameter,pistons per side,effective radius,source\n"
        "FC,pistons,48 mm,1,95 mm,book\nRC,pistons,30 mm,1,95 mm,book\n",
        "features/brake_drum.csv": "part,feature,diameter,source\nFD,drum,180 mm,book\nRD,drum,180 mm,book\n",
        "features/wheel_cylinder.csv": "part,feature,bore,source\nFW,cylinder,22 mm,book\nRW,cylinder,19 mm,book\n"
        "RW-BIG,cylinder,40 mm,book\n",
    }


def test_an_axle_of_each_sort_has_positions_choices_and_an_axle_of_its_own() -> None:
    layout = two_axles().catalogue.layouts["both"]
    assert {c.choice: c.arrangements for c in layout.choices if len(c.arrangements) > 1} == {
        "front brake": ("front disc", "front drum"),
        "rear brake": ("rear disc", "rear drum"),
    }
    axles = {p.position: p.axle for p in layout.positions}
    assert axles["front knuckle"] == "front" and axles["rear stub axle"] == "rear" and axles["master cylinder"] == ""
    assert "front hose" in axles and "front front hose" not in axles and "rear hose" in axles
    assert not [j for j in layout.joints if {"front", "rear"} <= {axles[j.position], axles[j.other_position]}]
    shared = {"brake fluid", "master cylinder", "in-line residual valve", "pressure limiter"}
    assert {p for p, axle in axles.items() if not axle} == shared


def test_the_front_goes_to_disc_while_the_rear_stays_drum_and_the_share_is_judged_over_both_axles() -> None:
    answer = swap(two_axles().catalogue, "van", want=["front caliper=FC"])
    assert answer.plan is not None and answer.plan.arrangement == "front disc; rear drum"
    assert answer.plan.was == "front drum; rear drum"
    stays = {f.place: f.number for f in answer.plan.filled if f.place.startswith("left rear") and f.recorded}
    assert stays == {"left rear drum": "RD", "left rear wheel cylinder": "RW"}
    (share,) = [f for f in answer.figures if f.figure == "front share of braking"]

    # 2 mu A r against C* A D/2, areas in d2, by hand
    def part(front: float, rear: float) -> float:
        return 100 * front / (front + rear)

    rear = 2.1 * 19**2 * 90
    assert share.planned is not None and share.as_made is not None
    assert share.planned.low == pytest.approx(part(2 * 0.38 * 48**2 * 95, rear))
    assert share.as_made.low == pytest.approx(part(3.0 * 22**2 * 90, rear))


def test_a_rear_brake_that_takes_too_much_is_ruled_out_over_both_axles() -> None:
    catalogue = two_axles().catalogue
    answer = swap(catalogue, "van", want=["front caliper=FC", "rear wheel cylinder=RW-BIG"])
    assert answer.plan is None and answer.none is not None
    assert "front share of braking" in answer.none.cites


def test_discs_at_the_rear_count_too() -> None:
    catalogue = two_axles().catalogue
    answer = swap(catalogue, "van", want=["front caliper=FC", "rear caliper=RC"])
    assert answer.plan is not None and answer.plan.arrangement == "front disc; rear disc"
    (share,) = [f for f in answer.figures if f.figure == "front share of braking"]
    assert share.planned is not None
    assert share.planned.low == pytest.approx(100 * 48**2 / (48**2 + 30**2))


def test_a_vehicle_that_names_both_alternatives_of_a_choice_is_set_aside() -> None:
    vehicles = "vehicle,title,layout,arrangement,as made,source\n"
    records = car(vehicles=vehicles + "mine,my own,my car,disc; drum; pair with spacer,no,book\n")
    finding = next(f for f in records.findings if f.file == "vehicles.csv")
    assert (finding.file, finding.column, finding.set_aside) == ("vehicles.csv", "arrangement", True)
    assert finding.problem == "disc and drum are alternatives for brake"
    one_each = car(vehicles=vehicles + "mine,my own,my car,disc; pair with spacer,no,book\n")
    assert not one_each.findings and one_each.catalogue.vehicles["mine"].arrangements == ("disc", "pair with spacer")


def test_only_one_arrangement_of_a_choice_is_asked_for() -> None:
    catalogue = two_axles().catalogue
    answer = plan_swap(catalogue, "van", Request(arrangements=("rear disc",)))
    assert answer.plan is not None and answer.plan.arrangement == "front drum; rear disc"


# ------------------------------------------------------------------- what is shipped holds together


@pytest.mark.parametrize("name", sorted(ready_made()))
def test_a_ready_made_layout_is_read_without_a_finding(name: str) -> None:
    tables = {"sources.csv": SOURCES, "layout_uses.csv": f"layout,uses\nmine,{name}\n", "parts.csv": BRAKES}
    records = records_from_text(tables)
    assert not [f for f in records.findings if f.set_aside]
    layout = records.catalogue.layouts["mine"]
    places, vocabulary = Places(layout), records.catalogue.vocabulary
    assert len(places.joints) == sum(len(places.sides_of(j.position if places.positions[j.position].level == "corner"
                                         else j.other_position)) for j in layout.joints)  # fmt: skip
    for position in layout.positions:
        assert position.part_type in vocabulary.part_types
        assert position.carried_by in (*places.positions, "")
    for choice in layout.choices:
        assert choice.choice and len(choice.arrangements) > 1
        assert all(any(p.arrangement == a for p in layout.positions) for a in choice.arrangements)


@pytest.mark.parametrize("name", sorted(ready_made()))
def test_limits_of_a_ready_made_layout_have_a_source_and_a_standing_and_no_part_has_a_size(name: str) -> None:
    """No dimension of a part stands in a layout; what limits there are say whence they come."""
    for _, row in ready_made()[name].tables["figures"]:
        assert row["source"] and row["standing"] in ("standard", "common practice", "from memory")
    tables = ready_made()[name].tables
    assert set(tables) == set(KEYS) and not {"parts", "features"} & set(tables)
    assert not any(row.get("assumed") for _, row in tables["figure_terms"] if row["role"] == "")


def told(**asked: list[str]) -> str:
    answer = swap(two_axles().catalogue, "van", **asked)  # type: ignore[arg-type]
    return " ".join(b.text for b in swap_text(two_axles().catalogue, answer) if isinstance(b, Para))


def test_the_head_names_the_arrangement_that_changes_and_no_other() -> None:
    assert "from the front drum to the front disc arrangement" in told(want=["front caliper=FC"])
    assert "The plan has the front drum and rear drum arrangements" in told(renew=["rear drum"])


def _van_with_rear_drum(size: str) -> Catalogue:
    """The van of two axles as it is found with other rear drums."""
    text = two_axles_tables()
    text["parts.csv"] += "RD-READ,rear drum,rear drum,either,no,book\n"
    text["features/brake_drum.csv"] += f"RD-READ,drum,{size},book\n"
    text["fittings.csv"] = text["fittings.csv"].replace("van,rear drum,,RD,", "van,rear drum,,RD-READ,")
    return records_from_text(text).catalogue


@pytest.mark.parametrize(("size", "is_remark"), [("180.1 mm", True), ("183 mm", True), ("190 mm", False)])
def test_a_share_that_is_off_by_a_hair_is_a_remark_and_no_danger(size: str, is_remark: bool) -> None:
    """By hand: C* A D/2, 3.0 x 22^2 x 180 in front; at the rear 2.1 x 19^2 x 180 as made, with the drum's own as it is.

    180.1 mm takes 0.013 points from the share, 183 mm 0.37 and 190 mm 1.2; the layout gives half a point.
    """
    catalogue = _van_with_rear_drum(size)
    answer = judge_parts(catalogue, ["FC"], on="van")
    (share,) = [e for e in answer.wrong if e.check == "front share of braking"]
    assert share.verdict is Verdict.DO_NOT_USE and share.safety_critical  # the verdict is exact
    assert share.is_remark is is_remark
    front, rear = 3.0 * 22**2 * 180, 2.1 * 19**2 * float(size.removesuffix(" mm"))
    made = 2.1 * 19**2 * 180
    assert (100 * front / (front + made) - 100 * front / (front + rear) <= 0.5) is is_remark
    (said,) = [b for b in danger_blocks(Naming.on(catalogue, "van"), answer.wrong) if isinstance(b, Para)]
    assert ("DO NOT DRIVE" in said.text) is not is_remark
    assert ("common practice, no source" in said.text and said.text.startswith("Remark")) is is_remark
    (on,) = [v for v in judge_on_all(catalogue, ["FC"]).vehicles if v.vehicle == "van"]
    assert [w.is_remark for w in on.wrong] == [is_remark]
