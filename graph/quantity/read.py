"""The reader: one function for every sort of cell, cheap for plain cells."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import lru_cache

from msgspec.structs import replace

from knockon.graph.quantity.cells.cell import Cell
from knockon.graph.quantity.cells.hands import hands_said
from knockon.graph.quantity.cells.model import STRICT, CellError, Quantity, ReadingContext
from knockon.graph.quantity.cells.tidy import tidy
from knockon.graph.quantity.datatypes import DATATYPES
from knockon.graph.quantity.dates import NO_SUCH_DAY
from knockon.graph.quantity.offers import further_offers

LONGEST = 300
"""A cell of more characters is not read; it is quoted in the error."""

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


def read_cell(text: str, datatype: str, *, context: ReadingContext = STRICT) -> dict[str, Quantity]:
    """The readings of one cell.

    `datatype` is a key of DATATYPES. Most give one reading, "". A thread gives "major", "pitch",
    "flank angle" and "hand"; a length may add "worn" or "minimum", a spline pitch "teeth", a
    quantity "basis" and "each", money "currency", "tax", "per", "terms" and "surcharge".

    Raises CellError for every text that is not read, in time linear in its length, and ValueError
    for an unknown datatype.
    """
    known = DATATYPES.get(datatype)
    if known is None:
        raise ValueError(f"no datatype {datatype!r}")
    plain = known.quick(text, context) if known.quick else None
    if plain is not None:
        return {"": plain}
    if len(text) > LONGEST:
        raise CellError(text, known.expected, (), f"longer than {LONGEST} characters")
    found = _read_kept(text, datatype, context)
    if isinstance(found, CellError):
        raise CellError(found.written, found.expected, found.suggestions, found.why)
    return dict(found)


def no_such_day(text: str) -> str:
    """Why a date as it is written cannot be meant, ``31.2.2026``; blank for a day that there is, and for words that are
    no date, as vague as they may be."""
    try:
        read_cell(text, "date")
    except CellError as error:
        return error.why if error.why.startswith(NO_SUCH_DAY) else ""
    return ""


@lru_cache(maxsize=65_536)
def _read_kept(text: str, datatype: str, context: ReadingContext) -> Mapping[str, Quantity] | CellError:
    """The readings by the grammar or why there are none, kept: tables repeat their cells."""
    tidied = tidy(text)
    cell = Cell(text, tidied.text, DATATYPES[datatype], context, tidied.flags)
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
        return dict.fromkeys(cell.datatype.parts, lacking)
    _refuse_what_is_no_value(cell)
    try:
        return cell.datatype.read(cell)
    except CellError as error:
        last = error
    for tried in _without_remark(cell):
        try:
            return cell.datatype.read(tried)
        except CellError as error:
            last = error
    raise last


def _without_remark(cell: Cell) -> Iterator[Cell]:
    """A cell of a sheet that ends in words in brackets: with the words as part of it, then without.

    `28 (mm)` and `28 (worn)` say something of the size; `28 mm (bearing bore)` bears a remark.
    """
    head, bracket, remark = cell.text[:-1].rpartition("(")
    if cell.context.strict or cell.datatype.any_text or not (bracket and cell.text.endswith(")")):
        return
    words = "".join(c if c.isalpha() else " " for c in remark.casefold()).split()
    if not head.strip() or not words or any(c.isdigit() or c in "?()" for c in remark):
        return
    if cell.datatype.name == "quantity" and _GROUPS.intersection(words):
        of_them = f"{head.strip()} {words[0].removesuffix('s')}s"
        raise cell.error(f"{head.strip()} pieces, or {of_them}?", head.strip(), of_them)
    yield replace(cell, text=f"{head.strip()} {remark.strip()}")
    if cell.datatype.name == "part number" and _OTHER_THINGS.intersection(words):
        return
    if cell.datatype.name != "hand" and not (_TURNING_WORDS | _TELLING_WORDS).intersection((*words, "".join(words))):
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
    if word.startswith(_POINTERS) or (word in _POINTING and not cell.datatype.any_text):
        raise cell.error("it points to another row", *_candidates(cell))
    if cell.datatype.units and _is_year_month_day(word):
        raise cell.error("a date")  # with a header's unit, 2026-03-08 would be a size with its deviations
    if not cell.datatype.any_text and (not word.strip("-") or word in ("none", "nil")):
        offers = ("either",) if cell.datatype.name == "hand" else ("?", "n/a", "absent")
        raise cell.error("unknown, not applicable or absent?", *offers)


def _is_year_month_day(text: str) -> bool:
    parts = text.partition(" ")[0].split("-")
    return [len(part) for part in parts] == [4, 2, 2] and all(part.isdecimal() for part in parts)


def _candidates(cell: Cell) -> tuple[str, ...]:
    """The known parts that a pointer such as "same as drum one" may mean."""
    if cell.datatype.name != "part number" or cell.context.parts is None:
        return ()
    parts = cell.context.parts
    return parts.contained(cell.text) or parts.named(cell.text)


def _with_offers(cell: Cell, error: CellError) -> CellError:
    """The error with those suggestions, once each, that are readable themselves."""
    why, further = further_offers(cell, error)
    offers = (_with_its_hand(cell, text) for text in (*error.suggestions, *further))
    kept = dict.fromkeys(text for text in offers if _is_readable(cell, text))
    return CellError(cell.written, error.expected, tuple(kept), why)


def _with_its_hand(cell: Cell, offer: str) -> str:
    """An offered thread with the hand that the cell says; blank where it would have another: no offer drops a hand."""
    if cell.datatype.name != "thread":
        return offer
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
