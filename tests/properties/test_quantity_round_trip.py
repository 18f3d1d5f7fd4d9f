"""What is written back reads to the same; the same size in another unit is the same number."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import HealthCheck, assume, example, given, settings
from hypothesis import strategies as st

from knockon.graph.quantity import (
    DATATYPES,
    LENIENT,
    STRICT,
    CellError,
    Quantity,
    ReadingContext,
    read_cell,
    write_cell,
)
from knockon.graph.quantity.cells.cell import Cell
from knockon.graph.quantity.read import _read_kept
from knockon.graph.standards.thread_series import standard_threads

decimals = st.decimals(min_value=0, max_value=1000, places=4, allow_nan=False).map(lambda d: f"{d}")
vulgar = st.builds(
    lambda whole, above, power: f"{whole} {above % 2**power}/{2**power}" if whole else f"{above}/{2**power}",
    st.integers(0, 40),
    st.integers(1, 127),
    st.integers(1, 7),
)
UNITS = {
    "length": ("mm", "in", "thou", '"', "cm"),
    "angle": ("deg", "°", "rad"),
    "pressure": ("psi", "bar", "kPa"),
    "torque": ("N m", "lbf ft"),
    "force": ("N", "lbf"),
    "number": ("",),
    "ratio": ("", "%"),
}


def meaning(readings: dict[str, Quantity]) -> dict[str, tuple[object, ...]]:
    return {
        part: (q.low, q.high, q.nominal, q.code, q.unknown, q.absent, q.not_applicable) for part, q in readings.items()
    }


@st.composite
def measured_cells(draw: st.DrawFn) -> tuple[str, str]:
    """A cell of a measured size in one of its forms, with its datatype."""
    datatype = draw(st.sampled_from(sorted(UNITS)))
    unit = draw(st.sampled_from(UNITS[datatype]))
    numbers = st.one_of(decimals, vulgar) if unit in ("in", '"') else decimals
    one, other = draw(numbers), draw(numbers)
    form = draw(
        st.sampled_from(
            ["{one} {unit}", "{one}{unit}", "{one} ±{other} {unit}", "{one}..{other} {unit}", "~{one} {unit}"]
        )
    )
    return form.format(one=one, other=other, unit=unit).strip(), datatype


def parsed(text: str, datatype: str) -> dict[str, Quantity]:
    try:
        return read_cell(text, datatype)
    except CellError:
        assume(False)
        raise


@given(measured_cells(), st.booleans())
@example(("1 1/16 in", "length"), True)
@example(("25 k6", "length"), True)
@example(("1 rad", "angle"), True)
def test_a_size_that_is_written_back_reads_to_the_same(cell: tuple[str, str], base: bool) -> None:
    text, datatype = cell
    readings = parsed(text, datatype)
    again = read_cell(write_cell(readings, datatype, base=base), datatype)
    assert meaning(again) == meaning(readings)


@given(st.sampled_from(standard_threads()), st.sampled_from(["", " LH", " RH"]), st.booleans())
def test_a_thread_that_is_written_back_reads_to_the_same(thread: object, hand: str, base: bool) -> None:
    series, size = thread.series, thread.size  # type: ignore[attr-defined]
    text = {"M coarse": f"{size} coarse", "M fine": f"{size} fine", "BA": size}.get(series, f"{size} {series}")
    readings = read_cell(text + hand, "thread")
    assert meaning(read_cell(write_cell(readings, "thread", base=base), "thread")) == meaning(readings)


@pytest.mark.parametrize(
    ("text", "datatype"),
    [
        ("?", "length"),
        ("absent", "thread"),
        ("n/a", "money"),
        ("27", "count"),
        ("24-26 teeth", "count"),
        ("24/48", "spline pitch"),
        ("module 1.25", "spline pitch"),
        ("2 pairs", "quantity"),
        ("set of 4", "quantity"),
        ("3 kits", "quantity"),
        ("2 each side", "quantity"),
        ("12.50+VAT ea", "money"),
        ("$20 the pair", "money"),
        ("cr 112 exchange, 75 surcharge", "money"),
        ("03/05/2019", "date"),
        ("summer 2013", "date"),
        ("c. 2016", "date"),
        ("May 2011", "date"),
        ("Double  Inverted", "code"),
        ("RH", "hand"),
        ("M20 fine LH", "thread"),
        ("10-32", "thread"),
    ],
)
@pytest.mark.parametrize("base", [False, True])
def test_other_cells_that_are_written_back_read_to_the_same(text: str, datatype: str, base: bool) -> None:
    readings = read_cell(text, datatype, context=LENIENT)
    assert meaning(read_cell(write_cell(readings, datatype, base=base), datatype)) == meaning(readings)


def test_what_is_written_back_is_the_cell_itself_where_that_will_do() -> None:
    assert write_cell(read_cell("1 1/16 in", "length"), "length") == "1 1/16 in"
    assert write_cell(read_cell("1 1/16 in", "length"), "length", base=True) == "26.9875 mm"
    assert write_cell(read_cell("1 1/16", "length", context=LENIENT), "length") == "1 1/16 in"


def test_what_no_single_cell_says_is_not_written() -> None:
    readings = read_cell("10 mm (min 9)", "length", context=LENIENT)
    with pytest.raises(ValueError, match="no single cell"):
        write_cell(readings, "length")


def spelled(value: Fraction) -> str:
    """A fraction with a finite decimal expansion, exactly."""
    places = 0
    while (value * 10**places).denominator != 1:
        places += 1
        assert places < 30
    digits = f"{int(value * 10**places):0{places + 1}}"
    return digits[: len(digits) - places] + ("." + digits[len(digits) - places :] if places else "")


@given(st.integers(1, 40 * 128))
def test_the_same_size_in_another_unit_is_the_same_number(parts: int) -> None:
    inches = Fraction(parts, 128)
    whole, rest = divmod(inches, 1)
    cells = [
        f"{spelled(inches)} in",
        f"{spelled(inches * 1000)} thou",
        f"{spelled(inches * Fraction('25.4'))} mm",
        f"{spelled(inches * Fraction('2.54'))} cm",
        f"{spelled(inches * 25400)} µm",
        " ".join(str(part) for part in (whole, rest) if part) + " in",
    ]
    assert len({read_cell(cell, "length")[""].low for cell in cells}) == 1


@given(
    st.one_of(
        st.from_regex(r"[0-9]{0,4}\.?[0-9]{0,4} ?(mm|in)", fullmatch=True),
        st.from_regex(r"[0-9]{1,6}", fullmatch=True),
        st.from_regex(r"[0-9]{1,3}\.?[0-9]{0,3}( mm| in)? ±[0-9]?\.?[0-9]{0,3} (mm|in)", fullmatch=True),
    ),
    st.sampled_from(["length", "count"]),
)
@settings(suppress_health_check=[HealthCheck.filter_too_much])  # many such cells are not plain
@example(".497 in", "length")
@example("25. mm", "length")
@example("10000.1 mm", "length")
@example("25.40 mm ±0.05 mm", "length")
@example("1.125 ±.002 in", "length")
@example("9999.99 mm ±0.01 mm", "length")
@example("0.1 in ±0.1 in", "length")
def test_plain_cells_read_as_the_grammar_reads_them(text: str, datatype: str) -> None:
    known = DATATYPES[datatype]
    quick = known.quick(text, STRICT) if known.quick else None
    assume(quick is not None)
    assert known.read(Cell(text, text, known, STRICT)) == {"": quick}


@given(
    st.one_of(
        st.from_regex(r"[1-9][0-9]?(\.[0-9]{1,3})?( (mm|in))?", fullmatch=True),
        st.from_regex(r"[0-9]{0,4}\.?[0-9]{0,4}( ?(mm|in)?)", fullmatch=True),
    ),
    st.builds(
        ReadingContext,
        unit=st.sampled_from(["", "mm", "in", "cm", "(mm)"]),
        decimal_comma=st.booleans(),
        feature_range=st.sampled_from([None, (10.0, 90.0), (0.25, 3.0), (25.4, 25.4)]),
        safety=st.booleans(),
    ),
)
@example("25.4", ReadingContext(unit="mm", feature_range=(25.4, 25.4)))
@example("28", ReadingContext(unit="mm"))
@example("1.125", ReadingContext(unit="mm", feature_range=(10.0, 90.0)))
@example("2", ReadingContext(unit="in", feature_range=(10.0, 90.0)))
def test_plain_cells_of_a_sheet_read_as_the_grammar_reads_them(text: str, context: ReadingContext) -> None:
    assert DATATYPES["length"].quick
    quick = DATATYPES["length"].quick(text, context)
    assert quick is None or _read_kept(text, "length", context) == {"": quick}
