"""Ask: a SPARQL 1.1 query over the records, one of the ready-made ones or the user's own.

Parameters are bound as terms, never pasted into the text. Only queries are answered: an update, SERVICE and LOAD are
refused before anything runs, since nothing leaves the machine. The query runs in a process of its own that is ended
when its time is up.
"""

from __future__ import annotations

import json
import re
import subprocess
import sys
from collections.abc import Iterable, Iterator, Mapping, Sequence
from math import isfinite
from typing import Any
from urllib.parse import unquote

import msgspec
import pyoxigraph as ox

from knockon.graph.files.shipped import shipped
from knockon.graph.model.catalogue import Catalogue, UnknownNameError, name_meant
from knockon.graph.model.findings import RecordsError
from knockon.graph.model.names import ID, iri
from knockon.graph.model.nearest import nearest
from knockon.graph.model.schema import SH
from knockon.graph.quantity import CellError, read_cell
from knockon.graph.rdf.canonical import PREFIXES, XSD
from knockon.queries.answers import Answer

LONGEST_QUERY = 100_000
MOST_ROWS = 100_000
SORTS = ("part", "vehicle", "source", "kind", "dimension", "number", "size", "text")
PREFIXES_OF_QUERIES = {**PREFIXES, "sh": SH, "id": ID}


class QueryRefused(RecordsError):
    """A query cannot be asked, or was not answered in time; the message says why."""


class Parameter(msgspec.Struct, frozen=True):
    """A parameter of a ready-made query; ``sort`` is one of SORTS; ``default`` None: it must be given."""

    name: str
    sort: str
    says: str
    default: str | None = None


class ReadyMade(msgspec.Struct, frozen=True):
    """A query that comes with the program: what it answers, and its parameters."""

    name: str
    answers: str
    parameters: tuple[Parameter, ...]
    text: str


class Term(msgspec.Struct, frozen=True):
    """One cell of an answer: ``shown`` as people know it, ``value`` as it stands; ``kind``: iri, literal or blank."""

    shown: str
    value: str
    kind: str
    datatype: str = ""
    language: str = ""


class AskAnswer(Answer, frozen=True):
    """The table of an answer; ``whole`` is False where it was cut off at MOST_ROWS rows."""

    query: str
    answers: str
    columns: tuple[str, ...]
    rows: tuple[tuple[Term | None, ...], ...]
    whole: bool


# ------------------------------------------------------- ready-made queries

_PARAMETER = re.compile(
    r"# \?(?P<name>[a-z_]+) (?P<sort>[a-z]+)(?: \[(?P<default>[^\]]*)\])?: (?P<says>.+)",
)


def ready_made() -> dict[str, ReadyMade]:
    """All ready-made queries by name."""
    folder = shipped("queries", "ask", "sparql")
    files = sorted((f.name, f.read_text(encoding="utf-8")) for f in folder.iterdir() if f.name.endswith(".rq"))
    return {name.removesuffix(".rq"): described(name.removesuffix(".rq"), text) for name, text in files}


def described(name: str, text: str) -> ReadyMade:
    """A query with what its head says: a comment line of what it answers, then one for each parameter."""
    head = [line for line in text.splitlines() if line.startswith("#")]
    found = [m for line in head if (m := _PARAMETER.fullmatch(line))]
    answers = " ".join(line.removeprefix("#").strip() for line in head if not _PARAMETER.fullmatch(line))
    return ReadyMade(
        name, answers, tuple(Parameter(m["name"], m["sort"], m["says"], m["default"]) for m in found), text
    )


def bindings_of(query: ReadyMade, given: Mapping[str, str], catalogue: Catalogue | None) -> dict[str, Any]:
    """The terms of a query's parameters; without a catalogue names are taken exactly as they are written.

    Raises QueryRefused for a missing or wrong one, UnknownNameError for a name that the catalogue does not know.
    """
    known = {p.name for p in query.parameters}
    for name in given:
        if name not in known:
            has = f"Its parameters are {', '.join(sorted(known))}" if known else "It has none"
            raise QueryRefused(f"the query {query.name} has no parameter {name!r}. {has}")
    terms = {}
    for parameter in query.parameters:
        written = given.get(parameter.name, parameter.default)
        if written is None:
            raise QueryRefused(f"the query {query.name} needs {parameter.name}: {parameter.says}")
        terms[parameter.name] = _term(parameter, written, catalogue)
    if {"least", "most"} <= terms.keys() and float(terms["least"].value) > float(terms["most"].value):
        raise QueryRefused(f"least ({terms['least'].value}) is greater than most ({terms['most'].value})")
    return terms


