"""Designations of screw threads with their series and class: ``3/8-24 UNF-2A``, ``M10x1-6H``.

The sizes are read by the reader of record cells, so a thread means the same on the command line and in a table: a pitch
that is not written is never assumed (``M10`` is refused with the pitches that M10 has), except where a named inch
series states it (``3/8 UNF``).
"""

from __future__ import annotations

import re

import msgspec

INCH = 25.4
"""Millimetres in an inch, exact."""

_METRIC_CLASS = re.compile(r"\b(\d[a-hA-H](?:\d[a-hA-H])?)\b")
_INCH_CLASS = re.compile(r"\b([123][AB])\b")
_NAMED = ("UNC", "UNF", "UNEF")
_SERIES = re.compile(r"\b(UNC|UNF|UNEF|UNS|UN)\b", re.IGNORECASE)


class ThreadNameError(ValueError):
    """The text is not a designation that says diameter and pitch."""


class Thread(msgspec.Struct, frozen=True):
    """A thread as designated.

    ``major`` and ``pitch`` are the basic sizes in mm; ``system`` is ``inch`` or ``metric``; ``series`` is UNC, UNF,
    UNEF, UN, or empty; ``thread_class`` as written (``2A``, ``6g``), or empty; ``flank_angle`` in degrees.
    """

    designation: str
    system: str
    major: float
    pitch: float
    series: str = ""
    thread_class: str = ""
    left_hand: bool = False
    flank_angle: float = 60.0

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
        return last.islower() if self.system == "metric" else last == "A"


def parse_thread(text: str) -> Thread:
    """Read a designation, inch (``3/8-24``, ``#10-32 UNF-2A``, ``1 1/2-16``) or metric (``M10x1``, ``M8x1.25-6g``).

    Raises ThreadNameError where diameter or pitch is not said, or the two are not of this world.
    Source of the notation: ASME B1.1, ISO 965-1.
    """
    from knockon.graph.quantity.cells.model import CellError
    from knockon.graph.quantity.read import read_cell

    if not text.strip():
        raise ThreadNameError("no thread is written. Enter one such as M10x1 or 3/8-24 UNF")
    try:
        readings = read_cell(text, "thread")
    except CellError as error:
        raise ThreadNameError(str(error)) from None
    major, pitch = readings["major"].low, readings["pitch"].low
    if major is None or pitch is None:
        raise ThreadNameError(f"{text!r} does not say its pitch{_pitches(major)}")
    metric = text.strip().upper().startswith(("M", "TR"))
    klass = (_METRIC_CLASS if metric else _INCH_CLASS).search(text.partition("-")[2])
    series = _SERIES.search(text)
    angle = readings["flank angle"].low or 60.0
    unified = not metric and angle == 60
    return Thread(
        designation=" ".join(text.split()),
        system="metric" if metric else "inch",
        major=major,
        pitch=pitch,
        series=(series[1].upper() if series else _series_of(major, pitch)) if unified else "",
        thread_class=klass[1] if klass else "",
        left_hand=readings["hand"].code == "left",
        flank_angle=angle,
    )


def _pitches(major: float | None) -> str:
    """The pitches that a metric size has, for one who left the pitch out."""
    from knockon.graph.standards.thread_series import metric_pitches

    if major is None:
        return ""
    coarse, fine = metric_pitches(f"M{major:g}")
    pitches = [p for p in (coarse, *reversed(fine)) if p is not None]
    return ": write " + " or ".join(f"M{major:g}x{float(p):g}" for p in pitches) if pitches else ""


def _series_of(major: float, pitch: float) -> str:
    """The unified series that has this size and pitch, by the tables that record cells are read with; else UN."""
    from knockon.graph.standards.thread_series import standard_threads

    named = (t for t in standard_threads() if t.series in _NAMED and abs(float(t.major) - major) < 1e-3)
    return next((t.series for t in named if abs(float(t.pitch) - pitch) < 1e-6), "UN")
