"""Clubs: another club's statements beside one's own, each club a set of named graphs of its own.

Names that anyone can point at (parts, models as made, layouts, suppliers, kits) are common to all clubs. Names that a
club gave (its sources, notes, items, the vehicles and shelves of its members) are kept apart: the IRI
``.../id/sources/N02`` becomes ``.../id/clubs/NAME/sources/N02``, which answers show as ``NAME: N02``. So is every
named graph. Of each club the newest file stands (versions.py): any order, any number of times, gives the same set.
"""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Any

import msgspec
import pyoxigraph as ox

from knockon.graph.files.plain import content_of, why_not
from knockon.graph.files.rdf_files import club_files
from knockon.graph.model.findings import RecordsError
from knockon.graph.model.names import ID, RECORDS_GRAPH
from knockon.graph.model.schema import DCTERMS, RDF, VOCAB
from knockon.graph.rdf.canonical import PROV, NotRdf, from_bytes, iri_of, to_bytes, without_blank_nodes

CLUBS = ID + "clubs/"
_NAME = re.compile(r"[a-z0-9]+(-[a-z0-9]+)*")
LONGEST_NAME = 40
TYPE = ox.NamedNode(RDF + "type")
APART = ("sources", "notes", "items", "members")
"""The tables whose names a club gave; vehicles as found and shelves are added by what is said of them."""
Node = Any


class NotAClub(RecordsError):
    """A name that no club can have, or that no merged club has."""


def club_name(name: str) -> str:
    """The name, if a club can have it. Raises NotAClub."""
    if len(name) > LONGEST_NAME or not _NAME.fullmatch(name):
        raise NotAClub(f"{name!r} cannot be a club's name. Use small letters and digits, joined by hyphens, at most 40")
    return name


def club_of(iri: str) -> str:
    """The club whose graph or thing an IRI names; blank for one's own."""
    return iri.removeprefix(CLUBS).partition("/")[0] if iri.startswith(CLUBS) else ""


def merged_clubs(folder: Path) -> tuple[str, ...]:
    """The names of the merged clubs."""
    return tuple(p.stem for p in club_files(folder))


class Shared(msgspec.Struct, frozen=True):
    """Who shares, when and under what licence: told in the file itself."""

    club: str
    member: str = ""
    at: str = ""
    licence: str = ""
    title: str = ""


def scoped(quads: Iterable[ox.Quad], club: str) -> list[ox.Quad]:
    """One's own statements as those of a club: its graphs and the names that it gave are put under its own IRI."""
    club_name(club)
    own = [q for q in quads if not club_of(iri_of(q.graph_name))]
    apart = _found_things(own)

    def put(node: Node) -> Node:
        if not isinstance(node, ox.NamedNode) or not node.value.startswith(ID):
            return node
        rest = node.value.removeprefix(ID)
        table, _, key = rest.partition("/")
        bearer = key.partition("/")[0]
        given = table in APART or (table in ("vehicles", "kits") and node.value in apart)
        given |= table == "fittings" and f"{ID}vehicles/{bearer}" in apart
        given |= table == "kit_lines" and f"{ID}kits/{bearer}" in apart
        given |= table == "features" and f"{ID}items/{bearer}" in apart
        return ox.NamedNode(f"{CLUBS}{club}/{rest}") if given else node

    def graph(node: Node) -> ox.NamedNode:
        name = node.value if isinstance(node, ox.NamedNode) and node.value.startswith(ID) else RECORDS_GRAPH
        return ox.NamedNode(f"{CLUBS}{club}/{name.removeprefix(ID)}")

    return [ox.Quad(put(q.subject), q.predicate, put(q.object), graph(q.graph_name)) for q in own]


def _found_things(quads: Iterable[ox.Quad]) -> set[str]:
    """The IRIs of items, of vehicles as found, and of shelves."""
    marks = {("asMade", "false"), ("is", "shelf")}
    found = set()
    for quad in quads:
        if not isinstance(quad.subject, ox.NamedNode):
            continue
        if (quad.predicate == TYPE and quad.object == ox.NamedNode(VOCAB + "Item")) or (
            isinstance(quad.object, ox.Literal)
            and (quad.predicate.value.removeprefix(VOCAB), quad.object.value) in marks
        ):
            found.add(quad.subject.value)
    return found


def shared(quads: Iterable[ox.Quad], about: Shared) -> bytes:
    """One's own records and notes as TriG for other clubs, with who, when and licence (PROV-O, DCTERMS)."""
    return to_bytes([*scoped(quads, about.club), *about_share(about)], "trig")


