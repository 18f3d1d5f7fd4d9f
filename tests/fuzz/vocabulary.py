"""A club's own Turtle, broken: a few things of two whole vocabularies, read as ``check`` and every question read it."""

from __future__ import annotations

import random
import re
from functools import cache
from pathlib import Path

import pyoxigraph as ox

from knockon.graph.model.findings import RecordsError
from knockon.graph.model.schema import Vocabulary
from knockon.graph.records import read_own_vocabulary, records_from_text
from knockon.graph.rulebook.own import NAMED_BY
from tests.fuzz.kinds import Input, Kind
from tests.fuzz.mutate import broken, some

WORLDS = Path(__file__).parents[1] / "properties" / "vocabularies"
WITH_TABLES = 0.1
"""Of so many inputs the world's tables are read with them too."""
RDF_TYPE = ox.NamedNode("http://www.w3.org/1999/02/22-rdf-syntax-ns#type")


@cache
def _texts() -> dict[str, tuple[bytes, tuple[bytes, ...]]]:
    """By world, the prefixes of its Turtle and what it says of each thing."""
    found = {}
    for folder in sorted(p for p in WORLDS.iterdir() if (p / "club.ttl").is_file()):
        text = (folder / "club.ttl").read_bytes()
        head = b"".join(line for line in text.splitlines(keepends=True) if line.startswith(b"@prefix"))
        blocks = re.split(rb"\n\s*\n", text.split(head.splitlines()[-1], 1)[1].strip())
        found[folder.name] = head, tuple(b + b"\n\n" for b in blocks)
    return found


@cache
def _tables(world: str) -> dict[str, str]:
    folder = WORLDS / world
    return {p.relative_to(folder).as_posix(): p.read_text(encoding="utf-8") for p in folder.rglob("*.csv")}


def make(rng: random.Random) -> Input:
    """A few blocks of a vocabulary, broken; the name says whether its tables are read too."""
    world = rng.choice(sorted(_texts()))
    head, blocks = _texts()[world]
    whole = rng.random() < WITH_TABLES
    chosen = list(blocks) if whole else some(rng, blocks, 1, 4)
    content, changes = broken(rng, head + b"".join(chosen), most=3)
    return Input(content, f"{world}.tables.ttl" if whole else f"{world}.ttl", changes)


def take(given: Input) -> str:
    """Read it; without a finding each thing that it names must be in the vocabulary."""
    world = given.name.partition(".")[0]
    vocabulary, findings = read_own_vocabulary((("club.ttl", given.content),))
    for finding in findings:
        assert finding.problem and finding.file, finding
    for rule in vocabulary.rules.values():
        for condition in rule.conditions:
            for low, high in ((condition.low, condition.high), (condition.gross_low, condition.gross_high)):
                assert low is None or high is None or low <= high, f"a window that is turned round is used: {condition}"
    if not findings:
        _all_taken(given.content, vocabulary)
    if ".tables." in given.name:
        try:
            records_from_text(_tables(world), {"club.ttl": given.content.decode("utf-8", "replace")})
        except RecordsError:
            return "refused with its tables"
    return "read with findings" if findings else "read"


def _all_taken(content: bytes, vocabulary: Vocabulary) -> None:
    triples = list(ox.parse(content, format=ox.RdfFormat.TURTLE))
    for t in triples:
        if t.predicate == RDF_TYPE and isinstance(t.object, ox.NamedNode) and t.object.value in NAMED_BY:
            predicate = NAMED_BY[t.object.value][1]
            names = [
                getattr(n.object, "value", "")
                for n in triples
                if n.subject == t.subject and n.predicate.value == predicate
            ]
            known = {*vocabulary.rules, *vocabulary.part_types, *(k.table for k in vocabulary.kinds.values())}
            known |= {s.table for s in vocabulary.tables.values()}
            assert known & {*names}, f"{t.subject} is used by nobody, and there is no finding"


KIND = Kind("vocabulary", make, take, lambda: take(Input(b"@prefix x: <http://x/> . x:a x:b x:c .", "lathe.ttl", ())))
