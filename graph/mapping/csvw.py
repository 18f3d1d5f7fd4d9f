"""Mappings as CSVW metadata (W3C Recommendation "Metadata Vocabulary for Tabular Data", 17 December 2015).

What is ours stands under full IRIs, as the standard asks of common properties: the record table, the sheet of a
workbook, the driver's side, a column's unit, values that hold in every row.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any
from urllib.parse import quote, unquote

from knockon.graph.files.plain import content_of, why_not
from knockon.graph.mapping.metadata import (
    CONTEXT,
    Described,
    DescribedTable,
    MappingError,
    describes,
    read_metadata,
)
from knockon.graph.mapping.model import ColumnMap, Mapping, row_table
from knockon.graph.model.schema import VOCAB

__all__ = ["MappingError", "mapping_path", "read_mapping", "write_mapping"]

MOST_BYTES = 4 * 1024 * 1024
FIXED = VOCAB + "fixed/"


def mapping_path(sheet: Path) -> Path:
    """Where a sheet's mapping is kept: beside it, by the standard's rule for metadata of one file."""
    return sheet.with_name(sheet.name + "-metadata.json")


def write_mapping(mappings: tuple[Mapping, ...], url: str) -> bytes:
    """The metadata of a sheet file whose name is ``url``."""
    document = {"@context": CONTEXT, "tables": [_table(m, quote(url)) for m in mappings]}
    return (json.dumps(document, indent=2, ensure_ascii=False) + "\n").encode()


def _table(mapping: Mapping, url: str) -> dict[str, Any]:
    columns: list[dict[str, Any]] = []
    for column in mapping.columns:
        titles = [column.title, *column.also] if column.also else column.title
        one: dict[str, Any] = {"titles": titles, "suppressOutput": True}
        if column.name:
            # a name may hold letters, digits and underscores: the rest is percent-encoded, as in a URI template
            one = {"titles": titles, "name": _encoded(column.name)}
        if column.decimal_comma:
            one["datatype"] = {"base": "decimal", "format": {"decimalChar": ","}}
        if column.unit:
            one[VOCAB + "unit"] = column.unit
        if column.too:
            one[VOCAB + "fillsToo"] = list(column.too)
        columns.append(one)
    table: dict[str, Any] = {"url": url, VOCAB + "recordTable": mapping.table}
    if mapping.sheet:
        table[VOCAB + "sheet"] = mapping.sheet
    if mapping.driver:
        table[VOCAB + "driver"] = mapping.driver
    for name, value in mapping.fixed:
        table[FIXED + _encoded(name)] = value
    return table | {"tableSchema": {"columns": columns}}


def _encoded(name: str) -> str:
    """A name as CSVW allows it: letters, digits and underscores, none of these first; the rest percent-encoded."""
    plain = (chr(b) if chr(b).isascii() and (chr(b).isalnum() or (chr(b) == "_" and n)) else f"%{b:02X}"
             for n, b in enumerate(name.encode()))  # fmt: skip
    return "".join(plain)


def read_mapping(path: Path, file: str = "") -> tuple[Mapping, ...]:
    """The mappings in a metadata file; a flat sheet has several, as several tables of the same ``url``. Raises
    MappingError.

    ``file``: the name of the sheet's file beside which the metadata was found; tables of other files are passed over,
    as the standard asks. What would lose a column with a mere warning is an error here.
    """
    try:
        metadata = read_metadata(content_of(path, MOST_BYTES).decode("utf-8-sig"))
        tables = [t for t in metadata.tables if not file or describes(t, file)]
        if not tables:
            named = ", ".join(t.url for t in metadata.tables)
            raise MappingError(f"it describes {named} and not {file}. If you mean it, name it with --mapping")
        lost = [w.text for w in metadata.warnings if w.loses]
        if lost:
            raise MappingError(lost[0])
        found = tuple(_mapping(t) for t in tables)
        if len({(m.sheet, row_table(m, found)) for m in found}) < len(found):
            raise MappingError("two tables describe the same sheet, and fill the same table with the same feature")
    except OSError as error:
        raise MappingError(f"{path} cannot be read: {why_not(error)}") from error
    except UnicodeDecodeError as error:
        raise MappingError(f"{path} cannot be read: {error}") from error
    except MappingError as error:
        raise MappingError(str(error) if str(error).startswith(f"{path}: ") else f"{path}: {error}") from error
    return found


def _text(value: object, what: str) -> str:
    if not isinstance(value, str):
        raise MappingError(f"{what} must be text, not {value!r:.40}")
    return value


def _mapping(table: DescribedTable) -> Mapping:
    common = table.common
    target = _text(common.get(VOCAB + "recordTable"), f"{VOCAB}recordTable")
    if not table.columns:
        raise MappingError(f"{target} has no tableSchema.columns")
    values = [(unquote(k[len(FIXED) :]), _text(v, k)) for k, v in common.items() if k.startswith(FIXED)]
    return Mapping(
        sheet=_text(common.get(VOCAB + "sheet", ""), "the sheet"),
        table=target,
        columns=tuple(c for one in table.columns for c in _columns(one)),
        fixed=tuple(sorted(values)),
        driver=_text(common.get(VOCAB + "driver", ""), "the driver's side"),
    )


def _columns(column: Described) -> Iterator[ColumnMap]:
    if column.virtual:
        return
    # without titles the name is the title: section 5.6 gives a column without a name its first title, and back
    title, *also = [t for _, t in column.titles] or [column.name]
    name = "" if column.suppressed else column.name
    unit = _text(column.common.get(VOCAB + "unit", ""), "a unit")
    too = column.common.get(VOCAB + "fillsToo", [])
    too = tuple(_text(n, "fillsToo") for n in (too if isinstance(too, list) else [too]))
    yield ColumnMap(title, name, unit, column.decimal_comma, tuple(also), too if name else ())
