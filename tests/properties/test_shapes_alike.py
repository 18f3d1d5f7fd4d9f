"""Of nodes that shapes cannot tell apart one is checked: the findings are those of checking each, whatever is wrong."""

from __future__ import annotations

from collections.abc import Sequence
from random import Random

import pyoxigraph as ox
import pytest

from knockon.graph.files.shipped import shipped
from knockon.graph.records import read_graph
from knockon.graph.rulebook.alike import Sight, alike
from knockon.graph.rulebook.validate import shapes_graph, validate
from knockon.graph.tables.cells import XSD
from knockon.graph.triples.statements import VOCAB

VALUES = (
    ox.Literal("left"),
    ox.Literal("both"),
    ox.Literal("1.5", datatype=ox.NamedNode(XSD + "decimal")),
    ox.Literal("-2000", datatype=ox.NamedNode(XSD + "integer")),
    ox.Literal("1e3", datatype=ox.NamedNode(XSD + "decimal")),
    ox.Literal("1.0", datatype=ox.NamedNode(XSD + "integer")),
    ox.Literal("maybe", datatype=ox.NamedNode(XSD + "boolean")),
    ox.Literal("25 mm", datatype=ox.NamedNode(VOCAB + "length")),
    ox.Literal("links", language="de"),
    ox.NamedNode("https://knockon.example/id/parts/X"),
    ox.BlankNode("b"),
)


@pytest.fixture(scope="module")
def demo() -> list[ox.Quad]:
    store, _, _ = read_graph(shipped("data_demo"))
    return sorted(store, key=str)


def spoiled(quads: Sequence[ox.Quad], chance: Random) -> ox.Store:
    """The same graph with some statements gone, some other and some more."""
    store = ox.Store()
    store.bulk_extend(quads)
    for quad in chance.sample(quads, 6):
        way = chance.randrange(4)
        if way != 1:
            store.remove(quad)
        if way == 1 or way == 2:
            store.add(ox.Quad(quad.subject, quad.predicate, chance.choice(VALUES), quad.graph_name))
        elif way == 3:
            other = chance.choice(quads)
            store.add(ox.Quad(quad.subject, other.predicate, other.object, quad.graph_name))
    return store


@pytest.mark.parametrize("seed", range(6))
def test_of_the_demo_world_spoiled(seed: int, demo: list[ox.Quad]) -> None:
    chance = Random(seed)
    store = spoiled(demo, chance)
    together = validate(store)
    assert together == validate(store, each=True)
    assert together.nodes > 1000


def test_it_was_wrong_often_enough(demo: list[ox.Quad]) -> None:
    assert any(validate(spoiled(demo, Random(seed))).findings for seed in range(3))


def test_many_nodes_of_the_demo_look_alike(demo: list[ox.Quad]) -> None:
    sight = Sight.of(shapes_graph())
    assert sight is not None
    looks = alike(demo, sight)
    assert looks is not None and 3 * len(looks) < sum(map(len, looks.values()))


@pytest.mark.parametrize(
    "word", ["sh:pattern '^A'", "sh:closed true", "sh:node kn:Other", "sh:path [ sh:inversePath kn:of ]"]
)
def test_shapes_that_look_at_more_make_each_node_be_checked(word: str) -> None:
    shapes = shapes_graph()
    prefixes = f"@prefix sh: <http://www.w3.org/ns/shacl#> . @prefix kn: <{VOCAB}> ."
    shapes.parse(data=f"{prefixes} kn:More sh:targetClass kn:Part ; {word} .", format="turtle")
    assert Sight.of(shapes) is None


def test_a_graph_that_says_what_classes_are_is_checked_node_by_node(demo: list[ox.Quad]) -> None:
    sight = Sight.of(shapes_graph())
    below = ox.NamedNode("http://www.w3.org/2000/01/rdf-schema#subClassOf")
    assert sight and alike([*demo, ox.Quad(demo[0].subject, below, ox.NamedNode(VOCAB + "Part"))], sight) is None
