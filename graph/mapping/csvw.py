"""Mappings as CSVW metadata (W3C Recommendation "Metadata Vocabulary for Tabular Data", 17 December 2015).

Used of it: a table group of tables with ``url``, ``tableSchema.columns`` with ``titles``, ``name``, ``suppressOutput``
and ``datatype.format.decimalChar``. What is ours stands under full IRIs, as the standard asks of common properties.
Nothing that a ``url`` or ``@context`` names is fetched.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from knockon.graph.mapping.model import ColumnMap, Mapping
from knockon.graph.schema import VOCAB

CONTEXT = "http://www.w3.org/ns/csvw"
MOST_BYTES = 4 * 1024 * 1024


class MappingError(ValueError):
    """A mapping that cannot be used; the message says where and why."""


def mapping_path(sheet: Path) -> Path:
    """Where a sheet's mapping is kept: beside it, by the standard's rule for metadata of one file."""
    return sheet.with_name(sheet.name + "-metadata.json")


def write_mapping(mappings: tuple[Mapping, ...], url: str) -> bytes:
    """The metadata of a sheet file whose name is ``url``."""
    document = {"@context": CONTEXT, "tables": [_table(m, url) for m in mappings]}
    return (json.dumps(document, indent=2, ensure_ascii=False) + "\n").encode()


def _table(mapping: Mapping, url: str) -> dict[str, Any]:
    columns: list[dict[str, Any]] = []
    for number, column in enumerate(mapping.columns, 1):
        # CSVW names may hold no blanks: they are percent-encoded as in a URI template's variable
        name = column.name.replace(" ", "%20") if column.name else f"_col.{number}"
        one: dict[str, Any] = {"titles": column.title, "name": name}
        if not column.name:
            one = {"titles": column.title, "suppressOutput": True}
        if column.decimal_comma:
            one["datatype"] = {"base": "decimal", "format": {"decimalChar": ","}}
        if column.unit:
            one[VOCAB + "unit"] = column.unit
        columns.append(one)
    table: dict[str, Any] = {"url": url, VOCAB + "recordTable": mapping.table}
    if mapping.sheet:
        table[VOCAB + "sheet"] = mapping.sheet
    if mapping.driver:
        table[VOCAB + "driver"] = mapping.driver
    for name, value in mapping.fixed:
        table[VOCAB + "fixed/" + name.replace(" ", "%20")] = value
    return table | {"tableSchema": {"columns": columns}}


def read_mapping(path: Path) -> tuple[Mapping, ...]:
    """The mappings in a metadata file, one a sheet. Raises MappingError."""
    try:
        if path.stat().st_size > MOST_BYTES:
            raise MappingError(f"{path}: too large for a mapping")
        document = json.loads(path.read_text(encoding="utf-8-sig"))
    except (OSError, ValueError, RecursionError) as error:
        if isinstance(error, MappingError):
            raise
        raise MappingError(f"{path}: cannot be read: {error}") from error
    if not isinstance(document, dict):
        raise MappingError(f"{path}: not an object")
    context = document.get("@context")
    if context != CONTEXT and not (isinstance(context, list) and context and context[0] == CONTEXT):
        raise MappingError(f"{path}: its @context is not {CONTEXT}")
    tables = document.get("tables", [document])
    if not isinstance(tables, list) or not tables:
        raise MappingError(f"{path}: it describes no table")
    found = tuple(_mapping(path, t) for t in tables)
    if len({m.sheet for m in found}) < len(found):
        raise MappingError(f"{path}: two tables describe the same sheet")
    return found


def _text(path: Path, value: object, what: str) -> str:
    if not isinstance(value, str):
        raise MappingError(f"{path}: {what} must be text, not {value!r:.40}")
    return value


def _mapping(path: Path, table: object) -> Mapping:
    if not isinstance(table, dict):
        raise MappingError(f"{path}: a table is not an object")
    target = _text(path, table.get(VOCAB + "recordTable", None), f"{VOCAB}recordTable")
    schema = table.get("tableSchema")
    columns = schema.get("columns") if isinstance(schema, dict) else None
    if not isinstance(columns, list):
        raise MappingError(f"{path}: {target} lacks tableSchema.columns")
    fixed = VOCAB + "fixed/"
    values = [(k[len(fixed) :].replace("%20", " "), _text(path, v, k)) for k, v in table.items() if k.startswith(fixed)]
    return Mapping(
        sheet=_text(path, table.get(VOCAB + "sheet", ""), "the sheet"),
        table=target,
        columns=tuple(c for one in columns for c in _columns(path, one)),
        fixed=tuple(sorted(values)),
        driver=_text(path, table.get(VOCAB + "driver", ""), "the driver's side"),
    )


def _columns(path: Path, column: object) -> Iterator[ColumnMap]:
    if not isinstance(column, dict):
        raise MappingError(f"{path}: a column is not an object")
    if column.get("virtual") is True:
        return
    titles = column.get("titles", column.get("name", ""))
    if isinstance(titles, dict):  # a natural language property: by language
        titles = next(iter(titles.values()), "")
    if isinstance(titles, list):
        titles = titles[0] if titles else ""
    suppressed = column.get("suppressOutput") is True
    name = "" if suppressed else _text(path, column.get("name", ""), "a column's name").replace("%20", " ")
    datatype = column.get("datatype")
    form = datatype.get("format") if isinstance(datatype, dict) else None
    comma = isinstance(form, dict) and form.get("decimalChar") == ","
    unit = _text(path, column.get(VOCAB + "unit", ""), "a unit")
    yield ColumnMap(_text(path, titles, "a column's title"), name, unit, comma)
