"""How a document stands in lines: a row of a table on one line, and so any object or list that is short."""

from __future__ import annotations

from typing import Any

import msgspec

from knockon.queries.ui.documents.writing import Row

WIDTH = 200


def laid_out(document: Any) -> bytes:
    """A document of JSON values as text, with a line break at its end."""
    return _lines(document, 0).encode() + b"\n"


def _lines(value: Any, deep: int) -> str:
    whole = msgspec.json.encode(value).decode()
    if len(whole) <= WIDTH - deep or isinstance(value, Row) or not isinstance(value, dict | list | tuple):
        return whole
    inner = deep + 1
    if isinstance(value, dict):
        parts = [f"{msgspec.json.encode(key).decode()}: {_lines(v, inner)}" for key, v in value.items()]
        first, last = "{", "}"
    else:
        parts = [_lines(v, inner) for v in value]
        first, last = "[", "]"
    between = "\n" + " " * inner
    return first + between + f",{between}".join(parts) + "\n" + " " * deep + last
