"""The links of a reason: each behind what put its given part there, and told with what it starts from."""

from __future__ import annotations

from msgspec.structs import replace

from knockon.graph.model.layout import Place
from knockon.queries.plan.reasons.links import Step, in_order
from knockon.queries.ui.naming import Naming
from knockon.queries.ui.texts.fits.links import link_body
from tests.unit.small import world


def test_a_joint_stands_behind_the_one_that_put_its_part_there() -> None:
    asked = Step("hub on axle", "joint", place=Place("hub"), given="AXLE", given_place=Place("axle"), starts="asked")
    then = Step("cap on hub", "joint", place=Place("cap"), given="HUB", given_place=Place("hub"))
    last = Step("screw in cap", "joint", place=Place("screw"), given="CAP", given_place=Place("cap"))
    assert in_order((last, then, asked)) == in_order((then, last, asked)) == (asked, then, last)


def test_a_link_that_no_pair_shows_says_beside_what_it_looked() -> None:
    naming = Naming(world())
    sought = Step("cap on hub", "joint", place=Place("cap", "left"), sought="drive flange")
    beside = replace(sought, given="HUB-25L", given_place=Place("hub", "left"))
    assert link_body(naming, beside) == "beside the hub HUB-25L, no known drive flange agrees"
    assert link_body(naming, replace(beside, given="")) == "beside the hub, no known drive flange agrees"
    assert link_body(naming, sought) == "no known drive flange agrees"
    only = link_body(naming, replace(beside, agreeing=("CAP-1",)))
    assert only == "beside the hub HUB-25L, of known drive flanges only these agree: CAP-1"
