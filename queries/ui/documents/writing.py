"""An answer as a document holds it: each value that is said once in its table, rows as lists, no defaults."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import msgspec

from knockon.queries.answers import as_text
from knockon.queries.ui.documents.forms import Forms, Once, default_in_json, default_of, fields_of


class Row(list[Any]):
    """A row: it stands on one line."""


Table = dict[str, Row] | list[Row]


class Writer:
    """Writes one answer; the tables fill on the way."""

    def __init__(self, forms: Forms, answer: Any) -> None:
        self.forms = forms
        self.tables: dict[str, Table] = {
            table: {} if (once := forms.once_of(one)) and once.names else []
            for table, one in forms.tables(type(answer)).items()
        }
        self._known: dict[tuple[str, bytes], str | int] = {}
        self.result = {
            f.name: self.value(getattr(answer, f.name))
            for f in fields_of(type(answer))
            if f.name not in forms.rare or not _is_default(getattr(answer, f.name), default_of(f))
        }
        """The answer: all of its own keys are there, also those at their default, but for rare ones."""

    def value(self, value: Any) -> Any:
        """A value of an answer as the document holds it."""
        if isinstance(value, msgspec.Struct):
            return self._meant(value)
        if isinstance(value, tuple | list):
            return [self.value(inner) for inner in value]
        if isinstance(value, dict):
            return {str(key): self.value(inner) for key, inner in value.items()}
        return msgspec.to_builtins(value, enc_hook=as_text)

    def _meant(self, value: Any) -> Any:
        """A value where it is meant: an object, a row, or a reference with what is its own."""
        one = type(value)
        said = self._said(value)
        once = self.forms.once_of(one)
        if once is not None:
            columns = self.forms.columns_entered(one)
            entered = self._entered(once, value, _row({c: said[c] for c in columns if c in said}, columns, one))
            if not once.own:
                return entered
            said = {once.key: entered, **{k: v for k, v in said.items() if k in once.own}}
        return _row(said, self.forms.columns_meant(one), one) if self.forms.row_of(one) else said

    def _said(self, value: Any) -> dict[str, Any]:
        """The fields of a value that are not at their default."""
        found = {}
        for one in fields_of(type(value)):
            inner = getattr(value, one.name)
            default = default_of(one)
            if not _is_default(inner, default):
                found[one.name] = self.value(inner)
        return found

    def _entered(self, once: Once, value: Any, row: Row) -> str | int:
        """The reference to an entry, which is set down where it is new."""
        key = (once.table, msgspec.json.encode(row))
        if key not in self._known:
            table = self.tables[once.table]
            if isinstance(table, dict):
                name = _free(once.names(value) if once.names else (), table)
                table[name] = row
                self._known[key] = name
            else:
                table.append(row)
                self._known[key] = len(table) - 1
        return self._known[key]


def _is_default(value: Any, default: Any) -> bool:
    """Whether a value need not be said. Texts are compared as texts: whatever else they know is not in a document."""
    if isinstance(value, str) and isinstance(default, str):
        return str(value) == str(default)
    return default is not msgspec.NODEFAULT and type(value) is type(default) and bool(value == default)


def _free(names: Sequence[str], taken: dict[str, Row]) -> str:
    """The first name that is not taken; where all are, the last one and a number."""
    name = next((n for n in names if n not in taken), "")
    number = 1
    while not name:
        number += 1
        name = "" if f"{names[-1]} ({number})" in taken else f"{names[-1]} ({number})"
    return name


def _row(said: dict[str, Any], columns: tuple[str, ...], one: type[Any]) -> Row:
    """An object as a row: the values of its columns. Those at their default are cut off behind, written out between."""
    known = {f.name: f for f in fields_of(one)}
    length = max((i + 1 for i, column in enumerate(columns) if column in said), default=0)
    return Row(said[c] if c in said else default_in_json(known[c]) for c in columns[:length])
