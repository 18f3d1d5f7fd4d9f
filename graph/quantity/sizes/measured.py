"""Lengths, angles, pressures, torques, forces, ratios and numbers: from their parse to quantities."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction

from msgspec.structs import replace

from knockon.graph.quantity.cells.cell import Cell
from knockon.graph.quantity.cells.grammar import NotInGrammarError
from knockon.graph.quantity.cells.model import CellError, Quantity
from knockon.graph.quantity.sizes.doubts import (
    check_amount,
    check_divided,
    check_span,
    refuse_fraction_of_class,
    refuse_screws,
    spelling_flags,
    without_doubtful_point,
)
from knockon.graph.quantity.sizes.tolerances import fit_limits
from knockon.graph.quantity.sizes.tree import Measure, Size, SizeCell, Unit, size_cell
from knockon.graph.quantity.sizes.two_units import agreed
from knockon.graph.quantity.sizes.unit_choice import (
    INCH,
    MILLIMETRE,
    header_unit,
    in_range,
    last_place,
    with_units,
    worth,
)

_COARSE = Fraction(1, 2)
"""A whole number of mm without a unit tells no more than the nearest mm."""
_ABOUT_STEPS = 2
_ABOUT_SHARE = Fraction(1, 50)
_ABOUT_AT_MOST = Fraction(1, 10)
"""About: within two steps of the last place, but at least 2 % and at most 10 %. No source."""

_DEVIATION_SHARE = 20
"""1 1/8" -.002: what is this much smaller than the size before it is a deviation, not the end of a range."""

_THREAD_LIKE = 5
"""3/8-24: a whole number this many times the fraction before it counts threads."""

_METRIC = frozenset({"millimetre", "centimetre", "metre", "micrometre"})
_METRIC_PARTS = frozenset({1, 2, 4, 10, 100})

_LABELLED = {"label first", "label last"}
_PAIRED = {"main and first", "main and last", "both first", "both last"}
_LABELS = {
    "new": "new",
    "unworn": "new",
    "worn": "worn",
    "used": "worn",
    "min": "minimum",
    "minimum": "minimum",
}


ON_A_WORN_PART = "measured on a worn part"
"""The flag of a size that its cell says to be worn."""


def read_size(cell: Cell) -> dict[str, Quantity]:
    """The readings of a measured size: "" and, where written, "worn" or "minimum".

    Raises CellError, whose suggestions are not yet sifted.
    """
    cell = without_doubtful_point(cell)
    try:
        parsed = size_cell(cell.text)
    except NotInGrammarError as error:
        raise cell.error(f"not understood from character {error.position + 1}") from None
    for measure in parsed.measures:
        for size in measure.sizes:
            check_amount(cell, size.amount)
            check_divided(cell, size)
    if parsed.form in _LABELLED | _PAIRED and cell.datatype.wears and not cell.context.strict:
        return _labelled(cell, parsed)
    if parsed.form == "spanner":
        raise _spanner(cell, parsed)
    if parsed.form not in cell.datatype.forms:
        raise cell.error("not a form that this column takes")
    return {"": _READERS[parsed.form](cell, parsed)}


def _stated(cell: Cell, parsed: SizeCell) -> Quantity:
    return measured(cell, parsed.measures[0])


def measured(cell: Cell, measure: Measure, shared: Unit | None = None) -> Quantity:
    """The quantity of one measure; `shared` is a unit written elsewhere in the cell."""
    if measure.form == "span":
        check_span(cell, measure)
    unwritten = shared is None and all(size.unit is None for size in measure.sizes)
    filled, flags = with_units(cell, measure, shared)
    _check_metric_fraction(cell, filled)
    flags = tuple(flag for size in measure.sizes for flag in spelling_flags(cell, size.amount)) + flags
    low, high, form_flags = _ENDS[filled.form](cell, filled)
    flags += form_flags
    nominal = filled.form == "plain" and cell.datatype.nominal
    if nominal and unwritten and _is_coarse(filled.sizes[0]):
        nominal = False
        low, high = low - _COARSE, high + _COARSE
        flags += (f"whole millimetres: read as {cell.text} ±0.5 mm",)
    return finished(cell, low, high, filled, nominal=nominal, flags=flags)


