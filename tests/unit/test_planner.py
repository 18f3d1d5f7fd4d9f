"""The planner on a small world: the best filling, its costs by level, what may stay, what is possible."""

from __future__ import annotations

import pytest
from msgspec.structs import replace

from knockon.graph.model.layouts.layout import Place
from knockon.queries.plan.changes import CHOSEN, FORCED_BY_FIT, FREED, KEPT, NEW, RENEWED, Change
from knockon.queries.plan.solving.patience import Patience, TimeUp, solving
from knockon.queries.plan.solving.planner import Planner
from knockon.queries.plan.solving.too_large import TooLarge
from knockon.queries.plan.swap import plan_swap
from knockon.queries.ui.naming import Naming
from knockon.queries.ui.texts.plan.swap.why_blocks import chosen_lines
from tests.unit.small import AXLE, LEFT, RIGHT, TABLES, planned, problem, with_rows, world

BIG = "axle=AXLE-25"


def test_nothing_asked_changes_nothing() -> None:
    _, filling = planned(problem(world()))
    assert all(c.stays for c in filling.chosen.values())
    assert set(filling.costs.values()) == {0}
    assert filling.proved


def test_the_best_filling_and_its_costs() -> None:
    planner, filling = planned(problem(world(), BIG))
    assert {str(p): c.number for p, c in filling.chosen.items()} == {
        "axle": "AXLE-25",
        **dict.fromkeys(("left hub", "right hub", "left cap", "right cap"), "PAIR-25"),
        **dict.fromkeys(("left stud", "right stud"), "STUD-1"),
    }
    # axle and two hubs are counted; studs are pressed into a lost hub and caps are disturbed: they cost nothing
    assert filling.costs == {"not known": 0, "changes": 3, "unproven": 4, "unoffered": 0,
                             "price": round(100 * (28 + 70 + 8 * 1.10))}  # fmt: skip
    assert planner.best() == filling  # asked again: the same


def test_that_nothing_was_found_in_time_is_no_proof_that_there_is_no_plan() -> None:
    for wish in (BIG, "axle.diameter>=99 mm"):
        with pytest.raises(TimeUp):
            Planner(problem(world(), wish), Patience(0.0)).best()


def test_the_axle_rule_holds_for_both_hands() -> None:
    planner, _ = planned(problem(world(), "left hub=HUB-25L"))
    right = {c.number for c in planner.possible() if c.place == RIGHT}
    assert right == {"HUB-25R"}


def test_a_set_is_used_whole_or_not_at_all() -> None:
    planner, _ = planned(problem(world(), "hub=HUB-25L"))
    assert not [c for c in planner.possible() if c.number == "PAIR-25"]


def test_what_may_stay() -> None:
    planner, filling = planned(problem(world(), BIG))
    kept = planner.may_stay(unknown_limited=False)
    assert AXLE not in kept and LEFT not in kept
    assert Place("cap", "left") in kept  # the same number again
    planner.limit_unknowns(filling.costs["not known"])
    assert planner.may_stay(unknown_limited=True) <= kept


def test_an_unknown_part_is_possible_until_unknowns_are_limited() -> None:
    planner, filling = planned(problem(world(), BIG))
    assert "HUB-?" in {c.number for c in planner.possible()}
    planner.limit_unknowns(filling.costs["not known"])
    assert "HUB-?" not in {c.number for c in planner.possible(unknown_limited=True)}


def test_which_checks_rule_it_out() -> None:
    of = problem(world(), BIG)
    planner = Planner(of)
    joint = of.sort_of["hub on axle"]
    assert planner.is_possible([], LEFT)
    assert not planner.is_possible([joint], LEFT)
    assert not planner.is_possible([], AXLE)  # something else is asked for there


def test_a_wish_that_nothing_meets_has_no_plan() -> None:
    assert Planner(problem(world(), "axle.diameter>=99 mm")).best() is None
    assert Planner(problem(world(), BIG, keep=("hub",))).best() is None


def test_what_keeping_costs() -> None:
    planner, filling = planned(problem(world(), "hub=PAIR-25"))
    assert filling.chosen[AXLE].number == "AXLE-25"
    assert planner.cost_of_keeping(AXLE) is None
    assert planner.cost_of_keeping(Place("cap", "left")) is None  # the pair brings its own


