"""Quantities, prices, hands, dates and part numbers as sheets and notes write them."""

from __future__ import annotations

from datetime import date

import pytest

from knockon.graph.quantity import (
    LENIENT,
    CellError,
    PartIndex,
    Quantity,
    ReadingContext,
    read_cell,
)
from knockon.graph.quantity.datatypes.trade import QUANTITY


def refused(text: str, datatype: str, context: ReadingContext = LENIENT) -> CellError:
    with pytest.raises(CellError) as caught:
        read_cell(text, datatype, context=context)
    for suggestion in caught.value.suggestions:
        read_cell(suggestion, datatype, context=context)
    return caught.value


@pytest.mark.parametrize(
    ("text", "pieces", "basis", "each"),
    [
        ("2", 2, "piece", 1),
        ("2 off", 2, "piece", 1),
        ("2 No.", 2, "piece", 1),
        ("2 pcs", 2, "piece", 1),
        ("x2", 2, "piece", 1),
        ("2x", 2, "piece", 1),
        ("2 × ", 2, "piece", 1),
        ("four", 4, "piece", 1),
        ("4 per axle", 4, "piece", 1),
        ("0", 0, "piece", 1),
        ("pair", 2, "pair", 2),
        ("1 pr", 2, "pair", 2),
        ("a pair", 2, "pair", 2),
        ("2 pairs", 4, "pair", 2),
        ("set of 4", 4, "set", 4),
        ("2 sets of 4", 8, "set", 4),
        ("kit of 12", 12, "kit", 12),
        ("2 each side", 4, "side", 2),
        ("each side 2", 4, "side", 2),
        ("2 per side", 4, "side", 2),
        ("1/side", 2, "side", 1),
        ("two each side", 4, "side", 2),
    ],
)
def test_quantities_and_their_basis(text: str, pieces: int, basis: str, each: int) -> None:
    readings = read_cell(text, "quantity", context=LENIENT)
    assert (readings[""].low, readings[""].high) == (pieces, pieces)
    assert readings["basis"].code == basis
    assert readings["each"].low == each


@pytest.mark.parametrize(
    ("text", "written"),
    [
        ("pair", "1 pair"), ("2 pairs", "2 pairs"), ("set of 4", "1 set of 4"), ("2 sets of 4", "2 sets of 4"),
        ("kit", "1 kit"), ("2 kits", "2 kits"), ("kit of 12", "1 kit of 12"), ("2 per side", "2 each side"),
    ],
)  # fmt: skip
def test_one_of_a_kind_is_written_as_one_and_reads_back(text: str, written: str) -> None:
    readings = read_cell(text, "quantity", context=LENIENT)
    assert QUANTITY.write is not None and written in list(QUANTITY.write(readings))
    again = read_cell(written, "quantity", context=LENIENT)
    assert [(r.low, r.code) for r in again.values()] == [(r.low, r.code) for r in readings.values()]


@pytest.mark.parametrize("text", ["1 kit", "kit", "2 kits", "1 set", "set"])
def test_the_pieces_of_a_kit_are_unknown_until_it_is_itemised(text: str) -> None:
    readings = read_cell(text, "quantity", context=LENIENT)
    assert readings[""].low == (2 if "2" in text else 1)
    assert "unknown until it is itemised" in readings[""].flags[0]
    assert readings["each"].unknown


@pytest.mark.parametrize(
    "text", ["2.5", "-2", "some", "pair of 3", "1/2", "2,0", "as required", "1 L + 1 R", "4 set", "pairs", "sets"]
)
def test_what_is_no_quantity_is_refused(text: str) -> None:
    refused(text, "quantity")


@pytest.mark.parametrize(
    ("text", "amount", "said"),
    [
        ("12.50+VAT ea", 12.5, {"tax": "excluded", "per": "each"}),
        ("12.50 ex VAT", 12.5, {"tax": "excluded"}),
        ("12.50 exc. VAT each", 12.5, {"tax": "excluded", "per": "each"}),
        ("12.50 plus VAT per pair", 12.5, {"tax": "excluded", "per": "pair"}),
        ("12.50 inc VAT", 12.5, {"tax": "included"}),
        ("12.50 each incl. VAT", 12.5, {"tax": "included", "per": "each"}),
        ("£12.50", 12.5, {"currency": "gbp"}),
        ("£12", 12.0, {"currency": "gbp"}),
        ("€30 net", 30.0, {"currency": "eur", "tax": "excluded"}),
        ("$20", 20.0, {"currency": "dollar"}),
        ("120", 120.0, {}),
        ("120 cr", 120.0, {"currency": "cr"}),
        ("cr 120.5", 120.5, {"currency": "cr"}),
        ("1,250.00", 1250.0, {}),
        ("£1,250", 1250.0, {"currency": "gbp"}),
        ("12.50 (ex VAT)", 12.5, {"tax": "excluded"}),
        ("4.20 pr", 4.2, {"per": "pair"}),
        ("4.20 the pair", 4.2, {"per": "pair"}),
        ("4.20/pr", 4.2, {"per": "pair"}),
        ("112 exchange", 112.0, {"terms": "exchange"}),
        ("112 outright", 112.0, {"terms": "outright"}),
    ],
)
def test_prices(text: str, amount: float, said: dict[str, str]) -> None:
    readings = read_cell(text, "money", context=LENIENT)
    assert readings[""].low == readings[""].high == amount
    codes = {part: reading.code for part, reading in readings.items() if reading.code}
    assert codes == said
    assert all(r.unknown for part, r in readings.items() if part and part not in said)


