"""One row of a sheet into one row of a record table: each cell read with what its sheet says of it, or refused."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator
from collections.abc import Mapping as Map

from msgspec.structs import replace

from knockon.graph.mapping.cells_read import NEW, WORN, Fault, Known, Read, ReadAs
from knockon.graph.mapping.claimed import read_claimed
from knockon.graph.mapping.model import CONDITION, LISTED_FOR, SUPERSEDED_BY, Target
from knockon.graph.model.nearest import Others, meanings, nearest
from knockon.graph.model.schema import NUMBERS, Column
from knockon.graph.quantity import DATATYPES, MEASURED, CellError, Quantity, ReadingContext, read_cell, write_cell
from knockon.graph.quantity.read import SHEET_FAULTS
from knockon.graph.quantity.sizes.measured import ON_A_WORN_PART
from knockon.graph.sheets import StoredNumber
from knockon.graph.tables.cells import BOOLEANS, BadCellError, expected_of, literal, refuse_outside

READ_BESIDE = "read from the column of"
"""The flag of a cell that the sheet does not have by itself."""
_CONDITIONS = {
    NEW: {"new", "brand new", "unworn", "unused", "nos", "new old stock", "neu", "neuf", "neuve"},
    WORN: {"worn", "used", "second hand", "second-hand", "secondhand", "gebraucht", "verschlissen", "usé", "usée"},
}
_HOW_WORN = {"slightly", "lightly", "badly", "heavily", "very", "well", "part", "a", "bit", "and"}
AS_READ = " (as read)"
"""How a choice ends that takes a size as it was read, also where it is unusual. A sheet cannot say so of itself."""
_DATE = re.compile(r"\d{4}-\d\d-\d\d")


def read_row(
    target: Target, written: Map[str, str], how: Map[str, ReadAs], known: Known, chosen: Map[str, str] | None = None
) -> tuple[dict[str, Read], tuple[Fault, ...]]:
    """The cells of a row by record column, and its faults; a row with a fault must not be loaded.

    ``chosen``: what a person chose in place of what is written, by column.
    """
    taken = {name: text for name, text in (chosen or {}).items() if text}
    how = {**how, **{n: replace(how.get(n, ReadAs()), as_read=True) for n, t in taken.items() if t.endswith(AS_READ)}}
    return _read_row(target, {**written, **{n: t.removesuffix(AS_READ) for n, t in taken.items()}}, how, known)


def _read_row(
    target: Target, cells: Map[str, str], how: Map[str, ReadAs], known: Known
) -> tuple[dict[str, Read], tuple[Fault, ...]]:
    found: dict[str, Read] = {}
    faults: list[Fault] = []
    for column in target.columns:
        written = cells.get(column.name, "")
        required = column.name in target.required
        if not written and not required:
            continue
        said = how.get(column.name, ReadAs())
        try:
            if not written:
                raise BadCellError("empty", expected_of(column))
            found[column.name] = _read_cell(target, column, written, said, known)
            found |= _beside(target, column, found)
            if column.name == "quantity":
                found[column.name] = _of_sides(target, found[column.name], cells, known)
            if _is_price(column):
                found |= _surcharge(target, found[column.name], cells)
        except CellError as error:
            offers = tuple(t for t in error.suggestions if not (_DATE.match(written) and t.startswith(written)))
            if isinstance(written, StoredNumber) and said.decimal_comma:
                offers = tuple(t.replace(".", ",") for t in offers)
            offers = (*offers, *_as_read(target, column, written, said))
            offers = tuple(t for t in offers if _is_readable(target, column, t, said, known))
            faults.append(Fault(column.name, written, _why(error), offers))
        except BadCellError as error:
            offers = (*error.suggestions, *_as_read(target, column, written, said))
            offers = tuple(t for t in offers if _is_readable(target, column, t, said, known))
            faults.append(Fault(column.name, written, f"{error.problem}; expected {error.expected}", offers))
    return found, tuple(replace(fault, written=str(fault.written)) for fault in faults)


def _read_cell(target: Target, column: Column, written: str, how: ReadAs, known: Known) -> Read:
    """One cell, whose hard blanks are plain ones. Raises CellError or BadCellError."""
    if isinstance(written, StoredNumber):
        how = replace(how, decimal_comma=False)  # a workbook's own number, whatever the sheet's locale
    plain = "".join(" " if unicodedata.category(c) == "Zs" else c for c in written).strip()
    _refuse_what_is_no_cell(column, plain)
    read = _read(target, column, plain, how, known)
    if plain == written:
        return read
    return replace(read, written=str(written), flags=(*read.flags, "hard blanks read as plain blanks"))


def _is_readable(target: Target, column: Column, offer: str, how: ReadAs, known: Known) -> bool:
    """Whether an offered reading would be taken: `?` stands for no hand, and a mark of a note for no size."""
    if offer.endswith(AS_READ):
        offer, how = offer.removesuffix(AS_READ), replace(how, as_read=True)
    try:
        _read_cell(target, column, offer, how, known)
    except (CellError, BadCellError):
        return False
    return True


def _as_read(target: Target, column: Column, written: str, how: ReadAs) -> Iterator[str]:
    """A size as it was read, to be offered where nothing but what is usual speaks against it."""
    if target.shape.is_kind and column.datatype in MEASURED and written and not how.as_read:
        comma = isinstance(written, StoredNumber) and how.decimal_comma
        yield (written.replace(".", ",") if comma else str(written)) + AS_READ


def _refuse_what_is_no_cell(column: Column, written: str) -> None:
    """Refuse formulas and line breaks."""
    if written.startswith("="):
        raise BadCellError("a formula, and formulas are never run", "a value")
    if written.casefold() in SHEET_FAULTS:
        raise BadCellError("a spreadsheet's error, not a value", _expected(column))
    if not written.isprintable():
        plain = " ".join("".join(c if c.isprintable() else " " for c in written).split())
        raise BadCellError("a line break or control character", "one line of text", (plain,) if plain else ())


def _expected(column: Column) -> str:
    known = DATATYPES.get(column.datatype)
    return known.expected if known else expected_of(column)


def _is_price(column: Column) -> bool:
    """Whether a sheet's cell of it is read as a price. Whole numbers are of pieces."""
    return column.datatype == "decimal"