def _term(parameter: Parameter, written: str, catalogue: Catalogue | None) -> ox.NamedNode | ox.Literal:
    if parameter.sort in ("part", "vehicle", "source"):
        if not written:
            raise QueryRefused(f"{parameter.name} is empty: {parameter.says}")
        name = getattr(catalogue.find(parameter.sort, written), parameter.sort) if catalogue else written
        return ox.NamedNode(iri(parameter.sort + "s", name))
    if parameter.sort in ("kind", "dimension"):
        return ox.Literal(_of_vocabulary(parameter.sort, written, catalogue) if catalogue else written)
    if parameter.sort == "text":
        return ox.Literal(written)
    try:
        value = float(written)
    except ValueError:
        value = _size(parameter, written)
    if not isfinite(value):  # Python reads "nan" and "inf"; no size is either
        raise QueryRefused(f"{parameter.name} is {written!r}. Enter a number")
    return ox.Literal(repr(value), datatype=ox.NamedNode(XSD + "double"))


def _of_vocabulary(sort: str, written: str, catalogue: Catalogue) -> str:
    """A kind of feature or a dimension as the vocabulary spells it; of a thread also one of its sizes."""
    kinds = catalogue.vocabulary.kinds.values()
    recorded = {d for features in catalogue.features.values() for f in features.values() for d in f.dimensions}
    known = {k.label for k in kinds} if sort == "kind" else {c.name for k in kinds for c in k.columns} | recorded
    if sort == "kind":
        return name_meant("kind of feature", written, known, catalogue.vocabulary.others("Kind"))
    others: dict[str, set[str]] = {}
    for column in (c for k in kinds for c in k.columns):
        others.setdefault(column.name, set()).update(column.other)
    return name_meant(sort, written, known, others)


def _size(parameter: Parameter, written: str) -> float:
    """A size with its unit, in mm; a bare number is taken as one in the base unit."""
    try:
        low = read_cell(written, "length")[""].low if parameter.sort == "size" else None
    except CellError:
        low = None
    if low is None:
        expected = "a number in the base unit, or a size with its unit" if parameter.sort == "size" else "a number"
        raise QueryRefused(f"{parameter.name} is {written!r}. Enter {expected}")
    return low


def find_ready_made(name: str) -> ReadyMade:
    """The ready-made query of this name. Raises UnknownNameError."""
    known = ready_made()
    if name not in known:
        raise UnknownNameError("ready-made query", name, nearest(name, known))
    return known[name]


# -------------------------------------------------------------------- guard

_TOKEN = re.compile(
    r"""(?P<iri><[^<>"{}|^`\\\x00-\x20]*>)
      | (?P<text>\"\"\"(?:[^"\\]|\\.|"(?!""))*\"\"\" | '''(?:[^'\\]|\\.|'(?!''))*'''
               | "(?:[^"\\\n\r]|\\.)*" | '(?:[^'\\\n\r]|\\.)*')
      | (?P<comment>\#[^\n\r]*)
      | (?P<escaped>\\.)
      | (?P<quote>["'])
      | (?P<word>[A-Za-z][A-Za-z0-9_]*)
      | (?P<other>.)""",
    re.VERBOSE | re.DOTALL,
)
_TO_BRACE = re.compile(r"(?:\s|#[^\n\r]*)*\{")
_CODE_POINT = re.compile(r"\\u([0-9A-Fa-f]{4})|\\U([0-9A-Fa-f]{8})")
_FETCHES = ("SERVICE", "LOAD")
"""Words that reach out. Refused also where more letters follow: a parser may read SERVICEx:y as SERVICE x:y."""
_UPDATES = {"INSERT", "DELETE", "CLEAR", "DROP", "CREATE", "ADD", "MOVE", "COPY", "WITH"}
_FORMS = {"SELECT", "ASK", "CONSTRUCT", "DESCRIBE"}


def guard(text: str) -> None:
    """Refuse what is no query, or would reach out of the machine. Raises QueryRefused.

    SPARQL lets any character be written as a code point escape, which is read before anything else; so the text is
    looked at as it stands and as it reads.
    """
    if len(text) > LONGEST_QUERY:
        raise QueryRefused(f"the query has {len(text)} characters. Write one of at most {LONGEST_QUERY}")
    words: list[str] = []
    for reading in dict.fromkeys((text, _CODE_POINT.sub(_character, text))):
        words = [word for word, _ in _words(reading)]
        fetching = next((f for f in _FETCHES if any(w.startswith(f) for w in words)), "")
        if fetching:
            raise QueryRefused(f"{fetching} is refused. A query reads these records only, and nothing is fetched")
    first = next((w for w in words if w in _FORMS | _UPDATES), "")
    if first in _UPDATES:
        raise QueryRefused(f"{first} is refused. Write a query (SELECT, ASK, CONSTRUCT, DESCRIBE)")


def _character(match: re.Match[str]) -> str:
    try:
        return chr(int(match[1] or match[2], 16))
    except (ValueError, OverflowError):
        return " "


