"""A club's file as it grows older: which of two files is the newer one, and what a newer one says no longer.

A club shares all that it says, so the newest file is what it says. Newer is told by the file's own share time
(``prov:generatedAtTime``), not by the order of merging: whichever file comes first, the newest one stands in the end.
Files of one time are united. A file that does not say when it was shared is older than every file that does; a time in
the future says nothing, since it would keep every correction out until then. Two full names of one short name are
perhaps two clubs: the one that is there stays.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from datetime import UTC, datetime, timedelta
from enum import StrEnum
from typing import Any
from urllib.parse import unquote

import msgspec
import pyoxigraph as ox

from knockon.graph.exchange.clubs import CLUBS, TYPE, Shared, about_share, shares_of, titles_of, united
from knockon.graph.exchange.view import shown_source
from knockon.graph.model.names import ID
from knockon.graph.model.schema import DCTERMS, VOCAB, Column, Vocabulary
from knockon.graph.rdf.canonical import PROV, iri_of

_STRUCTURE = {TYPE.value, VOCAB + "of", VOCAB + "featureName"}
Quads = list[ox.Quad]


class How(StrEnum):
    """What becomes of a club's file beside what the club has said here before."""

    FIRST = "first"
    THERE = "there already"
    NEWER = "newer"
    SAME_TIME = "same time"
    UNDATED = "both undated"
    KEPT = "old kept"
    OLDER = "older"
    NOT_DATED = "not dated"
    NAMESAKE = "another full name"
    NOT_WRITTEN = "not written"

    @property
    def taken(self) -> bool:
        """Whether what the file says stands in the records now."""
        return self not in (How.OLDER, How.NOT_DATED, How.NAMESAKE, How.NOT_WRITTEN)


class Merged(msgspec.Struct, frozen=True):
    """What a club says once a file is taken in: all its statements. ``at`` is when the file was shared and ``there``
    when what was there before was, each as written; blank: not told, or no time that can be read."""

    how: How
    quads: Quads
    at: str = ""
    there: str = ""


class NoLonger(msgspec.Struct, frozen=True, order=True):
    """One thing that a newer file says no longer: a cell, or (``column`` blank) a whole row without other cells.
    ``now``: what the newer file says there; blank: nothing."""

    club: str
    thing: str
    column: str
    before: str
    now: str
    source: str


def moment(written: str) -> datetime | None:
    """A time as files write it (ISO 8601); one without a zone counts as UTC. None for what is no such time."""
    try:
        found = datetime.fromisoformat(written.strip())
        return (found if found.tzinfo else found.replace(tzinfo=UTC)).astimezone(UTC)
    except (ValueError, OverflowError):
        return None


CLOCKS = timedelta(days=1)
"""How far another club's clock, or its time without a zone, may be ahead of ours."""


def today() -> datetime:
    """What the clock says."""
    return datetime.now(UTC)


def is_in_future(at: datetime) -> bool:
    """Whether a time of sharing has not come yet, so that no file can have been shared then."""
    return at > today() + CLOCKS


def shared_at(quads: Iterable[ox.Quad], club: str) -> str:
    """When the newest of the shares was made that these statements tell of; blank where none tells a time that has
    come."""
    times = [(at, share.at) for share in shares_of(quads, club) if (at := moment(share.at)) is not None]
    return max((t for t in times if not is_in_future(t[0])), default=(None, ""))[1]


def in_future(quads: Iterable[ox.Quad], club: str) -> str:
    """The latest time of sharing told that has not come yet; blank: there is none."""
    times = [(at, share.at) for share in shares_of(quads, club) if (at := moment(share.at)) is not None]
    return max((t for t in times if is_in_future(t[0])), default=(None, ""))[1]


def dated(incoming: Mapping[str, Quads], at: str) -> dict[str, Quads]:
    """The statements, those of clubs whose file does not say when it was shared as shared ``at``."""
    found = {}
    for club, quads in incoming.items():
        told = [] if not at or shared_at(quads, club) else about_share(Shared(club, at=at))
        found[club] = united(quads, told) if told else quads
    return found


