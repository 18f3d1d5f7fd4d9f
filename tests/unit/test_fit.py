"""Conditions over pairs of interfaces: windows, nominal sizes, codes, formulas, beliefs."""

from __future__ import annotations

import pytest
from msgspec.structs import replace

from knockon.graph.judge.beliefs import Interface, Known, Size
from knockon.graph.judge.conditions import Side, dimensions_of, evaluate, judge, window_of
from knockon.graph.judge.verdicts import MISSING, NO, STRADDLES, YES, Verdict, Weighing, verdict_of
from knockon.graph.model.rules import Condition, FitRule, RuleEnd
from knockon.graph.triples.sums import Term

GAP = Condition("gap", "service", "required", (Term(1, "hole", "width"), Term(-1, "peg", "width")), low=0.0, high=0.1)
DEPTH = Condition(
    "depth", "service", "required", (Term(1, "hole", "depth"), Term(-1, "peg", "depth")), low=0.0, high=5.0
)
RULE = FitRule("pegged", (RuleEnd(0, "peg", "Peg"), RuleEnd(1, "hole", "Hole")), True, (GAP,))


def known(*sizes: tuple[float | None, float | None], rank: int = 2, nominal: bool = False) -> Known:
    found = tuple(Size(low, high, nominal, None) for low, high in sizes)
    return Known(found, len(found) > 1 and found[0].high != found[1].low, False, rank)


def exact(value: float, nominal: bool = False) -> Known:
    return known((value, value), nominal=nominal)


def sides(rule: FitRule, peg: Known, hole: Known) -> tuple[Side, Side]:
    return (
        Side(dimensions_of(rule, "peg"), (Interface("recorded", (peg,)),)),
        Side(dimensions_of(rule, "hole"), (Interface("recorded", (hole,)),)),
    )


def state(condition: Condition, peg: Known, hole: Known) -> int:
    rule = replace(RULE, conditions=(condition,))
    return evaluate(condition, rule, sides(rule, peg, hole))[0][0].state


def word(
    peg: Known, hole: Known, rule: FitRule = RULE, presence: tuple[str, str] = ("recorded", "recorded")
) -> Verdict:
    first, second = Interface(presence[0], (peg,)), Interface(presence[1], (hole,))
    return verdict_of(judge(rule, [first], [second])[0][0], Weighing(rule.safety_critical))


@pytest.mark.parametrize(
    ("hole", "expected"),
    [
        ((10.05, 10.05), YES),
        ((10.0, 10.1), YES),  # the window is closed
        ((10.2, 10.3), NO),
        ((9.8, 9.9), NO),
        ((10.1, 10.2), STRADDLES),  # touching from outside is open
        ((9.9, 10.05), STRADDLES),
        ((9.9, 10.2), STRADDLES),
        ((10.0 - 5e-7, 10.05), YES),  # within the tolerance of 1e-6
        ((10.0 - 5e-6, 10.05), STRADDLES),
    ],
)
def test_inside_outside_or_open(hole: tuple[float, float], expected: int) -> None:
    assert state(GAP, exact(10.0), known(hole)) == expected


def test_one_limit_may_be_missing() -> None:
    at_least = replace(GAP, high=None)
    assert state(at_least, exact(10.0), exact(99.0)) == YES
    assert state(at_least, exact(10.0), exact(9.0)) == NO
    assert state(replace(GAP, low=None, high=None), exact(10.0), exact(99.0)) == YES


def test_a_nominal_size_is_judged_by_the_gross_window_alone() -> None:
    gross = replace(GAP, gross=True, gross_low=-0.5, gross_high=0.5)
    assert state(gross, exact(10.0, nominal=True), exact(9.8)) == YES
    assert state(gross, exact(10.0), exact(9.8, nominal=True)) == YES
    assert state(gross, exact(10.0, nominal=True), exact(9.8, nominal=True)) == YES
    assert state(gross, exact(10.0), exact(9.8)) == NO  # both exact: the window itself
    assert state(gross, exact(10.0, nominal=True), exact(12.0)) == NO


