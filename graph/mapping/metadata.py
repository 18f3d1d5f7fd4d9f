"""CSVW metadata, as much of it as mappings use, read by the rules of the standard.

W3C Recommendation "Metadata Vocabulary for Tabular Data", 17 December 2015: which documents are an error, and which
parts are passed over with a warning. Used are table groups and tables with ``url``, the schema's columns with
``titles``, ``name``, ``virtual`` and ``suppressOutput``, a number's ``decimalChar``, and common properties. Nothing is
fetched that a ``url``, an ``@id`` or a ``@context`` names; a schema given by its URL is therefore an error here.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Mapping
from typing import Any
from urllib.parse import unquote

import msgspec

CONTEXT = "http://www.w3.org/ns/csvw"
INHERITED = frozenset(
    ("aboutUrl", "datatype", "default", "lang", "null", "ordered", "propertyUrl", "required", "separator")
) | {"textDirection", "valueUrl"}
ABOUT = frozenset(("dialect", "notes", "tableDirection", "tableSchema", "transformations"))
PROPERTIES = {
    "TableGroup": INHERITED | ABOUT | {"@context", "@id", "@type", "tables"},
    "Table": INHERITED | ABOUT | {"@context", "@id", "@type", "suppressOutput", "url"},
    "Schema": INHERITED | {"@id", "@type", "columns", "foreignKeys", "primaryKey", "rowTitles"},
    "Column": INHERITED | {"@id", "@type", "name", "suppressOutput", "titles", "virtual"},
}
"""The properties that the standard defines for each sort of description, beside common properties."""

_NAME = re.compile(r"(?:[A-Za-z0-9_]|%[0-9A-Fa-f]{2})(?:\.?(?:[A-Za-z0-9_]|%[0-9A-Fa-f]{2}))*")
# BCP 47 as far as it can be told without its registry: languages of two or three letters (ISO 639), and of the
# extensions only those that are registered (RFC 6067: u, RFC 6497: t).
_LANGUAGE = re.compile(
    r"(?:[a-z]{2,3}(?:-[a-z]{3}){0,3}(?:-[a-z]{4})?(?:-(?:[a-z]{2}|\d{3}))?(?:-(?:[a-z0-9]{5,8}|\d[a-z0-9]{3}))*"
    r"(?:-[tu](?:-[a-z0-9]{2,8})+)*(?:-x(?:-[a-z0-9]{1,8})+)?|x(?:-[a-z0-9]{1,8})+)",
    re.IGNORECASE,
)
_ABSOLUTE = re.compile(r"[A-Za-z][A-Za-z0-9+.-]*:.+")
_TERMS = frozenset((*PROPERTIES, "Dialect", "Template", "Cell", "Row", "ForeignKey", "Transformation", "Direction"))
_DATATYPES = frozenset(
    """
    any anyAtomicType anyURI base64Binary binary boolean byte date dateTime dateTimeStamp datetime dayTimeDuration
    decimal double duration float gDay gMonth gMonthDay gYear gYearMonth hexBinary html int integer json language long
    Name NMTOKEN negativeInteger nonNegativeInteger nonPositiveInteger normalizedString number positiveInteger QName
    short string time token unsignedByte unsignedInt unsignedLong unsignedShort xml yearMonthDuration
    """.split()  # noqa: SIM905
)


class MappingError(ValueError):
    """A mapping that cannot be used; the message says where and why."""


class Described(msgspec.Struct, frozen=True):
    """One column as metadata describes it; ``titles`` with their languages (``und``: not said)."""

    titles: tuple[tuple[str, str], ...]
    name: str
    virtual: bool
    suppressed: bool
    decimal_comma: bool
    common: Mapping[str, Any]


class DescribedTable(msgspec.Struct, frozen=True):
    """One table as metadata describes it; ``url`` as it is written, relative to the metadata."""

    url: str
    columns: tuple[Described, ...]
    common: Mapping[str, Any]


class Passed(msgspec.Struct, frozen=True):
    """What the standard says is passed over with a warning; ``loses``: a column's name or title goes with it."""

    text: str
    loses: bool


class Metadata(msgspec.Struct, frozen=True):
    """A metadata document, and what of it is passed over."""

    tables: tuple[DescribedTable, ...]
    warnings: tuple[Passed, ...]


