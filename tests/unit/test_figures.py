"""Stacks and figures: exact sums, open terms, beliefs, comparison with the vehicle as made."""

from __future__ import annotations

import pytest
from msgspec.structs import replace

from knockon.graph.judge.figures import EMPTY, TermValue, judge_figure, limits_of, term_value, value_of
from knockon.graph.judge.verdicts import Verdict
from knockon.graph.model.layouts.mechanism import Figure, FigureTerm
from knockon.graph.model.things import Feature, Said, Statement


def stack(*factors: float, low: float | None = 0.0, high: float | None = None, method: str = "") -> Figure:
    terms = tuple(FigureTerm(i, f"p{i}", "f", "length", factor) for i, factor in enumerate(factors))
    alike = Figure("room", "stack", "service", "limits", safety_critical=True, terms=terms)
    return replace(alike, low=low, high=high, method=method)


def term(*sizes: float | tuple[float, float], rank: int = 2, **flags: bool) -> TermValue:
    return TermValue(tuple(s if isinstance(s, tuple) else (s, s) for s in sizes), rank=rank, **flags)


def word(figure: Figure, *terms: TermValue, as_made: float | None = None, stated: bool = False) -> Verdict:
    return judge_figure(figure, terms, as_made, stated).verdict


def test_a_sum_is_exact() -> None:
    figure = stack(1, 1, -1)
    value = value_of(figure, [term(0.1), term(0.2), term(0.3)])
    assert value is not None and value[:2] == (0.0, 0.0)
    assert word(figure, term(0.1), term(0.2), term(0.3)) is Verdict.FITS


def test_tolerances_are_carried_through() -> None:
    result = judge_figure(stack(1, -0.8), [term((10.0, 10.4)), term((1.0, 2.0))], None)
    assert (result.low, result.high) == (8.4, 9.6)
    assert result.spread == pytest.approx((0.2**2 + 0.4**2) ** 0.5)


@pytest.mark.parametrize(
    ("size", "verdict"),
    [
        ((0.0, 1.0), Verdict.FITS),
        ((1.5, 2.0), Verdict.DO_NOT_USE),
        ((-2.0, -1e-4), Verdict.DO_NOT_USE),
        ((-1.0, 0.5), Verdict.NOT_KNOWN),
        ((-1.0, 0.0), Verdict.NOT_KNOWN),  # touching from outside is open
    ],
)
def test_inside_outside_or_open(size: tuple[float, float], verdict: Verdict) -> None:
    assert word(stack(1, low=0.0, high=1.0), term(size)) is verdict


def test_the_sort_decides_which_no_it_is() -> None:
    assert word(replace(stack(1), sort="assembly"), term(-1.0)) is Verdict.DOES_NOT_FIT


def test_a_missing_term_leaves_it_open_and_names_itself() -> None:
    result = judge_figure(stack(1, 1), [term(5.0), TermValue(missing=True, kept=True)], None)
    assert (result.verdict, result.missing, result.low) == (Verdict.NOT_KNOWN, (1,), None)
    assert result.only_kept_missing
    assert not judge_figure(stack(1), [TermValue(missing=True)], None).only_kept_missing


def test_an_empty_place_counts_zero_and_an_absent_feature_is_a_no() -> None:
    assert word(stack(1, -1), EMPTY, term(3.0)) is Verdict.DO_NOT_USE
    assert word(stack(1, 1), term(3.0), EMPTY) is Verdict.FITS
    assert word(stack(1, 1), term(3.0), TermValue(absent=True)) is Verdict.DO_NOT_USE
    assert word(stack(1, 1), TermValue(missing=True), TermValue(absent=True)) is Verdict.DO_NOT_USE


def test_a_no_of_what_is_missing_waits() -> None:
    """A missing term could be anything: what is known of the others rules nothing out."""
    assert word(stack(1, 1), term(-1000.0), TermValue(missing=True)) is Verdict.NOT_KNOWN


def test_weak_evidence_is_on_paper_only() -> None:
    assert word(stack(1), term(1.0, rank=4)) is Verdict.FITS_ON_PAPER
    assert word(replace(stack(1), safety_critical=False), term(1.0, rank=4)) is Verdict.FITS
    assert word(stack(1), term(1.0, kept=True)) is Verdict.FITS_ON_PAPER
    assert word(stack(1), term(1.0, rank=1, kept=True)) is Verdict.FITS
    assert word(stack(1), term(-1.0, rank=6)) is Verdict.DO_NOT_USE


