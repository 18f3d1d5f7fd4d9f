"""Screw threads against published values. Each check names its source."""

import math
import re
from importlib.metadata import files

import pytest

from knockon.graph.formulas.interval import Interval, high, low
from knockon.graph.formulas.threads.limits import crest_overlap, half_pitch_turns, stress_area, thread_limits
from knockon.graph.formulas.threads.pairs import BINDS, RUNS_LOOSE, SAME, WILL_NOT_START, meet
from knockon.graph.formulas.threads.profile import (
    minor_diameter,
    pitch_diameter,
    pitch_diameter_clearance,
    turns_before_binding,
)
from knockon.graph.quantity.thread_names import INCH, ThreadNameError, parse_thread
from tests.reference.shipped_tables import rows

# Threads per inch and major diameters: threadlib design/UIS_thread.csv (github adrianschlatter/threadlib, 3830919a)
# and Mechanical Engineer's Data Handbook p. 301. Pitch, minor diameter and stress area: the basic profile of ASME
# B1.1. designation, major, pitch diameter, internal minor diameter (in), stress area (in2)
UN_BASIC = [
    ("#10-24", 0.1900, 0.1629, 0.1449, 0.0175),
    ("#10-32", 0.1900, 0.1697, 0.1562, 0.0200),
    ("1/4-20", 0.2500, 0.2175, 0.1959, 0.0318),
    ("1/4-28", 0.2500, 0.2268, 0.2113, 0.0364),
    ("5/16-18", 0.3125, 0.2764, 0.2524, 0.0524),
    ("5/16-24", 0.3125, 0.2854, 0.2674, 0.0581),
    ("3/8-16", 0.3750, 0.3344, 0.3073, 0.0775),
    ("3/8-24", 0.3750, 0.3479, 0.3299, 0.0878),
    ("7/16-14", 0.4375, 0.3911, 0.3602, 0.1063),
    ("7/16-20", 0.4375, 0.4050, 0.3834, 0.1187),
    ("1/2-13", 0.5000, 0.4500, 0.4167, 0.1419),
    ("1/2-20", 0.5000, 0.4675, 0.4459, 0.1600),
    ("9/16-12", 0.5625, 0.5084, 0.4723, 0.1819),
    ("9/16-18", 0.5625, 0.5264, 0.5024, 0.2030),
    ("5/8-11", 0.6250, 0.5660, 0.5266, 0.2260),
    ("5/8-18", 0.6250, 0.5889, 0.5649, 0.2560),
    ("3/4-10", 0.7500, 0.6850, 0.6417, 0.3345),
    ("3/4-16", 0.7500, 0.7094, 0.6823, 0.3730),
]


@pytest.mark.parametrize(("name", "major", "pitch", "minor", "area"), UN_BASIC)
def test_basic_inch_sizes(name: str, major: float, pitch: float, minor: float, area: float) -> None:
    thread = parse_thread(name)
    assert thread.major == pytest.approx(major * INCH, abs=1e-9)
    assert low(pitch_diameter(thread.major, thread.pitch)) / INCH == pytest.approx(pitch, abs=6e-5)
    assert low(minor_diameter(thread.major, thread.pitch)) / INCH == pytest.approx(minor, abs=6e-5)
    computed = low(stress_area(thread.major, thread.pitch, inch=True)) / INCH**2
    assert computed == pytest.approx(area, abs=1e-4)