class _Reader(msgspec.Struct):
    warnings: list[Passed] = msgspec.field(default_factory=list)
    language: str = "und"

    def warn(self, where: str, problem: str, loses: bool = False) -> None:
        self.warnings.append(Passed(f"{where}: {problem}", loses))


def read_metadata(text: str) -> Metadata:
    """Read a metadata document. Raises MappingError for what the standard calls an error."""
    try:
        document = json.loads(text)
    except (ValueError, RecursionError) as error:
        raise MappingError(f"not JSON: {error}") from error
    if not isinstance(document, dict):
        raise MappingError("not an object")
    reader = _Reader()
    _context(reader, document.get("@context"))
    if "tables" in document:
        _check(reader, document, "TableGroup", "the table group")
        tables = _items(reader, document["tables"], "tables", "a table description")
        if not tables:
            raise MappingError("it describes no table")
    elif document.get("@type") == "TableGroup" and "url" not in document:
        raise MappingError("the table group lacks its tables")
    else:
        tables = [document]
    return Metadata(tuple(_table(reader, t) for t in tables), tuple(reader.warnings))


def _context(reader: _Reader, context: Any) -> None:
    local = context[1] if isinstance(context, list) and len(context) == 2 else {}
    first = context[0] if isinstance(context, list) and context else context
    if first != CONTEXT or not isinstance(local, dict) or (isinstance(context, list) and len(context) > 2):
        raise MappingError(f"its @context is not {CONTEXT}")
    if set(local) - {"@base", "@language"}:
        raise MappingError("its @context sets more than @base and @language")
    language = local.get("@language", "und")
    if is_language(language):
        reader.language = language
    else:
        reader.warn("@context", f"{language!r} is no language tag of BCP 47")


def is_language(tag: Any) -> bool:
    """Whether this is a language tag of BCP 47, as far as it can be told without the registry."""
    return isinstance(tag, str) and _LANGUAGE.fullmatch(tag) is not None


def _items(reader: _Reader, value: Any, where: str, expected: str) -> list[dict[str, Any]]:
    """The objects of an array property; anything else in it, or instead of it, is passed over with a warning."""
    if not isinstance(value, list):
        reader.warn(where, "not an array, so it counts as empty")
        return []
    for item in value:
        if not isinstance(item, dict):
            reader.warn(where, f"{item!r:.40} is not {expected}, so it is not read", True)
    return [item for item in value if isinstance(item, dict)]


def _check(reader: _Reader, described: dict[str, Any], sort: str, where: str) -> dict[str, Any]:
    """Check what all descriptions have in common; gives the common properties."""
    ident, kind = described.get("@id", ""), described.get("@type", sort)
    if not isinstance(ident, str):
        reader.warn(where, "its @id is not text, so it is not read")
    elif ident.startswith("_:"):
        raise MappingError(f"{where}: its @id is a blank node")
    if kind != sort:
        raise MappingError(f"{where}: its @type is {kind!r}, not {sort}")
    common = {}
    for name, value in described.items():
        if name in PROPERTIES[sort]:
            continue
        if ":" in name and not name.startswith("@"):
            _common(value, f"{where}, {name}")
            common[name] = value
        else:
            reader.warn(where, f"{name!r} is no property of a {sort}, so it is not read")
    return common


def _common(value: Any, where: str) -> None:
    """Check the value of a common property (section 5.8: a subset of JSON-LD). Raises MappingError."""
    if isinstance(value, list):
        for item in value:
            _common(item, where)
    if not isinstance(value, dict):
        return
    strange = [k for k in value if k.startswith("@") and k not in ("@id", "@language", "@type", "@value")]
    if strange:
        raise MappingError(f"{where}: {strange[0]} may not stand in a common property")
    if "@value" in value:
        _value(value, where)
        return
    if "@language" in value:
        raise MappingError(f"{where}: @language without @value")
    _named(value.get("@id", ""), where, "@id")
    kinds = value.get("@type", [])
    for kind in kinds if isinstance(kinds, list) else [kinds]:
        _type(kind, where)
    for name, inner in value.items():
        if not name.startswith("@"):
            _common(inner, where)


def _value(value: dict[str, Any], where: str) -> None:
    if set(value) - {"@value", "@type", "@language"} or {"@type", "@language"} <= set(value):
        raise MappingError(f"{where}: beside @value only @type or @language may stand")
    if value.get("@language") is not None and not is_language(value["@language"]):
        raise MappingError(f"{where}: {value['@language']!r} is no language tag of BCP 47")
    if not isinstance(value["@value"], str | int | float):
        raise MappingError(f"{where}: @value must be text, a number, true or false")
    if "@type" in value:
        _type(value["@type"], where)


