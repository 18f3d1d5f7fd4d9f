"""Angles, ratios, pressures, torques, forces, numbers and codes, and the error of a cell that is none."""

from __future__ import annotations

import pytest

from knockon.graph.quantity import read_cell
from tests.unit.test_quantity_sizes import refused, size


@pytest.mark.parametrize(
    ("text", "datatype", "low", "high", "nominal"),
    [
        ("82 deg", "angle", 82.0, 82.0, True),
        ("82°", "angle", 82.0, 82.0, True),
        ("90º", "angle", 90.0, 90.0, True),
        ("82 deg ±1 deg", "angle", 81.0, 83.0, False),
        ("14° 30'", "angle", 14.5, 14.5, True),
        ("7° 7' 30\"", "angle", 7.125, 7.125, True),
        ("1:8", "ratio", 0.125, 0.125, False),
        ("1 : 10", "ratio", 0.1, 0.1, False),
        ("1 in 8", "ratio", 0.125, 0.125, False),
        ("1/8", "ratio", 0.125, 0.125, False),
        ("12.5 %", "ratio", 0.125, 0.125, False),
        ("1 1/2 in/ft", "ratio", 0.125, 0.125, False),
        ("1.5 in per ft", "ratio", 0.125, 0.125, False),
        ("0.38", "number", 0.38, 0.38, False),
        ("69 %", "number", 0.69, 0.69, False),
        ("0.35..0.40", "number", 0.35, 0.4, False),
        ("10 psi", "pressure", 68.94757293168361, 68.94757293168361, False),
        ("350psi", "pressure", 2413.1650526089265, 2413.1650526089265, False),
        ("0.7 bar", "pressure", 70.0, 70.0, False),
        ("8-10 psi", "pressure", 55.15805834534689, 68.94757293168361, False),
        ("1 kgf/cm²", "pressure", 98.0665, 98.0665, False),
        ("0.1 MPa", "pressure", 100.0, 100.0, False),
        ("50 N m", "torque", 50.0, 50.0, False),
        ("50Nm", "torque", 50.0, 50.0, False),
        ("100 lbf ft", "torque", 135.58179483314004, 135.58179483314004, False),
        ("100 ft-lb", "torque", 135.58179483314004, 135.58179483314004, False),
        ("12 lbf in", "torque", 1.3558179483314003, 1.3558179483314003, False),
        ("1 kgf m", "torque", 9.80665, 9.80665, False),
        ("200 N", "force", 200.0, 200.0, False),
        ("1 lbf", "force", 4.4482216152605, 4.4482216152605, False),
    ],
)
def test_other_sizes(text: str, datatype: str, low: float, high: float, nominal: bool) -> None:
    reading = size(text, datatype)
    assert reading.low == pytest.approx(low, rel=1e-15)
    assert reading.high == pytest.approx(high, rel=1e-15)
    assert reading.nominal is nominal


def test_a_torque_in_wrong_notation_is_read_with_a_flag() -> None:
    reading = size("80 lb/ft", "torque")
    assert reading.low == pytest.approx(108.46543586651204)
    assert reading.flags == ("lb/ft read as lbf ft",)


@pytest.mark.parametrize(
    ("text", "datatype"),
    [
        ("82", "angle"),
        ("400 deg", "angle"),
        ("82 mm", "angle"),
        ("10", "pressure"),
        ("10 mm", "pressure"),
        ("50", "torque"),
        ("50 N", "torque"),
        ("tight", "torque"),
        ("1:0", "ratio"),
        ("steep", "ratio"),
        ("8 mm", "number"),
    ],
)
def test_no_unit_is_filled_in_anywhere(text: str, datatype: str) -> None:
    refused(text, datatype)


def test_codes_are_folded_and_kept_as_written() -> None:
    reading = size("  Double   Inverted ", "code")
    assert reading.code == "double inverted"
    assert reading.written == "  Double   Inverted "
    assert size("?", "code").unknown
    assert size("none", "code").code == "none"


def test_an_unknown_datatype_is_the_callers_mistake() -> None:
    with pytest.raises(ValueError, match="no datatype 'lenght'"):
        read_cell("25.4 mm 1", "lenght")


def test_the_error_names_cell_fault_expectation_and_offers() -> None:
    error = refused("25.4")
    assert str(error) == (
        "cannot read '25.4' (unit missing). Enter a length with its unit, such as 25.4 mm, "
        "1 1/16 in or 25.40 ±0.05 mm. Did you mean 25.4 mm or 25.4 in?"
    )
