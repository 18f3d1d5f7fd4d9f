"""Screw threads by designation: major diameter, pitch, flank angle and hand, each exact or unknown.

A pitch comes from the designation or, where a series is written, from that series' table; it is
never filled in otherwise. A hand is known only where it is written.
"""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction
from typing import TYPE_CHECKING, Any

import msgspec

from knockon.graph.quantity.cells.amounts import Amount
from knockon.graph.quantity.cells.cell import Cell
from knockon.graph.quantity.cells.grammar import NotInGrammarError, all_amounts, amounts_in, parse, rules_in, words_in
from knockon.graph.quantity.cells.model import CellError, Quantity
from knockon.graph.quantity.sizes.doubts import check_amount
from knockon.graph.standards.thread_series import (
    FLANK_ANGLES,
    FREE_PITCH,
    HEXAGONS,
    INCH_MM,
    OLDER_NAMES,
    designations,
    metric_pitches,
    series_with,
    standard_thread,
)

if TYPE_CHECKING:
    from lark import Token, Tree

THREAD_PARTS = ("major", "pitch", "flank angle", "hand")
"""The dimensions that a thread is made of."""

_NUMBER_SIZES = range(13)
_LARGEST_INCH = 12
_FEWEST_PER_INCH = Fraction(5, 2)
_MOST_PER_INCH = 100
_LARGEST_METRIC = 300
_CONSTANT = frozenset({4, 6, 8, 12, 16, 20, 28, 32})
"""Threads per inch of the series of constant pitch (ASME B1.1)."""


class _Thread(msgspec.Struct):
    """What has been made out so far, in mm and degrees."""

    major: Fraction
    pitch: Fraction | None = None
    flank_angle: Fraction | None = None
    flags: list[str] = msgspec.field(default_factory=list)
    pitch_flags: tuple[str, ...] = ()


class _InchSize(msgspec.Struct, frozen=True):
    """A size as the standards write it, with its major diameter in mm.

    `plain`: it cannot be anything else, as a whole number without # or an inch sign could.
    """

    name: str
    major: Fraction
    plain: bool
    amount: Amount
    inch: bool = False


def read_thread(cell: Cell) -> dict[str, Quantity]:
    """The readings "major", "pitch", "flank angle" and "hand". Raises CellError."""
    try:
        tree = parse("threads", cell.text)
    except NotInGrammarError:
        raise cell.error("not a thread designation") from None
    for amount in all_amounts(tree):
        check_amount(cell, amount)
    designation, *extras = rules_in(tree)
    thread = _FORMS[designation.data](cell, designation)
    _check_sense(cell, thread)
    thread.flags += [_extra_flag(extra) for extra in extras]
    thread.flags += _spelling_flags(tree)
    return _quantities(cell, thread, words_in(tree))


def _quantities(cell: Cell, thread: _Thread, hands: list[Token]) -> dict[str, Quantity]:
    flags = tuple(thread.flags)
    sides = {"left" if hand[0] in "lL" else "right" for hand in hands}
    if len(sides) > 1:
        raise cell.error("left hand and right hand at once")
    return {
        "major": cell.interval(thread.major, thread.major, flags=flags),
        "pitch": _exact(cell, thread.pitch, *thread.pitch_flags),
        "flank angle": _exact(cell, thread.flank_angle),
        "hand": cell.coded(sides.pop()) if sides else cell.unknown(),
    }


def _exact(cell: Cell, value: Fraction | None, *flags: str) -> Quantity:
    return cell.unknown(*flags) if value is None else cell.interval(value, value, flags=flags)


def _spelling_flags(tree: Tree[Any]) -> list[str]:
    """What reading the numbers needed, such as 1.1/2 read as 1 1/2."""
    return [flag for amount in all_amounts(tree) for flag in amount.flags if flag.startswith("read as")]


def _check_sense(cell: Cell, thread: _Thread) -> None:
    if not 0 < thread.major < 25 * _LARGEST_METRIC:
        raise cell.error("no thread is of that size")
    finest = 2 if thread.flank_angle == FLANK_ANGLES["TR"] else 3  # Tr 22x8 is the coarsest of its standard
    if thread.pitch is not None and not 0 < thread.pitch <= thread.major / finest:
        raise cell.error("no thread of that size has that pitch")


def _extra_flag(extra: Any) -> str:
    if extra.data == "tolerance":
        return f"tolerance class {extra.children[0].lstrip('- ')} is written, not used"
    amount = extra.children[0]
    unit = f" {extra.children[1]}" if extra.children[1:] and extra.children[1] else ""
    return f"{amount.written}{unit} behind the thread is taken for a length, not used"


