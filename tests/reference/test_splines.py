"""Involute splines against published formulas and worked values. Each check names its source."""

import math

import pytest

from knockon.graph.formulas.spline_standards import SplineError, SplineSizes, ansi_b92_1, din_5480, iso_4156
from knockon.graph.formulas.splines import (
    RIGHT,
    TIPS_ONLY,
    WILL_NOT_ENTER,
    SplineEnd,
    flat_jaw_reading,
    meet,
    tooth_depth,
    tooth_overlap,
)
from knockon.graph.formulas.thread_names import INCH
from knockon.graph.interval import low

# ANSI B92.1 as read at engineersedge.com/gears/involute_spline_13649.htm and in a CAD vendor's help page (ANSI page):
# form, pitch P, then (N + k)/P of internal major and internal minor, and c of the least space width (pi/2 + c)/P.
ANSI_FORMULAS = [
    ("30 flat side", 24, 1.35, -1.0, 0.0),
    ("30 flat major", 12, 1.0, -1.0, 0.0),
    ("30 fillet side", 24, 1.8, -1.0, 0.0),
    ("37.5 fillet side", 24, 1.6, -0.8, 0.1),
    ("45 fillet side", 24, 1.4, -0.6, 0.2),
]


@pytest.mark.parametrize(("form", "pitch", "major", "minor", "wide"), ANSI_FORMULAS)
def test_ansi_formulas(form: str, pitch: float, major: float, minor: float, wide: float) -> None:
    for teeth in (6, 19, 25, 60):
        sizes = ansi_b92_1(teeth, pitch, form)
        assert sizes.internal_major / INCH == pytest.approx((teeth + major) / pitch)
        assert sizes.internal_minor is not None
        assert sizes.internal_minor / INCH == pytest.approx((teeth + minor) / pitch)
        assert sizes.space_width is not None
        assert sizes.space_width / INCH == pytest.approx((math.pi / 2 + wide) / pitch)
        assert sizes.external_major / INCH == pytest.approx((teeth + 1) / pitch)


def test_print_errors_of_the_45_degree_column() -> None:
    # engineersedge prints (N - 0.8)/P and (0.5 pi + 0.1)/P for 45 degrees; the CAD page and an independent program
    # citing table 2 of ANSI B92.1-1996 both have N - 0.6 and + 0.2.
    sizes = ansi_b92_1(25, 24, "45 fillet side")
    assert sizes.internal_minor != pytest.approx((25 - 0.8) / 24 * INCH)
    assert sizes.space_width != pytest.approx((0.5 * math.pi + 0.1) / 24 * INCH)


def test_print_error_of_the_external_minor_diameter() -> None:
    # 30 degree fillet, 16/32 and finer: engineersedge prints (N - 1.2)/P, the CAD page (N - 2)/P (as from memory).
    fine, coarse = ansi_b92_1(25, 24, "30 fillet side"), ansi_b92_1(25, 12, "30 fillet side")
    assert fine.external_minor == pytest.approx((25 - 2) / 24 * INCH)
    assert fine.external_minor != pytest.approx((25 - 1.2) / 24 * INCH)
    assert coarse.external_minor == pytest.approx((25 - 1.8) / 12 * INCH)


@pytest.mark.parametrize(
    ("form", "pitch", "k"), [("30 flat side", 24, 1.35), ("37.5 fillet side", 24, 1.3), ("45 fillet side", 24, 1.0)]
)
def test_external_minor_diameters(form: str, pitch: float, k: float) -> None:
    assert ansi_b92_1(25, pitch, form).external_minor == pytest.approx((25 - k) / pitch * INCH)


def test_form_clearance_has_its_limits() -> None:
    # cF = 0.001 D, at least 0.002 and at most 0.010 in (both ANSI pages).
    assert ansi_b92_1(24, 24).form_clearance == pytest.approx(0.002 * INCH)
    assert ansi_b92_1(60, 10).form_clearance == pytest.approx(0.006 * INCH)
    assert ansi_b92_1(60, 4).form_clearance == pytest.approx(0.010 * INCH)


# Computed from ANSI B92.1's formulas, in (mm): D, Db, Do, Dri, Di.
ANSI_WORKED = [
    (25, 24, "30 flat side", 26.458, 22.914, 27.517, 27.887, 25.400),
    (25, 24, "45 fillet side", 26.458, 18.709, 27.517, 27.940, 25.823),
    (24, 24, "30 flat side", 25.400, 21.997, 26.458, 26.829, 24.342),
    (28, 24, "30 flat side", 29.633, 25.663, 30.692, 31.062, 28.575),
    (10, 12, "30 flat side", 21.167, 18.331, 23.283, 24.024, 19.050),
    (15, 16, "30 flat side", 23.812, 20.622, 25.400, 25.956, 22.225),
    (16, 12, "30 flat major", 33.867, 29.329, 35.983, 35.983, 31.750),
]