def names_graphs(text: str) -> bool:
    """Whether a query says itself which graphs it asks (FROM)."""
    return any(word == "FROM" for word, _ in _words(text))


def form_of(text: str) -> str:
    """SELECT, ASK, CONSTRUCT or DESCRIBE; blank where none of them stands there."""
    return next((word for word, _ in _words(text) if word in _FORMS), "")


def places_of_groups(text: str) -> list[int]:
    """Where the group of each WHERE begins: the place behind its brace."""
    found = []
    for word, end in _words(text):
        rest = text[end:]
        brace = _TO_BRACE.match(rest) if word == "WHERE" else None
        if brace:
            found.append(end + brace.end())
    return found


def _words(text: str) -> list[tuple[str, int]]:
    """The bare words of a query, in capitals, and where each ends: no part of a string, an IRI, a comment, a variable
    or a local name."""
    words = []
    before = ""
    for match in _TOKEN.finditer(text):
        if match.lastgroup == "quote":
            raise QueryRefused("a string is not closed")
        if match.lastgroup == "word" and before not in ("?", "$", ":", "@"):
            words.append((match[0].upper(), match.end()))
        before = match[0][-1:]
    return words


# -------------------------------------------------------------------- running


def ask(quads: Iterable[ox.Quad], query: ReadyMade, bindings: Mapping[str, Any], seconds: float = 20.0) -> AskAnswer:
    """Run a query over these statements, all graphs together as its default graph.

    Raises QueryRefused for a query that is refused, cannot be understood, or is not answered in ``seconds``.
    """
    guard(query.text)
    statements = ox.serialize(quads, format=ox.RdfFormat.N_QUADS) or b""
    bound = {name: str(term) for name, term in bindings.items()}
    order = {"query": query.text, "bindings": bound, "prefixes": PREFIXES_OF_QUERIES, "most": MOST_ROWS}
    order["union"] = not names_graphs(query.text)
    head = json.dumps({**order, "seconds": seconds}).encode()
    try:
        done = subprocess.run(
            [sys.executable, "-m", "knockon.queries.ask.process"],
            input=head + b"\n" + statements, capture_output=True, timeout=seconds, check=False,
        )  # fmt: skip
    except subprocess.TimeoutExpired as error:
        raise QueryRefused(f"no answer within {seconds:g} s, so the query was stopped") from error
    if done.returncode != 0:
        raise QueryRefused("the query was stopped because it needed too much memory or too deep a stack")
    answer = json.loads(done.stdout)
    if "error" in answer:
        raise QueryRefused(f"the query cannot be understood: {answer['error']}")
    return shown_rows(query, answer, bindings)


def shown_rows(query: ReadyMade, answer: Mapping[str, Any], bindings: Mapping[str, Any]) -> AskAnswer:
    """The answer's table, without the columns of its parameters; rows in a fixed order where the query says none."""
    kept = [i for i, c in enumerate(answer["columns"]) if c not in bindings]
    rows = [tuple(None if row[i] is None else _cell(*row[i]) for i in kept) for row in answer["rows"]]
    columns = tuple(answer["columns"][i].replace("_", " ") for i in kept)
    ordered = sorted(dict.fromkeys(rows), key=_order) if answer["unordered"] else list(rows)
    return AskAnswer(
        query=query.name, answers=query.answers, columns=columns, rows=tuple(_named(ordered)), whole=answer["whole"]
    )


def _named(rows: Iterable[Sequence[Term | None]]) -> Iterator[tuple[Term | None, ...]]:
    """The rows with blank nodes named in their order: the store gives them other names each time."""
    names: dict[str, str] = {}
    for row in rows:
        for term in row:
            if term is not None and term.kind == "blank":
                names.setdefault(term.value, f"_:b{len(names) + 1}")
        yield tuple(
            Term(names[t.value], names[t.value], t.kind) if t is not None and t.kind == "blank" else t for t in row
        )


def _order(row: Sequence[Term | None]) -> tuple[str, ...]:
    return tuple(
        "" if term is None else "_:" if term.kind == "blank" else f"{term.shown}\0{term.value}" for term in row
    )


def _cell(kind: str, value: str, datatype: str = "", language: str = "") -> Term:
    shown = value
    if kind == "iri" and value.startswith(ID):
        shown = unquote(value.removeprefix(ID).partition("/")[2])
    elif kind == "iri":
        shown = next(
            (f"{p}:{value.removeprefix(i)}" for p, i in PREFIXES_OF_QUERIES.items() if value.startswith(i)), value
        )
    elif datatype.removeprefix(XSD) in ("double", "decimal", "float"):
        try:
            shown = f"{float(value):.6g}"
        except ValueError:
            shown = value
    return Term(shown, value, kind, datatype, language)