# ---------------------------------------------------------------- metric


def _metric_size(cell: Cell, tree: Tree[Any]) -> tuple[str, Fraction]:
    diameter = amounts_in(tree)[0]
    if diameter.vulgar or not 0 < diameter.value <= _LARGEST_METRIC:
        raise cell.error("not a metric thread size")
    return f"M{float(diameter.value):g}", diameter.value


def _metric(cell: Cell, tree: Tree[Any]) -> _Thread:
    name, major = _metric_size(cell, tree)
    pitch = amounts_in(tree)[1]
    if pitch.vulgar or pitch.value > major / 4:
        raise cell.error(f"{pitch.written} is no pitch for {name}. Perhaps it is a length", name)
    coarse, fine = metric_pitches(name)
    thread = _Thread(major, pitch.value, FLANK_ANGLES["M"])
    if pitch.value != coarse and pitch.value not in fine:
        thread.pitch_flags = (f"{pitch.written} is not a standard pitch of {name}",)
    if tree.data == "metric_dash":
        thread.flags.append(f"read as {name}x{pitch.written}")
    return thread


def _metric_series(cell: Cell, tree: Tree[Any]) -> _Thread:
    name, major = _metric_size(cell, tree)
    coarse, fine = metric_pitches(name)
    thread = _Thread(major, None, FLANK_ANGLES["M"])
    if str(tree.children[-1]).lower().startswith(("c", "r")):
        thread.pitch = coarse
        if coarse is None:
            thread.pitch_flags = (f"pitch unknown: {name} has no coarse pitch",)
    else:
        choices = _choices(fine)
        thread.pitch_flags = (f"pitch unknown: {name} fine may be {choices}".rstrip(),)
    return thread


def _choices(pitches: tuple[Fraction, ...]) -> str:
    shown = [f"{float(pitch)}" for pitch in pitches]
    return " or ".join([", ".join(shown[:-1]), shown[-1]] if len(shown) > 1 else shown)


def _metric_bare(cell: Cell, tree: Tree[Any]) -> _Thread:
    name, major = _metric_size(cell, tree)
    coarse, _ = metric_pitches(name)
    standard = f" (the coarse one would be {float(coarse)})" if coarse else ""
    flag = f"pitch unknown: none is written{standard}"
    return _Thread(major, None, FLANK_ANGLES["M"], pitch_flags=(flag,))


def _no_letter(cell: Cell, tree: Tree[Any]) -> _Thread:
    size, pitch = _size_of(cell, tree), amounts_in(tree)[0]
    raise cell.error("no M before the size", f"M{size.amount.written}x{pitch.written}")


# ----------------------------------------------------------- trapezoidal


def _trapezoidal(cell: Cell, tree: Tree[Any]) -> _Thread:
    """Tr 8x1.5, as ISO 2904 and DIN 103 write it: the pitch is always stated."""
    diameter, pitch = amounts_in(tree)[:2]
    if diameter.vulgar or not 0 < diameter.value <= _LARGEST_METRIC:
        raise cell.error("not a trapezoidal thread size")
    if pitch.vulgar or pitch.value > diameter.value / 2:
        raise cell.error(f"{pitch.written} is no pitch for Tr {diameter.written}. Perhaps it is a length")
    return _Thread(diameter.value, pitch.value, FLANK_ANGLES["TR"])


def _trapezoidal_bare(cell: Cell, tree: Tree[Any]) -> _Thread:
    diameter = amounts_in(tree)[0]
    if diameter.vulgar or not 0 < diameter.value <= _LARGEST_METRIC:
        raise cell.error("not a trapezoidal thread size")
    return _Thread(diameter.value, None, FLANK_ANGLES["TR"], pitch_flags=("pitch unknown: none is written",))


def _trapezoidal_starts(cell: Cell, tree: Tree[Any]) -> _Thread:
    """Tr 40x14 (P7): taken for one of pitch 7 it would fit a nut of half the lead."""
    raise cell.error("a thread of several starts: its lead and its pitch differ, and a size has room for one of them")


# ---------------------------------------------------------------- inch


