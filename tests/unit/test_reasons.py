"""Reasons on a small world: minimal, in an order that follows, and told with what is known."""

from __future__ import annotations

from knockon.graph.judge.verdicts import Verdict
from knockon.graph.model.layouts.layout import Place
from knockon.queries.plan.reasons.reasons import Reasoner, places_asked, reason_without_unknowns
from knockon.queries.plan.solving.planner import Planner
from tests.unit.small import AXLE, LEFT, RIGHT, TABLES, planned, problem, with_rows, world


def reasoner(*want: str, keep: tuple[str, ...] = (), changed: dict[str, str] | None = None) -> Reasoner:
    of = problem(world(changed), *want, keep=keep)
    planner, filling = planned(of)
    return Reasoner(planner, filling, places_asked(w.places for w in of.request.wants))


def test_the_old_hub_is_ruled_out_by_the_axle() -> None:
    found = reasoner("axle=AXLE-25").reason(LEFT, unknown_limited=False)
    assert found.cites == ("hub on axle",)
    (step,) = found.steps
    assert (step.given, step.given_place, step.ruled_out, step.place) == ("AXLE-25", "axle", "HUB-20L", "left hub")
    assert step.verdict is Verdict.DOES_NOT_FIT
    assert step.evidence is not None and {v.written for x in step.evidence.lines for v in x.values} == {
        "25 mm",
        "20 mm",
    }


def test_what_is_asked_for_needs_no_reason() -> None:
    assert reasoner("axle=AXLE-25").reason(AXLE, unknown_limited=False).cites == ()


def test_the_axle_rule_may_be_blamed() -> None:
    found = reasoner("left hub=HUB-25L").reason(RIGHT, unknown_limited=False)
    assert found.cites in (("axle rule",), ("hub on axle",))
    assert found.steps[-1].sort == found.cites[-1]


def test_an_unknown_part_is_ruled_out_by_not_allowing_unknowns() -> None:
    """The hub's own size may be missing, it stays and can be measured; its new cap's may not."""
    of = problem(world(with_rows("fittings.csv", "my-cart,hub,,HUB-?,,sound")), "axle=AXLE-25", vehicle="my-cart")
    planner, filling = planned(of)
    assert filling.chosen[LEFT].number == "PAIR-25" and filling.costs["not known"] == 0
    assert LEFT in planner.may_stay(unknown_limited=False)
    planner.limit_unknowns(0)
    assert LEFT not in planner.may_stay(unknown_limited=True)
    found = Reasoner(planner, filling, (AXLE,)).reason(LEFT, unknown_limited=True)
    assert set(found.cites) == {"unknown not allowed", "cap on hub"}
    told = next(s for s in found.steps if s.sort == "cap on hub")
    assert (told.sought, told.agreeing) == ("drive flange", ("HUB-20L", "HUB-25L", "PAIR-25"))


def test_what_is_known_alone_gives_no_plan_for_a_reason_that_blames_the_unknowns() -> None:
    """Else nothing would be to blame: with unknowns there is a plan."""
    changed = {"features/register_bore.csv": "part,feature,diameter,source\nHUB-20L,bore,20 mm,book\n"}
    of = problem(world(changed), "axle=AXLE-25")
    planner, filling = planned(of)
    assert filling.costs["not known"] > 0
    found = reason_without_unknowns(planner, (AXLE,))
    assert "unknown not allowed" in found.cites and found.steps[-1].sort == "unknown not allowed"


def test_steps_tell_each_cited_check_once() -> None:
    teller = reasoner("hub=HUB-25L")
    for place in (AXLE, Place("stud", "left"), Place("cap", "right")):
        if place not in teller.planner.may_stay(unknown_limited=False):
            found = teller.reason(place, unknown_limited=False)
            assert sorted(s.sort for s in found.steps) == sorted(found.cites)


def test_every_step_between_the_same_two_places_leads_to_the_one_that_is_asked_about() -> None:
    """The wide cap goes on two hubs; the old axle's seat rules out the one, its end the other."""
    hubs = "".join(f"HUB-{n},rim,{d} mm,book\n" for n, d in (("20L", 30), ("25L", 30), ("?", 30), ("B", 40), ("C", 40)))
    changed = {
        **with_rows(
            "parts.csv",
            "HUB-B,hub b,drive flange,either,no,,,book",
            "HUB-C,hub c,drive flange,either,no,,,book",
            "CAP-2,wide cap,hub washer or collar,either,yes,,,book",
            "AXLE-M,axle m,outer joint,either,no,,,book",
        ),
        "joints.csv": TABLES["joints.csv"].replace("cap,rim,hub,rim,fitting place", "cap,rim,hub,rim,register")
        + "cart axle,hub on end,hub,mouth,axle,end,register,,,\n",
        "features/spigot.csv": TABLES["features/spigot.csv"]
        + hubs
        + "AXLE-20,end,20 mm,book\nAXLE-M,seat,25 mm,book\nAXLE-M,end,20 mm,book\n",
        **with_rows(
            "features/register_bore.csv",
            *("CAP-1,rim,30 mm,book", "CAP-2,rim,40 mm,book", "HUB-20L,mouth,20 mm,book"),
            *("HUB-B,bore,25 mm,book", "HUB-B,mouth,20 mm,book", "HUB-C,bore,20 mm,book", "HUB-C,mouth,25 mm,book"),
        ),
    }
    found = reasoner("cap=CAP-2", changed=changed).reason(AXLE, unknown_limited=False)
    assert [(s.sort, s.given_place, s.place) for s in found.steps] == [
        ("cap on hub", "left cap", "left hub"),
        ("hub on axle", "left hub", "axle"),
        ("hub on end", "left hub", "axle"),
    ]


def test_nothing_fits_for_a_minimal_reason() -> None:
    of = problem(world(), "axle=AXLE-25", keep=("hub",))
    planner = Planner(of)
    assert planner.best() is None
    found = Reasoner(planner, None, (AXLE,)).reason_for_none()
    assert found.cites == ("hub on axle",)
    assert found.steps and found.steps[0].sort == "hub on axle"


def test_places_are_asked_once() -> None:
    assert places_asked([(LEFT, RIGHT), (RIGHT, AXLE)]) == (LEFT, RIGHT, AXLE)


def test_names_of_what_may_be_blamed() -> None:
    teller = reasoner("axle=AXLE-25")
    assert [teller.name_of(a) for a in ("axle", "unknown", "arrangement")] == [
        *("axle rule", "unknown not allowed", "arrangement"),
    ]
    assert teller.name_of(teller.problem.sort_of["hub on axle"]) == "hub on axle"
