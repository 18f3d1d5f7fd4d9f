"""A verdict row says of every pair what judging the pair says: of random rules and interfaces, and of the demo."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from knockon.graph.judge.beliefs import Interface, Known, Size
from knockon.graph.judge.comparisons import bits_of, mask_of
from knockon.graph.judge.conditions import judge
from knockon.graph.judge.verdict_rows import VerdictRows
from knockon.graph.judge.verdicts import Judged, rules_out
from knockon.graph.model.catalogue import Catalogue
from knockon.graph.model.layouts.layout import Places
from knockon.graph.model.rules import Condition, FitRule, RuleEnd
from knockon.graph.triples.sums import Term
from knockon.queries.fits.checking import checks as checking
from knockon.queries.fits.checking.candidates import new_parts
from knockon.queries.fits.checking.checks import Checks
from tests.demo.demo import demo
from tests.unit.test_joint_classes import more_of_the_demo

ENDS = (RuleEnd(0, "peg", "Peg"), RuleEnd(1, "hole", "Hole"))
SIZES = ("depth", "pitch", "width")
DIMENSIONS = (*SIZES, "hand")
NUMBERS = st.sampled_from((0.0, 0.1, 0.30000000000000004, 1.0, 1.0000005, 1.1, 1.25, 2.0, 25.4))
LIMITS = st.none() | st.sampled_from((-1.0, -0.1, 0.0, 0.1, 0.3, 1.0))
NEEDS = st.sampled_from(("required", "required", "supporting", "told"))
SORTS = st.sampled_from(("assembly", "service"))


@st.composite
def conditions(draw: st.DrawFn) -> Condition:
    """A comparison of sums, of codes, or by a formula."""
    sort, need, form = draw(SORTS), draw(NEEDS), draw(st.sampled_from(("sum", "sum", "sum", "code", "formula")))
    if form == "code":
        usual = draw(st.sampled_from(((), ("right", "right"), ("right", ""), ("", "left"))))
        ends = draw(st.permutations(("peg", "hole")))
        return Condition("hand", sort, need, tuple(Term(1, e, "hand") for e in ends), same_code=True, usual=usual)
    low, high, gross_low, gross_high = (draw(LIMITS) for _ in range(4))
    gross = draw(st.booleans())
    terms: tuple[Term, ...]
    terms = (Term(1, "peg", "width"), Term(1, "peg", "pitch"), Term(1, "hole", "width"), Term(1, "hole", "pitch"))
    if form == "sum":
        factors = st.sampled_from((1.0, -1.0, 0.5, -0.5))
        role, name = st.sampled_from(("peg", "hole")), st.sampled_from(SIZES)
        terms = tuple(
            Term(draw(factors), draw(role), draw(name)) for _ in range(draw(st.integers(min_value=1, max_value=4)))
        )
    by = "flank_overlap" if form == "formula" else ""
    return Condition("sum", sort, need, terms, by, False, low, high, gross, gross_low, gross_high)


@st.composite
def known(draw: st.DrawFn, dimension: str) -> Known:
    """What is known of a dimension: nothing, one size, or several that may contradict each other."""
    sizes = []
    for _ in range(draw(st.sampled_from((0, 1, 1, 1, 1, 2, 3)))):
        if dimension == "hand":
            sizes.append(Size(None, None, False, draw(st.sampled_from(("left", "right")))))
        else:
            ends = sorted((draw(NUMBERS), draw(NUMBERS)))
            whole = draw(st.sampled_from((True, True, True, False)))
            low, high = (end if whole or draw(st.booleans()) else None for end in ends)
            sizes.append(Size(low, high, draw(st.booleans()), None))
    found = tuple(dict.fromkeys(sizes))
    if not found:
        return Known(asked=draw(st.booleans()))
    return Known(found, len(found) > 1 and draw(st.booleans()), False, draw(st.integers(min_value=1, max_value=6)))


@st.composite
def interfaces(draw: st.DrawFn, dimensions: tuple[str, ...]) -> Interface:
    """What is known of a feature."""
    presence = draw(st.sampled_from(("recorded",) * 5 + ("absent", "contested", "not recorded")))
    if presence in ("absent", "not recorded"):
        return Interface(presence, tuple(Known() for _ in dimensions))
    return Interface(presence, tuple(draw(known(d)) for d in dimensions))


@st.composite
def meetings(draw: st.DrawFn) -> tuple[FitRule, list[Interface], list[Interface]]:
    """A rule, and interfaces of both its ends."""
    rule = FitRule("pegged", ENDS, True, tuple(draw(st.lists(conditions(), max_size=4))))
    ends = []
    for end in ENDS:
        read = sorted({t.dimension for c in rule.conditions for t in c.terms if t.role == end.role})
        ends.append(draw(st.lists(interfaces(tuple(read)), min_size=1, max_size=8)))
    return rule, ends[0], ends[1]


def spread(rows: list[list[tuple[Judged, int]]]) -> list[dict[int, Judged]]:
    """What rows say pair by pair; a pair said twice would be seen."""
    found = []
    for row in rows:
        said = [(bit, judged) for judged, mask in row for bit in bits_of(mask)]
        assert len(said) == len(dict(said))
        found.append(dict(said))
    return found


def hold(rule: FitRule, firsts: list[Interface], seconds: list[Interface]) -> None:
    """Rows from both ends say what judging every pair says."""
    pairs = judge(rule, firsts, seconds)
    rows = VerdictRows(rule, 0, seconds)
    assert spread([rows.of(first) for first in firsts]) == [dict(enumerate(row)) for row in pairs]
    columns = VerdictRows(rule, 1, firsts)
    expected = [dict(enumerate(column)) for column in zip(*pairs, strict=True)]
    assert spread([columns.of(second) for second in seconds]) == expected
    assert [set(bits_of(rows.noes(first))) for first in firsts] == [
        {b for b, judged in enumerate(row) if rules_out(judged)} for row in pairs
    ]


@given(meetings())
def test_rows_are_judged_pair_for_pair(meeting: tuple[FitRule, list[Interface], list[Interface]]) -> None:
    hold(*meeting)


@given(st.sets(st.integers(min_value=0, max_value=300)))
def test_a_set_holds_its_numbers(numbers: set[int]) -> None:
    assert list(bits_of(mask_of(numbers))) == sorted(numbers)


@pytest.mark.parametrize("catalogue", [demo(), more_of_the_demo(1)], ids=["demo", "with more parts"])
def test_rows_of_all_joints_of_the_demo(catalogue: Catalogue, monkeypatch: pytest.MonkeyPatch) -> None:
    """With rows and pair by pair the same is found, so that neither hangs on how many there are."""
    for layout in catalogue.layouts.values():
        checks, by_pair = (Checks(catalogue, Places(layout)) for _ in range(2))
        for at in checks.places.joints:
            rule, classes = checks.rule_of(at), list[list[int]]()
            for end, here, place in zip(rule.ends, at.ends, (at.first, at.second), strict=True):
                things = [c.thing for c in new_parts(catalogue, checks.places, place)]
                classes.append([checks.interface_class(rule, end, thing, here.feature) for thing in things])
                assert classes[-1] == [by_pair.interface_class(rule, end, thing, here.feature) for thing in things]
            for number in (0, 1):
                monkeypatch.setattr(checking, "FEW_PAIRS", 0)
                rows = checks.rows(at, number, classes[number], classes[1 - number])
                monkeypatch.setattr(checking, "FEW_PAIRS", 10**9)
                expected = by_pair.rows(at, number, classes[number], classes[1 - number])
                assert spread(rows) == spread(expected)
                noes = [sum(mask for judged, mask in row if rules_out(judged)) for row in expected]
                monkeypatch.setattr(checking, "FEW_PAIRS", 0)
                assert checks.ruled_out(at, number, classes[number], classes[1 - number]) == noes
                assert [len({id(j) for j, _ in row}) for row in rows] == [len(row) for row in expected]
