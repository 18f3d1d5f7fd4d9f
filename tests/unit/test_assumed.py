"""Over which range of an assumed value a verdict holds: against the balance written out, at its ends and beyond."""

from __future__ import annotations

import math

import pytest
from msgspec.structs import replace

from knockon.graph.formulas import formula
from knockon.graph.formulas.brakes import LEADING_TRAILING, PAD_FRICTION, TWIN_LEADING
from knockon.graph.judge.assumed import assumptions
from knockon.graph.judge.figures import EMPTY, TermValue, judge_figure, value_of
from knockon.graph.judge.verdicts import Verdict
from knockon.graph.model.layouts.mechanism import Figure, FigureTerm

ROLES = ("piston_diameter", "effective_radius", "front_cylinder_bore", "front_drum_diameter", "rear_cylinder_bore",
         "rear_drum_diameter")  # fmt: skip
SHARE = Figure(
    "share", "figure", "service", "as made", formula="front_share_of_braking", unit="%",
    terms=tuple(FigureTerm(i, r, "feature", "size", role=r) for i, r in enumerate(ROLES)),
)  # fmt: skip
PISTON, RADIUS, DRUM, FRONT, REAR = 54.0, 76.0, 178.0, 23.8, 19.05


def sized(*sizes: float | tuple[float, float] | None) -> tuple[TermValue, ...]:
    ends = (s if isinstance(s, tuple) or s is None else (s, s) for s in sizes)
    return tuple(EMPTY if e is None else TermValue((e,), rank=1) for e in ends)


MADE = sized(None, None, FRONT, DRUM, REAR, DRUM)


def disc(rear: float | tuple[float, float]) -> tuple[TermValue, ...]:
    return sized(PISTON, RADIUS, None, None, rear, DRUM)


def balance(rear: float) -> float:
    """The friction at which disc over rear drum is what drum over drum was (the rear factor cancels out)."""
    before = TWIN_LEADING * FRONT**2 * DRUM / 2 / REAR**2
    return before / (2 * PISTON**2 * RADIUS) * rear**2


@pytest.mark.parametrize("rear", [14.0, 15.9, 17.0, 19.05])
def test_the_range_of_the_friction_ends_where_the_shares_are_equal(rear: float) -> None:
    friction, front, any_rear = assumptions(SHARE, disc(rear), MADE)
    verdict = judge_figure(SHARE, disc(rear), value_of(SHARE, MADE)[0], False).verdict  # type: ignore[index]
    end = balance(rear)
    assert (verdict is Verdict.FITS) is (end <= PAD_FRICTION)
    low, high = (end, None) if verdict is Verdict.FITS else (None, end)
    assert (friction.name, friction.value) == ("friction of pad on rotor", PAD_FRICTION)
    assert [friction.low, friction.high] == pytest.approx([low, high], abs=2e-6)
    factor = TWIN_LEADING * PAD_FRICTION / end  # the drum that was there brakes more: the same the other way round
    ends = (None, factor) if verdict is Verdict.FITS else (factor, None)
    assert [front.low, front.high] == pytest.approx(list(ends), abs=2e-5)
    assert (any_rear.value, any_rear.low, any_rear.high) == (LEADING_TRAILING, None, None)


def test_the_verdict_is_the_same_at_the_end_and_another_beyond() -> None:
    terms = disc((15.6, 16.2))
    friction = assumptions(SHARE, terms, MADE)[0]
    assert friction.low is not None and friction.high is None

    def at(value: float) -> Verdict:
        held = (("friction", value),)
        made = value_of(SHARE, MADE, held)
        assert made is not None
        return judge_figure(SHARE, terms, made[0], False, held).verdict

    assert at(friction.low) is at(PAD_FRICTION) is at(PAD_FRICTION * 20) is Verdict.FITS
    assert at(friction.low - 1e-5) is Verdict.NOT_KNOWN  # the widest bore falls below, the narrowest does not


def test_a_range_may_end_on_both_sides() -> None:
    between = replace(SHARE, compared_with="limits", low=70.0, high=85.0)
    friction, rear = assumptions(between, disc(15.9), ())
    assert friction.low is not None and friction.high is not None and friction.low < PAD_FRICTION < friction.high
    front = 2 * math.pi / 4 * PISTON**2 * RADIUS
    back = LEADING_TRAILING * math.pi / 4 * 15.9**2 * DRUM / 2
    shares = [100 * f * front / (f * front + back) for f in (friction.low, friction.high)]
    assert shares == [pytest.approx(70.0, abs=1e-3), pytest.approx(85.0, abs=1e-3)]
    assert rear.low is not None and rear.high is not None  # the front drum's factor stands nowhere in it


def test_what_decides_nothing_has_no_range() -> None:
    assert not assumptions(SHARE, (*disc(15.9)[:-1], TermValue(missing=True)), MADE)
    assert not assumptions(SHARE, (*disc(15.9)[:-1], TermValue(absent=True)), MADE)
    assert not assumptions(SHARE, disc((10.0, 25.0)), MADE)  # straddles: not known
    assert not assumptions(replace(SHARE, formula=""), disc(15.9), MADE)
    assert not assumptions(replace(SHARE, formula="track_change"), disc(15.9), MADE)


def test_assumptions_are_arguments_by_name_that_no_record_fills() -> None:
    share = formula("front_share_of_braking")
    assert share.arguments == (*ROLES, "rear_piston_diameter", "rear_effective_radius")
    assert share.required == len(ROLES) and len(share.argument_units) == 8
    assert [(a.name, a.value) for a in share.assumed] == [
        ("friction", PAD_FRICTION), ("front_factor", TWIN_LEADING), ("rear_factor", LEADING_TRAILING)
    ]  # fmt: skip
    assert not formula("track_change").assumed
