"""The order of a reason's links: each behind what put its given part there."""

from __future__ import annotations

from knockon.queries.links import Step, in_order


def test_a_joint_stands_behind_the_one_that_put_its_part_there() -> None:
    asked = Step("hub on axle", "joint", place="hub", given="AXLE", given_place="axle", starts="asked")
    then = Step("cap on hub", "joint", place="cap", given="HUB", given_place="hub")
    last = Step("screw in cap", "joint", place="screw", given="CAP", given_place="cap")
    assert in_order((last, then, asked)) == in_order((then, last, asked)) == (asked, then, last)
