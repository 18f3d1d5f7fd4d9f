"""Designations of screw threads: what ``3/8-24 UNF-2A`` and ``M10x1-6H`` say.

A pitch that is not written is never assumed: ``M10`` is refused with the pitches that M10 has. The
only exception is a named inch series (``3/8 UNF``), which states the pitch by its name."""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction

from knockon.graph.formulas.tables import table

INCH = 25.4
"""Millimetres in an inch, exact."""

_UN = re.compile(
    r"(?P<size>#?\s*\d+(?:[- ]\d+/\d+|/\d+)?|\d*\.\d+)"
    r"(?:\s*-\s*(?P<tpi>\d+(?:\.\d+|-1/2)?))?"
    r"\s*-?\s*(?P<series>UNC|UNF|UNEF|UNS|UN)?"
    r"\s*-?\s*(?P<klass>[123][AB])?\s*-?\s*(?P<left>LH)?",
    re.IGNORECASE,
)
_METRIC = re.compile(
    r"M\s*(?P<size>\d+(?:\.\d+)?)(?:\s*[x×]\s*(?P<pitch>\d*\.?\d+))?"
    r"\s*-?\s*(?P<klass>\d[a-zA-Z](?:\d[a-zA-Z])?)?\s*-?\s*(?P<left>LH)?",
)


class ThreadNameError(ValueError):
    """The text is not a designation that says diameter and pitch."""


@dataclass(frozen=True, slots=True)
class Thread:
    """A thread as designated.

    ``major`` and ``pitch`` are the basic sizes in mm; ``system`` is ``UN`` or ``metric``;
    ``series`` is UNC, UNF, UNEF, UN, or empty; ``thread_class`` as written (``2A``, ``6g``), or
    empty."""

    designation: str
    system: str
    major: float
    pitch: float
    series: str = ""
    thread_class: str = ""
    left_hand: bool = False

    @property
    def per_inch(self) -> float:
        """Threads per inch."""
        return INCH / self.pitch

    @property
    def external(self) -> bool | None:
        """True for a class of bolts, False for a class of nuts, None where no class is written."""
        if not self.thread_class:
            return None
        last = self.thread_class[-1]
        return last == "A" if self.system == "UN" else last.islower()


def parse_thread(text: str) -> Thread:
    """Read a designation, UN (``3/8-24``, ``#10-32 UNF-2A``, ``1 1/2-16``) or metric (``M10x1``, ``M8x1.25-6g``).

    Source of the grammar: ASME B1.1 section 6, ISO 965-1 section 5 (both from memory).
    Raises ThreadNameError where diameter or pitch is not said, or the two are not of this world.
    """
    cleaned = " ".join(text.replace("–", "-").replace("”", '"').replace('"', "").split())
    metric = _METRIC.fullmatch(cleaned)
    if metric:
        return _metric(cleaned, metric)
    inch = _UN.fullmatch(cleaned)
    if inch:
        return _inch(cleaned, inch)
    raise ThreadNameError(f"{text!r} is not a thread designation such as 3/8-24 or M10x1")


def _metric(text: str, match: re.Match[str]) -> Thread:
    size = match["size"]
    if not match["pitch"]:
        known = [row for row in table("metric_threads") if float(row["size"]) == float(size)]
        pitches = [known[0]["coarse"], *known[0]["fine"].split()] if known else []
        hint = ": write " + " or ".join(f"M{size}x{p}" for p in pitches) if pitches else ""
        raise ThreadNameError(f"{text!r} does not say its pitch{hint}")
    major, pitch = float(size), float(match["pitch"])
    if not 0 < pitch < major / 2:
        raise ThreadNameError(f"{text!r}: the pitch does not go with the diameter")
    return Thread(
        designation=text,
        system="metric",
        major=major,
        pitch=pitch,
        thread_class=match["klass"] or "",
        left_hand=bool(match["left"]),
    )


def _inch(text: str, match: re.Match[str]) -> Thread:
    major = _inch_size(match["size"])
    series = (match["series"] or "").upper()
    tpi = _per_inch(match["tpi"]) if match["tpi"] else _series_tpi(major, series)
    if not tpi:
        raise ThreadNameError(f"{text!r} does not say its threads per inch (such as 3/8-24)")
    if not 0 < 1 / tpi < major / 2:
        raise ThreadNameError(f"{text!r}: the pitch does not go with the diameter")
    return Thread(
        designation=text,
        system="UN",
        major=round(major * INCH, 9),
        pitch=INCH / tpi,
        series=series or _series_of(major, tpi),
        thread_class=(match["klass"] or "").upper(),
        left_hand=bool(match["left"]),
    )


def _inch_size(text: str) -> float:
    if text.startswith("#"):
        return 0.060 + 0.013 * int(text[1:])
    if "/" not in text:
        return float(text)
    whole, _, rest = text.replace("-", " ").rpartition(" ")
    return int(whole or 0) + float(Fraction(rest))


def _per_inch(text: str) -> float:
    return float(text.removesuffix("-1/2")) + (0.5 if text.endswith("-1/2") else 0.0)


def _row(major_in: float) -> dict[str, str]:
    rows = (r for r in table("un_threads") if abs(float(r["major_in"]) - major_in) < 5e-5)
    return next(rows, {})


def _series_tpi(major_in: float, series: str) -> float | None:
    tpi = _row(major_in).get(series, "")
    return float(tpi) if tpi else None


def _series_of(major_in: float, tpi: float) -> str:
    row = _row(major_in)
    named = [s for s in ("UNC", "UNF", "UNEF") if row.get(s) and float(row[s]) == tpi]
    return named[0] if named else "UN"
