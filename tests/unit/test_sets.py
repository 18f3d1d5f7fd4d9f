"""Sets: members that are named by themselves, own sizes for each hand, checks that a set states as made."""

from pathlib import Path

import pytest
from msgspec.structs import replace

from knockon.graph.judge.verdicts import Verdict
from knockon.graph.model.layouts.layout import JointAt, Place, Places
from knockon.queries.fits.checking.candidates import Candidate, new_parts, staying
from knockon.queries.fits.checking.checks import Checks
from knockon.queries.fits.checking.joint_evidence import joint_evidence
from knockon.queries.intake.check import check_records
from tests.unit.small import AXLE, LEFT, RIGHT, TABLES, folder_of, planned, problem, world

SETS = TABLES["parts.csv"] + "SET-1,hub and axle,set,either,no,,,book\n"
MEMBERS = "set,position,side,as part,quantity\nSET-1,axle,,,1\nSET-1,hub,left,,1\nSET-1,hub,right,,1\n"
AXLE_30 = TABLES["features/spigot.csv"] + "SET-1/axle,seat,30 mm,book\n"
FITTED = """\
vehicle,position,side,part,item,condition
cart,axle,,AXLE-20,,sound
cart,hub,left,HUB-20L,,sound
cart,hub,right,HUB-20R,,sound
my-cart,axle,,,odd-axle,unknown
"""


def small(**tables: str) -> dict[str, str]:
    """A world with a set of an axle and two hubs; tables by stem."""
    names = {"bores": "features/register_bore.csv", "seats": "features/spigot.csv"}
    base = {"parts.csv": SETS, "set_members.csv": MEMBERS, "features/spigot.csv": AXLE_30}
    return base | {names.get(n, f"{n}.csv"): text for n, text in tables.items()}


def there(tables: dict[str, str], place: Place, vehicle: str = "my-cart") -> tuple[Checks, Candidate]:
    catalogue = world(tables)
    places = Places(catalogue.layouts["cart axle"])
    rows = {(f.position, f.side): f for f in catalogue.vehicles[vehicle].fittings}
    fitting = rows.get((place.position, place.side)) or rows[(place.position, "")]
    return Checks(catalogue, places), next(staying(catalogue, place, fitting))


def hub_on_axle(checks: Checks, side: str) -> JointAt:
    return next(j for j in checks.places.joints if j.joint.joint == "hub on axle" and j.side == side)


ITEMS = "item,part,title,after work on,work,source\nodd-axle,{},my axle,,,survey\n"


@pytest.mark.parametrize("named", ["SET-1", "SET-1/axle"])
def test_a_named_thing_that_is_a_members_keeps_its_sizes_and_a_no_with_them(named: str) -> None:
    checks, axle = there(small(items=ITEMS.format(named), fittings=FITTED), AXLE)
    assert (axle.thing, axle.number) == ("odd-axle", "SET-1")
    (size,) = checks.catalogue.features_of("odd-axle")["seat"].dimensions["diameter"]
    assert (size.written, size.of_number) == ("30 mm", True)
    hub = next(c for c in new_parts(checks.catalogue, checks.places, LEFT) if c.number == "HUB-20L")
    assert checks.joint(hub_on_axle(checks, "left"), hub, axle).verdict is Verdict.DOES_NOT_FIT


@pytest.mark.parametrize("named", ["SET-1", "SET-1/axle"])
def test_a_member_may_be_named_in_fittings(named: str) -> None:
    fitted = FITTED.replace("my-cart,axle,,,odd-axle", f"my-cart,axle,,{named},")
    checks, axle = there(small(fittings=fitted), AXLE)
    assert (axle.thing, axle.number) == ("SET-1/axle", "SET-1")
    assert checks.catalogue.vehicles["my-cart"].fittings


def test_a_member_of_the_other_hand_is_what_it_is_named() -> None:
    bores = TABLES["features/register_bore.csv"] + "SET-1/hub/left,bore,30 mm,book\nSET-1/hub/right,bore,31 mm,book\n"
    fitted = FITTED + "my-cart,hub,right,SET-1/hub/left,,sound\nmy-cart,hub,left,SET-1/hub,,sound\n"
    _, right = there(small(bores=bores, fittings=fitted), RIGHT)
    assert (right.thing, right.number) == ("SET-1/hub/left", "SET-1")
    assert there(small(bores=bores, fittings=fitted), LEFT)[1].thing == "SET-1/hub/left"