def _check_metric_fraction(cell: Cell, measure: Measure) -> None:
    """Refuse 5/8 mm in a sheet: half a millimetre is written so, an eighth of one is a slip for inches."""
    for size in measure.sizes:
        metric = size.unit is not None and size.unit.name in _METRIC
        if (
            metric
            and size.amount.vulgar
            and size.amount.value.denominator not in _METRIC_PARTS
            and not cell.context.strict
        ):
            raise cell.error(
                f"a fraction of a {size.unit.name if size.unit else ''}",
                f"{size.amount.written} in",
                f"{float(size.amount.value):g} {size.unit.written if size.unit else ''}",
            )


def _is_coarse(size: Size) -> bool:
    return size.amount.whole and size.unit is not None and size.unit.name == "millimetre"


def finished(
    cell: Cell,
    low: Fraction,
    high: Fraction,
    measure: Measure,
    *,
    nominal: bool = False,
    flags: tuple[str, ...] = (),
) -> Quantity:
    """The quantity from its exact ends, after the checks that hold for every size."""
    if low > high:
        raise cell.error("the range runs backwards", _turned(measure))
    if cell.datatype.name == "length" and not in_range(cell, (low + high) / 2):
        flags += _out_of_range(cell, measure)
    written = next((size.unit.written for size in measure.sizes if size.unit), "")
    if any(size.unit and size.unit.name == "pound_per_foot" for size in measure.sizes):
        flags += (f"{written} read as lbf ft",)
    return cell.interval(low, high, nominal=nominal, unit=written, flags=flags)


def _out_of_range(cell: Cell, measure: Measure) -> tuple[str, ...]:
    """A size outside its feature's range is a slip of the unit if another unit puts it right."""
    if measure.form != "plain":
        return ("outside the usual range of this feature",)
    size = measure.sizes[0]
    for unit, symbol in ((INCH, "in"), (MILLIMETRE, "mm")):
        if in_range(cell, worth(replace(size, unit=unit), cell.datatype)):
            raise cell.error(
                "outside the range of this feature, where another unit would fit",
                f"{'-' * (size.sign < 0)}{size.amount.written} {symbol}",
            )
    return ("outside the usual range of this feature",)


def _turned(measure: Measure) -> str:
    """What a range that runs backwards may have been meant as."""
    first, last = measure.sizes[0], measure.sizes[-1]
    unit = last.unit.written if last.unit else ""
    if first.amount.whole and last.amount.vulgar and last.amount.value < 1:
        return f"{first.amount.written} {last.amount.written} {unit}".rstrip()
    if last.amount.value * _DEVIATION_SHARE < first.amount.value:
        return f"{first.amount.written} {unit} +0 -{last.amount.written} {unit}".rstrip()
    return f"{last.amount.written}..{first.amount.written} {unit}".rstrip()


Ends = tuple[Fraction, Fraction, tuple[str, ...]]


def _plain_ends(cell: Cell, measure: Measure) -> Ends:
    value = worth(measure.sizes[0], cell.datatype)
    return value, value, ()


def _plus_minus_ends(cell: Cell, measure: Measure) -> Ends:
    value, spread = (worth(size, cell.datatype) for size in measure.sizes)
    if spread < 0:
        raise cell.error("an uncertainty below zero")
    if 0 < abs(value) < spread:
        raise cell.error("an uncertainty larger than the size")
    return value - spread, value + spread, ()


def _limits_ends(cell: Cell, measure: Measure) -> Ends:
    value, one, two = (worth(size, cell.datatype) for size in measure.sizes)
    if max(abs(one), abs(two)) * 2 > abs(value):
        raise cell.error("deviations as large as the size")
    return value + min(one, two), value + max(one, two), ()


