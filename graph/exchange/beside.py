"""What stands beside the tables of a records folder as RDF: added notes (``notes/``) and merged clubs (``clubs/``)."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from pathlib import Path

import pyoxigraph as ox

from knockon.graph.exchange.clubs import read_club
from knockon.graph.exchange.foreign import translated
from knockon.graph.exchange.rows import Came, good_rows
from knockon.graph.exchange.view import nameless
from knockon.graph.exchange.withdrawn import own_copies
from knockon.graph.files.plain import content_of, why_not
from knockon.graph.files.rdf_files import club_files, rdf_files
from knockon.graph.model.findings import Finding, RecordsError
from knockon.graph.model.schema import Vocabulary
from knockon.graph.rdf.canonical import from_bytes
from knockon.graph.rdf.provenance import provenance_of


def read_beside(
    folder: Path,
    vocabulary: Vocabulary,
    incoming: Mapping[str, list[ox.Quad]] | None = None,
    tables: Iterable[ox.Quad] = (),
) -> Came:
    """The usable statements of these files; a broken file or row becomes a finding and the rest goes on.

    ``incoming``: by club, all that it says once what is about to be merged is there. ``tables``: the statements of the
    tables, by whose parts and vehicles foreign statements are understood.
    """
    findings: list[Finding] = []
    stated: dict[str, list[ox.Quad]] = {}
    clubs, waiting = set(club_files(folder)), dict(incoming or {})
    for path in rdf_files(folder):
        name = path.relative_to(folder).as_posix()
        try:
            quads = read_club(path) if path in clubs else from_bytes(content_of(path), "nq", name)
        except (RecordsError, OSError) as error:
            why = why_not(error) if isinstance(error, OSError) else str(error)
            findings.append(
                Finding(file=name, problem=f"cannot be read: {why}", expected="N-Quads as knockon writes them")
            )
            continue
        stated[name] = waiting.pop(path.stem, quads) if path in clubs else quads
    stated |= {f"clubs/{club}.nq": arriving for club, arriving in waiting.items()}
    known = [*tables, *(q for quads in stated.values() for q in quads)]
    came = Came(good=[], findings=findings, lost=[])
    for name, quads in stated.items():
        understood, _ = translated(dict.fromkeys(quads), known, vocabulary)
        more = good_rows(dict.fromkeys(understood), vocabulary, name)
        came.good.extend(more.good)
        came.findings.extend(more.findings)
        came.lost.extend(more.lost)
    return came


def completed(
    quads: Iterable[ox.Quad], beside: list[ox.Quad], vocabulary: Vocabulary
) -> tuple[list[ox.Quad], list[Finding]]:
    """All statements with the provenance of the notes; which rows of clubs and notes name what nobody has;
    and which notes of one's own a club has withdrawn."""
    everything = [*quads, *beside]
    findings = [*nameless(everything, vocabulary), *own_copies(everything)] if beside else []
    return [*everything, *provenance_of(everything)], findings