def test_a_surcharge_stands_beside_the_price() -> None:
    for text in (
        "112 exch, 75 surcharge",
        "112 exchange + 75 surcharge",
        "112 exchange surcharge 75",
        "112 exch (75 surcharge)",
    ):
        readings = read_cell(text, "money", context=LENIENT)
        assert (readings[""].low, readings["surcharge"].low) == (112, 75)
        assert readings["terms"].code == "exchange"


@pytest.mark.parametrize(
    "text",
    ["POA", "12/6", "12.345", "12.50 ea pr", "12,50", "ea", "£", "12.50 £13", "-5", "1e+9", "12.50 ex VAT inc VAT"],
)
def test_what_is_no_price_is_refused(text: str) -> None:
    refused(text, "money")


def test_a_price_with_decimal_comma_needs_the_locale() -> None:
    context = ReadingContext(decimal_comma=True)
    assert read_cell("1.250,50 €", "money", context=context)[""].low == 1250.5


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("left", "left"),
        ("L", "left"),
        ("L.H.", "left"),
        ("left-hand", "left"),
        ("RH", "right"),
        ("Right", "right"),
        ("either", "either"),
        ("L/R same", "either"),
        ("not handed", "either"),
        ("L+R", "left and right"),
    ],
)
def test_hands(text: str, code: str) -> None:
    assert read_cell(text, "hand")[""].code == code


@pytest.mark.parametrize("text", ["N/S", "O/S", "nearside", "offside", "driver's side", "N/S, O/S"])
def test_a_kerb_side_needs_the_drivers_side(text: str) -> None:
    assert refused(text, "hand").suggestions == ("left", "right")


def test_the_kerb_side_flips_with_the_country() -> None:
    right, left = ReadingContext(driver="right"), ReadingContext(driver="left")
    assert read_cell("N/S", "hand", context=right)[""].code == "left"
    assert read_cell("N/S", "hand", context=left)[""].code == "right"
    assert read_cell("O/S", "hand", context=right)[""].code == "right"
    assert read_cell("passenger side", "hand", context=left)[""].code == "right"
    assert read_cell("N/S, O/S", "hand", context=left)[""].code == "left and right"
    assert read_cell("N/S", "hand", context=right)[""].flags


@pytest.mark.parametrize("text", ["up", "front", "pair", "both", "universal", "1", "RHD"])
def test_what_is_no_hand_is_refused(text: str) -> None:
    refused(text, "hand")


def days(reading: Quantity) -> tuple[date, date]:
    assert reading.low is not None and reading.high is not None
    return date.fromordinal(int(reading.low)), date.fromordinal(int(reading.high))