@pytest.mark.parametrize(("teeth", "pitch", "form", "d", "base", "do", "dri", "di"), ANSI_WORKED)
def test_ansi_worked_values(
    teeth: int, pitch: float, form: str, d: float, base: float, do: float, dri: float, di: float
) -> None:
    sizes = ansi_b92_1(teeth, pitch, form)
    found = (
        sizes.pitch_diameter,
        sizes.base_diameter,
        sizes.external_major,
        sizes.internal_major,
        sizes.internal_minor,
    )
    assert found == pytest.approx((d, base, do, dri, di), abs=6e-4)


@pytest.mark.parametrize(
    ("form", "coarsest", "finest"),
    [
        ("30 flat side", 2.5, 32),
        ("30 flat major", 3, 16),
        ("30 fillet side", 2.5, 48),
        ("37.5 fillet side", 2.5, 48),
        ("45 fillet side", 10, 128),
    ],
)
def test_ansi_pitches_from_the_coarsest_to_the_finest(form: str, coarsest: float, finest: float) -> None:
    # ANSI B92.1: 2.5/5 to 32/64, 3/6 to 16/32, 2.5/5 to 48/96 twice, 10/20 to 128/256 (from memory).
    for pitch in (coarsest, finest):
        assert ansi_b92_1(20, pitch, form).module == pytest.approx(INCH / pitch)
    for pitch in (0.99 * coarsest, 1.01 * finest):
        with pytest.raises(SplineError, match=f"pitches from {coarsest:g} to {finest:g} are standardised"):
            ansi_b92_1(20, pitch, form)


def ends(male: SplineSizes, female: SplineSizes) -> tuple[SplineEnd, SplineEnd]:
    assert female.internal_minor is not None
    return (
        SplineEnd(male.teeth, male.module, male.pressure_angle, male.external_major),
        SplineEnd(female.teeth, female.module, female.pressure_angle, female.internal_minor, female.internal_major),
    )


def test_one_inch_major_diameter_seven_times_and_no_two_mate() -> None:
    # N + 1 = P: all have a male major diameter of 1.0000 in (ANSI B92.1).
    pairs = [(9, 10), (11, 12), (15, 16), (19, 20), (23, 24), (31, 32)]
    all_sizes = [ansi_b92_1(n, p) for n, p in pairs] + [ansi_b92_1(47, 48, "30 fillet side")]
    for male in all_sizes:
        assert male.external_major == pytest.approx(25.4)
        for female in all_sizes:
            found = meet(*ends(male, female))
            assert (found.sort == RIGHT) == (male is female)
            assert found.differs[:1] == (() if male is female else ("tooth count",))


def test_same_count_and_pitch_with_another_angle_is_no_match() -> None:
    thirty, fortyfive = ansi_b92_1(25, 24), ansi_b92_1(25, 24, "45 fillet side")
    assert thirty.external_major == pytest.approx(fortyfive.external_major)
    assert thirty.base_diameter != pytest.approx(fortyfive.base_diameter, abs=1)
    found = meet(*ends(thirty, fortyfive))
    assert found.sort == TIPS_ONLY
    assert found.differs == ("pressure angle",)


def test_24_48_is_not_module_1() -> None:
    # Circular pitch 3.325 mm against 3.142 mm: 5.8 % apart.
    inch = ansi_b92_1(25, 24)
    assert inch.circular_pitch == pytest.approx(3.325, abs=6e-4)
    assert inch.module == pytest.approx(1.0583, abs=5e-5)
    assert inch.circular_pitch / math.pi - 1 == pytest.approx(0.058, abs=5e-4)


# ANSI B92.2M / ISO 4156 in the CAD vendor's help pages; values computed from those formulas.
# teeth, module, form, D, Db, external major, internal major
@pytest.mark.parametrize(
    ("teeth", "module", "form", "d", "base", "outer", "root"),
    [
        (24, 1.25, "30 flat", 30, 25.981, 31.25, 31.875),
        (20, 2, "30 flat", 40, 34.641, 42, 43),
        (36, 0.75, "45 fillet", 27, 19.092, 27.6, 27.9),
    ],
)
def test_iso_4156_worked_values(
    teeth: int, module: float, form: str, d: float, base: float, outer: float, root: float
) -> None:
    sizes = iso_4156(teeth, module, form)
    found = (sizes.pitch_diameter, sizes.base_diameter, sizes.external_major, sizes.internal_major)
    assert found == pytest.approx((d, base, outer, root), abs=6e-4)
    assert sizes.space_width == pytest.approx(math.pi / 2 * module)


