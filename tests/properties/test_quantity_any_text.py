"""Whatever stands in a cell, it is read or refused: nothing else comes out of the reader."""

from __future__ import annotations

import math

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from knockon.graph.quantity import (
    DATATYPES,
    LENIENT,
    LONGEST,
    STRICT,
    CellError,
    PartIndex,
    ReadingContext,
    read_cell,
)

# Pieces of which the cells of real sheets are made, and some that only hostile ones have.
PIECES = (
    *("25", "25.4", ".497", "1 1/16", "1/2", "3/8", "-", " ", "mm", "in", '"', "'", "±", "+", "/", "(", ")"),
    *("x", "M", "UNF", "UN", "BSF", "24", "k6", "H7", "~", "..", "to", "?", "new", "worn", "min", "deg"),
    *("°", "psi", "pair", "set of", "each side", "£", "VAT", "ea", "Mar", "2019", "08", ",", ":", "1:8"),
    *("%", "LH", "AF", "½", "Â½", "24/48", "module", "T", "spl", "tpi", "#", "No.", "BA", "G", "same as"),
    *("N/S", "cr", "+-", "[", "]", "=", "10-32", "c.", "ft", "rad", "1,234.5", "1.234,5", "27,52", "44993"),
    *("0/0", "1/0", "e+99", "e+999", "9" * 40, "inf", "nan", "=1+1", "\x00", "\n", "\t", "\u200b", "\ufffd"),
    *("\ud800", "٣", "²", "①", "𝟙", "Ⅷ", "ﷺ", "Â", "â€", "\u202e", "-" * 30),
)
CONTEXTS = (
    STRICT,
    LENIENT,
    ReadingContext(unit="mm", decimal_comma=True),
    ReadingContext(unit="nonsense", safety=True),
    ReadingContext(
        unit="in",
        feature_range=(5.0, 50.0),
        driver="right",
        date_order="day first",
        parts=PartIndex({"ALDER-201L": "knuckle", "ALDER-201R": ""}),
    ),
    ReadingContext(feature_range=(5.0, 50.0)),
)
soups = st.lists(st.sampled_from(PIECES), max_size=8).flatmap(
    lambda pieces: st.sampled_from(["", " "]).map(lambda blank: blank.join(pieces))
)
texts = st.one_of(soups, st.text(max_size=40), st.text(alphabet="0123456789./-+, xMmin", max_size=25))


def check(text: str, datatype: str, context: ReadingContext) -> None:
    try:
        readings = read_cell(text, datatype, context=context)
    except CellError as error:
        assert error.written == text
        assert error.expected == DATATYPES[datatype].expected
        assert str(error)
        for suggestion in error.suggestions:
            read_cell(suggestion, datatype, context=context)
        return
    assert readings
    for reading in readings.values():
        assert reading.written == text
        assert (reading.low is None) == (reading.high is None)
        if reading.low is not None and reading.high is not None:
            assert math.isfinite(reading.low) and math.isfinite(reading.high)
            assert reading.low <= reading.high
        lacks = reading.unknown + reading.absent + reading.not_applicable
        says = reading.low is not None or reading.code is not None
        assert lacks + says == 1


@given(texts, st.sampled_from(sorted(DATATYPES)), st.sampled_from(CONTEXTS))
@example("1 1/0 in", "length", STRICT)
@example("3/8-24 x 1 1/0", "thread", STRICT)
@example("0/0", "spline pitch", STRICT)
@example("25² mm", "length", LENIENT)
@example("28 (", "length", LENIENT)
@example(")", "length", LENIENT)
@example("1e+999 mm", "length", LENIENT)
@example("99999/1 ", "ratio", LENIENT)
@example("31/02/2019", "date", LENIENT)
def test_any_text_is_read_or_refused(text: str, datatype: str, context: ReadingContext) -> None:
    check(text, datatype, context)


@pytest.mark.parametrize("datatype", sorted(DATATYPES))
@pytest.mark.parametrize(
    "text",
    [
        "9" * 100_000,
        "1/" * 50_000,
        " " * 100_000,
        "(" * 100_000,
        "25.4 mm " * 12_500,
        "½" * 100_000,
        "\x00" * 100_000,
        "9" * LONGEST,
        "1/" * (LONGEST // 2),
        "(" * LONGEST,
        "Â½" * (LONGEST // 2),
        "1-" * (LONGEST // 2),
        "O" * LONGEST,
        "1" + " " * (LONGEST - 2) + "1",
    ],
    ids=lambda text: f"{text[:8]!r}x{len(text)}",
)
def test_a_hostile_cell_is_refused_or_read_like_any_other(text: str, datatype: str) -> None:
    for context in CONTEXTS:
        check(text, datatype, context)


@given(st.sampled_from(sorted(DATATYPES)), st.sampled_from(["?", "tbc", "n/a", "absent"]))
def test_a_stated_lack_is_never_a_number(datatype: str, text: str) -> None:
    for reading in read_cell(text, datatype).values():
        assert (reading.low, reading.high, reading.code) == (None, None, None)
        assert reading.unknown + reading.absent + reading.not_applicable == 1


@given(
    st.decimals(min_value=1, max_value=9999, places=3),
    st.sampled_from(["length", "angle", "pressure", "torque", "force"]),
    st.sampled_from([STRICT, LENIENT, ReadingContext(safety=True), ReadingContext(decimal_comma=True)]),
)
def test_no_unit_is_ever_filled_in_without_a_reason(number: object, datatype: str, context: ReadingContext) -> None:
    with pytest.raises(CellError):
        read_cell(str(number), datatype, context=context)