@pytest.mark.parametrize(
    ("text", "code", "first", "last", "flagged"),
    [
        ("2012-11-02", "2012-11-02", (2012, 11, 2), (2012, 11, 2), False),
        ("2012-11-02 00:00:00", "2012-11-02", (2012, 11, 2), (2012, 11, 2), False),
        ("8 March 2019", "2019-03-08", (2019, 3, 8), (2019, 3, 8), False),
        ("8th Mar 2019", "2019-03-08", (2019, 3, 8), (2019, 3, 8), False),
        ("Mar 8, 2019", "2019-03-08", (2019, 3, 8), (2019, 3, 8), False),
        ("May 2011", "2011-05", (2011, 5, 1), (2011, 5, 31), False),
        ("2015 Feb", "2015-02", (2015, 2, 1), (2015, 2, 28), False),
        ("2017-08", "2017-08", (2017, 8, 1), (2017, 8, 31), False),
        ("2014", "2014", (2014, 1, 1), (2014, 12, 31), False),
        ("1970-1973", "1970/1973", (1970, 1, 1), (1973, 12, 31), False),
        ("1970-73", "1970/1973", (1970, 1, 1), (1973, 12, 31), True),
        ("summer 2013", "2013-06/2013-08", (2013, 6, 1), (2013, 8, 31), True),
        ("2021 spring", "2021-03/2021-05", (2021, 3, 1), (2021, 5, 31), True),
        ("winter 2019", "2019-01/2020-02", (2019, 1, 1), (2020, 2, 29), True),
        ("early 2019", "2019-01/2019-04", (2019, 1, 1), (2019, 4, 30), True),
        ("c. 2016", "2016~", (2015, 1, 1), (2017, 12, 31), True),
        ("14/3/12", "2012-03-14", (2012, 3, 14), (2012, 3, 14), True),
        ("09.06.16", "2016-06-09", (2016, 6, 9), (2016, 6, 9), True),
        ("1.9.17", "2017-09-01", (2017, 9, 1), (2017, 9, 1), True),
        ("1/9/71", "[1971-01-09,1971-09-01]", (1971, 1, 9), (1971, 9, 1), True),
        ("Apr-18", "2018-04", (2018, 4, 1), (2018, 4, 30), True),
        ("03/05/2019", "[2019-03-05,2019-05-03]", (2019, 3, 5), (2019, 5, 3), True),
        ("05/05/2019", "2019-05-05", (2019, 5, 5), (2019, 5, 5), False),
    ],
)
def test_dates_are_as_vague_as_written(
    text: str, code: str, first: tuple[int, int, int], last: tuple[int, int, int], flagged: bool
) -> None:
    reading = read_cell(text, "date", context=LENIENT)[""]
    assert reading.code == code
    assert days(reading) == (date(*first), date(*last))
    assert bool(reading.flags) is flagged


def test_a_known_order_settles_day_and_month() -> None:
    for order, day in (("day first", date(2019, 5, 3)), ("month first", date(2019, 3, 5))):
        context = ReadingContext(date_order=order)  # type: ignore[arg-type]
        reading = read_cell("03/05/2019", "date", context=context)[""]
        assert days(reading) == (day, day) and not reading.flags


@pytest.mark.parametrize(
    "text", ["31/02/2019", "2019-13-40", "08-Mar", "last year", "14/14/14", "1973-1970", "25.4 mm", "0/0/12"]
)
def test_what_is_no_date_is_refused(text: str) -> None:
    refused(text, "date")


def test_a_day_number_is_offered_as_its_day() -> None:
    assert refused("44993", "date").suggestions == ("2023-03-08",)


KNOWN = ReadingContext(
    parts=PartIndex(
        {
            "ALDER-201L": "knuckle, disc",
            "ALDER-201R": "knuckle, disc",
            "ALDER-211": "wheel bearing, taper",
            "FERN-01": "bearing grease",
            "LARCH-101": "brake drum 7 in",
            "LARCH-201": "rotor",
            "ROWAN-101": "outer joint, drum",
        }
    )
)


def test_a_known_number_is_read_whatever_its_blanks_and_case() -> None:
    reading = read_cell(" alder 201 l ", "part number", context=KNOWN)[""]
    assert (reading.code, reading.written) == ("ALDER-201L", " alder 201 l ")
    assert reading.flags == ("read as ALDER-201L",)
    assert read_cell("ALDER-201L", "part number", context=KNOWN)[""].flags == ()


@pytest.mark.parametrize(
    ("text", "suggestions"),
    [
        ("ALDER-201", ("ALDER-201L", "ALDER-201R")),
        ("ALDER-2O1L", ("ALDER-201L",)),
        ("alder2OIl", ("ALDER-201L",)),
        ("FERN-1", ("FERN-01",)),
        ("ALDER-212", ("ALDER-211",)),
        ("LARHC-201", ("LARCH-201",)),
        ("same as drum one", ("LARCH-101", "ROWAN-101")),
        ("see rotor", ("LARCH-201",)),
        ("as above", ()),
        ("OAK-1", ()),
    ],
)
def test_an_unknown_number_is_refused_with_those_it_may_be(text: str, suggestions: tuple[str, ...]) -> None:
    assert refused(text, "part number", KNOWN).suggestions == suggestions


def test_without_known_numbers_a_number_is_taken_as_written() -> None:
    assert read_cell("Rowan 301", "part number", context=LENIENT)[""].code == "Rowan 301"
    assert refused("ALDER-2O1L", "part number").suggestions == ("ALDER-201L",)
    assert read_cell("?", "part number", context=KNOWN)[""].unknown