# ISO 724 basic sizes and ISO 965 limits 6g, 6H in mm: threadlib design/metric_thread.csv ("numbers given in the
# norm"). designation, d2, D1, external d, external d2, internal D1, internal D2
METRIC = [
    ("M3x0.5", 2.675, 2.459, (2.874, 2.98), (2.58, 2.655), (2.459, 2.599), (2.675, 2.775)),
    ("M4x0.7", 3.545, 3.242, (3.838, 3.978), (3.433, 3.523), (3.242, 3.422), (3.545, 3.663)),
    ("M5x0.8", 4.48, 4.134, (4.826, 4.976), (4.361, 4.456), (4.134, 4.334), (4.48, 4.605)),
    ("M6x1", 5.350, 4.917, (5.794, 5.974), (5.212, 5.324), (4.917, 5.153), (5.350, 5.500)),
    ("M8x1.25", 7.188, 6.647, (7.760, 7.972), (7.042, 7.160), (6.647, 6.912), (7.188, 7.348)),
    ("M8x1", 7.350, 6.917, (7.794, 7.974), (7.212, 7.324), (6.917, 7.153), (7.350, 7.500)),
    ("M10x1.5", 9.026, 8.376, (9.732, 9.968), (8.862, 8.994), (8.376, 8.676), (9.026, 9.206)),
    ("M10x1.25", 9.188, 8.647, (9.760, 9.972), (9.042, 9.160), (8.647, 8.912), (9.188, 9.348)),
    ("M10x1", 9.350, 8.917, (9.794, 9.974), (9.212, 9.324), (8.917, 9.153), (9.350, 9.500)),
    ("M12x1.75", 10.863, 10.106, (11.70, 11.97), (10.68, 10.83), (10.106, 10.441), (10.863, 11.063)),
    ("M12x1.5", 11.026, 10.376, (11.73, 11.97), (10.85, 10.99), (10.376, 10.676), (11.026, 11.216)),
    ("M12x1.25", 11.188, 10.647, (11.76, 11.97), (11.03, 11.16), (10.647, 10.912), (11.188, 11.368)),
    ("M12x1", 11.350, 10.917, (11.79, 11.97), (11.21, 11.32), (10.917, 11.153), (11.350, 11.510)),
    ("M14x1.5", 13.026, 12.376, (13.73, 13.97), (12.85, 12.99), (12.376, 12.676), (13.026, 13.216)),
    ("M16x2", 14.701, 13.835, (15.68, 15.96), (14.5, 14.66), (13.835, 14.21), (14.701, 14.913)),
    ("M20x1.5", 19.026, 18.376, (19.73, 19.97), (18.85, 18.99), (18.376, 18.676), (19.026, 19.216)),
    ("M20x2.5", 18.376, 17.294, (19.62, 19.96), (18.16, 18.33), (17.294, 17.744), (18.376, 18.6)),
    ("M24x3", 22.051, 20.752, (23.58, 23.95), (21.8, 22.0), (20.752, 21.252), (22.051, 22.316)),
    ("M30x3.5", 27.727, 26.211, (29.52, 29.95), (27.46, 27.67), (26.211, 26.771), (27.727, 28.007)),
]


@pytest.mark.parametrize(("name", "d2", "d1", "ext", "ext2", "int1", "int2"), METRIC)
def test_metric_limits(
    name: str,
    d2: float,
    d1: float,
    ext: tuple[float, float],
    ext2: tuple[float, float],
    int1: tuple[float, float],
    int2: tuple[float, float],
) -> None:
    thread = parse_thread(name)
    assert low(pitch_diameter(thread.major, thread.pitch)) == pytest.approx(d2, abs=6e-4)
    assert low(minor_diameter(thread.major, thread.pitch)) == pytest.approx(d1, abs=6e-4)
    bolt, nut = thread_limits(thread, "6g"), thread_limits(thread, "6H")
    # From M11 up the table prints the external limits to two decimals.
    rough = 0.0055 if thread.major >= 11 else 1.1e-3
    assert (bolt.major.low, bolt.major.high) == pytest.approx(ext, abs=rough)
    assert (bolt.pitch.low, bolt.pitch.high) == pytest.approx(ext2, abs=rough)
    assert nut.minor is not None
    assert (nut.minor.low, nut.minor.high) == pytest.approx(int1, abs=1.1e-3)
    assert (nut.pitch.low, nut.pitch.high) == pytest.approx(int2, abs=1.1e-3)