@pytest.mark.parametrize(
    ("form", "outer", "root"),
    [("30 flat", 1.0, 1.5), ("30 fillet", 1.0, 1.8), ("37.5 fillet", 0.9, 1.4), ("45 fillet", 0.8, 1.2)],
)
def test_iso_4156_formulas(form: str, outer: float, root: float) -> None:
    sizes = iso_4156(30, 1.5, form)
    assert sizes.external_major == pytest.approx(1.5 * (30 + outer))
    assert sizes.internal_major == pytest.approx(1.5 * (30 + root))


def test_iso_4156_begins_at_a_module_of_a_quarter_and_ends_at_ten() -> None:
    assert [iso_4156(30, module).module for module in (0.25, 10)] == [0.25, 10]
    for module in (-0.5, 0.0, 0.2, 10.5):
        with pytest.raises(SplineError, match=r"from 0\.25 to 10 mm"):
            iso_4156(30, module)


# DIN 5480: formulas read in a CAD vendor's help page (labelled GOST) and in a program "in accordance with DIN 5480-1,
# Mar 2006". No printed table row could be read, so these values prove the formulas only. Hobbed. dB, m, z, shift,
# shaft tip, shaft root, hub tip, hub root
DIN = [
    (30, 2, 14, -0.05, 29.6, 25.4, 26, 30.2),
    (30, 2, 13, 0.45, 29.6, 25.4, 26, 30.2),
    (30, 1.25, 22, 0.45, 29.75, 27.125, 27.5, 30.125),
    (25, 1.25, 18, 0.45, 24.75, 22.125, 22.5, 25.125),
    (25, 1, 24, -0.05, 24.8, 22.7, 23, 25.1),
    (20, 1.25, 14, 0.45, 19.75, 17.125, 17.5, 20.125),
    (35, 2, 16, 0.2, 34.6, 30.4, 31, 35.2),
]


@pytest.mark.parametrize(("reference", "module", "teeth", "shift", "tip", "root", "hub_tip", "hub_root"), DIN)
def test_din_5480(
    reference: float,
    module: float,
    teeth: int,
    shift: float,
    tip: float,
    root: float,
    hub_tip: float,
    hub_root: float,
) -> None:
    sizes = din_5480(reference, module, teeth)
    assert sizes.addendum_shift == pytest.approx(shift, abs=1e-9)
    found = (sizes.external_major, sizes.external_minor, sizes.internal_minor, sizes.internal_major)
    assert found == pytest.approx((tip, root, hub_tip, hub_root), abs=1e-9)


def test_din_trap_same_reference_and_module() -> None:
    fourteen, thirteen = din_5480(30, 2, 14), din_5480(30, 2, 13)
    assert fourteen.external_major == thirteen.external_major
    assert (fourteen.pitch_diameter, thirteen.pitch_diameter) == (28, 26)
    assert meet(*ends(fourteen, thirteen)).sort == TIPS_ONLY


def test_print_errors_on_din_5480_pages() -> None:
    # Many pages state dB = m z, or a shaft tip of m (z + 2): both wrong.
    sizes = din_5480(30, 2, 14)
    assert sizes.pitch_diameter != 30
    assert sizes.external_major != 2 * (14 + 2)
    with pytest.raises(SplineError):
        din_5480(28, 2, 14)


def test_module_1_stub_in_24_48_bore_and_back() -> None:
    # Formulas of ANSI B92.1 and ISO 4156 at 25 teeth: 26.00 over 25.40, tooth overlap 0.30 of 1.24 mm; the other way
    # 27.52 does not enter 26.50.
    inch, metric = ansi_b92_1(25, 24), iso_4156(25, 1.0)
    assert inch.internal_minor is not None
    male = SplineEnd(25, 1.0, 30, metric.external_major)
    female = SplineEnd(25, inch.module, 30, inch.internal_minor, inch.internal_major)
    found = meet(male, female)
    assert found.sort == TIPS_ONLY
    assert low(tooth_overlap(metric.external_major, inch.internal_minor)) == pytest.approx(0.30, abs=0.005)
    assert low(tooth_depth(inch.internal_major, inch.internal_minor)) == pytest.approx(1.24, abs=0.005)
    back = meet(
        SplineEnd(25, inch.module, 30, inch.external_major), SplineEnd(25, 1.0, 30, 24.0, metric.internal_major)
    )
    assert back.sort == WILL_NOT_ENTER


def test_flat_jaws_across_an_odd_count() -> None:
    # Geometry: a regular polygon of N tips has its least width R (1 + cos(pi/N)).
    tips = [(math.cos(2 * math.pi * i / 25), math.sin(2 * math.pi * i / 25)) for i in range(25)]
    height = max(x for x, _ in tips) - min(x for x, _ in tips)
    assert low(flat_jaw_reading(26.0, 25)) == pytest.approx(13.0 * height, abs=1e-9)
    assert low(flat_jaw_reading(26.0, 24)) == 26.0