def _size_of(cell: Cell, tree: Tree[Any]) -> _InchSize:
    node: Any = rules_in(tree)[0]
    sign, amount, inch = node.children
    if sign is not None:
        if not amount.whole or amount.value not in _NUMBER_SIZES:
            raise cell.error("numbered sizes go from #0 to #12")
        return _numbered(amount)
    if amount.whole and amount.value == 0:
        return _numbered(amount)
    if not 0 < amount.value <= _LARGEST_INCH:
        raise cell.error("not an inch thread size", f"M{cell.text}")
    whole, rest = divmod(amount.value, 1)
    name = " ".join(str(part) for part in (whole, rest) if part)
    return _InchSize(name, amount.value * INCH_MM, inch is not None or not amount.whole, amount, inch is not None)


def _numbered(amount: Amount) -> _InchSize:
    number = int(amount.value)
    major = (Fraction("0.060") + number * Fraction("0.013")) * INCH_MM
    return _InchSize(f"#{number}", major, True, amount)


def _series_in(tree: Tree[Any]) -> str | None:
    name = next((w.upper().replace(".", "") for w in words_in(tree) if w.type in ("SERIES", "PIPE")), None)
    return None if name is None else OLDER_NAMES.get(name, name)


def _per_inch(cell: Cell, tree: Tree[Any]) -> _Thread:
    size = _size_of(cell, tree)
    count = amounts_in(tree)[0]
    series = _series_in(tree)
    dashed = any(word.type == "DASH" for word in words_in(tree))
    if series is None and not (dashed or size.plain or tree.data == "per_inch_between"):
        texts = (f"#{size.name}-{count.written}", f'{size.name}"-{count.written}', f"M{size.name}x{count.written}")
        raise cell.error(f"{size.name}x{count.written}: a thread, or a screw and its length?", *texts)
    return _inch_thread(cell, size, count, series)


def _per_inch_between(cell: Cell, tree: Tree[Any]) -> _Thread:
    """3/8 24 UNF, without a sign between."""
    thread = _per_inch(cell, tree)
    size, count = _size_of(cell, tree), amounts_in(tree)[0]
    thread.flags.append(f"read as {size.amount.written}-{count.written} {_series_in(tree)}")
    return thread


def _inch_thread(cell: Cell, size: _InchSize, count: Amount, series: str | None) -> _Thread:
    if count.vulgar or not _FEWEST_PER_INCH <= count.value <= _MOST_PER_INCH:
        metric = f"M{size.amount.written}x{count.written}"
        raise cell.error(f"{count.written} is no number of threads per inch", metric)
    size, flags = _number_or_inch(cell, size, count, known=series is not None)
    decimal = not (size.amount.vulgar or size.amount.whole or size.inch)
    if series is None and decimal and not series_with(size.name, count.value):
        inch = cell.text.replace(size.amount.written, f'{size.amount.written}"', 1)
        raise cell.error("no standard thread in inches, and no unit at the size", inch)
    angle = FLANK_ANGLES[series] if series else None
    thread = _Thread(size.major, INCH_MM / count.value, angle, list(flags))
    if series is None and not series_with(size.name, count.value) and count.value not in _CONSTANT:
        thread.pitch_flags = (f"{count.written} threads per inch is of no standard series at {size.name}",)
    if series is None or series in FREE_PITCH:
        return thread
    standard = standard_thread(series, size.name)
    if standard is None:
        raise cell.error(f"{size.name} is no size of {series}", f"{size.name}-{count.written}")
    if standard.pitch != thread.pitch:
        raise _contradiction(cell, size, count, series)
    thread.major = standard.major
    return thread


def _contradiction(cell: Cell, size: _InchSize, count: Amount, series: str) -> CellError:
    standard = standard_thread(series, size.name)
    assert standard is not None
    usual = f"{float(INCH_MM / standard.pitch):g}"
    fitting = [f"{size.name}-{count.written} {name}" for name in series_with(size.name, count.value)]
    return cell.error(
        f"{size.name} {series} has {usual} threads per inch, not {count.written}",
        f"{size.name}-{usual} {series}",
        *fitting,
    )


def _number_or_inch(cell: Cell, size: _InchSize, count: Amount, *, known: bool) -> tuple[_InchSize, tuple[str, ...]]:
    """10-32 is a numbered size, 1-8 an inch size: whichever of the two the standards have.

    `known`: a series is written, so that an inch size need not be a standard one.
    """
    if size.plain:
        return size, ()
    number = _numbered(size.amount) if size.amount.value in _NUMBER_SIZES else size
    as_number, as_inch = (bool(series_with(name, count.value)) for name in (number.name, size.name))
    if as_number and number is not size and not as_inch:
        return number, (f"read as size {number.name}",)
    if as_inch or known:
        return size, ()
    inch, metric = f'{size.name}"-{count.written}', f"M{size.name}x{count.written}"
    raise cell.error("no standard thread, numbered or in inches", inch, metric)