def test_print_error_m1_4_in_the_metric_table() -> None:
    # threadlib prints the pitch 0.2 values (D1 1.183, D2 1.270) in the row of M1.4x0.3; ISO 68-1 gives 1.075, 1.205.
    right = low(minor_diameter(1.4, 0.3)), low(pitch_diameter(1.4, 0.3))
    assert right == pytest.approx((1.075, 1.205), abs=6e-4)
    assert right != pytest.approx((1.183, 1.270), abs=6e-4)


# Tensile stress areas in mm2, ISO 898-1's formula: standard text books' values (20.1 ... 96.1), and Jindal, Machine
# Design, ex. 9-1 p. 266 (Python-Textbook-Companions Machine_Design_by_U.C._Jindal/Ch9_2.ipynb): M16x2 156.7, M16x1.5
# 167.2.
@pytest.mark.parametrize(
    ("name", "area"),
    [
        ("M6x1", 20.1),
        ("M8x1.25", 36.6),
        ("M8x1", 39.2),
        ("M10x1.5", 58.0),
        ("M10x1.25", 61.2),
        ("M10x1", 64.5),
        ("M12x1.75", 84.3),
        ("M12x1.5", 88.1),
        ("M12x1.25", 92.1),
        ("M12x1", 96.1),
        ("M16x2", 156.7),
        ("M16x1.5", 167.2),
    ],
)
def test_metric_stress_area(name: str, area: float) -> None:
    thread = parse_thread(name)
    assert low(stress_area(thread.major, thread.pitch)) == pytest.approx(area, abs=0.06)


# 2B pitch diameter, max and min (in): ar.scribd.com/document/395466526.
TWO_B = [
    ("1/4-20", 0.2224, 0.2175),
    ("5/16-18", 0.2817, 0.2764),
    ("3/8-16", 0.3401, 0.3344),
    ("7/16-14", 0.3972, 0.3911),
    ("1/2-13", 0.4565, 0.4500),
    ("5/8-11", 0.5732, 0.5660),
    ("3/4-10", 0.6927, 0.6850),
]


@pytest.mark.parametrize(("name", "greatest", "least"), TWO_B)
def test_2b_pitch_diameter(name: str, greatest: float, least: float) -> None:
    limits = thread_limits(parse_thread(name), "2B").pitch
    assert (limits.low / INCH, limits.high / INCH) == pytest.approx((least, greatest), abs=1.05e-4)


# The same sheet's misprints: what it prints, and what is right.
def test_print_errors_in_the_2b_sheet() -> None:
    coarse = thread_limits(parse_thread("9/16-12"), "2B").pitch.high / INCH
    assert coarse == pytest.approx(0.5152, abs=1.05e-4)
    assert coarse != pytest.approx(0.5125, abs=1e-3)
    half = thread_limits(parse_thread("1/2-13"), "2B").minor
    assert half is not None
    assert half.low / INCH == pytest.approx(0.417, abs=5e-4)
    assert half.low / INCH != pytest.approx(0.4700, abs=1e-2)
    small = thread_limits(parse_thread("#2-56"), "2B").minor
    assert small is not None
    assert small.low / INCH == pytest.approx(0.0667, abs=1e-4)
    assert small.low / INCH != pytest.approx(0.667, abs=0.1)


def test_print_error_four_and_a_half_threads_per_inch() -> None:
    # threadlib's UIS_thread.csv truncates 4-1/2 threads per inch to 4 (UNC 2 and 2 1/4).
    for name in ("2 UNC", "2 1/4 UNC"):
        assert parse_thread(name).per_inch == pytest.approx(4.5)


