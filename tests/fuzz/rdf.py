"""RDF of another club, broken: some statements of a small world and some in foreign words, taken in as a merge does."""

from __future__ import annotations

import random
import shutil
import tempfile
from functools import cache
from pathlib import Path

import pyoxigraph as ox

from knockon.graph.exchange.answerable import Stated, answerable
from knockon.graph.exchange.beside import completed
from knockon.graph.exchange.clubs import Shared, by_club, shared
from knockon.graph.exchange.foreign import translated
from knockon.graph.exchange.merging import merge_into
from knockon.graph.exchange.rows import TYPE, good_rows, shown
from knockon.graph.exchange.versions import dated, merged
from knockon.graph.exchange.view import stated
from knockon.graph.model.findings import RecordsError
from knockon.graph.model.schema import Vocabulary
from knockon.graph.rdf.canonical import FORMATS, from_bytes, iri_of, read_rdf, to_bytes
from knockon.graph.records import Records, load, read_graph
from knockon.queries.club.merging import judge_merge
from tests.exchange.world import write_world
from tests.fuzz.kinds import Input, Kind
from tests.fuzz.mutate import NASTY, broken

FOREIGN = b"""
@prefix s: <https://schema.org/> . @prefix q: <http://qudt.org/schema/qudt/> . @prefix x: <https://shop.example/> .
@prefix u: <http://qudt.org/vocab/unit/> . @prefix xsd: <http://www.w3.org/2001/XMLSchema#> .
x:1 a s:Product ; s:mpn "S-1" ; s:name "spacer" ; s:isAccessoryOrSparePartFor x:v ; s:isConsumableFor [ s:name "van" ] .
x:v a s:Vehicle ; s:name "van" . x:2 a s:Product ; s:sku "F-2" ; s:offers x:o ; s:depth x:q .
x:o a s:Offer ; s:price "12.50" ; s:priceCurrency "GBP" ; s:seller [ s:name "Mill" ] ; s:itemOffered x:2 .
x:q a q:QuantityValue ; q:numericValue "12.7"^^xsd:decimal ; q:unit u:MilliM ; s:name "spacer length" .
x:3 a s:Product ; s:mpn "S-2" ; s:additionalProperty
    [ a s:PropertyValue ; s:name "spacer length" ; s:value 12.2 ; s:unitCode "MMT" ] .
"""
WITH_MERGE = 0.02
"""Of so many inputs the whole merge is judged, made and read again, from a file in a folder of its own."""


class _World:
    """A small world's folder and what a merge reads of it, once."""

    def __init__(self) -> None:
        self.folder = write_world(Path(tempfile.mkdtemp(prefix="knockon-fuzz-")) / "ours")
        store, self.vocabulary, _ = read_graph(self.folder)
        self.own = list(store)
        content = shared(stated(store), Shared("north", "m9", "2026-01-02T03:04:05Z", "CC0-1.0", "The north"))
        self.theirs = from_bytes(content, "trig", "it")
        self.foreign = from_bytes(FOREIGN, "ttl", "it")
        self.before: Records = load(self.folder)


@cache
def _world() -> _World:
    return _World()


def _other_term(rng: random.Random, quads: list[ox.Quad]) -> ox.Quad:
    """A statement with one of its terms from another, or with a text that readers trip over."""
    quad, other = rng.choice(quads), rng.choice(quads)
    what = rng.randrange(5)
    if what == 0 and isinstance(other.subject, ox.NamedNode):
        return ox.Quad(other.subject, quad.predicate, quad.object, quad.graph_name)
    if what == 1:
        return ox.Quad(quad.subject, other.predicate, quad.object, quad.graph_name)
    if what == 2:
        return ox.Quad(quad.subject, quad.predicate, other.object, quad.graph_name)
    if what == 3:
        return ox.Quad(quad.subject, quad.predicate, quad.object, other.graph_name)
    datatype = other.object.datatype if isinstance(other.object, ox.Literal) and not other.object.language else None
    text = rng.choice(NASTY).replace("\ud800", "")
    return ox.Quad(quad.subject, quad.predicate, ox.Literal(text, datatype=datatype), quad.graph_name)


def make(rng: random.Random) -> Input:
    """Some statements, some of them changed, in one of the formats; then perhaps its words and bytes too."""
    world = _world()
    form = rng.choice(sorted(FORMATS))
    whole = rng.random() < WITH_MERGE
    of = world.foreign + rng.sample(world.theirs, 20) if rng.random() < 0.3 else world.theirs
    quads = rng.sample(of, len(of) if whole else min(len(of), rng.randint(3, 40)))
    changes = []
    for _ in range(rng.randint(0, 3)):
        quads.append(_other_term(rng, quads))
        changes.append("statement")
    content = to_bytes(quads, form)
    if not changes or rng.random() < 0.6:
        content, more = broken(rng, content)
        changes += more
    return Input(content, f"merge.{form}" if whole else f"it.{form}", tuple(changes))


def take(given: Input) -> str:
    """Take it in as a merge does; every row is used or told."""
    world = _world()
    kind, _, form = given.name.partition(".")
    try:
        incoming = dated(by_club(from_bytes(given.content, form, given.name), given.name, "north"), "")
    except RecordsError as error:
        assert str(error)
        return "refused"
    told = [_beside(world, club, quads) for club, quads in incoming.items()]
    if kind == "merge":
        return _merged(world, given)
    return "taken in with findings" if any(told) else "taken in"


def _beside(world: _World, club: str, quads: list[ox.Quad]) -> bool:
    now = merged([], quads, club, False).quads
    understood, _ = translated(dict.fromkeys(now), [*world.own, *now], world.vocabulary)
    came = good_rows(dict.fromkeys(understood), world.vocabulary, "it")
    told = {f.column.partition(": ")[0] for f in came.findings}
    _every_row_is_used_or_told(understood, came.good, told, world.vocabulary)
    everything, nameless = completed(world.own, came.good, world.vocabulary)
    findings = (*came.findings, *nameless)
    read = Stated(dict.fromkeys(everything), world.vocabulary, findings, lost=tuple(came.lost), has_rdf=True)
    return bool(answerable(read, merged=[club]).findings)


def _every_row_is_used_or_told(
    came: list[ox.Quad], good: list[ox.Quad], told: set[str], vocabulary: Vocabulary
) -> None:
    """Rows in = rows used + rows told of; a row is what one graph says of one subject of a table's or kind's type."""
    types = {t.iri for t in vocabulary.tables.values()} | set(vocabulary.kinds)
    used = {(q.subject, q.graph_name) for q in good if q.predicate == TYPE}
    for quad in came:
        if quad.predicate == TYPE and iri_of(quad.object) in types and (quad.subject, quad.graph_name) not in used:
            assert shown(quad.subject) in told, f"{quad.subject} is neither used nor told of"


def _merged(world: _World, given: Input) -> str:
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name) / "ours"
        shutil.copytree(world.folder, folder)
        path = Path(name) / given.name
        path.write_bytes(given.content)
        try:
            incoming = dated(by_club(read_rdf(path), str(path), "north"), "2026-05-05T00:00:00Z")
            judge_merge(world.before, folder, incoming, str(path))
            merge_into(folder, incoming)
            load(folder)
        except RecordsError:
            return "merge refused"
    return "merged"


KIND = Kind("rdf", make, take, _world)
