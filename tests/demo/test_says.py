"""No answer contradicts itself: what does not go together is not told to start, to touch or to rub."""

from __future__ import annotations

import random
import re
from collections.abc import Iterator
from functools import cache
from itertools import product

import pytest

from knockon.graph.judge.verdicts import Verdict
from knockon.graph.model.rules import FitRule
from knockon.queries.fits.checking.candidates import new_parts
from knockon.queries.fits.checking.evidence import Evidence, Line
from knockon.queries.fits.checking.figure_evidence import IF_TOGETHER
from knockon.queries.fits.checking.joint_evidence import joint_evidence
from knockon.queries.fits.fits import judge_parts
from knockon.queries.ui.sentences.fits import DANGER, WARNING
from knockon.queries.ui.terminal.blocks import Box
from knockon.queries.ui.texts.fits.evidence import go_together, verdict_blocks
from tests.demo.demo import checks, demo

# words of the trade for two things that have come together, and for two that cannot
TOGETHER = re.compile(
    r"\b(it starts|nuts start|runs|binds|touch|touches|rocks|rubs|under strain|loose (in|on|there)|slides)\b"
)
APART = re.compile(
    r"\b(too big to start|does not start|does not enter|drops through|does not go|do not meet|too thick|too small"
    r"|thicker than the slot|not the same number|of one size|large ends differ)\b"
)


@cache
def pairs() -> tuple[Evidence, ...]:
    """Every two demo parts at every joint where they can meet; interface classes that are alike once."""
    found: dict[tuple[object, ...], Evidence] = {}
    for at in checks().places.joints:
        if at.side == "right":
            continue
        rule = checks().rule_of(at)
        ends = [tuple(new_parts(demo(), checks().places, p)) for p in (at.first, at.second)]
        for first, second in product(*ends):
            classes = (
                checks().interface_class(rule, rule.ends[0], first.thing, at.joint.feature),
                checks().interface_class(rule, rule.ends[1], second.thing, at.joint.other_feature),
            )
            if (rule.label, *classes) not in found:
                found[rule.label, *classes] = joint_evidence(checks(), at, first, second)
    return tuple(found.values())


def assembly(evidence: Evidence) -> Iterator[Line]:
    return (x for x in evidence.lines if x.sort == "assembly" and x.need != "told")


def test_no_answer_says_both_that_they_come_together_and_that_they_do_not() -> None:
    assert sum(e.verdict is Verdict.DOES_NOT_FIT for e in pairs()) > 50
    for evidence in pairs():
        says = [x.says for x in evidence.lines if x.says]
        if any(APART.search(s) for s in says):
            assert not [s for s in says if TOGETHER.search(s)], (evidence.check, evidence.things, says)


def chosen_for(figure: str, count: int) -> Iterator[list[str]]:
    """Numbers for all places of a figure, the same ones each time."""
    at = next(f for f in checks().places.figures if f.figure.figure == figure)
    ends = [tuple(new_parts(demo(), checks().places, p)) for p in dict.fromkeys(at.places)]
    chance = random.Random(20261129)
    for _ in range(count):
        yield list(dict.fromkeys(chance.choice(end).number for end in ends))


JUDGED = [f.figure.figure for f in checks().places.figures if f.side == "left" and f.figure.compared_with == "limits"]


def test_a_figure_says_what_comes_of_it_as_if_only_where_its_parts_do_not_go_together() -> None:
    """A nut that does not start is not told to go tight on plain shank."""
    told = {True: 0, False: 0}
    for numbers in (n for figure in JUDGED for n in chosen_for(figure, 25)):
        answer = judge_parts(demo(), numbers)
        for figure in (f for f in answer.figures if f.lines[0].says):
            between = [j for j in answer.joints if set(j.things) <= set(figure.things)]
            apart = any(x.state == "no" for j in between for x in assembly(j))
            assert figure.lines[0].says.startswith(IF_TOGETHER) is apart, (numbers, figure.check)
            told[apart] += 1
    assert min(told.values()) > 10, told


def test_what_comes_of_it_is_told_only_where_they_go_together() -> None:
    told = 0
    for evidence in pairs():
        together = all(x.state == "yes" for x in assembly(evidence))
        at = next(a for a in checks().places.joints if a.joint.joint == evidence.check)
        for condition in checks().rule_of(at).conditions:
            line = next((x for x in evidence.lines if x.label == condition.label and x.says), None)
            if condition.says_together and line is not None:
                assert line.says.endswith(condition.says_together) is together, (evidence.things, line.says)
                told += together
    assert told > 5


@pytest.mark.parametrize("rule", demo().vocabulary.rules.values(), ids=lambda r: r.label)
def test_a_rule_says_of_a_no_of_use_nothing_that_takes_assembly_for_granted(rule: FitRule) -> None:
    """Nor does a no of assembly: each sentence holds whatever the other conditions come to."""
    if any(c.sort == "assembly" for c in rule.conditions):
        assert not [c.says_no for c in rule.conditions if TOGETHER.search(c.says_no)]
    assert not [c.label for c in rule.conditions if c.sort == "assembly" and c.says_together]


def test_the_banner_claims_that_they_go_together_only_where_all_conditions_of_assembly_agree() -> None:
    shown = {True: 0, False: 0}
    for evidence in pairs():
        if evidence.verdict is Verdict.DO_NOT_USE:
            known = [x.state == "yes" for x in assembly(evidence)]
            (box,) = verdict_blocks(evidence.verdict, (evidence,))
            assert isinstance(box, Box)
            assert box.lines[1:] == (DANGER if known and all(known) else WARNING), evidence.things
            shown[bool(known) and all(known)] += 1
    assert min(shown.values()) > 0, shown


def test_another_check_that_is_open_about_assembly_takes_the_banner_away() -> None:
    near = next(e for e in pairs() if e.verdict is Verdict.DO_NOT_USE and go_together((e,)))
    unknown = next(e for e in pairs() if any(x.state.startswith("open") for x in assembly(e)) and not e.verdict.is_no)
    assert go_together((near,)) and not go_together((near, unknown))