def _why(error: CellError) -> str:
    return "; ".join(filter(None, (error.why, f"expected {error.expected}")))


def _read(target: Target, column: Column, written: str, how: ReadAs, known: Known) -> Read:
    if target.shape.is_kind and column.datatype in (*MEASURED, "code"):
        return _measured(target, column, written, how, known)
    if column.refers_to:
        return _reference(column, written, known)
    if target.shape.is_kind and column.name == CONDITION:
        return _condition(written)
    if column.name in (LISTED_FOR, SUPERSEDED_BY):
        return Read(written, *read_claimed(column.name, written, known.parts, known.rows.get("vehicles", {})))
    if column.names:
        terms = known.terms.get(column.names, frozenset())
        return _term(column, written, terms, known.others.get(column.names, {}))
    if column.name == "part" and column.key:
        if _DATE.match(written):
            raise BadCellError("a date. Did a spreadsheet make it from a part number?", expected_of(column))
        return _of(written, read_cell(written, "part number", context=ReadingContext())[""])
    if column.values == ("left", "right", "either"):
        context = ReadingContext(driver="left" if how.driver == "left" else "right" if how.driver else None)
        read = _of(written, read_cell(written, "hand", context=context)[""])
        if read.text not in column.values:
            raise BadCellError(f"says {read.text}", "left, right or either", ("either",))
        return read
    return _plain(column, written, how)


def is_of_worn(title: str) -> bool:
    """Whether a column's title says that its sizes are those of worn parts."""
    words = set("".join(c if c.isalpha() else " " for c in title.casefold()).split())
    return bool(words & _CONDITIONS[WORN]) and not words & (_CONDITIONS[NEW] | {"not", "or", "un"})


def _condition(written: str) -> Read:
    """Whether the part measured was new or worn. What nobody knows counts as worn: undated is no better."""
    said = written.casefold().strip(" .")
    words = set(said.replace(",", " ").split())
    if said in _CONDITIONS[NEW]:
        return Read(written, NEW, ())
    if said in _CONDITIONS[WORN] or (words & _CONDITIONS[WORN] and words <= _CONDITIONS[WORN] | _HOW_WORN):
        return Read(written, WORN, ())
    if said in ("?", "unknown", "not known"):
        return Read(written, WORN, ("condition not recorded, so it counts as worn",))
    raise BadCellError("neither new nor worn", "new, worn or ?", (NEW, WORN))


def _plain(column: Column, written: str, how: ReadAs) -> Read:
    if column.values:
        return Read(written, _one_of(column, written, frozenset(column.values), "not one of the allowed values"), ())
    if column.datatype == "boolean" and written.lower() in BOOLEANS:
        return Read(written, "yes" if BOOLEANS[written.lower()] == "true" else "no", ())
    if column.datatype in NUMBERS:
        sort = "money" if _is_price(column) else "quantity"
        return _amount(
            column, written, read_cell(written, sort, context=ReadingContext(decimal_comma=how.decimal_comma))
        )
    literal(column, written)
    return Read(written, written, ())