def _by_series(cell: Cell, tree: Tree[Any]) -> _Thread:
    size = _size_of(cell, tree)
    series = _series_in(tree) or ""
    return _table_thread(cell, size, series)


def _table_thread(cell: Cell, size: _InchSize, series: str) -> _Thread:
    series_table = "BSW" if series == "WHIT" else series
    if series in ("UN", "UNS") and not size.plain and size.amount.value in _NUMBER_SIZES[2:]:
        raise cell.error(
            f"{size.name}: a numbered size, or inches?", f"#{size.name} {series}", f'{size.name}" {series}'
        )
    if series in ("UN", "UNS"):
        flag = f"pitch unknown: {series} states it behind the size"
        return _Thread(size.major, None, FLANK_ANGLES[series], pitch_flags=(flag,))
    standard = standard_thread(series_table, size.name)
    if standard is None and not size.plain:
        standard = standard_thread(series_table, f"#{size.name}")
    if standard is None:
        raise cell.error(f"{size.name} is no size of {series_table}")
    flags = [f"read as size {standard.size}"] if standard.size != size.name else []
    return _Thread(standard.major, standard.pitch, FLANK_ANGLES[series_table], flags)


def _series_first(cell: Cell, tree: Tree[Any]) -> _Thread:
    """3/8 BSF 20, and 3/8 UNF x 24 or 3/8 UNF x 1 1/4, where the last is a length."""
    size, count = _size_of(cell, tree), amounts_in(tree)[0]
    series = _series_in(tree) or ""
    if tree.data == "series_times":
        thread = _table_thread(cell, size, series)
        states = thread.pitch is not None and INCH_MM / thread.pitch == count.value
        if count.whole and not states and _FEWEST_PER_INCH < count.value <= _MOST_PER_INCH:
            raise cell.error(
                f"{count.written}: threads per inch, or a length?",
                f"{size.amount.written} {series} x {count.written} mm",
            )
        if not states:
            thread.flags.append(f"{count.written} behind the thread is taken for a length, not used")
        return thread
    return _inch_thread(cell, size, count, series)


def _british_association(cell: Cell, tree: Tree[Any]) -> _Thread:
    number = amounts_in(tree)[0]
    standard = standard_thread("BA", f"{number.written} BA") if number.whole else None
    if standard is None:
        raise cell.error("BA sizes go from 0 BA to 12 BA")
    return _Thread(standard.major, standard.pitch, FLANK_ANGLES["BA"])


def _spanner(cell: Cell, tree: Tree[Any]) -> _Thread:
    size = _size_of(cell, tree)
    screw = HEXAGONS.get(size.name, "")
    raise cell.error(f"{cell.text} is a spanner size (across flats), not a thread", *designations(screw))


def _spanner_mm(cell: Cell, tree: Tree[Any]) -> _Thread:
    raise cell.error(f"{cell.text} is a spanner size (across flats), not a thread")


def _taper(cell: Cell, tree: Tree[Any]) -> _Thread:
    raise cell.error("a taper pipe thread, whose diameter changes along it")


def _pitch_unknown(cell: Cell, tree: Tree[Any]) -> _Thread:
    return _Thread(_size_of(cell, tree).major, pitch_flags=("pitch unknown: written as not known",))


def _bare(cell: Cell, tree: Tree[Any]) -> _Thread:
    size = _size_of(cell, tree)
    offers = designations(size.name) or (f"M{size.amount.written}",)
    raise cell.error("a size without series or pitch", *offers)


_FORMS: dict[str, Callable[[Cell, Tree[Any]], _Thread]] = {
    "metric": _metric,
    "metric_dash": _metric,
    "metric_series": _metric_series,
    "metric_bare": _metric_bare,
    "trapezoidal": _trapezoidal,
    "trapezoidal_bare": _trapezoidal_bare,
    "trapezoidal_starts": _trapezoidal_starts,
    "no_letter": _no_letter,
    "per_inch": _per_inch,
    "per_inch_between": _per_inch_between,
    "by_series": _by_series,
    "series_first": _series_first,
    "series_times": _series_first,
    "british_association": _british_association,
    "spanner": _spanner,
    "spanner_mm": _spanner_mm,
    "taper": _taper,
    "pitch_unknown": _pitch_unknown,
    "bare": _bare,
}
