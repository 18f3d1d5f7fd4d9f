"""Records that stand on a SPARQL 1.1 server: read as those of a folder are, each row checked, faulty ones set aside."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import pyoxigraph as ox
from msgspec.structs import replace

from knockon.graph.exchange.answerable import Stated, answerable
from knockon.graph.exchange.beside import completed
from knockon.graph.exchange.rows import good_rows
from knockon.graph.exchange.server import Server, parted
from knockon.graph.model.findings import Finding, RecordsError
from knockon.graph.model.schema import Vocabulary, own_files
from knockon.graph.records import Records, read_own_vocabulary


def load_served(server: Server, without: Sequence[str] = (), folder: Path | None = None) -> Records:
    """The records of a server's named graphs.

    The vocabulary is the shipped one with what the server's adds to it, checked as a club's Turtle is; where the server
    holds none, with the Turtle of ``folder``. Raises
    NotAnswered, and RecordsError where there are no records or ``without`` names what is not there.
    """
    quads, told = parted(server.quads())
    vocabulary, faults = _vocabulary(server, told, folder)
    came = good_rows(sorted(quads, key=str), vocabulary, "server")
    everything, nameless = completed([], came.good, vocabulary)
    findings = tuple(sorted({*faults, *came.findings, *(replace(f, file="server") for f in nameless)}))
    stated = Stated(everything, vocabulary, findings, (), tuple(came.lost), has_rdf=True, file="server")
    found = answerable(stated, without)
    if not found.catalogue.parts and not without:
        raise RecordsError(f"{server.url} has no records. Put a folder there with knockon export")
    return Records(found.catalogue, found.findings)


def _vocabulary(server: Server, told: list[ox.Triple], folder: Path | None) -> tuple[Vocabulary, tuple[Finding, ...]]:
    if not told:
        return read_own_vocabulary(tuple(own_files(folder)))
    from knockon.graph.rulebook.own import beside_shipped

    own = beside_shipped(told)
    vocabulary, findings = read_own_vocabulary(((server.url, own),) if own else ())
    return vocabulary, tuple(replace(f, row=0) for f in findings)  # a server has no lines
