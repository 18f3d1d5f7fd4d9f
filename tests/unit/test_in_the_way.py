"""What is in the way comes off and is put back: its one-use parts are ordered, and nothing else of it counts."""

from __future__ import annotations

from pathlib import Path

import pytest

from knockon.graph.model.layouts.ready_made import ready_made
from knockon.graph.records import Records, load, records_from_text
from knockon.queries.plan.changes import KEPT, RENEWED, TAKEN_OFF
from knockon.queries.plan.swap import SwapAnswer, swap
from knockon.queries.ui.texts.plan.swap.whole import swap_text

# a core under a cover, which a pin holds; over the cover a lid with a seal of its own
TABLES = {
    "sources.csv": "source,standing,title\nbook,drawing,a made-up book\n",
    "parts.csv": "part,name,part type,hand,one use,source\n"
    "CORE,core,rotor,either,no,book\nCOVER,cover,caliper,either,no,book\nPIN,pin,hub split pin,either,yes,book\n"
    "LID,lid,splash shield,either,no,book\nSEAL,seal,hub seal,either,yes,book\n",
    "claims.csv": "part,claim,other part,source\nPIN,goes with,COVER,book\nSEAL,goes with,LID,book\n",
    "layouts.csv": "layout,title\nbench,a bench\n",
    "arrangements.csv": "layout,arrangement,title\nbench,shut,shut\nbench,open,open\n",
    "positions.csv": "layout,position,level,part type,quantity,arrangement,need,group,order\n"
    "bench,core,vehicle,rotor,1,,needed,cores,1\nbench,cover,vehicle,caliper,1,,needed,covers,2\n"
    "bench,pin,vehicle,hub split pin,1,,needed,pins,3\nbench,lid,vehicle,splash shield,1,,needed,lids,4\n"
    "bench,seal,vehicle,hub seal,1,,needed,seals,5\n",
    "joints.csv": "layout,joint,position,feature,other position,other feature,rule\n"
    "bench,pin in cover,pin,pin,cover,hole,fitting place\nbench,seal on lid,seal,rim,lid,rim,fitting place\n",
    "vehicles.csv": "vehicle,title,layout,arrangement,as made,source\nmine,mine,bench,shut,no,book\n",
    "fittings.csv": "vehicle,position,part,condition\nmine,core,CORE,due\nmine,cover,COVER,sound\nmine,pin,PIN,sound\n"
    "mine,lid,LID,sound\nmine,seal,SEAL,sound\n",
}
ROOT = Path(__file__).parents[2]
HEAD = "layout,position,in the way of,arrangement,slackened,leaves\n"


def records(*ways: str, **changed: str) -> Records:
    own = {f"{name}.csv": text for name, text in changed.items()}
    return records_from_text({**TABLES, **own, "in_the_way.csv": HEAD + "".join(f"bench,{w}\n" for w in ways)})


def asked(*ways: str, **changed: str) -> SwapAnswer:
    read = records(*ways, **changed)
    assert not read.findings
    return swap(read.catalogue, "mine")


def ordered(answer: SwapAnswer) -> set[str]:
    assert answer.plan is not None
    return {line.number for group in answer.plan.groups for line in group.lines}


def statuses(answer: SwapAnswer) -> dict[str, str]:
    return {c.position: c.status for c in answer.changes}


def test_where_nothing_is_in_the_way_only_what_is_due_is_ordered() -> None:
    answer = asked("lid,cover,,,")
    assert ordered(answer) == {"CORE"} and statuses(answer)["cover"] == KEPT


def test_what_comes_off_to_reach_something_is_put_back_and_its_one_use_parts_are_ordered() -> None:
    answer = asked("cover,core,,,")
    assert ordered(answer) == {"CORE", "PIN"}
    assert statuses(answer) == {"core": RENEWED, "cover": TAKEN_OFF, "pin": RENEWED, "lid": KEPT, "seal": KEPT}
    causes = {c.position: c.cause for c in answer.changes}
    assert causes["cover"] == "the cover comes off to reach the core"
    assert causes["pin"] == "one use: the cover comes off to reach the core"


def test_it_counts_in_no_level() -> None:
    plain, off = asked(), asked("cover,core,,,")
    assert plain.plan is not None and off.plan is not None
    assert off.plan.costs["changes"] == plain.plan.costs["changes"] == 0
    assert off.plan.costs["not known"] == plain.plan.costs["not known"] == 0
    assert [e.check for e in off.plan.unproven] == ["pin in cover"]  # the new pin, and nothing else at the cover


