"""The tables of bearings, threads and holes that bd_warehouse 0.4.0 ships as CSV; the package is never imported."""

from __future__ import annotations

import csv
import importlib.metadata
import re
from dataclasses import dataclass
from fractions import Fraction

INCH = 25.4


def rows(name: str) -> list[dict[str, str]]:
    """The rows of one CSV file of the installed distribution; an empty or missing table is an error."""
    files = importlib.metadata.files("bd_warehouse") or []
    (path,) = [f for f in files if f.name == name]
    found = list(csv.DictReader(path.read_text().splitlines()))
    assert found, name
    return found


@dataclass(frozen=True)
class BearingRow:
    """One bearing: type, designation and sizes in mm; ``width`` of the inner ring, ``assembled`` over both rings."""

    kind: str
    name: str
    bore: float
    outside: float
    width: float
    assembled: float


_BEARING_FILES = {
    "ball": (
        "single_row_deep_groove_ball_bearing_parameters.csv",
        "single_row_capped_deep_groove_ball_bearing_parameters.csv",
        "single_row_angular_contact_ball_bearing_parameters.csv",
    ),
    "roller": ("single_row_cylindrical_roller_bearing_parameters.csv",),
    "taper": ("single_row_tapered_roller_bearing_parameters.csv",),
}


def bearings() -> list[BearingRow]:
    """All bearings that the tables give sizes for (one capped row and one designation are blank)."""
    found = []
    for kind, files in _BEARING_FILES.items():
        for file in files:
            for row in rows(file):
                if not _number(row["SKT:d"]):
                    continue
                width = row["SKT:B"]
                found.append(
                    BearingRow(
                        kind=kind,
                        name=f"{row['Size']} {row['SKT:Designation'].strip(' *')}",
                        bore=float(row["SKT:d"]),
                        outside=float(row["SKT:D"]),
                        width=float(width),
                        assembled=float(row.get("SKT:T", width)),
                    )
                )
    return found


def screw_sizes() -> list[str]:
    """Sizes of socket head cap screws as printed: ``M8-1.25``, ``3/8-24``."""
    return [r["Size"] for r in rows("socket_head_cap_parameters.csv")]


def tapped_sizes() -> list[str]:
    """Sizes for which a tapping drill is given."""
    return [r["Size"] for r in rows("tap_hole_sizes.csv")]


def thread_cell(size: str) -> str:
    """A printed size as the designation that a record cell holds."""
    metric = re.fullmatch(r"M([\d.]+)-([\d.]+)", size)
    if metric:
        return f"M{metric[1]}x{float(metric[2]):g}"
    # A whole inch is marked: 1-14 alone could be a range.
    return re.sub(r"^(\d+)-", r'\1"-', size)


def major_diameter(size: str) -> float:
    """Nominal major diameter in mm of a printed size without its pitch, read here, not by the project's reader."""
    if size.startswith("M"):
        return float(size[1:])
    if size.startswith("#"):
        return (0.060 + 0.013 * int(size[1:])) * INCH
    return float(sum(Fraction(part) for part in size.replace("-", " ").split())) * INCH


@dataclass(frozen=True)
class HoleRow:
    """Clearance holes of one bolt size: diameters in mm by fit."""

    size: str
    major: float
    diameters: dict[str, float]


def clearance_holes() -> list[HoleRow]:
    """The 90 rows of clearance holes, drill names looked up in the table of drills."""
    drills = {r["Size"].strip(): float(r["Diameter"]) for r in rows("drill_sizes.csv")}

    def diameter(cell: str, metric: bool) -> float:
        cell = cell.strip()
        if metric:
            return float(cell)
        if cell in drills:
            return drills[cell] * INCH
        return float(sum(Fraction(part) for part in cell.split())) * INCH

    return [
        HoleRow(
            size=row["Size"],
            major=major_diameter(row["Size"]),
            diameters={fit: diameter(row[fit], row["Size"].startswith("M")) for fit in ("Close", "Normal", "Loose")},
        )
        for row in rows("clearance_hole_sizes.csv")
    ]


def _number(cell: str) -> bool:
    try:
        float(cell)
    except ValueError:
        return False
    return True