def test_what_no_plan_can_keep_has_no_cost_of_keeping() -> None:
    """Due, and nobody knows its number: neither it nor one of its kind can stand there again."""
    rows = with_rows("positions.csv", "cart axle,lid,vehicle,hub nut,1,optional,,no,lids,50")
    rows |= with_rows("items.csv", "old-lid,,a lid without a number,,,survey")
    rows |= with_rows("fittings.csv", "my-cart,lid,,,old-lid,due")
    of = problem(world(rows), "hub=HUB-20L", vehicle="my-cart")
    answer = plan_swap(of.checks.catalogue, "my-cart", of.request)
    (lid,) = (c for c in answer.changes if c.place == "lid")
    assert (lid.status, lid.new, lid.keeping) == (CHOSEN, "", None)
    planner, _ = planned(of)
    assert planner.filling_that_keeps(Place("lid")) is None
    assert planner.cost_of_keeping(AXLE) is not None


def test_only_of_what_another_plan_would_not_change_it_is_told_what_keeping_it_costs() -> None:
    naming = Naming(world())

    def change(status: str, keeping: dict[str, int] | None) -> Change:
        return Change(AXLE, "axle", "", "axle", "axle", status, "AXLE-20", "AXLE-25", keeping=keeping)

    others = [change(status, {"changes": 3}) for status in (FORCED_BY_FIT, RENEWED, NEW, FREED, KEPT)]
    assert chosen_lines(naming, others, {"changes": 1}) == []
    (none, dearer) = chosen_lines(naming, [change(CHOSEN, None), change(CHOSEN, {"changes": 3})], {"changes": 1})
    assert none.endswith("No plan was found that keeps it.")
    assert "2 more positions changed" in dearer and "AXLE-25" in dearer and "AXLE-20" in dearer


def test_without_a_filling_the_next_best() -> None:
    planner, first = planned(problem(world(), BIG))
    planner.exclude(first)
    second = planner.best()
    assert second is not None and second.chosen != first.chosen
    assert list(second.costs.values()) >= list(first.costs.values())
    assert {second.chosen[LEFT].number, second.chosen[RIGHT].number} == {"HUB-25L", "HUB-25R"}


def test_what_was_left_out_once_stays_left_out() -> None:
    planner, first = planned(problem(world(), BIG))
    seen = [first]
    for _ in range(2):
        planner.exclude(seen[-1])
        following = planner.best()
        assert following is not None and all(following.chosen != earlier.chosen for earlier in seen)
        seen.append(following)


def test_other_plans_are_better_on_some_level() -> None:
    cheap = with_rows("offers.csv", "Forge,HUB-?,1,") | with_rows("claims.csv", "HUB-?,listed for,big-cart,,,stall")
    planner, first = planned(problem(world(cheap), BIG))
    planner.exclude_no_better(first.costs)
    other = planner.best()
    assert other is not None
    assert any(other.costs[level] < first.costs[level] for level in first.costs)
    assert other.chosen[LEFT].number == "HUB-?" and other.costs["price"] < first.costs["price"]


@pytest.mark.parametrize(
    ("prefer", "hub"), [((), "PAIR-25"), (("price",), "HUB-?"), (("unproven", "price"), "PAIR-25")]
)
def test_the_user_may_reorder_the_levels(prefer: tuple[str, ...], hub: str) -> None:
    cheap = with_rows("offers.csv", "Forge,HUB-?,1,") | with_rows("claims.csv", "HUB-?,listed for,big-cart,,,stall")
    of = problem(world(cheap), BIG)
    of.request = replace(of.request, prefer=prefer)
    _, filling = planned(of)
    assert filling.chosen[LEFT].number == hub


def test_a_line_that_nobody_offers_is_never_free() -> None:
    offers = TABLES["offers.csv"].replace("Mill,PAIR-25,70,\n", "")
    _, filling = planned(problem(world({"offers.csv": offers}), BIG))
    assert {filling.chosen[LEFT].number, filling.chosen[RIGHT].number} == {"HUB-25L", "HUB-25R"}
    assert filling.costs["unoffered"] == 0