def test_what_has_a_method_is_never_a_tick() -> None:
    measured = stack(1, method="dial gauge")
    assert word(measured, term(1.0)) is Verdict.FITS_ON_PAPER
    assert word(measured, term(-1.0)) is Verdict.DO_NOT_USE


def test_a_set_states_it_but_never_over_a_no() -> None:
    measured = stack(1, low=0.0, high=0.1, method="dial gauge")
    assert word(measured, term((-0.4, 0.4)), stated=True) is Verdict.FITS
    assert word(measured, TermValue(missing=True), stated=True) is Verdict.FITS
    assert word(measured, term(0.3), stated=True) is Verdict.DO_NOT_USE


def test_equal_sources_that_contradict_are_disputed_and_those_that_overlap_are_the_worst() -> None:
    assert word(stack(1), term(1.0, -1.0, contested=True)) is Verdict.DISPUTED
    assert word(stack(1), term(-1.0, -2.0, contested=True)) is Verdict.DO_NOT_USE
    assert word(stack(1), term((0.0, 1.0), (-1.0, 0.5))) is Verdict.NOT_KNOWN
    two = [term(1.0, 3.0, contested=True), term(2.0, -2.0, contested=True)]
    assert word(stack(1, 1, low=-10.0), *two) is Verdict.FITS


def test_the_vehicle_as_made_is_the_limit() -> None:
    figure = replace(stack(1, low=None), compared_with="as made")
    assert limits_of(figure, 5.0) == (5.0, None)
    assert word(figure, term(5.0), as_made=5.0) is Verdict.FITS
    assert word(figure, term(4.9), as_made=5.0) is Verdict.DO_NOT_USE
    assert word(figure, term(5.0), as_made=None) is Verdict.NOT_KNOWN


ROLES = ("piston_diameter", "effective_radius", "front_cylinder_bore", "front_drum_diameter", "rear_cylinder_bore",
         "rear_drum_diameter")  # fmt: skip
SHARE = Figure("share", "figure", "service", "limits", formula="front_share_of_braking", low=50.0, terms=tuple(
    FigureTerm(i, role, "f", "size", role=role) for i, role in enumerate(ROLES)))  # fmt: skip


def test_a_formula_takes_its_terms_by_role() -> None:
    discs = [term(44.45), term(84.0), EMPTY, EMPTY, term(19.05), term(177.8)]
    value = value_of(SHARE, discs)
    assert value is not None and 60 < value[0] == value[1] < 70
    assert word(SHARE, *discs) is Verdict.FITS


def test_where_a_formula_has_no_value_it_is_open() -> None:
    nothing = [EMPTY] * len(ROLES)
    assert value_of(SHARE, nothing) is None
    assert word(SHARE, *nothing) is Verdict.NOT_KNOWN


def feature(*statements: Statement, absent: tuple[Said, ...] = ()) -> dict[str, Feature]:
    return {"f": Feature("f", "kind", {"length": statements}, absent)}


def test_what_a_thing_contributes() -> None:
    wanted = FigureTerm(1, "p", "f", "length")
    drawn = Statement("1 mm", "s", 2, 1.0, 1.0)
    assert term_value({}, wanted, kept=False) == TermValue(missing=True)
    assert term_value(feature(), wanted, kept=True) == TermValue(missing=True, kept=True)
    assert term_value(feature(absent=(Said("s", 2),)), wanted, kept=False) == TermValue(absent=True)
    assert term_value(feature(drawn), wanted, kept=False) == term(1.0)
    at_least = Statement("> 1 mm", "s", 2, 1.0, None)
    assert term_value(feature(at_least), wanted, kept=False).sizes[0][1] > 1000


def test_equal_sources_that_dispute_whether_it_is_there_at_all() -> None:
    there = feature(Statement("1 mm", "s", 2, 1.0, 1.0), absent=(Said("t", 2),))
    torn = term_value(there, FigureTerm(1, "p", "f", "length"), kept=False)
    assert word(stack(1), torn) is Verdict.DISPUTED
    assert word(stack(-1), torn) is Verdict.DO_NOT_USE
