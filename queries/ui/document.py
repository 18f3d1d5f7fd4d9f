"""An answer as one JSON document: the same records and question give the same bytes.

The document names the answer, the form that it is written in, how the records were read, the exit status, the answer
(``result``), the tables of what it says once and refers to, and every note and source that it cites. Sizes are given in
the unit named beside them; lengths are millimetres. ``documents/declared.py`` says what stands once or as rows.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import Any, Generic, TypeVar

import msgspec
from msgspec.structs import replace

from knockon.graph.model.findings import rows_set_aside
from knockon.graph.model.things import Note, Source
from knockon.graph.records import Records
from knockon.queries.answers import as_text
from knockon.queries.tightening import without_torque
from knockon.queries.ui.documents import reading
from knockon.queries.ui.documents.declared import FORMS
from knockon.queries.ui.documents.layout import laid_out
from knockon.queries.ui.documents.writing import Writer

SCHEMA = 2
"""The version of the form of documents; docs/changes.md says what changed with each. The first had no number."""

T = TypeVar("T")


class RecordsRead(msgspec.Struct, frozen=True, omit_defaults=True):
    """How the records were read: whether they are the invented demo world, how many rows or cells were set aside, and
    the sources and clubs that were left out."""

    invented: bool
    set_aside: int
    without: tuple[str, ...] = ()


class Document(msgspec.Struct, Generic[T], frozen=True):
    """One answer. ``schema`` is the version of the form. ``status`` is the exit status: 0 answered: yes, complete, or
    found; 1 answered: no, incomplete, or not found. In the document ``columns`` and the tables stand behind
    ``result``."""

    answer: str
    records: RecordsRead
    status: int
    result: T
    notes: tuple[Note, ...] = ()
    sources: tuple[Source, ...] = ()
    schema: int = SCHEMA


def encode(
    name: str, answer: Any, status: int, records: Records | None, invented: bool, without: tuple[str, ...] = ()
) -> bytes:
    """The document, laid out in lines, with a line break at its end."""
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
    return written(Document(name, RecordsRead(invented, aside, without), status, answer, notes, sources))


def written(document: Document[Any]) -> bytes:
    """A document, laid out in lines, with a line break at its end."""
    writer = Writer(FORMS, document.result)
    return laid_out(
        {
            "answer": document.answer,
            "schema": document.schema,
            "records": msgspec.to_builtins(document.records),
            "status": document.status,
            "result": writer.result,
            "columns": FORMS.columns(type(document.result)),
            **writer.tables,
            "notes": [writer.value(note) for note in document.notes],
            "sources": [writer.value(source) for source in document.sources],
        }
    )


def read(document: bytes | str, answer: type[T]) -> Document[T]:
    """What a document of this answer says, references put back in place; places and the like are texts alone.

    Raises msgspec.DecodeError where it is no such document, KeyError or IndexError where a reference leads nowhere.
    """
    said = msgspec.json.decode(document)
    head = msgspec.convert({**said, "result": None}, Document[None])
    result = reading.read(FORMS, answer, said)
    return Document(head.answer, head.records, head.status, result, head.notes, head.sources, head.schema)


def in_full(document: Mapping[str, Any], answer: type[Any]) -> dict[str, Any]:
    """A document, as ``json.loads`` gives it, with all that it says once in every place where it is meant, as nested
    objects with all their keys. Raises KeyError or IndexError where a reference leads nowhere."""
    tables = {"columns", *FORMS.tables(answer)}
    whole = {key: value for key, value in document.items() if key not in tables}
    return {**whole, "result": reading.in_full(FORMS, answer, document)}


def indented(document: msgspec.Struct) -> bytes:
    """A document that refers to nothing, laid out in lines, with a line break at its end."""
    return laid_out(msgspec.to_builtins(document, enc_hook=as_text))


def schema_of_text(type_: type) -> dict[str, str]:
    """The JSON Schema of a text that knows what it is made of (a place, a size by name)."""
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