def test_ties_go_by_part_number() -> None:
    same = with_rows("parts.csv", "AXLE-25B,axle 25 again,outer joint,either,no,,,book",
                     "AXLE-25A,axle 25 again,outer joint,either,no,,,book")  # fmt: skip
    same |= with_rows("features/spigot.csv", "AXLE-25A,seat,25 mm,book", "AXLE-25B,seat,25 mm,book")
    same |= with_rows("offers.csv", "Forge,AXLE-25A,28,", "Forge,AXLE-25B,28,")
    _, filling = planned(problem(world(same), "axle.diameter>=24 mm"))
    assert filling.chosen[AXLE].number == "AXLE-25"


def test_two_wishes_for_one_place_are_both_met() -> None:
    both = problem(world(), "axle.diameter>=21 mm", "axle.diameter<=30 mm")
    assert planned(both)[1].chosen[AXLE].number == "AXLE-25"
    assert Planner(problem(world(), "axle.diameter>=21 mm", "axle.diameter<=22 mm")).best() is None
    assert Planner(problem(world(), "axle=AXLE-20", "axle=AXLE-25")).best() is None


CHAIN = {
    "positions.csv": "layout,position,level,part type,quantity,need,carried by,pressed in,group,order\n"
    "cart axle,axle,vehicle,outer joint,1,needed,,no,axles,10\n"
    "cart axle,cap,vehicle,hub washer or collar,1,needed,axle,no,caps,20\n"
    "cart axle,stud,vehicle,wheel stud,4,needed,,no,studs,30\n",
    "joints.csv": "layout,joint,position,feature,other position,other feature,rule\n"
    "cart axle,cap on stud,cap,rim,stud,knurl,fitting place\n",
    "figures.csv": "layout,figure,is,sort,compared with\n",
    "figure_terms.csv": "layout,figure,order,position,feature,dimension\n",
    "vehicles.csv": "vehicle,title,layout,as made\ncart,,cart axle,yes\n",
    "set_members.csv": "set,position\n",
    "consumables.csv": "layout,part type,with position\n",
    "claims.csv": "part,claim\n",
    "notes.csv": "note,text\n",
    **with_rows(
        "parts.csv", "CAP-2,cap,hub washer or collar,either,yes,,,book", "STUD-2,s,wheel stud,either,yes,,,book"
    ),
}


def _chained(condition: str) -> int:
    """What it costs to replace a one-use cap that hangs on an axle, and the one-use stud that it meets."""
    rows = f"cart,axle,,AXLE-20,{condition}\ncart,cap,,CAP-1,sound\ncart,stud,,STUD-1,sound\n"
    fittings = {"fittings.csv": "vehicle,position,side,part,condition\n" + rows}
    _, filling = planned(problem(world({**CHAIN, **fittings}), "cap=CAP-2", "stud=STUD-2"))
    assert filling.chosen[AXLE].stays is (condition != "due")
    return filling.costs["changes"]


def test_a_one_use_part_that_its_lost_carrier_takes_from_a_one_use_part_that_goes_costs_nothing() -> None:
    # the axle is due and takes the cap along, which undoes its joint with the stud: the chain ends in the axle
    assert _chained("due") == 0
    # the axle stays: cap and stud may not excuse each other, one of the two counts and disturbs the other
    assert _chained("sound") == 1


def _with_own_number(condition: str) -> int:
    """What it costs to replace a pressed-in stud where its hub stays, or is bought again."""
    rows = TABLES["fittings.csv"].replace("HUB-20L,,sound", f"HUB-20L,,{condition}")
    rows = rows.replace("HUB-20R,,sound", f"HUB-20R,,{condition}")
    parts = TABLES["parts.csv"].replace("STUD-1,stud,wheel stud,either,yes", "STUD-1,stud,wheel stud,either,no")
    parts += "STUD-2,stud,wheel stud,either,no,,,book\n"
    _, filling = planned(problem(world({"fittings.csv": rows, "parts.csv": parts}), "stud=STUD-2"))
    return filling.costs["changes"]


def test_what_is_pressed_into_a_sound_carrier_that_is_bought_again_counts() -> None:
    assert _with_own_number("due") == 0  # the hubs are renewed anyway
    assert _with_own_number("sound") == _with_own_number("unknown") == 2  # the studs, and no good hub is bought


def test_a_plan_with_more_facts_than_can_be_ground_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("knockon.queries.plan.solving.too_large.MOST_FACTS", 10)
    with pytest.raises(TooLarge, match=r"this plan is too large. It has \d+ facts, and at most 10 can be searched"):
        Planner(problem(world(), BIG))


