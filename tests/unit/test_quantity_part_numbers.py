"""Part numbers among other words, in doubt, and of things that are not the part of that number."""

from __future__ import annotations

import pytest

from knockon.graph.quantity import CellError, PartIndex, ReadingContext, read_cell

NAMES = {
    "ALDER-201L": "knuckle, disc",
    "ALDER-201R": "knuckle, disc",
    "ALDER-211": "wheel bearing, taper",
    "ALDER-911": "wheel bearing, taper, pattern",
    "ALDER-912": "bearing spacer for ALDER-911",
}
KNOWN = ReadingContext(parts=PartIndex(NAMES))


@pytest.mark.parametrize(
    ("text", "number"),
    [
        (" alder 211 ", "ALDER-211"),
        ("ALDER–211", "ALDER-211"),
        ("ALDER\u00a0211", "ALDER-211"),
        ("Alder - 201 - L", "ALDER-201L"),
        ("ALDER-211 (new)", "ALDER-211"),
    ],
)
def test_a_known_number_is_read_with_a_flag(text: str, number: str) -> None:
    reading = read_cell(text, "part number", context=KNOWN)[""]
    assert reading.code == number
    assert reading.flags


def test_zeros_before_the_figures_of_a_number_are_passed_over_and_those_in_it_are_not() -> None:
    index = PartIndex({"A12": "pin", "A102": "rivet"})
    assert index.alike("a 0012") == ("A12",)
    assert index.alike("A-0102") == ("A102",)


@pytest.mark.parametrize(
    ("text", "offers"),
    [
        ("ALDER-211?", ("ALDER-211", "?")),
        ("ALDER-211 x4", ("ALDER-211",)),
        ("4x ALDER-211", ("ALDER-211",)),
        ("ALDER-211 or ALDER-911", ("ALDER-211", "ALDER-911")),
        ("ALDER-201 pair", ("ALDER-201L", "ALDER-201R")),
        ("ALDER-201 left", ("ALDER-201L",)),
        ("ALDER-201L+R", ("ALDER-201L", "ALDER-201R")),
        ("ALDER-201 N/S", ("ALDER-201L", "ALDER-201R")),
        ("see ALDER-211", ("ALDER-211",)),
        ("ALDER-211 (pattern)", ("ALDER-211",)),
        ("ALDER-201L (sleeved)", ("ALDER-201L",)),
    ],
)
def test_what_is_more_or_less_than_a_number_is_refused_with_those_that_it_names(
    text: str, offers: tuple[str, ...]
) -> None:
    with pytest.raises(CellError) as caught:
        read_cell(text, "part number", context=KNOWN)
    assert caught.value.suggestions == offers
