"""A document read back: references, rows and what was left out are put in place again."""

from __future__ import annotations

import typing
from collections.abc import Mapping
from typing import Any, TypeVar

import msgspec

from knockon.queries.ui.documents.forms import Forms, default_in_json, fields_of, is_struct

T = TypeVar("T")


def in_full(forms: Forms, answer: type[Any], document: Mapping[str, Any]) -> dict[str, Any]:
    """The result of a document (as ``json.loads`` gives it) as nested objects with all their keys.

    Raises KeyError or IndexError where a reference leads nowhere.
    """
    return typing.cast(dict[str, Any], _Reader(forms, document).value(answer, document["result"]))


def read(forms: Forms, answer: type[T], document: Mapping[str, Any]) -> T:
    """The answer that a document holds. A text that knew what it was made of (a place, a size by name) is the text
    alone: its parts are not set. Raises msgspec.ValidationError where it is no answer of this type.
    """
    return msgspec.convert(in_full(forms, answer, document), answer, dec_hook=str.__new__)


class _Reader:
    def __init__(self, forms: Forms, document: Mapping[str, Any]) -> None:
        self.forms, self.document = forms, document

    def value(self, hint: Any, value: Any) -> Any:
        """A value of this type, in full."""
        if value is None:
            return None
        if is_struct(hint):
            return self._object(hint, value)
        inner = [a for a in typing.get_args(hint) if a is not type(None)]
        origin = typing.get_origin(hint)
        if origin is dict:
            return {key: self.value(inner[1], v) for key, v in value.items()}
        if origin in (tuple, list):
            several = [inner[0]] * len(value) if origin is list or inner[-1] is ... else inner
            return [self.value(one, v) for one, v in zip(several, value, strict=True)]
        return self.value(inner[0], value) if len(inner) == 1 else value

    def _object(self, one: type[Any], value: Any) -> dict[str, Any]:
        said = self._said(one, value)
        return {
            f.name: self.value(f.type, said[f.name]) if f.name in said else default_in_json(f) for f in fields_of(one)
        }

    def _said(self, one: type[Any], value: Any) -> dict[str, Any]:
        """What is said of a value, by key: where it is meant, and in its table."""
        once = self.forms.once_of(one)
        if once is None or once.own:
            said = dict(zip(self.forms.columns_meant(one), value, strict=False)) if self.forms.row_of(one) else value
        else:
            said = {once.key: value}
        if once is None:
            return dict(said)
        entry = self.document[once.table][said[once.key]]
        return {**dict(zip(self.forms.columns_entered(one), entry, strict=False)), **said}