def merged(there: Quads, coming: Quads, club: str, keep_old: bool = False) -> Merged:
    """What a club says once a file is taken in beside what it has said. ``keep_old``: all of both files."""
    at, before = shared_at(coming, club), shared_at(there, club)
    newer = bool(at) and (not before or _moment(at) > _moment(before))
    if not there:
        return Merged(How.FIRST, united(coming, ()), at)
    if set(coming) <= set(there) and (keep_old or not newer):
        return Merged(How.THERE, there, at, before)
    if keep_old:
        return Merged(How.KEPT, united(there, coming), at, before)
    if _namesakes(there, coming, club):
        return Merged(How.NAMESAKE, there, at, before)
    if newer:
        return Merged(How.NEWER, united(coming, ()), at, before)
    if moment(at) == moment(before):  # or neither tells one
        return Merged(How.SAME_TIME if at else How.UNDATED, united(there, coming), at, before)
    return Merged(How.OLDER if at else How.NOT_DATED, there, at, before)


def _namesakes(there: Quads, coming: Quads, club: str) -> bool:
    """Whether two files of one short name give two full ones: perhaps two clubs, of which none replaces the other."""
    names = titles_of(there, club), titles_of(coming, club)
    return all(names) and not names[0] & names[1]


def _moment(written: str) -> datetime:
    found = moment(written)
    assert found is not None
    return found


def no_longer(there: Quads, now: Quads, club: str, vocabulary: Vocabulary) -> list[NoLonger]:
    """What stood there and stands there no more, cell by cell; what the files say of themselves is left out."""
    about = f"{CLUBS}{club}/about"
    kept = set(now)
    gone = [q for q in there if q not in kept and iri_of(q.graph_name) != about]
    said: dict[tuple[Any, Any, str], list[str]] = defaultdict(list)
    for quad in now:
        said[(quad.graph_name, quad.subject, quad.predicate.value)].append(_shown(quad.object))
    columns = {c.path: c for t in (*vocabulary.tables.values(), *vocabulary.kinds.values()) for c in t.columns}
    rows: dict[tuple[Any, Any], Quads] = defaultdict(list)
    for quad in gone:
        rows[(quad.graph_name, quad.subject)].append(quad)
    return sorted(
        NoLonger(club, _named(subject, club), column, before, "; ".join(sorted(said[(graph, subject, path)])), source)
        for (graph, subject), quads in rows.items()
        for source in [shown_source(iri_of(graph))]
        for column, path, before in _cells(quads, columns)
    )


def _cells(quads: Quads, columns: Mapping[str, Column]) -> Iterator[tuple[str, str, str]]:
    """Column, predicate and value of each cell of a row that is gone or changed; what only names the row is left out
    unless there is nothing else, and what is only drawn from the row (its provenance) always."""
    whole = any(q.predicate == TYPE and iri_of(q.object).startswith(VOCAB) for q in quads)
    found: dict[str, list[str]] = defaultdict(list)
    names: list[str] = []
    for quad in quads:
        path = quad.predicate.value
        if path in _STRUCTURE or (path.startswith((PROV, DCTERMS)) and iri_of(quad.subject).startswith(ID)):
            continue
        told = names if whole and path in columns and columns[path].key else found[path]
        told.append(_shown(quad.object))
    yield from ((columns[p].name if p in columns else p, p, "; ".join(sorted(v))) for p, v in found.items())
    if whole and not found:
        yield "", "", "; ".join(sorted(names))


def _named(node: Any, club: str) -> str:
    return unquote(iri_of(node).removeprefix(f"{CLUBS}{club}/").removeprefix(ID)) or str(node)


def _shown(node: Any) -> str:
    if isinstance(node, ox.NamedNode):
        return unquote(node.value.removeprefix(ID))
    return str(getattr(node, "value", node))
