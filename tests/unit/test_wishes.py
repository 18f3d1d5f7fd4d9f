"""The wish list: what nobody has recorded, and what each size would unlock."""

import pytest
from msgspec.structs import replace

from knockon.graph.judge.verdicts import Verdict
from knockon.graph.model.things import Feature, Statement
from knockon.queries.club.wishes import wish_list
from knockon.queries.fits.fits import judge_parts
from knockon.queries.plan.asked_swaps import AskedSwaps, asked_swaps
from tests.unit.small import with_rows, world
from tests.unit.test_disputes import demo


def test_the_wish_list_is_ranked_and_each_wish_is_really_unknown() -> None:
    answer = wish_list(demo())
    assert len(answer.wishes) > 100
    order = [(-w.unlocks, -w.helps) for w in answer.wishes]
    assert order == sorted(order)
    assert answer.unknown_answers >= max(w.helps for w in answer.wishes)
    for wish in answer.wishes:
        feature = demo().features_of(wish.thing).get(wish.feature)
        stated = feature.dimensions if feature else {}
        sizes = [d for d, v in stated.items() if d.partition(".")[0] == wish.dimension for s in v if not s.unknown]
        assert not sizes or any("." in d for d in sizes), wish
    assert wish_list(demo(), 5).wishes == answer.wishes[:5]


def test_a_wish_that_comes_true_unlocks_what_it_said() -> None:
    """Measure the boundary of one wish that lacks nothing else: exactly its answers are no longer not known."""
    wish = next(w for w in wish_list(demo()).wishes if w.thing == "LARCH-901" and w.feature == "countersinks")
    assert wish.dimension == "angle"
    assert "countersinks" not in demo().features["LARCH-901"]
    by_name = {**demo().features["LARCH-901"], "countersinks": demo().features["LARCH-201"]["countersinks"]}
    after = replace(demo(), features={**demo().features, "LARCH-901": by_name})
    screws = [n for n, p in demo().parts.items() if demo().vocabulary.is_a(p.part_type, "rotor screw")]
    answered = 0
    for screw in screws:
        now, then = (judge_parts(c, [screw, "LARCH-901"], at="rotor screw in rotor").verdict for c in (demo(), after))
        answered += now in (Verdict.NOT_KNOWN, Verdict.FITS_ON_PAPER) and then is not now
    assert wish.unlocks == wish_list(demo()).unknown_answers - wish_list(after).unknown_answers
    assert 0 < answered <= wish.unlocks


def test_a_size_unlocks_the_pairs_that_lack_nothing_else_and_helps_the_others_too() -> None:
    """The bore of one hub is not recorded, nor is the seat of one of three axles."""
    changed = with_rows("parts.csv", "AXLE-?,axle from a stall,outer joint,either,no,,,stall")
    (wish,) = (w for w in wish_list(world(changed)).wishes if w.thing == "HUB-?" and w.feature == "bore")
    assert (wish.dimension, wish.checks, wish.unlocks, wish.helps) == ("diameter", ("hub on axle",), 2, 3)


def test_a_wish_of_a_plan_opens_its_check_once_it_comes_true() -> None:
    """Record the size that a plan lacks: its check no longer lacks it, and the wish is gone."""
    asked = asked_swaps(demo())
    assert [s.said for s in asked.planned] == ["tansy-m080, rotor=LARCH-201", "tansy-m080, rotor=LARCH-301"]
    assert asked.passed_over == 0
    wishes = wish_list(demo(), 0, asked.planned).wishes
    ranks = [(-len(w.plans), -w.unlocks, -w.helps) for w in wishes]
    assert ranks == sorted(ranks)
    assert any(not w.helps for w in wishes if w.plans), "a claim stands in: not *not known*, and still worth measuring"
    wish = next(w for w in wishes if w.thing == "ROWAN-201" and w.feature == "seal land")
    assert wish.plans == ("tansy-m080, rotor=LARCH-201",)
    rules = demo().vocabulary.rules
    joint = next(j for x in demo().layouts.values() for j in x.joints if j.joint == "inner seal on joint")
    ends = {here.feature: end.kind for here, end in zip(joint.ends, rules[joint.rule].ends, strict=True)}
    kind = ends["seal land"]
    known = Feature("seal land", kind, {"diameter": (Statement("1.5 in", "N02", 3, 38.1, 38.1, nominal=True),)})
    after = replace(
        demo(), features={**demo().features, "ROWAN-201": {**demo().features["ROWAN-201"], "seal land": known}}
    )
    again = wish_list(after, 0, asked_swaps(after).planned).wishes
    assert not [w for w in again if (w.thing, w.feature) == ("ROWAN-201", "seal land")]


def test_only_as_many_plans_are_made_as_asked_for() -> None:
    asked = asked_swaps(demo(), 1)
    assert (len(asked.planned), asked.passed_over) == (1, 1)
    assert asked_swaps(demo(), 0) == AskedSwaps((), (), 2)


def test_no_plan_is_made_where_too_much_may_stand(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("knockon.queries.plan.asked_swaps.MOST_CANDIDATES", 100)
    assert asked_swaps(demo()) == AskedSwaps((), (), 2)


def test_without_a_vehicle_as_found_those_as_made_are_asked_about() -> None:
    made = {name: v for name, v in demo().vehicles.items() if v.as_made}
    asked = asked_swaps(replace(demo(), vehicles=made), 9)
    said = {s.said for s in asked.planned} | set(asked.without_plan)
    assert {"tansy-mk-a, rotor=LARCH-201", "tansy-mk-a, rotor=LARCH-301"} <= said
    assert not any(s.startswith("tansy-mk-b, rotor") for s in said)
