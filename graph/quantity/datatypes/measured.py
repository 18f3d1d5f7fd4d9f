"""Angles, ratios, pressures, torques, forces and bare numbers: all are read as sizes.lark has them."""

from __future__ import annotations

from collections.abc import Iterator

from knockon.graph.quantity.cells.cell import Datatype
from knockon.graph.quantity.cells.sheet_date import SheetDate, fractions
from knockon.graph.quantity.sizes.measured import read_size

ANGLE = Datatype(
    name="angle",
    expected="an angle with its unit, such as 82 deg",
    read=read_size,
    largest=360,
    parts={"": "deg"},
    base_unit="degree",
    units=("degree", "radian", "arc_minute"),
    offered_units=("deg",),
    forms=frozenset({"stated", "two units", "compound"}),
    nominal=True,
)


def _ratio_from_date(date: SheetDate) -> Iterator[str]:
    yield from fractions(date)
    yield f"{date.month}:{date.day}"
    yield f"{date.day}:{date.month}"


RATIO = Datatype(
    name="ratio",
    expected="a ratio, such as 1:8",
    read=read_size,
    largest=1_000_000,
    base_unit="count",
    units=("percent",),
    forms=frozenset({"stated", "one in", "compound", "rate"}),
    from_date=_ratio_from_date,
)

PRESSURE = Datatype(
    name="pressure",
    expected="a pressure with its unit, such as 10 psi or 0.7 bar",
    read=read_size,
    largest=1_000_000,
    parts={"": "kPa"},
    base_unit="kilopascal",
    units=(
        "psi",
        "bar",
        "millibar",
        "kilopascal",
        "megapascal",
        "pascal",
        "kilogram_force_per_square_centimetre",
    ),
    offered_units=("psi", "bar"),
)

TORQUE = Datatype(
    name="torque",
    expected="a torque with its unit, such as 50 N m or 40 lbf ft",
    read=read_size,
    largest=1_000_000,
    parts={"": "N m"},
    base_unit="newton_metre",
    units=(
        "newton_metre",
        "pound_force_foot",
        "pound_per_foot",
        "pound_force_inch",
        "kilogram_force_metre",
        "kilogram_force_centimetre",
    ),
    offered_units=("N m", "lbf ft"),
)

FORCE = Datatype(
    name="force",
    expected="a force with its unit, such as 200 N",
    read=read_size,
    largest=10**9,
    parts={"": "N"},
    base_unit="newton",
    units=("newton", "kilonewton", "pound_force", "kilogram_force"),
    offered_units=("N", "lbf"),
)

NUMBER = Datatype(
    name="number",
    expected="a number, such as 0.38",
    read=read_size,
    largest=10**15,
    base_unit="count",
    units=("percent",),
)
