"""The links of a reason: each behind what put its given part there, and told with what it starts from."""

from __future__ import annotations

import pytest
from msgspec.structs import replace

from knockon.graph.judge.verdicts import Verdict
from knockon.graph.model.layouts.layout import Place
from knockon.queries.fits.fits import judge_parts
from knockon.queries.plan.reasons.links import Step, in_order
from knockon.queries.ui.naming import Naming
from knockon.queries.ui.texts.fits.links import link_body, no_sentence
from tests.demo.demo import demo as load_demo
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
    assert link_body(naming, beside) == "no known drive flange suits the hub HUB-25L"
    assert link_body(naming, replace(beside, given="")) == "no known drive flange suits the hub"
    assert link_body(naming, sought) == "no known drive flange suits it"
    only = link_body(naming, replace(beside, agreeing=("CAP-1",)))
    assert only == "CAP-1 is the only known drive flange that suits the hub HUB-25L"


@pytest.mark.parametrize(("first", "second", "at", "known"), [
    ("ALDER-112", "ALDER-211", "spacer by outer bearing", False),  # patterns only: no size shows that they go together
    ("ROWAN-301", "ROWAN-241", "flange on stub", True),
])  # fmt: skip
def test_only_what_is_known_to_go_together_is_said_to(first: str, second: str, at: str, known: bool) -> None:
    (evidence,) = judge_parts(load_demo(), [first, second], at=at).joints
    assert evidence.verdict is Verdict.DO_NOT_USE
    said = no_sentence(Naming(load_demo()), evidence)
    assert said.endswith("They go together, but do not use them" if known else "Do not use them together")
