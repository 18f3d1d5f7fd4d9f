"""The JSON Schema of an answer's document: made from its types, then from what is said once or written as rows."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

import msgspec

from knockon.queries.ui.documents.forms import Forms, fields_of, structs_of
from knockon.queries.ui.sentences import documents as said

Schema = dict[str, Any]
TextSchema = Callable[[type], dict[str, str]] | None
_DEFS = "#/$defs/"
_ENTRY = ".entry"


def schema_of(forms: Forms, document: Any, answer: type[Any], version: int, of_text: TextSchema = None) -> Schema:
    """The schema of the ``document`` of an answer, of this version of the form: its parts under ``$defs``, the document
    itself under ``$ref``. ``of_text`` gives the schema of a text that is a type of its own."""
    types = (document, *structs_of(answer))
    (whole, *parts), defs = msgspec.json.schema_components(types, ref_template=f"{_DEFS}{{name}}", schema_hook=of_text)
    found = {one: part["$ref"].removeprefix(_DEFS) for one, part in zip(types[1:], parts, strict=True)}
    made: dict[str, Schema] = dict(defs)
    for one, name in found.items():
        made |= _written(forms, one, name, defs[name])
    made[found[answer]] = {
        **defs[found[answer]],
        "required": [f.name for f in fields_of(answer) if f.name not in forms.rare],
    }
    head = whole["$ref"].removeprefix(_DEFS)
    made[head] = _document(_behind_result(forms, answer, found), defs[head], version)
    return {"$ref": whole["$ref"], "$defs": dict(sorted(made.items()))}


def _written(forms: Forms, one: type[Any], name: str, plain: Mapping[str, Any]) -> dict[str, Schema]:
    """A type where it is meant and, where it is said once, in its table."""
    once, row = forms.once_of(one), forms.row_of(one)
    if once is None:
        return {name: _row(plain, forms.columns_meant(one), said.ROW.format(row=row))} if row else {}
    reference: Schema = {"type": "string"} if once.names else {"type": "integer", "minimum": 0}
    reference["description"] = (said.BY_NAME if once.names else said.BY_NUMBER).format(table=once.table)
    entry = _row(plain, forms.columns_entered(one), said.ROW.format(row=once.table))
    if not once.own:
        return {name: {"title": plain["title"], **reference}, name + _ENTRY: entry}
    meant = {
        "title": plain["title"],
        "type": "object",
        "properties": {once.key: reference, **{k: plain["properties"][k] for k in once.own}},
        "required": [once.key, *(k for k in once.own if k in plain["required"])],
    }
    if row:
        meant = _row(meant, forms.columns_meant(one), said.ROW.format(row=row))
    return {name: meant, name + _ENTRY: entry}


def _row(plain: Mapping[str, Any], columns: tuple[str, ...], says: str) -> Schema:
    """An object's schema as that of a row. What must be there goes as far as the last column without a default."""
    properties, required = plain["properties"], plain.get("required", ())
    return {
        "title": plain["title"],
        "description": "\n\n".join(text for text in (plain.get("description", ""), says) if text),
        "type": "array",
        "prefixItems": [{"title": column, **properties[column]} for column in columns],
        "items": False,
        "minItems": max((i + 1 for i, column in enumerate(columns) if column in required), default=0),
    }


def _document(behind_result: Mapping[str, Schema], plain: Mapping[str, Any], version: int) -> Schema:
    """The document's own schema; all of its keys are there."""
    own = {k: {x: y for x, y in prop.items() if x != "default"} for k, prop in plain["properties"].items()}
    properties = {
        "answer": own["answer"],
        "schema": {"const": version, "description": said.VERSION},
        **{key: own[key] for key in ("records", "status", "result")},
        **behind_result,
        **{key: own[key] for key in ("notes", "sources")},
    }
    about = " ".join((*plain["description"].split(), said.DEFAULTS))
    return {**plain, "description": about, "properties": properties, "required": list(properties)}


def _behind_result(forms: Forms, answer: type[Any], names: Mapping[type[Any], str]) -> dict[str, Schema]:
    """The schemas of the columns and tables of an answer's document."""
    columns = {row: {"const": list(keys)} for row, keys in forms.columns(answer).items()}
    return {
        "columns": {
            "type": "object",
            "properties": columns,
            "required": list(columns),
            "description": said.COLUMNS,
        },
        **{table: _table(forms, one, table, names[one]) for table, one in forms.tables(answer).items()},
    }


def _table(forms: Forms, one: type[Any], table: str, name: str) -> Schema:
    once = forms.once_of(one)
    entries = {"$ref": f"{_DEFS}{name}{_ENTRY}"}
    says = said.ENTRIES.format(table=table)
    if once is not None and once.names:
        return {"type": "object", "additionalProperties": entries, "description": says}
    return {"type": "array", "items": entries, "description": says}