def test_a_nominal_size_without_a_gross_window_leaves_it_open() -> None:
    assert state(GAP, exact(10.0, nominal=True), exact(10.05)) == STRADDLES
    assert state(GAP, exact(10.0, nominal=True), exact(99.0)) == STRADDLES
    assert window_of(GAP, nominal=True) is None
    assert window_of(GAP, nominal=False) == (0.0, 0.1)


def test_a_missing_size_is_missing_on_its_own_side() -> None:
    rule = RULE
    result = evaluate(GAP, rule, sides(rule, Known(), exact(10.0)))
    assert (result[0][0].state, result[0][0].lacks) == (MISSING, (True, False))


def test_each_side_lacks_its_own_dimension_alone() -> None:
    uneven = replace(GAP, terms=(Term(1, "hole", "depth"), Term(-1, "peg", "length")))
    rule = replace(RULE, conditions=(uneven,))
    for peg, hole in ((Known(), exact(10.0)), (exact(10.0), Known()), (Known(), Known())):
        result = evaluate(uneven, rule, sides(rule, peg, hole))
        assert result[0][0].state == MISSING
        assert result[0][0].lacks == (peg == Known(), hole == Known())


def test_each_side_is_as_good_as_the_standing_of_its_own_dimension() -> None:
    uneven = replace(GAP, terms=(Term(1, "hole", "depth"), Term(-1, "peg", "length")))
    rule = replace(RULE, conditions=(uneven,))
    hearsay = known((10.05, 10.05), rank=6)
    assert word(exact(10.0), exact(10.05), rule) is Verdict.FITS
    assert word(exact(10.0), hearsay, rule) is word(hearsay, exact(10.1), rule) is Verdict.FITS_ON_PAPER


def test_factors_turn_the_ends_of_an_interval() -> None:
    half = replace(GAP, terms=(Term(0.5, "hole", "width"), Term(-2, "peg", "width")), low=None, high=None)
    rule = replace(RULE, conditions=(half,))
    result = evaluate(half, rule, sides(rule, known((1.0, 2.0)), known((10.0, 12.0))))
    assert result[0][0][:2] == (5.0 - 4.0, 6.0 - 2.0)


def test_a_factor_between_nought_and_minus_one_turns_them_too() -> None:
    less = replace(GAP, terms=(Term(1, "hole", "width"), Term(-0.5, "peg", "width")))
    result = evaluate(less, replace(RULE, conditions=(less,)), sides(RULE, known((1.0, 2.0)), known((10.0, 12.0))))
    assert result[0][0][:2] == (10.0 - 1.0, 12.0 - 0.5)


def test_one_limit_alone_is_a_window_and_none_is_no_limit() -> None:
    assert window_of(replace(GAP, low=None), nominal=True) is None
    assert window_of(replace(GAP, high=None), nominal=True) is None
    assert window_of(replace(GAP, low=None, high=None), nominal=True) == (float("-inf"), float("inf"))


def test_each_side_is_asked_for_its_own_dimensions_alone() -> None:
    uneven = replace(GAP, terms=(Term(1, "hole", "depth"), Term(-1, "peg", "length")))
    rule = replace(RULE, conditions=(uneven,))
    assert (dimensions_of(rule, "peg"), dimensions_of(rule, "hole")) == (("length",), ("depth",))


def test_codes_must_be_the_same() -> None:
    form = Condition("form", "service", "required", (Term(1, "peg", "form"), Term(1, "hole", "form")), same_code=True)
    rule = replace(RULE, conditions=(form,))
    round_, square = (Known((Size(None, None, False, c),), rank=2) for c in ("round", "square"))
    assert word(round_, round_, rule) is Verdict.FITS
    assert word(round_, square, rule) is Verdict.DO_NOT_USE
    assert word(Known(), square, rule) is Verdict.NOT_KNOWN
    reverse = replace(form, terms=form.terms[::-1])
    assert word(round_, square, replace(rule, conditions=(reverse,))) is Verdict.DO_NOT_USE