def _amount(column: Column, written: str, readings: Map[str, Quantity]) -> Read:
    amount = readings[""]
    if amount.low is None or amount.low != amount.high:
        raise BadCellError("not one number", expected_of(column))
    per = readings["per"].code if "per" in readings else None
    if per not in (None, "each"):
        raise BadCellError(f"a price per {per}, not of one", expected_of(column), (f"{amount.low:.2f} each",))
    if amount.low == 0 and column.required and _is_price(column):
        raise BadCellError("a price of 0. Is it free, or not recorded?", expected_of(column))
    text = str(int(amount.low)) if amount.low.is_integer() else f"{amount.low:.2f}"
    text = written if _says(written, amount.low) else text
    literal(column, text)
    said = [f"{name}: {q.code or q.low}" for name, q in readings.items() if name and (q.code or q.low is not None)]
    return Read(written, text, (*amount.flags, *(said if text != written else ())), readings=readings)


def _of_sides(target: Target, read: Read, cells: Map[str, str], known: Known) -> Read:
    """A number of pieces each side, as its table counts: of both sides in a kit for an axle, of one where its row is.

    Raises BadCellError where the table does not say whether it counts one side or both.
    """
    readings = read.readings
    if "basis" not in readings:  # a size of a feature, which counts no sides
        return read
    both, each = readings[""].low, readings["each"].low
    if readings["basis"].code != "side" or both is None or each is None:
        return read
    of_one = {
        "kit_lines": known.rows.get("kits", {}).get(cells.get("kit", ""), {}).get("per", "") == "side",
        "positions": cells.get("level", "") == "corner",
        "set_members": True,
    }.get(target.table)
    if of_one is None:
        offers = tuple(dict.fromkeys((f"{both:.0f}", f"{each:.0f}")))
        raise BadCellError("each side, but is it counted here for one side or for both?", "a whole number", offers)
    return replace(read, text=f"{each:.0f}", flags=("each side: counted for one side",)) if of_one else read


def _says(written: str, value: float) -> bool:
    return written.isascii() and written.replace(".", "", 1).isdigit() and float(written) == value


def _surcharge(target: Target, price: Read, cells: Map[str, str]) -> dict[str, Read]:
    """The surcharge of ``12.50 exch + 5 surcharge``, for a column of surcharges that the sheet does not fill."""
    beside = next((c.name for c in target.columns if c.name.endswith("surcharge")), "")
    if not beside or cells.get(beside):
        return {}
    surcharge = price.readings.get("surcharge")
    if surcharge is None or surcharge.low is None:
        return {}
    return {beside: Read(price.written, f"{surcharge.low:.2f}", (f"{READ_BESIDE} the price",))}


def _of(written: str, reading: Quantity) -> Read:
    text = reading.code or ""
    if not text:
        raise BadCellError("not stated", "a value")
    return Read(written, text, reading.flags or ((f"read as {text}",) if text != written else ()))


def _one_of(column: Column, written: str, allowed: frozenset[str], problem: str, others: Others | None = None) -> str:
    said = " ".join(written.casefold().split())
    for value in sorted(allowed):
        if value.casefold() == said:
            return value
    offers = nearest(written, sorted(allowed), others=others) or (column.values if len(column.values) <= 4 else ())
    raise BadCellError(problem, expected_of(column), tuple(offers))


def _term(column: Column, written: str, terms: frozenset[str], others: Others) -> Read:
    """A word of the vocabulary, also by another word that the trade has for it and for nothing else."""
    if written in terms:
        return Read(written, written, ())
    meant = tuple(m for m in meanings(written, others) if m in terms)
    if len(meant) == 1 and written.casefold() not in {t.casefold() for t in terms}:
        return Read(written, meant[0], (f"read as {meant[0]}",))
    if len(meant) > 1:
        raise BadCellError("can mean several things", expected_of(column), meant)
    return Read(written, _one_of(column, written, terms, f"no such {column.names}", others), ())


def _reference(column: Column, written: str, known: Known) -> Read:
    if column.many:
        parts = [t.strip() for t in written.split(";") if t.strip()]
        read = [_reference(replace(column, many=False), t, known) for t in parts]
        return Read(written, "; ".join(r.text for r in read), tuple(f for r in read for f in r.flags))
    if any(written in known.keys.get(table, ()) for table in column.refers_to):
        return Read(written, written, ())
    if "parts" in column.refers_to and known.parts is not None:
        return _of(written, read_cell(written, "part number", context=ReadingContext(parts=known.parts))[""])
    where = " or ".join(column.refers_to)
    keys = {k for table in column.refers_to for k in known.keys.get(table, ())}
    raise BadCellError(f"not found in {where}", "a known name", tuple(nearest(written, sorted(keys))))


