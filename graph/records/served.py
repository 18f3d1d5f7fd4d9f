"""Records that stand on a SPARQL 1.1 server: read as those of a folder are, each row checked, faulty ones set aside."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import pyoxigraph as ox

from knockon.graph.catalogue import build_catalogue
from knockon.graph.exchange.beside import completed
from knockon.graph.exchange.rows import good_rows
from knockon.graph.exchange.server import Server, parted
from knockon.graph.exchange.view import seen
from knockon.graph.records import Records, read_own_vocabulary
from knockon.graph.records.findings import Finding, RecordsError
from knockon.graph.schema import Vocabulary, VocabularyError, own_files, read_vocabulary


def load_served(server: Server, without: Sequence[str] = (), folder: Path | None = None) -> Records:
    """The records of a server's named graphs.

    The vocabulary is the server's where it holds one, else the shipped one with the Turtle of ``folder``. Raises
    NotAnswered, and RecordsError where there are no records or ``without`` names what is not there.
    """
    quads, told = parted(server.quads())
    vocabulary, faults = _vocabulary(server, told, folder)
    good, findings = good_rows(sorted(quads, key=str), vocabulary, "server")
    everything, nameless = completed(good, [], vocabulary)
    catalogue = build_catalogue(seen(everything, vocabulary, without), vocabulary)
    if not catalogue.parts and not without:
        raise RecordsError(f"{server.url}: no records stand there (a folder is written out with: knockon export)")
    return Records(catalogue, tuple(sorted({*faults, *findings, *nameless})))


def _vocabulary(server: Server, told: list[ox.Triple], folder: Path | None) -> tuple[Vocabulary, tuple[Finding, ...]]:
    if not told:
        return read_own_vocabulary(tuple(own_files(folder)))
    try:
        return read_vocabulary([(server.url, ox.serialize(told, format=ox.RdfFormat.TURTLE) or b"")]), ()
    except VocabularyError as error:
        raise RecordsError(f"{server.url}: the vocabulary cannot be used: {error}") from error