def test_class_limits_of_three_eighths_24() -> None:
    # Computed by ASME B1.1's formulas; the tabulated values are from memory.
    bolt, nut = thread_limits(parse_thread("3/8-24 UNF-2A")), thread_limits(parse_thread("3/8-24 UNF-2B"))
    assert bolt.allowance / INCH == pytest.approx(0.0011, abs=5e-5)
    assert (bolt.major.high / INCH, bolt.major.low / INCH) == pytest.approx((0.3739, 0.3667), abs=1.5e-4)
    assert (bolt.pitch.high / INCH, bolt.pitch.low / INCH) == pytest.approx((0.3468, 0.3430), abs=1e-4)
    assert (nut.pitch.low / INCH, nut.pitch.high / INCH) == pytest.approx((0.3479, 0.3528), abs=1.5e-4)


# Difference of major diameters (mm), turns until the lead error is half a pitch: computed from the basic profiles of
# ASME B1.1 and ISO 68-1.
@pytest.mark.parametrize(
    ("inch", "metric", "major", "turns"),
    [
        ("3/8-24", "M10x1", -0.475, 8.6),
        ("5/16-24", "M8x1", -0.063, 8.6),
        ("5/16-18", "M8x1.25", -0.063, 3.9),
        ("7/16-20", "M11x1.25", 0.113, 31),
        ("1/2-20", "M12x1.25", 0.700, 31),
        ("#10-32", "M5x0.8", -0.174, 64),
    ],
)
def test_half_pitch_lead_error(inch: str, metric: str, major: float, turns: float) -> None:
    a, b = parse_thread(inch), parse_thread(metric)
    assert a.major - b.major == pytest.approx(major, abs=6e-4)
    assert half_pitch_turns(a.pitch, b.pitch) == pytest.approx(turns, rel=0.01)


# Near misses on basic profiles: turns = (PD female - PD male) tan 30 / difference of pitch; ASME B1.1, ISO 68-1, ISO
# 261.
@pytest.mark.parametrize(
    ("male", "female", "sort", "turns", "share"),
    [
        ("3/8-24", "M10x1", BINDS, (4.9, 5.2), 56),
        ("3/4-16", "M20x1.5", BINDS, (6, 7), 41),
        ("M12x1.25", "1/2-20", RUNS_LOOSE, (15, 25), 49),
        ("7/16-20", "M12x1.25", RUNS_LOOSE, (20, 30), 34),
        ("M38x1.5", "1 1/2-16", BINDS, (0, 0.34), 94),
    ],
)
def test_near_misses(male: str, female: str, sort: str, turns: tuple[float, float], share: float) -> None:
    found = meet(parse_thread(male), parse_thread(female))
    assert found.sort == sort
    assert turns[0] <= found.turns <= turns[1]
    assert found.share == pytest.approx(share, abs=0.6)


@pytest.mark.parametrize(
    ("male", "female"),
    [
        ("M10x1", "3/8-24"),
        ("M20x1.5", "3/4-16"),
        ("1/2-20", "M12x1.25"),
        ("M12x1.25", "7/16-20"),
        ("5/16-24", "M8x1.25"),
    ],
)
def test_the_other_way_round_does_not_start(male: str, female: str) -> None:
    assert meet(parse_thread(male), parse_thread(female)).sort == WILL_NOT_START


def test_same_thread_written_twice() -> None:
    assert meet(parse_thread("3/8-24 UNF-2A"), parse_thread(".375-24")).sort == SAME
    assert meet(parse_thread("3/8-24 LH"), parse_thread("3/8-24")).sort == WILL_NOT_START