def hand_of(text: str | None) -> Known:
    """A thread's hand as written; None: nobody wrote one."""
    return Known((Size(None, None, False, "".join(text)),), rank=2) if text else Known()  # each a text of its own


HAND = Condition(
    "hand", "service", "required", (Term(1, "peg", "hand"), Term(1, "hole", "hand")), same_code=True,
    usual=("right", "right"),
)  # fmt: skip


@pytest.mark.parametrize(
    ("peg", "hole", "expected", "lacks"),
    [
        ("right", None, YES, (False, False)),
        (None, "right", YES, (False, False)),
        (None, None, YES, (False, False)),
        ("left", None, MISSING, (False, True)),  # the usual code agrees with no other, and rules nothing out
        (None, "left", MISSING, (True, False)),
        ("left", "left", YES, (False, False)),
        ("left", "right", NO, (False, False)),
    ],
)
@pytest.mark.parametrize("roles", [("peg", "hole"), ("hole", "peg")])
def test_a_code_that_nobody_wrote_is_the_usual_one(
    peg: str | None, hole: str | None, expected: int, lacks: tuple[bool, bool], roles: tuple[str, str]
) -> None:
    one, other = (replace(end, role=role) for end, role in zip(RULE.ends, roles, strict=True))
    rule = replace(RULE, ends=(one, other), conditions=(HAND,))
    by_role = {"peg": hand_of(peg), "hole": hand_of(hole)}
    first, second = (Side(("hand",), (Interface("recorded", (by_role[role],)),)) for role in roles)
    result = evaluate(HAND, rule, (first, second))
    by_end = dict(zip(("peg", "hole"), lacks, strict=True))
    assert result[0][0].state == expected
    assert result[0][0].lacks == tuple(by_end[role] for role in roles)


@pytest.mark.parametrize(
    ("peg", "expected"),
    [
        (Interface("recorded", (Known(),)), [YES]),
        (Interface("recorded", (Known(asked=True),)), [MISSING]),  # "?": the source does not know
        (Interface("not recorded", (Known(),)), [MISSING]),
        (Interface("absent", (Known(),)), [MISSING]),
        (Interface("contested", (Known(),)), [MISSING, YES]),  # known absent, and there
    ],
)
def test_the_usual_code_counts_of_a_feature_that_is_there_and_not_asked_for(
    peg: Interface, expected: list[int]
) -> None:
    rule = replace(RULE, conditions=(HAND,))
    both = Side(("hand",), (peg,)), Side(("hand",), (Interface("recorded", (hand_of("right"),)),))
    assert [row[0].state for row in evaluate(HAND, rule, both)] == expected


def test_a_dimension_without_a_usual_code_takes_none_from_the_other_side() -> None:
    one = replace(HAND, usual=("right", ""))
    assert word(Known(), hand_of("right"), replace(RULE, conditions=(one,))) is Verdict.FITS
    assert word(hand_of("right"), Known(), replace(RULE, conditions=(one,))) is Verdict.NOT_KNOWN


def test_a_formula_takes_intervals() -> None:
    overlap = Condition(
        "overlap", "service", "required", (Term(1, "peg", "width"), Term(1, "hole", "width")),
        formula="tooth_overlap", low=0.2,
    )  # fmt: skip
    rule = replace(RULE, conditions=(overlap,))
    result = evaluate(overlap, rule, sides(rule, known((26.0, 26.2)), exact(25.4)))
    assert list(result[0][0][:2]) == pytest.approx([0.3, 0.4])
    assert word(Known(), exact(25.4), rule) is Verdict.NOT_KNOWN
    pegs = [Interface("recorded", (known_peg,)) for known_peg in (Known(), known((26.0, 26.2)))]
    table = judge(rule, pegs, [Interface("recorded", (exact(25.4),))])
    assert verdict_of(table[1][0], Weighing(True)) is Verdict.FITS  # though the one before it is not known