def _span_ends(cell: Cell, measure: Measure) -> Ends:
    first, last = measure.sizes
    if cell.datatype.name == "ratio" and first.amount.whole and last.amount.whole:
        raise cell.error("a range or a ratio?", f"{first.amount.written}:{last.amount.written}")
    if first.amount.vulgar and last.amount.whole and last.value > _THREAD_LIKE * first.value:
        raise cell.error("looks like a thread, not like a range")
    return worth(first, cell.datatype), worth(last, cell.datatype), ()


def _about_ends(cell: Cell, measure: Measure) -> Ends:
    size = measure.sizes[0]
    value = worth(size, cell.datatype)
    steps = min(_ABOUT_STEPS * last_place(size, cell.datatype), _ABOUT_AT_MOST * abs(value))
    spread = max(steps, _ABOUT_SHARE * abs(value))
    low, high = value - spread, value + spread
    symbol = cell.datatype.symbol
    return low, high, (f"approximate: read as {float(low):.6g} to {float(high):.6g} {symbol}".rstrip(),)


def _either_ends(cell: Cell, measure: Measure) -> Ends:
    low, high = (worth(size, cell.datatype) for size in measure.sizes)
    return low, high, ()


_ENDS: dict[str, Callable[[Cell, Measure], Ends]] = {
    "plain": _plain_ends,
    "plus or minus": _plus_minus_ends,
    "limits": _limits_ends,
    "span": _span_ends,
    "about": _about_ends,
    "either": _either_ends,
}


def _two_units(cell: Cell, parsed: SizeCell) -> Quantity:
    measure, flags = agreed(cell, *parsed.measures)
    result = measured(cell, measure)
    return replace(result, flags=flags + result.flags)


def _fit(cell: Cell, parsed: SizeCell) -> Quantity:
    # Sizes with an ISO 286 class are in millimetres by that standard.
    size, tolerance = parsed.measures[0].sizes[0], parsed.words[0].strip("() ")
    if tolerance[0] in "xX" and not cell.context.strict:
        raise cell.error(f"{tolerance} behind a size. Is it a tolerance class, or the second of two sizes?")
    refuse_fraction_of_class(cell, size, tolerance)
    if not cell.context.strict:
        refuse_screws(cell, size, tolerance)
    if size.unit is not None and len(parsed.words) > 1:
        raise cell.error("two units for one size")
    header = header_unit(cell) if size.unit is None else None
    if header is not None and header.name != "millimetre":
        offers = (f"{size.amount.written} {unit} {tolerance}" for unit in (header.written, "mm"))
        raise cell.error(f"a tolerance class, which is of millimetres, in a column of {header.written}", *offers)
    measure, _ = with_units(cell, parsed.measures[0], MILLIMETRE)
    low, high = fit_limits(cell, worth(measure.sizes[0], cell.datatype), tolerance)
    flags = spelling_flags(cell, measure.sizes[0].amount)
    if size.unit is not None and size.unit.name not in _METRIC:
        flags += (f"{tolerance} is a class of millimetres, on a size in {size.unit.written}",)
    return finished(cell, low, high, replace(measure, form="derived"), flags=flags)


def _one_in(cell: Cell, parsed: SizeCell) -> Quantity:
    rise, run = (measure.sizes[0].amount.value for measure in parsed.measures)
    if run == 0:
        raise cell.error("a ratio to zero")
    if rise > run:
        turned = [measure.sizes[0].amount.written for measure in reversed(parsed.measures)]
        raise cell.error("steeper than one in one", ":".join(turned))
    padded = any(m.sizes[0].amount.written[0] == "0" and m.sizes[0].amount.value >= 1 for m in parsed.measures)
    return cell.interval(rise / run, rise / run, flags=(f"read as {rise}:{run}",) if padded else ())


