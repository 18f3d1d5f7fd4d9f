"""The reader: one function for every sort of cell, cheap for plain cells and lazy about the rest."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import replace
from fractions import Fraction
from functools import cache, lru_cache

from knockon.graph.quantity.cells.cell import EXPECTED, Cell
from knockon.graph.quantity.cells.model import STRICT, CellError, Quantity, ReadingContext
from knockon.graph.quantity.cells.tidy import tidy

LONGEST = 300
"""A cell of more characters is not read; it is quoted in the error."""

Reader = Callable[[Cell], dict[str, Quantity]]

_PARTS = {
    "thread": ("major", "pitch", "flank angle", "hand"),
    "quantity": ("", "basis", "each"),
    "money": ("", "currency", "tax", "per", "terms", "surcharge"),
}
"""The readings of datatypes that have more than one."""

_UNKNOWN = frozenset(
    {
        *("", "?", "??", "???", "tbc", "t.b.c", "tba", "tbd", "unknown", "unk", "not known", "n/k"),
        *("nk", "don't know", "dont know", "not sure", "not measured", "not recorded", "not stated"),
        *("unbekannt", "nicht bekannt", "k.a", "k. a", "keine angabe", "inconnu", "non connu", "desconocido"),
    }
)
_NOT_APPLICABLE = frozenset({"n/a", "na", "n.a", "n/app", "not applicable", "not app", "entfällt", "sans objet"})
SHEET_FAULTS = (
    frozenset({"#n/a", "#ref!", "#value!", "#div/0!", "#name?", "#num!", "#null!", "#spill!"})
    | {f"err:{number}" for number in (501, 502, 503, 504, 508, 509, 511, 512, 522, 523)}
    | {"#error!", "#calc!", "#getting_data"}
)
"""What spreadsheets write where a formula failed."""
_POINTERS = ("same as", "see ", "as above", "as below", "ditto", "as per ", "as for ", "do. ")
_POINTING = frozenset(
    {'"', "''", "do", "do.", "dto", "dto.", "idem", "same", "〃", "wie oben", "siehe oben", "s. o.", "s.o."}
)
_MEASURED = frozenset({"length", "angle", "ratio", "pressure", "torque", "force", "number"})
_TURNING_WORDS = frozenset(
    {
        *("not", "no", "never", "or", "max", "min", "maximum", "minimum", "maybe", "except", "wrong"),
        *("over", "under", "less", "plus", "oversize", "undersize", "half", "radius", "circumference", "rad", "flats"),
        *("est", "estimate", "estimated", "guess", "guessed", "check", "tbc", "unsure", "doubtful", "rough", "unknown"),
    }
)
"""Words that turn what stands before them, so that it is not read without them."""
_TELLING_WORDS = frozenset(
    {
        *("mm", "cm", "m", "in", "ins", "inch", "inches", "thou", "deg", "psi", "bar", "kpa", "mpa", "nm", "lb", "lbf"),
        *("ft", "kg", "kgf", "kgm", "un", "unf", "unc", "unef", "uns", "bsf", "bsw", "bsp", "bspt", "npt", "ba"),
        *("whit", "whitworth", "metric", "imperial", "fine", "coarse", "left", "right", "lh", "rh", "links", "rechts"),
        *("dp", "module", "mod", "teeth", "splines", "spl", "pair", "pairs", "set", "vat", "each", "exchange", "tpi"),
        "af",
    }
)
"""Words that say what no remark may: left out, they would be lost, or contradicted."""
_OTHER_THINGS = frozenset(
    {
        *("pattern", "copy", "repro", "reproduction", "similar", "equivalent", "equiv", "type", "like", "modified"),
        *("sleeved", "reground", "machined", "early", "late", "old", "superseded", "replacement", "alternative"),
    }
)
"""Words behind a part number that make it another thing than the part of that number."""
_GROUPS = frozenset({"pair", "pairs", "set", "sets", "kit", "kits"})
"""2 (pair) may be one pair or two."""
_PLAIN_FACTORS = {"mm": Fraction(1), "in": Fraction(254, 10)}


def read_cell(text: str, datatype: str, *, context: ReadingContext = STRICT) -> dict[str, Quantity]:
    """The readings of one cell.

    `datatype` is a key of EXPECTED. Most give one reading, "". A thread gives "major", "pitch",
    "flank angle" and "hand"; a length may add "worn" or "minimum", a spline pitch "teeth", a
    quantity "basis" and "each", money "currency", "tax", "per", "terms" and "surcharge".

    Raises CellError for every text that is not read, in time linear in its length, and ValueError
    for an unknown datatype.
    """
    plain = _plain(text, datatype, context)
    if plain is not None:
        return {"": plain}
    if datatype not in EXPECTED:
        raise ValueError(f"no datatype {datatype!r}")
    if len(text) > LONGEST:
        raise CellError(text, EXPECTED[datatype], (), f"longer than {LONGEST} characters")
    found = _read_kept(text, datatype, context)
    if isinstance(found, CellError):
        raise CellError(found.written, found.expected, found.suggestions, found.why)
    return dict(found)


def _plain(text: str, datatype: str, context: ReadingContext) -> Quantity | None:
    """The cells that fill most tables, `25.4 mm`, `1.125 in` and `27`, without the grammar; in a sheet also `25.4` in a
    column of mm or inches.

    Gives what the grammar gives, or None; a property test compares the two.
    """
    if datatype == "length":
        return _plain_length(text, context)
    if datatype == "count" and len(text) <= 4 and text.isascii() and text.isdigit():
        value = float(text)
        return Quantity(
            low=value,
            high=value,
            written=text,
        )
    return None


def _plain_length(text: str, context: ReadingContext) -> Quantity | None:
    number, _, unit = text.partition(" ")
    if not unit and not context.strict and (context.unit == "in" or not number.isdigit()):
        unit = context.unit  # whole millimetres are coarse, and so not plain
    factor = _PLAIN_FACTORS.get(unit)
    if factor is None or not _is_plain(number) or (context.decimal_comma and "." in number):
        return None
    value = float(number) if unit == "mm" else float(Fraction(number) * factor)
    if value > 10_000:
        return None
    if context.feature_range and not context.feature_range[0] < value < context.feature_range[1]:
        return None  # at its ends the exact size decides
    return Quantity(
        low=value,
        high=value,
        nominal=True,
        written=text,
        unit=unit,
    )


def _is_plain(number: str) -> bool:
    whole, point, decimals = number.partition(".")
    return (
        number.isascii()
        and len(number) <= 12
        and (whole.isdigit() or (not whole and bool(point)))
        and (whole == "0" or not whole.startswith("0"))
        and (decimals.isdigit() if point else True)
    )


@lru_cache(maxsize=65_536)
def _read_kept(text: str, datatype: str, context: ReadingContext) -> Mapping[str, Quantity] | CellError:
    """The readings by the grammar or why there are none, kept: tables repeat their cells."""
    tidied = tidy(text)
    cell = Cell(text, tidied.text, datatype, context, tidied.flags)
    try:
        if tidied.fault:
            return cell.error(tidied.fault)
        return _read(cell)
    except CellError as error:
        return _with_offers(cell, error).with_traceback(None)


def _read(cell: Cell) -> dict[str, Quantity]:
    """The readings of a tidied cell; suggestions in its errors are not yet sifted."""
    lacking = _stated_lack(cell)
    if lacking is not None:
        return dict.fromkeys(_PARTS.get(cell.datatype, ("",)), lacking)
    _refuse_what_is_no_value(cell)
    reader = _readers()[cell.datatype]
    try:
        return reader(cell)
    except CellError as error:
        last = error
    for tried in _without_remark(cell):
        try:
            return reader(tried)
        except CellError as error:
            last = error
    raise last


def _without_remark(cell: Cell) -> Iterator[Cell]:
    """A cell of a sheet that ends in words in brackets: with the words as part of it, then without.

    `28 (mm)` and `28 (worn)` say something of the size; `28 mm (bearing bore)` bears a remark.
    """
    head, bracket, remark = cell.text[:-1].rpartition("(")
    if cell.context.strict or cell.datatype == "code" or not (bracket and cell.text.endswith(")")):
        return
    words = "".join(c if c.isalpha() else " " for c in remark.casefold()).split()
    if not head.strip() or not words or any(c.isdigit() or c in "?()" for c in remark):
        return
    if cell.datatype == "quantity" and _GROUPS.intersection(words):
        of_them = f"{head.strip()} {words[0].removesuffix('s')}s"
        raise cell.error(f"{head.strip()} pieces, or {of_them}?", head.strip(), of_them)
    yield replace(cell, text=f"{head.strip()} {remark.strip()}")
    if cell.datatype == "part number" and _OTHER_THINGS.intersection(words):
        return
    if cell.datatype != "hand" and not (_TURNING_WORDS | _TELLING_WORDS).intersection((*words, "".join(words))):
        yield replace(cell, text=head.strip(), flags=(*cell.flags, f"remark: {remark.strip()}"))


def _stated_lack(cell: Cell) -> Quantity | None:
    """Unknown, not applicable and absent are three things, and none of them is zero."""
    word = cell.text.casefold()
    word = word.rstrip(".") or word
    if word in _UNKNOWN:
        return cell.unknown()
    if word in _NOT_APPLICABLE:
        return cell.not_applicable()
    if word == "absent":
        return cell.absent()
    return None


def _refuse_what_is_no_value(cell: Cell) -> None:
    word = cell.text.casefold()
    if word in SHEET_FAULTS or not word.strip("#"):
        raise cell.error("a spreadsheet's error, not a value")
    if word.startswith(_POINTERS) or (word in _POINTING and cell.datatype != "code"):
        raise cell.error("it points to another row", *_candidates(cell))
    if cell.datatype in _MEASURED and _is_year_month_day(word):
        raise cell.error("a date")  # with a header's unit, 2026-03-08 would be a size with its deviations
    if cell.datatype != "code" and (not word.strip("-") or word in ("none", "nil")):
        offers = ("either",) if cell.datatype == "hand" else ("?", "n/a", "absent")
        raise cell.error("unknown, not applicable or absent?", *offers)


def _is_year_month_day(text: str) -> bool:
    parts = text.partition(" ")[0].split("-")
    return [len(part) for part in parts] == [4, 2, 2] and all(part.isdecimal() for part in parts)


def _candidates(cell: Cell) -> tuple[str, ...]:
    """The known parts that a pointer such as "same as drum one" may mean."""
    if cell.datatype != "part number" or cell.context.parts is None:
        return ()
    parts = cell.context.parts
    return parts.contained(cell.text) or parts.named(cell.text)


def _with_offers(cell: Cell, error: CellError) -> CellError:
    """The error with those suggestions, once each, that are readable themselves."""
    from knockon.graph.quantity.offers import further_offers

    why, further = further_offers(cell, error)
    offers = (_with_its_hand(cell, text) for text in (*error.suggestions, *further))
    kept = dict.fromkeys(text for text in offers if _is_readable(cell, text))
    return CellError(cell.written, error.expected, tuple(kept), why)


def _with_its_hand(cell: Cell, offer: str) -> str:
    """An offered thread with the hand that the cell says; blank where it would have another: no offer drops a hand."""
    if cell.datatype != "thread":
        return offer
    from knockon.graph.quantity.cells.hands import hands_said

    said, offered = hands_said(cell.text), hands_said(offer)
    if said == offered:
        return offer
    if len(said) == 1 and not offered:
        return f"{offer} {'LH' if 'left' in said else 'RH'}"
    return ""


def _is_readable(cell: Cell, text: str) -> bool:
    if not text or text == cell.written or len(text) > LONGEST:
        return False
    try:
        _read(Cell(text, text, cell.datatype, cell.context))
    except CellError:
        return False
    return True


@cache
def _readers() -> Mapping[str, Reader]:
    """The readers by datatype. Imported here: they bring lark with them."""
    from knockon.graph.quantity.cells.hands import read_hand
    from knockon.graph.quantity.cells.partnumbers import read_part_number
    from knockon.graph.quantity.dates import read_date
    from knockon.graph.quantity.sizes.measured import read_size
    from knockon.graph.quantity.splines import read_count, read_spline_pitch
    from knockon.graph.quantity.threads import read_thread
    from knockon.graph.quantity.trade import read_money, read_quantity

    measured = ("length", "angle", "ratio", "pressure", "torque", "force", "number")
    return {
        **dict.fromkeys(measured, read_size),
        "count": read_count,
        "spline pitch": read_spline_pitch,
        "thread": read_thread,
        "quantity": read_quantity,
        "money": read_money,
        "part number": read_part_number,
        "hand": read_hand,
        "date": read_date,
        "code": _read_code,
    }


def _read_code(cell: Cell) -> dict[str, Quantity]:
    """A word or short text, in lower case with single blanks."""
    return {"": cell.coded(cell.text.casefold())}