def test_why_three_eighths_in_an_m10_port_is_dangerous() -> None:
    # Computed from ASME B1.1 class 2A and ISO 965-1 class 6H: the male major 9.312-9.497 enters D1 8.917-9.153, with
    # a radial overlap of 0.079-0.290 mm (15-54 % of 0.541 mm) and a pitch diameter clearance of 0.54-0.79 mm.
    bolt, port = thread_limits(parse_thread("3/8-24 UNF-2A")), thread_limits(parse_thread("M10x1-6H"))
    assert (bolt.major.low, bolt.major.high) == pytest.approx((9.312, 9.497), abs=1.5e-3)
    overlap = crest_overlap(bolt, port)
    assert (overlap.low, overlap.high) == pytest.approx((0.079, 0.290), abs=1.5e-3)
    full = 5 / 8 * math.sqrt(3) / 2
    assert (overlap.low / full, overlap.high / full) == pytest.approx((0.15, 0.54), abs=0.006)
    clearance = port.pitch - bolt.pitch
    assert (clearance.low, clearance.high) == pytest.approx((0.54, 0.79), abs=6e-3)
    turns = clearance * math.tan(math.radians(30)) / abs(INCH / 24 - 1)
    assert 5 <= turns.low <= turns.high <= 8


def test_the_other_way_is_oversize() -> None:
    # M10x1 6g (9.79-9.97) into a female of 9.525: oversize by 0.27-0.45 mm. Computed from ISO 965-1.
    bolt = thread_limits(parse_thread("M10x1-6g"))
    oversize = bolt.major - parse_thread("3/8-24").major
    assert (oversize.low, oversize.high) == pytest.approx((0.27, 0.45), abs=6e-3)


def test_turns_over_intervals_hold_their_points() -> None:
    spread = turns_before_binding(9.525, INCH / 24, 10.0, Interval(0.99, 1.01))
    assert isinstance(spread, Interval)
    for pitch in (0.99, 0.995, 1.0, 1.004, 1.01):
        assert low(turns_before_binding(9.525, INCH / 24, 10.0, pitch)) in spread
    assert math.isinf(high(turns_before_binding(9.5, 1.0, 10.0, Interval(0.99, 1.01))))


def test_clearance_is_the_difference_of_pitch_diameters() -> None:
    direct = low(pitch_diameter(10.0, 1.0)) - low(pitch_diameter(9.525, INCH / 24))
    assert low(pitch_diameter_clearance(9.525, INCH / 24, 10.0, 1.0)) == pytest.approx(direct, abs=1e-12)


# Selected pitches of ISO 262: FreeCAD_FastenersWB FsData/iso262def.csv (github shaise, ae90a869).
@pytest.mark.parametrize(("size", "pitches"), [("M8", "1.25 1"), ("M10", "1.5 1.25 1"), ("M12", "1.75 1.5 1.25")])
def test_a_missing_pitch_is_asked_for(size: str, pitches: str) -> None:
    with pytest.raises(ThreadNameError) as error:
        parse_thread(size)
    for pitch in pitches.split():
        assert f"{size}x{pitch}" in str(error.value)


# threadlib's metric table, sizes below M1: four rows lie 6 to 9 um off the basic profile in D1. Printed D1 in mm.
@pytest.mark.parametrize(
    ("major", "pitch", "printed"), [(0.6, 0.15, 0.444), (0.7, 0.175, 0.518), (0.8, 0.2, 0.592), (0.9, 0.225, 0.666)]
)
def test_print_errors_below_m1(major: float, pitch: float, printed: float) -> None:
    off = printed - low(minor_diameter(major, pitch))
    assert 0.006 <= off <= 0.0097


def test_55_degree_pitch_diameters() -> None:
    # bd_warehouse 0.4.0, iso_228_1.csv (pipe threads, 55 degrees): 24 rows; G 1/8 is 9.728/9.147/8.566 at 28 per
    # inch. The constant 0.640327 of BS 84 is from memory; the table confirms it.
    table = rows("iso_228_1.csv")
    assert len(table) == 24
    for row in table:
        pitch = INCH / float(row["tpi"])
        found = low(pitch_diameter(float(row["major_diameter"]), pitch, 55))
        assert found == pytest.approx(float(row["pitch_diameter"]), abs=1.1e-3)
    (eighth,) = [r for r in table if r["size"] == "1/8"]
    assert [float(eighth[f"{n}_diameter"]) for n in ("major", "pitch", "minor")] == [9.728, 9.147, 8.566]