def more_studs(*prices: str) -> dict[str, str]:
    """Studs STUD-0, STUD-1-0 ... that are as good as STUD-1, at these prices."""
    numbers = ["STUD-0", *(f"STUD-1-{n}" for n in range(len(prices) - 1))]
    return {
        **with_rows("parts.csv", *(f"{n},stud,wheel stud,either,yes,,,book" for n in numbers)),
        **with_rows("offers.csv", *(f"Mill,{n},{price}," for n, price in zip(numbers, prices, strict=True))),
        **with_rows("claims.csv", *(f"{n},listed for,{v},,,book" for n in numbers for v in ("cart", "big-cart"))),
    }


def equally_good(planner: Planner) -> list[list[int]]:
    """Of every filling with the least costs, place by place, how many candidates come before the one that stands there
    by part numbers (all of them where it is empty): tried one after another."""
    planner._configure("opt")
    with solving(planner._control, planner._plans(), Patience()) as search:
        assert search.all()
        assert search.last is not None
        bound = ",".join(map(str, search.last.cost))
    planner._configure(f"enum,{bound}")
    ids, found = planner.problem.ids, []
    with solving(planner._control, planner._plans(), Patience()) as search:
        for model in search.models():
            standing = {number for (number,) in planner._atoms.read(model).numbers("in")}
            found.append([
                next((i for i, c in enumerate(sorted(cs, key=lambda c: (c.number, not c.stays, c.work, c.thing)))
                      if ids[c] in standing), len(cs))
                for cs in (planner.problem.candidates[p] for p in planner.problem.places.all)
            ])  # fmt: skip
    return found


@pytest.mark.parametrize("few", [64, 1])
@pytest.mark.parametrize(("many", "easy"), [(1_500, 2_000), (0, 2_000), (1_500, 0), (0, 0)])
def test_the_plan_is_the_first_of_all_that_are_equally_good(
    monkeypatch: pytest.MonkeyPatch, few: int, many: int, easy: int
) -> None:
    """Also where a place has so many candidates that they stand in blocks, and where the search in order is hard."""
    monkeypatch.setattr("knockon.queries.plan.solving.ties.FEW", few)
    monkeypatch.setattr("knockon.queries.plan.solving.planner.EASY", easy)
    monkeypatch.setattr("knockon.queries.plan.solving.planner.MANY", many)
    of = world(more_studs("1.20", "1.10", "1.10", "1.15", "1.10"))
    numbers = []
    for wish in (BIG, "hub=PAIR-25", "left hub=HUB-25L"):
        planner, filling = planned(problem(of, wish))
        tried = equally_good(planner)
        rank = min(tried)
        assert len({tuple(one) for one in tried}) > 1 or wish != BIG
        for place, before in zip(planner.problem.places.all, rank, strict=True):
            order = sorted(planner.problem.candidates[place], key=lambda c: (c.number, not c.stays, c.work, c.thing))
            assert filling.chosen.get(place) == (order[before] if before < len(order) else None)
        numbers.append({str(p): c.number for p, c in filling.chosen.items()})
    assert numbers[0]["left stud"] == numbers[0]["right stud"] == "STUD-1"


def test_more_levels_of_order_than_the_solver_can_tell_apart_are_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("knockon.queries.plan.solving.too_large.LEVELS", 10)
    with pytest.raises(TooLarge, match="too many parts at too many places to tell equal plans apart"):
        Planner(problem(world(), BIG))


def test_the_filling_that_keeps_a_thing_is_the_first_by_part_numbers_too() -> None:
    planner, _ = planned(problem(world(more_studs("1.10", "1.10")), BIG))
    kept = planner.filling_that_keeps(Place("cap", "left"))
    assert kept is not None
    assert kept.chosen[Place("stud", "left")].number == "STUD-0"


@pytest.mark.parametrize(
    ("why", "raised"), [("Value too large: Integer overflow!", TooLarge), ("syntax", RuntimeError)]
)
def test_sums_that_the_solver_cannot_hold_are_refused_in_plain_words(
    monkeypatch: pytest.MonkeyPatch, why: str, raised: type[Exception]
) -> None:
    def ground(control: object, parts: object) -> None:
        raise RuntimeError(why)

    monkeypatch.setattr("knockon.queries.plan.solving.planner.ground", ground)
    with pytest.raises(raised):
        Planner(problem(world(), BIG))
