"""An answer as one JSON document: the same records and question give the same bytes.

The document names the answer, how the records were read, the exit status, the answer (``result``), and every note
and source that it cites. Sizes are given in the unit named beside them; lengths are millimetres.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Any, Generic, TypeVar

import msgspec
from msgspec.structs import replace

from knockon.graph.model.findings import rows_set_aside
from knockon.graph.model.things import Note, Source
from knockon.graph.records import Records
from knockon.queries.tightening import without_torque

T = TypeVar("T")


class RecordsRead(msgspec.Struct, frozen=True, omit_defaults=True):
    """How the records were read: whether they are the invented demo world, how many rows or cells were set aside, and
    the sources and clubs that were left out."""

    invented: bool
    set_aside: int
    without: tuple[str, ...] = ()


class Document(msgspec.Struct, Generic[T], frozen=True):
    """One answer. ``status`` is the exit status: 0 answered: yes, complete, or found; 1 answered: no, incomplete, or
    not found."""

    answer: str
    records: RecordsRead
    status: int
    result: T
    notes: tuple[Note, ...]
    sources: tuple[Source, ...]


def encode(
    name: str, answer: Any, status: int, records: Records | None, invented: bool, without: tuple[str, ...] = ()
) -> bytes:
    """The document, indented, with a line break at its end."""
    cited = {"notes": set[str](), "sources": set[str]()}
    for found in _cited(answer):
        for sort, names in found.items():
            cited[sort] |= set(names)
    catalogue = records.catalogue if records else None
    notes = (
        tuple(_without_torque(catalogue.notes[n]) for n in sorted(cited["notes"]) if n in catalogue.notes)
        if catalogue
        else ()
    )
    cited["sources"] |= {n.source for n in notes}
    sources = (
        tuple(catalogue.sources[s] for s in sorted(cited["sources"]) if s in catalogue.sources) if catalogue else ()
    )
    aside = rows_set_aside(records.findings) if records else getattr(answer, "set_aside", 0)
    return indented(Document(name, RecordsRead(invented, aside, without), status, answer, notes, sources))


def indented(document: msgspec.Struct) -> bytes:
    """A document as people read it, with a line break at its end."""
    return msgspec.json.format(msgspec.json.encode(document, enc_hook=_plain), indent=1) + b"\n"


def _plain(value: object) -> str:
    """A text that knows what it is made of (a place, a size by name), as the text that it is."""
    if isinstance(value, str):
        return str(value)
    raise NotImplementedError(type(value))


def schema_of_text(type_: type) -> dict[str, str]:
    """The JSON Schema of such a text."""
    if issubclass(type_, str):
        return {"type": "string"}
    raise NotImplementedError(type_)


def _without_torque(note: Note) -> Note:
    return replace(note, text=without_torque(note.text))


def _cited(value: Any) -> Iterator[dict[str, Iterable[str]]]:
    """The notes and sources that an answer names, wherever in it they stand."""
    if isinstance(value, msgspec.Struct):
        own = {name: getattr(value, name) for name in value.__struct_fields__}
        if isinstance(own.get("notes"), tuple):
            yield {"notes": own["notes"]}
        yield {"sources": (*own.get("absent_by", ()), own.get("source", ""))}
        for inner in own.values():
            yield from _cited(inner)
    elif isinstance(value, tuple | list):
        for inner in value:
            yield from _cited(inner)
