"""Withdrawn notes and their copies: a note that its writer took back does not come back in another club's file.

A copy says the same in all that a note says (member, date, condition, text, parts, joint, outcome, work done, vehicle,
evidence) and reads the same, or one of the two reads nothing; two notes of one club are two notes. One's own notes are
withdrawn by oneself only: a club that takes back its copy of one is a finding.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator
from typing import Any
from urllib.parse import unquote

import msgspec
import pyoxigraph as ox

from knockon.graph.exchange.clubs import CLUBS, TYPE, club_of
from knockon.graph.model.findings import Finding
from knockon.graph.model.names import ID
from knockon.graph.model.schema import VOCAB
from knockon.graph.rdf.canonical import iri_of

WITHDRAWN, _NOTE = ox.NamedNode(VOCAB + "withdrawn"), ox.NamedNode(VOCAB + "Note")
_SAYS = {VOCAB + n for n in ("member", "date", "condition", "text", "parts", "joint", "outcome", "workDone", "vehicle",
                             "evidence")}  # fmt: skip
Row = tuple[Any, Any]
"""A note with the graph in which it stands."""


class _Told(msgspec.Struct):
    words: set[tuple[str, str]] = msgspec.field(default_factory=set)
    readings: set[tuple[str, str, str]] = msgspec.field(default_factory=set)


def taken_back(quads: Iterable[ox.Quad]) -> dict[Row, Row]:
    """The notes that count for nothing, each with the one that was withdrawn: itself, or the one that it copies."""
    quads = list(quads)
    first = sorted(((q.subject, q.graph_name) for q in quads if q.predicate == WITHDRAWN), key=str)
    return {row: original for row, original in _copies(quads, first) if _club(row)} | {row: row for row in first}


def own_copies(quads: Iterable[ox.Quad]) -> list[Finding]:
    """A finding for each note of one's own that stands though a club has withdrawn a note in the same words."""
    quads = list(quads)
    first = sorted({(q.subject, q.graph_name) for q in quads if q.predicate == WITHDRAWN}, key=str)
    own = {row: original for row, original in _copies(quads, first) if not _club(row) and row not in first}
    expected = "note withdraw, if it is the same note"
    found = []
    for row, original in sorted(own.items(), key=str):
        problem = f"{_club(original)} has withdrawn this note in the same words ({_name(original)})"
        found.append(Finding(file="notes", column=_name(row), problem=problem, expected=expected, set_aside=False))
    return found


def _copies(quads: list[ox.Quad], originals: list[Row]) -> Iterator[tuple[Row, Row]]:
    """The copies of these notes in other clubs' words, each with its original."""
    if not originals:
        return
    told = _notes(quads)
    same: dict[frozenset[tuple[str, str]], list[Row]] = defaultdict(list)
    for row, note in told.items():
        same[frozenset(note.words)].append(row)
    for original in originals:
        if original not in told or not told[original].words:
            continue
        read = told[original].readings
        for row in same[frozenset(told[original].words)]:
            other = told[row].readings
            if _club(row) != _club(original) and (read == other or not read or not other):
                yield row, original


def _notes(quads: list[ox.Quad]) -> dict[Row, _Told]:
    found = {(q.subject, q.graph_name): _Told() for q in quads if q.predicate == TYPE and q.object == _NOTE}
    graphs = {row[1]: row for row in found if is_its_own(*row)}
    for quad in quads:
        row = (quad.subject, quad.graph_name)
        if row in found and quad.predicate.value in _SAYS:
            found[row].words.add((quad.predicate.value, _plain(quad.object)))
        subject = _plain(quad.subject)
        if quad.graph_name in graphs and subject.startswith(ID + "features/"):
            found[graphs[quad.graph_name]].readings.add((subject, quad.predicate.value, _plain(quad.object)))
    return found


def is_its_own(note: Any, graph: Any) -> bool:
    """Whether a graph is a note's own: that of the source of its name."""
    return bool(iri_of(note).replace("/notes/", "/sources/", 1) == iri_of(graph))


def _club(row: Row) -> str:
    return club_of(iri_of(row[1]))


def _plain(node: Any) -> str:
    """A term without the name of the club that gave it."""
    iri = iri_of(node)
    if club := club_of(iri):
        return ID + iri.removeprefix(f"{CLUBS}{club}/")
    return str(getattr(node, "value", node))


def _name(row: Row) -> str:
    return unquote(_plain(row[0]).removeprefix(ID + "notes/"))