def test_assembly_is_worse_than_service_and_a_supporting_no_counts() -> None:
    assert word(exact(10.0), exact(20.0)) is Verdict.DO_NOT_USE
    assert word(exact(10.0), exact(20.0), replace(RULE, conditions=(replace(GAP, sort="assembly"),))) is (
        Verdict.DOES_NOT_FIT
    )
    supporting = replace(RULE, conditions=(replace(GAP, need="supporting"),))
    assert word(exact(10.0), exact(20.0), supporting) is Verdict.DO_NOT_USE
    assert word(exact(10.0), known((9.0, 20.0)), supporting) is Verdict.FITS
    straddling = Interface("recorded", (known((9.0, 20.0)),))
    assert judge(supporting, [Interface("recorded", (exact(10.0),))], [straddling])[0][0].outcomes[0].supporting_open
    told = replace(RULE, conditions=(replace(GAP, need="".join(["to", "ld"])),))
    assert word(exact(10.0), exact(20.0), told) is Verdict.FITS


def test_what_is_told_before_a_condition_does_not_hide_it() -> None:
    told = replace(GAP, need="told")
    required = replace(GAP, need="".join(["requ", "ired"]))
    assert word(exact(10.0), exact(20.0), replace(RULE, conditions=(told, required))) is Verdict.DO_NOT_USE
    assert word(exact(10.0), known((9.9, 10.2)), replace(RULE, conditions=(told, required))) is Verdict.NOT_KNOWN


def test_what_one_side_lacks_the_other_does_not() -> None:
    for peg, hole in ((Known(), exact(10.0)), (exact(10.0), Known()), (Known(), Known())):
        found = judge(RULE, [Interface("recorded", (peg,))], [Interface("recorded", (hole,))])[0][0]
        ((outcome,),) = found.beliefs
        assert outcome.lacks == (peg == Known(), hole == Known())
        assert not outcome.straddles


def test_of_each_pair_is_said_what_is_asked_how_well_it_is_known_and_what_is_only_supporting() -> None:
    rule = replace(RULE, conditions=(GAP, replace(DEPTH, need="supporting")))  # depth, width

    def thing(depth: Known, width: Known) -> Interface:
        return Interface("recorded", (depth, width))

    pegs = [thing(exact(10.0), known((10.0, 10.0), rank=4)), thing(Known(), Known(asked=True))]
    holes = [thing(exact(11.0), exact(10.05)), thing(Known(asked=True), known((10.05, 10.05), rank=5))]
    holes.append(thing(exact(11.0), Known(asked=True)))
    found = [[pair.beliefs[0][0] for pair in row] for row in judge(rule, pegs, holes)]
    assert [[o.ranks for o in row] for row in found] == [[(4, 2), (4, 5), (4, 0)], [(0, 2), (0, 5), (0, 0)]]
    assert [[o.asked for o in row] for row in found] == [
        [(False, False), (False, False), (False, True)], [(True, False), (True, False), (True, True)],
    ]  # fmt: skip
    assert [[o.lacks for o in row] for row in found] == [[o.asked for o in row] for row in found]
    assert [[o.supporting_open for o in row] for row in found] == [[False, True, False], [True, True, True]]


def test_absence_is_a_no_and_a_torn_presence_is_disputed() -> None:
    assert word(Known(), exact(10.0), presence=("absent", "recorded")) is Verdict.DOES_NOT_FIT
    assert word(exact(10.0), exact(10.05), presence=("contested", "recorded")) is Verdict.DISPUTED
    assert word(exact(10.0), exact(20.0), presence=("contested", "recorded")) is Verdict.DOES_NOT_FIT
    there = judge(RULE, [Interface("contested", (exact(10.0),))], [Interface("recorded", (exact(10.05),))])[0][0]
    assert [(o.absent, o.lacks) for o in there.outcomes if not o.absent] == [(False, (False, False))]
    assert word(Known(), Known(), presence=("not recorded", "recorded")) is Verdict.NOT_KNOWN


def test_what_nobody_recorded_is_open_even_under_a_rule_without_conditions() -> None:
    nothing = Interface("not recorded", ())
    judged = judge(replace(RULE, conditions=()), [nothing], [nothing])[0][0]
    assert verdict_of(judged, Weighing(True)) is Verdict.NOT_KNOWN
    assert verdict_of(judged, Weighing(True, claimed=True)) is Verdict.FITS_ON_PAPER