def test_each_hand_of_an_axle_set_has_its_own_sizes_beside_what_both_share() -> None:
    bores = TABLES["features/register_bore.csv"]
    bores += "SET-1/hub/left,bore,30 mm,book\nSET-1/hub/right,bore,31 mm,book\nSET-1/hub,second bore,9 mm,book\n"
    members = MEMBERS.replace("left,,", "left,HUB-20L,").replace("right,,", "right,HUB-25R,")
    features = world(small(bores=bores, set_members=members)).features
    written = {
        side: {n: [s.written for s in f.dimensions["diameter"]] for n, f in features[f"SET-1/hub/{side}"].items()}
        for side in ("left", "right")
    }
    assert written == {
        "left": {"bore": ["30 mm", "20 mm"], "second bore": ["9 mm"]},
        "right": {"bore": ["31 mm", "25 mm"], "second bore": ["9 mm"]},
    }
    assert set(features["SET-1/hub"]) == {"second bore"}  # of neither hand's drawing


STATED = "set,figure,joint\nSET-1,,hub on axle\n"


def of_the_set(checks: Checks, place: Place) -> Candidate:
    return next(c for c in new_parts(checks.catalogue, checks.places, place) if c.number == "SET-1")


def stated_world(bore: str = "") -> Checks:
    bores = TABLES["features/register_bore.csv"] + (f"SET-1/hub,bore,{bore},book\n" if bore else "")
    catalogue = world(small(set_checks=STATED, bores=bores))
    return Checks(catalogue, Places(catalogue.layouts["cart axle"]))


@pytest.mark.parametrize(
    ("bore", "verdict"),
    [("", Verdict.FITS), ("29..31 mm", Verdict.FITS), ("?", Verdict.FITS), ("20 mm", Verdict.DOES_NOT_FIT)],
)
def test_a_joint_that_a_set_states_holds_where_no_size_says_otherwise(bore: str, verdict: Verdict) -> None:
    checks = stated_world(bore)
    at = hub_on_axle(checks, "left")
    evidence = joint_evidence(checks, at, of_the_set(checks, LEFT), of_the_set(checks, AXLE))
    assert evidence.verdict is verdict
    assert (evidence.stated_by, evidence.to_measure) == (("SET-1", ()) if verdict is Verdict.FITS else ("", ()))


def test_a_joint_that_a_set_states_is_unproven_with_another_part_and_once_used() -> None:
    checks = stated_world()
    at = hub_on_axle(checks, "left")
    hub, axle = of_the_set(checks, LEFT), of_the_set(checks, AXLE)
    other = next(c for c in new_parts(checks.catalogue, checks.places, AXLE) if c.number == "AXLE-20")
    assert checks.joint(at, hub, other).verdict.is_unproven
    fitted = FITTED + "my-cart,hub,,SET-1,,sound\n"
    used, old = there(small(set_checks=STATED, fittings=fitted.replace(",odd-axle", "SET-1,")), LEFT)
    assert used.joint(hub_on_axle(used, "left"), old, of_the_set(used, AXLE)).verdict.is_unproven
    assert checks.joint(at, hub, axle).verdict is Verdict.FITS


def test_members_of_two_sets_of_one_number_are_not_the_set_that_states_their_joint() -> None:
    """Whichever pair was judged before, and whatever a candidate was read from."""
    hub, axle = (of_the_set(stated_world(), place) for place in (LEFT, AXLE))
    one, two = replace(axle, set_use=("SET-1", "")), replace(axle, set_use=("SET-1", "right"))
    for pairs in (((one, Verdict.FITS), (two, Verdict.NOT_KNOWN)), ((two, Verdict.NOT_KNOWN), (one, Verdict.FITS))):
        checks = stated_world()
        at = hub_on_axle(checks, "left")
        assert [checks.joint(at, hub, other).verdict for other, _ in pairs] == [verdict for _, verdict in pairs]


def test_a_plan_counts_a_joint_that_its_set_states_as_proven() -> None:
    unproven = []
    for tables in (small(), small(set_checks=STATED)):
        costs = planned(problem(world(tables), "axle=SET-1"))[1].costs
        unproven.append((costs["not known"], costs["unproven"]))
    assert unproven == [(4, 2), (4, 0)]  # the hub joint of both hands was on a claim: that they are sold as one set


def test_a_set_check_names_one_of_the_two() -> None:
    assert world(small(set_checks=STATED)).set_joints == {"SET-1": ("hub on axle",)}


def test_a_set_check_that_names_neither_is_found_by_check(tmp_path: Path) -> None:
    folder = folder_of(tmp_path)
    for name, text in small(set_checks=STATED + "SET-1,,\n").items():
        (folder / name).write_text(text, encoding="utf-8")
    found = [f for f in check_records(folder).findings if "set_checks" in f.file]
    assert [f.problem for f in found] == ["names neither a figure nor a joint that the set states"]