def about_share(about: Shared) -> list[ox.Quad]:
    """What a club's file says of itself."""
    return list(_told_about(about))


def _told_about(about: Shared) -> Iterator[ox.Quad]:
    graph = ox.NamedNode(f"{CLUBS}{about.club}/about")
    club = ox.NamedNode(f"{CLUBS}{about.club}")
    share = ox.NamedNode(f"{CLUBS}{about.club}/shares/{re.sub('[^0-9A-Za-z:.+-]', '-', about.at) or 'undated'}")

    def say(subject: ox.NamedNode, predicate: str, value: Node) -> ox.Quad:
        return ox.Quad(subject, ox.NamedNode(predicate), value, graph)

    yield say(club, RDF + "type", ox.NamedNode(PROV + "Organization"))
    yield say(club, DCTERMS + "identifier", ox.Literal(about.club))
    yield say(share, RDF + "type", ox.NamedNode(PROV + "Bundle"))
    yield say(share, PROV + "wasAttributedTo", club)
    if about.title:
        yield say(club, DCTERMS + "title", ox.Literal(about.title))
    if about.member:
        yield say(share, DCTERMS + "creator", ox.Literal(about.member))
    if about.at:
        when = ox.Literal(about.at, datatype=ox.NamedNode("http://www.w3.org/2001/XMLSchema#dateTime"))
        yield say(share, PROV + "generatedAtTime", when)
    if about.licence:
        yield say(share, DCTERMS + "license", ox.Literal(about.licence))


def shares_of(quads: Iterable[ox.Quad], club: str) -> tuple[Shared, ...]:
    """What a club's files say of themselves: each share with who, when and licence, oldest first."""
    about, title = ox.NamedNode(f"{CLUBS}{club}/about"), min(titles_of(quads := list(quads), club), default="")
    words = {DCTERMS + "creator": "member", DCTERMS + "license": "licence", PROV + "generatedAtTime": "at"}
    told: dict[str, dict[str, str]] = defaultdict(dict)
    for quad in quads:
        if quad.graph_name != about or not iri_of(quad.subject).startswith(f"{CLUBS}{club}/shares/"):
            continue
        said = told[iri_of(quad.subject)]
        word = words.get(quad.predicate.value)
        if word and isinstance(quad.object, ox.Literal):
            said[word] = min(said.get(word, quad.object.value), quad.object.value)
    return tuple(
        sorted((Shared(club, **said, title=title) for said in told.values()), key=lambda s: (s.at, s.member, s.licence))
    )


def titles_of(quads: Iterable[ox.Quad], club: str) -> set[str]:
    """The full names that a club's files give it; more than one: two clubs may have chosen the same short name."""
    about, node = ox.NamedNode(f"{CLUBS}{club}/about"), ox.NamedNode(f"{CLUBS}{club}")
    title = ox.NamedNode(DCTERMS + "title")
    return {
        q.object.value
        for q in quads
        if (q.graph_name, q.subject, q.predicate) == (about, node, title) and isinstance(q.object, ox.Literal)
    }


def by_club(quads: Iterable[ox.Quad], name: str, given: str = "") -> dict[str, list[ox.Quad]]:
    """What comes in, by club. Statements in no club's graph become those of the club ``given``.

    Raises NotRdf where there are such statements and no club is given, NotAClub for an impossible name.
    """
    found: dict[str, list[ox.Quad]] = defaultdict(list)
    for quad in without_blank_nodes(quads):
        found[club_of(iri_of(quad.graph_name))].append(quad)
    loose = found.pop("", [])
    if loose and not given:
        raise NotRdf(f"{name} has {len(loose)} statements in no club's graph. Say whose they are with --club NAME")
    if loose:
        found[given] += scoped(loose, given)
    if not found:
        raise NotRdf(f"{name} contains no statements")
    return {club_name(club): found[club] for club in sorted(found)}


def read_club(path: Path) -> list[ox.Quad]:
    """The statements of a club's file. Raises NotRdf for a broken file or one that speaks for somebody else."""
    try:
        quads = from_bytes(content_of(path), "nq", str(path))
    except OSError as error:
        raise NotRdf(f"{path} cannot be read: {why_not(error)}") from error
    club_name(path.stem)
    strange = [q for q in quads if club_of(iri_of(q.graph_name)) != path.stem]
    if strange:
        raise NotRdf(f"{path}: {len(strange)} statements stand in graphs that are not the club's")
    return quads


def united(quads: Iterable[ox.Quad], more: Iterable[ox.Quad]) -> list[ox.Quad]:
    """The union of two sets of statements, in canonical order."""
    return without_blank_nodes({*quads, *more})