def test_sizes_that_contradict_are_believed_one_at_a_time() -> None:
    torn = Known((Size(10.0, 10.0, False, None), Size(10.2, 10.2, False, None)), True, False, 2)
    assert word(torn, exact(10.05)) is Verdict.DISPUTED
    assert word(torn, exact(99.0)) is Verdict.DO_NOT_USE
    told = replace(RULE, conditions=(GAP, replace(GAP, need="told")))
    assert word(torn, exact(10.05), told) is Verdict.DISPUTED


def test_sizes_that_overlap_count_as_the_worst() -> None:
    loose = Known((Size(10.0, 10.02, False, None), Size(10.01, 10.3, False, None)), False, False, 2)
    assert word(loose, exact(10.05)) is Verdict.NOT_KNOWN


def test_a_contradiction_that_no_condition_reads_disputes_nothing() -> None:
    idle = replace(GAP, label="told", need="told", terms=(Term(1, "peg", "length"), Term(1, "hole", "length")))
    rule = replace(RULE, conditions=(GAP, idle))
    torn = Known((Size(1.0, 1.0, False, None), Size(2.0, 2.0, False, None)), True, False, 2)
    peg = Interface("recorded", (torn, exact(10.0)))  # length, width
    hole = Interface("recorded", (exact(5.0), exact(10.05)))
    assert dimensions_of(rule, "peg") == ("length", "width")
    assert verdict_of(judge(rule, [peg], [hole])[0][0], Weighing(True)) is Verdict.FITS


def test_all_pairs_at_once_are_the_pairs_one_by_one() -> None:
    pegs = [Interface("recorded", (exact(float(w)),)) for w in (9, 10, 11)]
    pegs += [Interface("recorded", (known((9.9, 10.2)),)), Interface("absent", (Known(),))]
    holes = [Interface("recorded", (exact(w),)) for w in (9.05, 10.05)]
    holes += [Interface("not recorded", (Known(),))]
    table = judge(RULE, pegs, holes)
    for a, peg in enumerate(pegs):
        for b, hole in enumerate(holes):
            assert table[a][b] == judge(RULE, [peg], [hole])[0][0]


# ------------------------------------------- what is only supporting or told weakens nothing


def with_depth(need: str, peg: Known, hole: Known) -> Verdict:
    """The verdict where the widths are proven by drawings and the depths are as given."""
    rule = replace(RULE, conditions=(GAP, replace(DEPTH, need=need)))
    interfaces = []
    for role, width, depth in (("peg", exact(10.0), peg), ("hole", exact(10.05), hole)):
        known_of = {"width": width, "depth": depth}
        interfaces.append(Interface("recorded", tuple(known_of[d] for d in dimensions_of(rule, role))))
    return verdict_of(judge(rule, interfaces[:1], interfaces[1:])[0][0], Weighing(rule.safety_critical))


@pytest.mark.parametrize("rank", [3, 4, 5, 6])
def test_the_standing_of_supporting_and_told_sizes_weakens_no_verdict(rank: int) -> None:
    deep, hearsay = known((11.0, 11.0), rank=rank), known((10.0, 10.0), rank=rank)
    required = Verdict.FITS if rank <= 3 else Verdict.FITS_ON_PAPER
    assert with_depth("required", hearsay, deep) is required
    assert with_depth("supporting", hearsay, deep) is Verdict.FITS
    assert with_depth("told", hearsay, deep) is Verdict.FITS


def test_a_question_mark_on_a_supporting_size_asks_nothing() -> None:
    """Who does not know a required size leaves it open; a supporting one changes nothing."""
    unsure = Known(asked=True)
    assert with_depth("required", unsure, exact(11.0)) is Verdict.NOT_KNOWN
    assert with_depth("supporting", unsure, exact(11.0)) is Verdict.FITS
    assert with_depth("told", unsure, exact(11.0)) is Verdict.FITS
