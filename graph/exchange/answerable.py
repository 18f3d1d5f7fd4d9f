"""What answers rest on: the statements as they are seen, in order, and their catalogue with what was set aside of it.

Every way in ends here: tables, notes and clubs beside them, a server. Tables have been checked row by row and beside
each other when they were read; as soon as anything came as RDF, all rows are checked beside each other again.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import msgspec
import pyoxigraph as ox

from knockon.graph.exchange.clubs import club_of
from knockon.graph.exchange.view import belongs_to, chosen, left_out, speakers, whole_rows
from knockon.graph.model.build import build_catalogue
from knockon.graph.model.catalogue import Catalogue
from knockon.graph.model.findings import Finding
from knockon.graph.model.schema import Vocabulary
from knockon.graph.model.things import SetAside
from knockon.graph.rdf.canonical import iri_of
from knockon.graph.tables.skipped import Lost, set_aside_of


class Stated(msgspec.Struct, frozen=True):
    """Statements as they were read. ``set_aside``: rows of tables; ``lost``: rows that came as RDF, and could not be
    used; ``has_rdf``: anything came as RDF; ``file``: what findings call that, where it is no club's."""

    quads: Iterable[ox.Quad]
    vocabulary: Vocabulary
    findings: tuple[Finding, ...]
    set_aside: tuple[SetAside, ...] = ()
    lost: tuple[Lost, ...] = ()
    has_rdf: bool = False
    file: str = "records"


class Answerable(msgspec.Struct, frozen=True):
    """The statements that answers see, their catalogue, and all that was found wrong."""

    quads: list[ox.Quad]
    catalogue: Catalogue
    findings: tuple[Finding, ...]


def answerable(
    stated: Stated, without: Sequence[str] = (), withdrawn: bool = False, merged: Sequence[str] = ()
) -> Answerable:
    """What answers rest on; the arguments are those of ``view.seen``, and it raises what that does."""
    quads, vocabulary = list(stated.quads), stated.vocabulary
    seen = chosen(quads, vocabulary, without, withdrawn, merged)
    if not stated.has_rdf:
        seen = seen if seen is quads else whole_rows(seen, vocabulary)  # where nothing is left out they are so
        return Answerable(seen, build_catalogue(seen, vocabulary, stated.set_aside), stated.findings)
    from knockon.graph.exchange.in_order import in_order  # brings the readers of cells, which tables alone need not
    from knockon.graph.tables.put_together import put_together

    seen = put_together(seen, vocabulary)
    used = _of_used_layouts(stated, quads, without, merged)
    found = in_order(seen, vocabulary, used, stated.file, merged)
    aside = (*stated.set_aside, *set_aside_of([*used, *found.lost], found.kept))
    findings = tuple(sorted({*stated.findings, *found.findings}))
    return Answerable(found.quads, build_catalogue(found.quads, vocabulary, aside), findings)


def _of_used_layouts(stated: Stated, quads: list[ox.Quad], without: Sequence[str], merged: Sequence[str]) -> list[Lost]:
    """The lost rows that would have been seen: of nothing left out, and of nothing that another describes."""
    graphs = {iri_of(q.graph_name) for q in quads} | {row.graph for row in stated.lost}
    out = left_out(graphs, without, merged)
    spoken = speakers((q for q in quads if iri_of(q.graph_name) not in out), stated.vocabulary)
    lost = (row for row in stated.lost if row.graph not in out)
    return [
        row for row in lost if spoken.get(belongs_to(row.table, row.cells), club_of(row.graph)) == club_of(row.graph)
    ]
