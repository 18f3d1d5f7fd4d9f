"""The standard series of screw threads: which pitch goes with which size."""

from __future__ import annotations

import csv
from collections.abc import Iterator
from fractions import Fraction
from functools import cache

import msgspec

from knockon.graph.files.shipped import shipped
from knockon.graph.standards.tables import table

INCH_MM = Fraction("25.4")

FLANK_ANGLES = {
    "UN": Fraction(60),
    "UNC": Fraction(60),
    "UNF": Fraction(60),
    "UNEF": Fraction(60),
    "UNS": Fraction(60),
    "M": Fraction(60),
    "BSW": Fraction(55),
    "BSF": Fraction(55),
    "BSP": Fraction(55),
    "WHIT": Fraction(55),
    "BA": Fraction("47.5"),
    "TR": Fraction(30),
}
"""The angle between the flanks in degrees, by series (ASME B1.1, ISO 68-1, BS 84, BS 93; ISO 2904 and DIN 103)."""

OLDER_NAMES = {
    "NC": "UNC",
    "NF": "UNF",
    "UNJC": "UNC",
    "UNJF": "UNF",
    "BSPP": "BSP",
    "G": "BSP",
    "WHITWORTH": "WHIT",
}
"""Other names under which a series is written."""

FREE_PITCH = frozenset({"UN", "UNS", "WHIT"})
"""Series whose designation states its pitch, so that no table gives it."""


class StandardThread(msgspec.Struct, frozen=True):
    """One row of the tables; major diameter and pitch in mm, exact."""

    series: str
    size: str
    major: Fraction
    pitch: Fraction


@cache
def standard_threads() -> tuple[StandardThread, ...]:
    """All standard threads: those of the formulas' tables and the further ones of thread_series.csv."""
    text = shipped("graph", "standards", "thread_series.csv").read_text(encoding="utf-8")
    further = (
        StandardThread(row["series"], row["size"], _mm(row["major"]), _mm(row["pitch"]))
        for row in csv.DictReader(text.splitlines())
    )
    return (*_unified(), *_metric(), *further)


def _unified() -> Iterator[StandardThread]:
    for row in table("un_threads"):
        for series in ("UNC", "UNF", "UNEF"):
            if row[series]:
                major = Fraction(row["major_in"]) * INCH_MM
                yield StandardThread(series, row["size"], major, INCH_MM / Fraction(row[series]))


def _metric() -> Iterator[StandardThread]:
    for row in table("metric_threads"):
        size, major = f"M{row['size']}", Fraction(row["size"])
        yield StandardThread("M coarse", size, major, Fraction(row["coarse"]))
        for pitch in row["fine"].split():
            yield StandardThread("M fine", size, major, Fraction(pitch))


def _mm(text: str) -> Fraction:
    """`0.073 in`, `1 1/8 in`, `9.728 mm` or `64 per inch`, in mm."""
    if text.endswith(" per inch"):
        return INCH_MM / Fraction(text.removesuffix(" per inch"))
    number, _, unit = text.rpartition(" ")
    value = sum((Fraction(part) for part in number.split()), Fraction(0))
    return value * INCH_MM if unit == "in" else value


@cache
def _by_series() -> dict[tuple[str, str], StandardThread]:
    return {(thread.series, thread.size): thread for thread in standard_threads()}


def standard_thread(series: str, size: str) -> StandardThread | None:
    """The thread of a series by the size as the standard writes it (#10, 3/8, 1 1/2, M20, 2 BA)."""
    return _by_series().get((series, size))


def metric_pitches(size: str) -> tuple[Fraction | None, tuple[Fraction, ...]]:
    """The coarse pitch of a metric size and its fine ones, in mm (ISO 261)."""
    coarse = standard_thread("M coarse", size)
    fine = (t.pitch for t in standard_threads() if t.series == "M fine" and t.size == size)
    return (coarse.pitch if coarse else None), tuple(sorted(fine))


def series_with(size: str, per_inch: Fraction) -> tuple[str, ...]:
    """The inch series in which this size has this many threads per inch."""
    return tuple(
        t.series for t in standard_threads() if t.size == size and t.series[0] in "UB" and INCH_MM / t.pitch == per_inch
    )


def designations(size: str) -> tuple[str, ...]:
    """How the unified threads of a size are written, such as 3/8-24 UNF."""
    return tuple(
        f"{size}-{float(INCH_MM / t.pitch):g} {t.series}"
        for t in standard_threads()
        if t.size == size and t.series in ("UNC", "UNF")
    )


HEXAGONS = {
    "7/16": "1/4",
    "1/2": "5/16",
    "9/16": "3/8",
    "5/8": "7/16",
    "3/4": "1/2",
    "15/16": "5/8",
    "1 1/8": "3/4",
}
"""Width across flats in inch of the hexagon screw of each size (ASME B18.2.1, from memory)."""
