"""What a document says once, in a table of its own, and what it writes as rows.

This is the mechanism, and knows no answer; ``declared.py`` names the types. Types are named, not imported: a document
of one answer loads no other.
"""

from __future__ import annotations

import typing
from collections.abc import Callable, Iterator, Mapping
from typing import Any, TypeGuard

import msgspec
from msgspec.structs import FieldInfo, fields

from knockon.queries.answers import as_text

Names = Callable[[Any], tuple[str, ...]]


class Once(msgspec.Struct, frozen=True):
    """Values of a type stand once in the document, in its key ``table``.

    Without ``own`` the whole value stands there, and elsewhere a reference. ``own`` are the fields that differ where
    the rest is the same: elsewhere they stand beside the reference, whose key is ``key``. A reference is the number of
    an entry, from 0, or its name where there are ``names``: the first that no other entry has, shortest first; where
    all are taken, the last one and a number.
    """

    table: str
    names: Names | None = None
    key: str = ""
    own: tuple[str, ...] = ()


class Forms(msgspec.Struct, frozen=True):
    """How a document writes what it does not write as a plain object, by the name of the type: said ``once``; as
    ``rows``, named as their columns are. Entries of tables are rows, named as the table. Keys of the answer itself that
    are ``rare`` are left out at their default, as they are everywhere else."""

    once: Mapping[str, Once] = msgspec.field(default_factory=dict)
    rows: Mapping[str, str] = msgspec.field(default_factory=dict)
    rare: frozenset[str] = frozenset()

    def once_of(self, one: type[Any]) -> Once | None:
        """How a type is said once; None where it is not."""
        return self.once.get(named(one))

    def row_of(self, one: type[Any]) -> str:
        """Of what a value is a row where it is meant; blank where it is none."""
        return self.rows.get(named(one), "")

    def columns_meant(self, one: type[Any]) -> tuple[str, ...]:
        """The keys of a type, in order, where a value of it is meant."""
        once = self.once_of(one)
        return (once.key, *once.own) if once else tuple(f.name for f in fields_of(one))

    def columns_entered(self, one: type[Any]) -> tuple[str, ...]:
        """The keys of a type, in order, in its table."""
        once = self.once_of(one)
        own = once.own if once else ()
        return tuple(f.name for f in fields_of(one) if f.name not in own)

    def tables(self, answer: type[Any]) -> dict[str, type[Any]]:
        """The tables that an answer of this type may need, in their order, each with the type of its entries."""
        met = {named(one): one for one in structs_of(answer)}
        return {once.table: met[name] for name, once in self.once.items() if name in met}

    def columns(self, answer: type[Any]) -> dict[str, tuple[str, ...]]:
        """The names of the columns of all rows that an answer of this type may hold, by what they are rows of."""
        found = {table: self.columns_entered(one) for table, one in self.tables(answer).items()}
        found |= {self.row_of(o): self.columns_meant(o) for o in structs_of(answer) if self.row_of(o)}
        return dict(sorted(found.items()))


def named(one: type[Any]) -> str:
    """A type by its module, as a path in ``knockon.queries``, and its name."""
    return f"{one.__module__.removeprefix('knockon.queries.')}.{one.__qualname__}"


_FIELDS: dict[type[Any], tuple[FieldInfo, ...]] = {}


def fields_of(one: type[Any]) -> tuple[FieldInfo, ...]:
    """The fields of a struct with their types; looked up once, a document has thousands of values of few types."""
    if one not in _FIELDS:
        _FIELDS[one] = fields(one)
    return _FIELDS[one]


def default_of(one: FieldInfo) -> Any:
    """A field's default; NODEFAULT where it has none."""
    return one.default if one.default_factory is msgspec.NODEFAULT else one.default_factory()


def default_in_json(one: FieldInfo) -> Any:
    """A field's default as a document would say it."""
    return msgspec.json.decode(msgspec.json.encode(default_of(one), enc_hook=as_text))


def is_struct(one: Any) -> TypeGuard[type[msgspec.Struct]]:
    """Whether something is a type whose values have fields."""
    return isinstance(one, type) and issubclass(one, msgspec.Struct)


def structs_of(one: type[Any]) -> tuple[type[Any], ...]:
    """The types with fields that may stand in a value of this one, itself too, in the order of their fields."""
    met: dict[type[Any], None] = {}
    waiting = [one]
    while waiting:
        now = waiting.pop()
        if is_struct(now) and now not in met:
            met[now] = None
            waiting += reversed([t for inner in fields_of(now) for t in _types_in(inner.type)])
    return tuple(met)


def _types_in(hint: Any) -> Iterator[type[Any]]:
    if isinstance(hint, type):
        yield hint
    for inner in typing.get_args(hint):
        yield from _types_in(inner)