def _named(ident: Any, where: str, what: str) -> None:
    if not isinstance(ident, str) or ident.startswith("_:"):
        raise MappingError(f"{where}: its {what} is not an IRI")


def _type(kind: Any, where: str) -> None:
    _named(kind, where, "@type")
    if kind not in _TERMS | _DATATYPES and not _ABSOLUTE.fullmatch(kind):
        raise MappingError(f"{where}: its @type {kind!r} is neither a term of CSVW nor an IRI")


def _table(reader: _Reader, table: dict[str, Any]) -> DescribedTable:
    url = table.get("url")
    if not isinstance(url, str) or not url:
        raise MappingError("a table lacks its url")
    common = _check(reader, table, "Table", f"the table {url}")
    schema = table.get("tableSchema", {})
    if isinstance(schema, str):
        raise MappingError(f"the table {url}: its tableSchema stands elsewhere, and nothing is fetched")
    if not isinstance(schema, dict):
        reader.warn(f"the table {url}", "its tableSchema is not an object, so it counts as empty")
        schema = {}
    _check(reader, schema, "Schema", f"the table {url}, tableSchema")
    found = _items(reader, schema.get("columns", []), f"the table {url}, columns", "a column description")
    columns = tuple(_column(reader, c, f"the table {url}, column {n}") for n, c in enumerate(found, 1))
    _check_columns(columns, url)
    return DescribedTable(url, columns, common)


def _check_columns(columns: tuple[Described, ...], url: str) -> None:
    names = [c.name for c in columns if c.name]
    twice = sorted({n for n in names if names.count(n) > 1})
    if twice:
        raise MappingError(f"the table {url}: two columns have the name {twice[0]!r}")
    virtual = [c.virtual for c in columns]
    if virtual != sorted(virtual):
        raise MappingError(f"the table {url}: a virtual column stands before one that is not")


def _column(reader: _Reader, column: dict[str, Any], where: str) -> Described:
    common = _check(reader, column, "Column", where)
    flags = {}
    for name in ("virtual", "suppressOutput"):
        flags[name] = column.get(name, False)
        if not isinstance(flags[name], bool):
            reader.warn(where, f"its {name} is neither true nor false, so it counts as false", True)
            flags[name] = False
    name = column.get("name", "")
    if not isinstance(name, str) or (name and (not _NAME.fullmatch(name) or name.startswith("_"))):
        reader.warn(where, f"{name!r:.60} can be no column's name, so it is not read", True)
        name = ""
    datatype = column.get("datatype")
    form = datatype.get("format") if isinstance(datatype, dict) else None
    comma = isinstance(form, dict) and form.get("decimalChar") == ","
    titles = tuple(_titles(reader, column.get("titles", []), where))
    return Described(titles, unquote(name), flags["virtual"], flags["suppressOutput"], comma, common)


def _titles(reader: _Reader, value: Any, where: str) -> Iterator[tuple[str, str]]:
    """The titles with their languages; what is no text, and what stands under no language tag, is passed over."""
    if not isinstance(value, str | list | dict):
        reader.warn(where, "its titles are neither text, array nor object, so they are not read", True)
        return
    for language, said in value.items() if isinstance(value, dict) else [(reader.language, value)]:
        if not is_language(language):
            reader.warn(where, f"{language!r} is no language tag of BCP 47, so its titles are not read", True)
            continue
        for title in said if isinstance(said, list) else [said]:
            if isinstance(title, str):
                yield language, title
            else:
                reader.warn(where, f"the title {title!r:.40} is not text, so it is not read", True)


def describes(table: DescribedTable, file: str) -> bool:
    """Whether a table's url means a file of this name beside the metadata."""
    return file in (table.url, unquote(table.url), unquote(table.url).removeprefix("./"))


def without_column(table: DescribedTable, header: tuple[str, ...]) -> tuple[Described, ...]:
    """The columns that no header of a file matches: by title, case-sensitive, as the standard compares them.

    A header says no language, and ``und`` matches every language. Columns may stand in any order and may be fewer.
    """
    return tuple(c for c in table.columns if not c.virtual and not {t for _, t in c.titles} & set(header))