def test_what_is_in_the_way_of_what_is_in_the_way_comes_off_too() -> None:
    answer = asked("cover,core,,,", "lid,cover,,,")
    assert ordered(answer) == {"CORE", "PIN", "SEAL"}
    assert next(c.cause for c in answer.changes if c.position == "lid") == "the lid comes off to reach the cover"


def test_a_one_use_part_that_is_itself_in_the_way_is_renewed() -> None:
    answer = asked("seal,core,,,")
    assert ordered(answer) == {"CORE", "SEAL"}
    assert (
        next(c.cause for c in answer.changes if c.position == "seal") == "one use: the seal comes off to reach the core"
    )


def test_what_is_slackened_only_and_what_stays_made_renews_nothing() -> None:
    assert ordered(asked("cover,core,,yes,")) == {"CORE"}
    left = asked("cover,core,,,pin in cover")
    assert ordered(left) == {"CORE"} and statuses(left)["cover"] == TAKEN_OFF


@pytest.mark.parametrize(("arrangement", "more"), [("shut", {"PIN"}), ("open", set())])
def test_it_is_so_on_the_vehicle_as_it_is(arrangement: str, more: set[str]) -> None:
    assert ordered(asked(f"cover,core,{arrangement},,")) == {"CORE", *more}


def test_what_would_have_to_come_off_before_itself_is_an_error_that_names_the_chain() -> None:
    read = records("cover,core,,,", "core,lid,shut,,", "lid,cover,shut,,")
    said = {f.problem for f in read.findings if f.set_aside}
    assert said == {
        "leads back to itself: core -> lid -> cover -> core",
        "leads back to itself: lid -> cover -> core -> lid",
    }
    assert not records("cover,core,,,", "core,cover,,yes,").findings  # slackened only: it waits for nothing


def test_the_text_says_what_comes_off_and_why() -> None:
    read = records("cover,core,,,")
    text = " ".join(str(b) for b in swap_text(read.catalogue, swap(read.catalogue, "mine")))
    assert "Come off and go back on: cover COVER (the cover comes off to reach the core)." in text
    assert "the cover comes off to reach the core" in text and "nothing is recorded" not in text


# ---- the ready-made layouts

ON_THE_WHEEL = {"wheel", "wheel nut", "wheel spacer", "tyre"}
BESIDE_THE_CORNER = {"front pipe", "rear pipe", "inner joint", "inner joint boot", "handbrake lever"}
"""Behind the corner or inboard of it: reached without the wheel."""


@pytest.mark.parametrize("name", ["driven front corner", "undriven front corner", "rear corner"])
def test_every_place_of_a_ready_made_corner_has_a_way_from_the_wheel(name: str) -> None:
    """Common practice, no source: whatever is renewed behind a wheel, the wheel comes off first."""
    tables = ready_made()[name].tables
    before: dict[str, set[str]] = {}
    for _, row in tables["in_the_way"]:
        if not row["slackened"]:
            before.setdefault(row["in the way of"], set()).add(row["position"])

    def comes_off_first(position: str) -> set[str]:
        found: set[str] = set()
        left = [position]
        while left:
            new = before.get(left.pop(), set()) - found
            found |= new
            left += new
        return found

    corner = (
        {row["position"] for _, row in tables["positions"] if row["level"] == "corner"}
        - ON_THE_WHEEL
        - BESIDE_THE_CORNER
    )
    assert corner and [p for p in sorted(corner) if "wheel" not in comes_off_first(p)] == []


def test_renewing_a_bearing_behind_a_seal_orders_the_seal_and_the_pin_that_come_off() -> None:
    """The demo's Mk A: the inner bearing alone brings the inner seal, and the hub nut's split pin, but no grease."""
    answer = swap(load(ROOT / "data_demo").catalogue, "tansy-mk-a", renew=["inner bearing"])
    assert answer.plan is not None
    assert {line.number: line.quantity for g in answer.plan.groups for line in g.lines} == {
        "ALDER-111": 2, "ALDER-121": 2, "THORN-102": 2,
    }  # fmt: skip
    off = {c.position for c in answer.changes if c.status == TAKEN_OFF}
    assert off == {"wheel", "hub nut", "outer joint"}