def trapezoidal_sizes() -> list[str]:
    """bd_warehouse 0.4.0, thread.py: the standard sizes of its metric trapezoidal thread, "ISO 2904 ... 30 degrees".

    Read as text: the module itself needs a CAD kernel.
    """
    (source,) = (f for f in files("bd_warehouse") or () if f.name == "thread.py")
    stated = source.read_text(encoding="utf-8").partition("class MetricTrapezoidalThread")[2]
    return re.findall(r'"([0-9.]+x[0-9.]+)"', stated.partition("standard_sizes = [")[2].partition("]")[0])


def test_trapezoidal_threads_of_the_standard_are_read() -> None:
    sizes = trapezoidal_sizes()
    assert len(sizes) > 150 and {"8x1.5", "22x8", "40x7"} <= set(sizes)
    for size in sizes:
        if float(size.partition("x")[0]) > 300:  # the standard ends there (from memory)
            continue
        thread = parse_thread(f"Tr {size} LH")
        assert f"{thread.major:g}x{thread.pitch:g}" == size.replace(".0", "")
        assert (thread.flank_angle, thread.left_hand, thread.system) == (30, True, "metric")


# ISO 2904 and DIN 103, table rows from memory: pitch diameter d2 = D2 in mm.
@pytest.mark.parametrize(
    ("name", "found"), [("Tr 8x1.5", 7.25), ("Tr 16x4", 14.0), ("Tr 40x7", 36.5), ("Tr 100x12", 94)]
)
def test_trapezoidal_pitch_diameter(name: str, found: float) -> None:
    thread = parse_thread(name)
    assert low(pitch_diameter(thread.major, thread.pitch, thread.flank_angle)) == found


def test_trapezoidal_threads_are_not_compared_by_the_60_degree_profile() -> None:
    with pytest.raises(ValueError, match="60 degree"):
        meet(parse_thread("Tr 8x1.5"), parse_thread("M8x1.25"))
    with pytest.raises(ValueError, match="60 degree"):
        thread_limits(parse_thread("Tr 8x1.5"), "6g")


# ISO 965-1, tolerances TD2 of the pitch diameter of nuts above 22.4 up to 45 mm, from memory: grades 4 to 8 in um.


@pytest.mark.parametrize("angle", [Interval(55.0, 60.0), Interval(59.5, 60.5), Interval(45.0, 45.0), 45])
def test_only_a_standard_angle_has_a_profile(angle: float | Interval) -> None:
    assert pitch_diameter(10.0, 1.0, Interval(55.0, 55.0)) == pitch_diameter(10.0, 1.0, 55)
    with pytest.raises(ValueError, match="none of 60, 55 and 30"):
        pitch_diameter(10.0, 1.0, angle)


@pytest.mark.parametrize(
    ("name", "found"),
    [
        ("M30x3", (170, 212, 265, 335, 425)),
        ("M30x3.5", (180, 224, 280, 355, 450)),
        ("M36x4", (190, 236, 300, 375, 475)),
    ],
)
def test_tolerances_of_finer_and_coarser_grades(name: str, found: tuple[int, ...]) -> None:
    spans = [thread_limits(parse_thread(name), f"{grade}H").pitch for grade in range(4, 9)]
    assert [(s.high - s.low) * 1000 for s in spans] == pytest.approx(found, abs=1e-6)


@pytest.mark.parametrize(
    ("name", "series"), [("1/4-20", "UNC"), ("1/4-28", "UNF"), ("1/2-20", "UNF"), ("1/2-13", "UNC"), ("1/4-13", "UN")]
)
def test_the_series_of_a_size_is_that_of_its_own_pitch(name: str, series: str) -> None:
    # ASME B1.1: 1/4-20 and 1/2-13 UNC, 1/4-28 and 1/2-20 UNF; 13 to the inch is of 1/2 in alone.
    assert parse_thread(name).series == series
