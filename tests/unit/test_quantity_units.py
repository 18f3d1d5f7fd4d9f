"""The units of cells: exact, complete, and not imported before they are needed."""

from __future__ import annotations

import subprocess
import sys
from fractions import Fraction

import pint
import pytest

from knockon.graph.quantity import DATATYPES
from knockon.graph.quantity.sizes.units import _BY_DEFINITION, converted, factor

PAIRS = [(unit, datatype.base_unit) for datatype in DATATYPES.values() for unit in datatype.units]
# What pint's own table calls these units.
PINT_NAMES = {
    "thousandth": "thou",
    "arc_minute": "arcminute",
    "pound_per_foot": "force_pound * foot",
    "pound_force_foot": "force_pound * foot",
    "pound_force_inch": "force_pound * inch",
    "pound_force": "force_pound",
    "kilogram_force": "force_kilogram",
    "kilogram_force_metre": "force_kilogram * metre",
    "kilogram_force_per_square_centimetre": "force_kilogram / centimetre ** 2",
    "kilogram_force_centimetre": "force_kilogram * centimetre",
    "newton_metre": "newton * metre",
}


@pytest.fixture(scope="module")
def outside() -> pint.UnitRegistry[float]:
    return pint.UnitRegistry()


@pytest.mark.parametrize(("unit", "base"), PAIRS)
def test_each_unit_agrees_with_pints_own_table(unit: str, base: str, outside: pint.UnitRegistry[float]) -> None:
    one = outside.Quantity(1.0, PINT_NAMES.get(unit, unit))
    known = one.to(PINT_NAMES.get(base, base)).magnitude
    assert float(factor(unit, base)) == pytest.approx(known, rel=1e-12)


@pytest.mark.parametrize(("unit", "base"), sorted(_BY_DEFINITION))
def test_the_factors_kept_by_hand_are_those_of_the_definitions(unit: str, base: str) -> None:
    assert _BY_DEFINITION[unit, base] == converted(unit, base)


def test_factors_are_exact() -> None:
    assert factor("inch", "millimetre") == Fraction(127, 5)
    assert factor("foot", "millimetre") == Fraction(1524, 5)
    assert factor("millimetre", "millimetre") == 1
    assert factor("bar", "kilopascal") == 100
    assert factor("arc_minute", "degree") == Fraction(1, 60)


@pytest.mark.parametrize(
    "cells",
    [
        "",
        "read_cell('25.4 mm', 'length'); read_cell('1 in', 'length'); read_cell('27', 'count')",
    ],
)
def test_plain_cells_import_neither_grammar_nor_units(cells: str) -> None:
    code = f"""
import sys
from knockon.graph.quantity import read_cell
{cells}
print([name for name in ("lark", "pint", "rapidfuzz") if name in sys.modules])
"""
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


def test_the_usual_units_of_a_folder_do_not_import_pint() -> None:
    code = """
import sys
from knockon.graph.quantity import read_cell
for text, datatype in [("25.40 ±0.05 mm", "length"), ("10 psi", "pressure"), ("82 deg", "angle"),
                       ("3/8-24 UNF", "thread"), ("24/48", "spline pitch"), ("1:8", "ratio"), ("5 thou", "length")]:
    read_cell(text, datatype)
print("pint" in sys.modules)
"""
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "False"