def _measured(target: Target, column: Column, written: str, how: ReadAs, known: Known) -> Read:
    where = target.table, column.name
    context = ReadingContext(
        unit=how.unit,
        decimal_comma=how.decimal_comma,
        feature_range=None if how.as_read else known.ranges.get(where),
        safety=where in known.critical,
    )
    datatype = DATATYPES[column.datatype]
    readings = read_cell(written, column.datatype, context=context)
    flags = _flags(readings)
    if WORN in readings or ON_A_WORN_PART in flags:
        return _new_and_worn(target, column, readings, written, known, how)
    wanted = {name: readings[name] for name in datatype.parts if name in readings}
    more = {name: q for name, q in readings.items() if name not in wanted and name not in datatype.beside}
    if more or not wanted:
        raise BadCellError(
            f"says more than one column holds: {', '.join(more)}",
            expected_of(column),
            tuple(dict.fromkeys(_spelled({"": q}, column.datatype) for q in readings.values() if q.low is not None)),
        )
    refuse_outside(column, wanted)
    text = _spelled(wanted, column.datatype)
    flags = (*flags, *_unusual(target, column, text, wanted, known, how))
    if how.worn and datatype.wears and any(q.low is not None for q in wanted.values()):
        return Read(written, text, (*flags, ON_A_WORN_PART), ((WORN, text),), readings)
    if column.values and text not in column.values and text != "?":
        text = _one_of(column, text, frozenset(column.values), "not one of the allowed values")
    return Read(written, text, flags, readings=readings)


def _flags(readings: Map[str, Quantity]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(f for q in readings.values() for f in q.flags))


def _new_and_worn(
    target: Target, column: Column, readings: Map[str, Quantity], written: str, known: Known, how: ReadAs
) -> Read:
    """A size of a worn part, alone or beside that of a new one: two statements, which no one row can make."""
    marks = {WORN: readings[WORN], NEW: readings.get("")} if WORN in readings else {WORN: readings[""]}
    flags = _flags(readings)
    found = []
    for mark, size in ((NEW, marks.get(NEW)), (WORN, marks[WORN])):
        if size is not None:
            refuse_outside(column, {"": size})
            text = _spelled({"": size}, column.datatype)
            flags = (*flags, *_unusual(target, column, text, {"": size}, known, how))
            found.append((mark, text))
    return Read(written, found[0][1], tuple(dict.fromkeys(flags)), tuple(found), readings)


def _unusual(
    target: Target, column: Column, text: str, sizes: Map[str, Quantity], known: Known, how: ReadAs
) -> tuple[str, ...]:
    """Refuse a size outside the usual ones, unless a person took it as it was read.

    A sheet brings parts that are unlike those recorded so far: where only these speak against the size, and what we
    state of such sizes admits it, it is loaded with a flag.
    """
    told = column.datatype in MEASURED and not how.as_read
    doubt = known.sense.doubt(target.shape, column, text, sizes) if told else None
    if doubt is not None and doubt.stated and not known.asks_back:
        return (str(replace(doubt, offered=())),)
    if doubt is not None:
        raise BadCellError(str(replace(doubt, offered=())), _expected(column), (*doubt.offered, "?"))
    return ()


def _beside(target: Target, column: Column, found: Map[str, Read]) -> dict[str, Read]:
    """What a cell says beside its own size, for the column of that name: the teeth of ``25 spl`` in one of pitches.

    Raises BadCellError where that column says something else.
    """
    known = DATATYPES.get(column.datatype)
    if known is None or not known.beside:
        return {}
    written, readings = found[column.name].written, found[column.name].readings
    said: dict[str, Read] = {}
    for name, expected in known.beside.items():
        value = readings[name].low if name in readings else None
        if value is None or not any(c.name == name for c in target.columns):
            continue
        text = str(int(value))
        if name in found and found[name].text != text:
            raise BadCellError(f"the column of {name} says {found[name].written!r}", expected)
        if name not in found:
            said[name] = Read(written, text, (f"{READ_BESIDE} the {column.name}",))
    return said


def _spelled(readings: Map[str, Quantity], datatype: str) -> str:
    try:
        return write_cell(readings, datatype)
    except ValueError as error:
        raise BadCellError(f"no cell of a record table says this ({error})", "one value") from error