def _rate(cell: Cell, parsed: SizeCell) -> Quantity:
    rise = parsed.measures[0].sizes[0].amount
    return cell.interval(rise.value / 12, rise.value / 12, unit=parsed.words[0], flags=rise.flags)


def _compound(cell: Cell, parsed: SizeCell) -> Quantity:
    sizes = [measure.sizes[0] for measure in parsed.measures]
    names = tuple(size.unit.name if size.unit else "" for size in sizes)
    if cell.datatype.name == "ratio":
        if names == ("inch", "") and sizes[0].sign > 0:
            return _one_in(cell, parsed)
        raise cell.error("not a ratio")
    shares = _COMPOUNDS.get((cell.datatype.name, *names))
    if shares is None:
        raise cell.error("two sizes in one cell", *_as_fraction(sizes))
    if cell.datatype.name == "angle" and any(size.amount.value >= _MINUTES for size in sizes[1:]):
        raise cell.error(f"{_MINUTES} minutes or seconds of arc, or more")
    value = sum((s.value * share for s, share in zip(sizes, shares, strict=True)), Fraction(0))
    flags = tuple(flag for size in sizes for flag in spelling_flags(cell, size.amount))
    return finished(cell, value, value, Measure("derived", tuple(sizes)), nominal=True, flags=flags)


def _as_fraction(sizes: list[Size]) -> tuple[str, ...]:
    """1" 1/8: perhaps 1 1/8 in."""
    if len(sizes) != 2 or not (sizes[0].amount.whole and sizes[1].amount.vulgar and sizes[1].amount.value < 1):
        return ()
    unit = sizes[0].unit or sizes[1].unit
    return (f"{sizes[0].amount.written} {sizes[1].amount.written} {unit.written}",) if unit else ()


_MINUTES = 60
_DEGREES = (Fraction(1), Fraction(1, 60), Fraction(1, 3600))
_FEET = (Fraction("304.8"), Fraction("25.4"))
# The same marks stand for feet and inches and for minutes and seconds of arc.
_COMPOUNDS: dict[tuple[str, ...], tuple[Fraction, ...]] = {
    ("length", "foot", "inch"): _FEET,
    ("angle", "degree", "foot"): _DEGREES[:2],
    ("angle", "degree", "arc_minute"): _DEGREES[:2],
    ("angle", "degree", "foot", "inch"): _DEGREES,
}

_READERS: dict[str, Callable[[Cell, SizeCell], Quantity]] = {
    "stated": _stated,
    "two units": _two_units,
    "fit": _fit,
    "one in": _one_in,
    "rate": _rate,
    "compound": _compound,
}


def _labelled(cell: Cell, parsed: SizeCell) -> dict[str, Quantity]:
    """New and worn sizes, or a size with the least one allowed."""
    labels = [_LABELS[word.lower().rstrip(".").split()[0]] for word in parsed.words]
    if parsed.form.startswith("main"):
        labels.insert(0, "new")
    if labels == ["minimum"]:
        raise cell.error("a least allowed size, not a size")
    if len(set(labels)) != len(labels):
        raise cell.error("the same is said twice")
    unit = next((s.unit for m in parsed.measures for s in m.sizes if s.unit), None)
    readings = {label: measured(cell, measure, unit) for label, measure in zip(labels, parsed.measures, strict=True)}
    if labels == ["worn"]:
        worn = readings["worn"]
        return {"": replace(worn, flags=(*worn.flags, ON_A_WORN_PART))}
    if "new" not in readings:
        raise cell.error("the size as new is missing")
    return {"" if label == "new" else label: reading for label, reading in readings.items()}


def _spanner(cell: Cell, parsed: SizeCell) -> CellError:
    size = parsed.measures[0].sizes[0]
    unit = size.unit.written if size.unit else "in" if size.amount.vulgar else "mm"
    return cell.error("a spanner size: the width across flats of a hexagon", f"{size.amount.written} {unit}")
