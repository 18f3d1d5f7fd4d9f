"""The catalogue: drawings and items share features, vehicles take over fittings, names are found or their nearest."""

from __future__ import annotations

import random
from pathlib import Path

import pyoxigraph as ox
import pytest

from knockon.graph.judge.beliefs import known_of, presence_of
from knockon.graph.model.build import build_catalogue
from knockon.graph.model.catalogue import UnknownNameError
from knockon.graph.model.names import iri
from knockon.graph.model.schema import VOCAB, read_vocabulary, vocabulary_files
from knockon.graph.model.things import Fitting
from knockon.graph.rdf.store import copy_of, dataset_of, store_of
from knockon.graph.records import read_graph, records_from_text
from knockon.graph.tables.files import raw_tables
from knockon.graph.tables.read import Reader
from tests.unit.small import TABLES, with_rows, world


def sizes(thing: str, feature: str, changed: dict[str, str] | None = None) -> list[tuple[float | None, int]]:
    statements = world(changed).features_of(thing)[feature].dimensions["diameter"]
    return [(s.low, s.rank) for s in statements]


def test_a_part_has_the_features_of_its_drawing() -> None:
    assert sizes("HUB-20R", "bore") == [(20.0, 2)]
    more = with_rows("features/register_bore.csv", "HUB-20R,bore,20.1 mm,stall")
    assert sorted(sizes("HUB-20R", "bore", more)) == [(20.0, 2), (20.1, 5)]
    assert sizes("HUB-20L", "bore", more) == [(20.0, 2)]


@pytest.mark.parametrize(
    ("there", "absent", "presence"),
    [("book", "stall", "recorded"), ("stall", "book", "absent"), ("book", "other", "contested")],
)
@pytest.mark.parametrize("cell", ["", "?", "20 mm"])
def test_a_row_says_that_a_feature_is_there_whether_or_not_it_was_measured(
    there: str, absent: str, presence: str, cell: str
) -> None:
    rows = f"part,feature,diameter,source\nAXLE-20,seat,{cell},{there}\nAXLE-20,seat,absent,{absent}\n"
    sources = with_rows("sources.csv", "other,another drawing,drawing,")
    feature = world({**sources, "features/spigot.csv": rows}).features_of("AXLE-20")["seat"]
    assert presence_of(feature) == presence


def test_a_sets_member_has_the_features_of_its_part() -> None:
    assert sizes("PAIR-25/hub/left", "bore") == [(25.0, 2)]
    assert world().features_of("PAIR-25/cap/left") == {}


def test_work_on_an_item_undoes_what_was_read_on_it_before() -> None:
    """A seat that was not there is there once it was turned; what its number says stays beside."""
    items = with_rows("items.csv", "turned,AXLE-20,turned,odd-axle,turn it,survey")
    rows = with_rows("features/spigot.csv", "odd-axle,seat,absent,survey", "turned,seat,19.5 mm ±0.05 mm,survey")
    found = world(items | rows)
    assert presence_of(found.features_of("odd-axle")["seat"]) == "absent"
    worked = found.features_of("turned")["seat"]
    assert presence_of(worked) == "recorded"
    assert sorted((s.low, s.rank) for s in worked.dimensions["diameter"]) == [(19.45, 1), (20.0, 2)]


def test_an_item_has_its_numbers_sizes_beside_its_own() -> None:
    assert sizes("odd-axle", "seat") == [(20.0, 2)]
    read = with_rows("features/spigot.csv", "odd-axle,seat,19.8 mm ±0.05 mm,survey")
    assert sorted(sizes("odd-axle", "seat", read)) == [(19.75, 1), (20.0, 2)]
    assert sizes("AXLE-20", "seat", read) == [(20.0, 2)]


@pytest.mark.parametrize("source", ["survey", "N1", "stall"])
def test_what_is_said_of_an_item_stands_before_its_numbers_sizes_whoever_says_it(source: str) -> None:
    """The standing of the source says how much it proves, not whether it is about this thing."""
    read = with_rows("features/spigot.csv", f"odd-axle,seat,19.8 mm ±0.05 mm,{source}")
    statements = world(read).features_of("odd-axle")["seat"].dimensions["diameter"]
    known = known_of(statements)
    assert [round(s.low or 0, 6) for s in known.sizes] == [19.75] and not known.contested
    assert known.rank == world().sources[source].rank


@pytest.mark.parametrize(("cell", "presence"), [("absent", "absent"), ("19.8 mm", "recorded"), ("", "recorded")])
def test_whether_an_item_has_a_feature_is_said_by_who_speaks_of_it(cell: str, presence: str) -> None:
    number = "20 mm" if cell == "absent" else "absent"
    rows = f"part,feature,diameter,source\nAXLE-20,seat,{number},book\nodd-axle,seat,{cell},stall\n"
    assert presence_of(world({"features/spigot.csv": rows}).features_of("odd-axle")["seat"]) == presence


def test_work_on_an_item_undoes_also_what_was_told_of_it_before() -> None:
    changed = with_rows("items.csv", "turned-axle,AXLE-20,turned,odd-axle,turn it,survey")
    told = ("odd-axle,seat,20.4 mm ±0.02 mm,stall", "turned-axle,seat,20.00 mm ±0.02 mm,N1")
    changed |= with_rows("features/spigot.csv", *told)
    assert sorted(sizes("turned-axle", "seat", changed)) == [(19.98, 4), (20.0, 2)]


def test_work_on_an_item_makes_its_readings_void_where_others_stand() -> None:
    changed = with_rows("items.csv", "turned-axle,AXLE-20,my axle turned down,odd-axle,turn the seat down,survey")
    changed |= with_rows(
        "features/spigot.csv", "odd-axle,seat,20.4 mm ±0.02 mm,survey", "turned-axle,seat,20.00 mm ±0.02 mm,survey"
    )
    assert sorted(sizes("turned-axle", "seat", changed)) == [(19.98, 1), (20.0, 2)]
    untouched = with_rows("items.csv", "same-axle,AXLE-20,my axle painted,odd-axle,paint it,survey")
    untouched |= with_rows("features/spigot.csv", "odd-axle,seat,20.4 mm ±0.02 mm,survey")
    assert (20.38, 1) in [(round(low or 0, 6), rank) for low, rank in sizes("same-axle", "seat", untouched)]


def test_a_vehicle_takes_over_what_it_does_not_say_itself() -> None:
    fittings = {(f.position, f.side): f for f in world().vehicles["my-cart"].fittings}
    assert fittings[("axle", "")] == Fitting("axle", "", "", "odd-axle", "unknown")
    assert fittings[("hub", "left")].part == "HUB-20L"
    one_side = with_rows("fittings.csv", "my-cart,cap,left,,,due", "my-cart,hub,,HUB-25L,,sound")
    fittings = {(f.position, f.side): f for f in world(one_side).vehicles["my-cart"].fittings}
    assert fittings[("cap", "left")].part == "" and fittings[("cap", "")].part == "CAP-1"
    assert {k: f.part for k, f in fittings.items() if k[0] == "hub"} == {("hub", ""): "HUB-25L"}  # both, so both


def test_a_circle_of_vehicles_ends() -> None:
    vocabulary = read_vocabulary(vocabulary_files())
    cart, like, mine = (ox.NamedNode(n) for n in (iri("vehicles", "cart"), VOCAB + "like", iri("vehicles", "my-cart")))
    quads = [*Reader(vocabulary).read(raw_tables(TABLES, [])), ox.Quad(cart, like, mine)]
    fittings = build_catalogue(quads, vocabulary).vehicles["cart"].fittings
    assert {f.position for f in fittings} == {"axle", "hub", "stud", "cap"}


@pytest.mark.parametrize(
    ("sort", "name", "key"),
    [
        ("part", "AXLE-20", "AXLE-20"),
        ("part", " axle 20", "AXLE-20"),
        ("vehicle", "My Cart", "my-cart"),
        ("kit", "BOX", "box"),
        ("layout", "Cart-Axle", "cart axle"),
    ],
)
def test_names_are_found_without_case_blanks_and_hyphens(sort: str, name: str, key: str) -> None:
    assert getattr(world().find(sort, name), sort) == key


def test_a_name_that_nothing_has_gets_the_nearest() -> None:
    with pytest.raises(UnknownNameError) as caught:
        world().find("part", "AXEL-20")
    assert caught.value.nearest[0] == "AXLE-20"
    assert "no part 'AXEL-20'" in str(caught.value) and "AXLE-20" in str(caught.value)
    with pytest.raises(UnknownNameError) as nothing:
        world().find("kit", "zzz")
    assert nothing.value.nearest == ("box",)  # so few that all are named


def test_positions_stand_in_the_layouts_order_and_joints_after_their_positions() -> None:
    layout = world().layouts["cart axle"]
    assert [p.position for p in layout.positions] == ["axle", "hub", "stud", "cap"]
    assert [j.joint for j in layout.joints] == ["hub on axle", "stud in hub", "cap on hub"]


def test_the_order_of_statements_does_not_matter() -> None:
    vocabulary = read_vocabulary(vocabulary_files())
    quads = list(store_of(Reader(vocabulary).read(raw_tables(TABLES, []))))
    once = build_catalogue(quads, vocabulary)
    for seed in range(3):
        random.Random(seed).shuffle(quads)
        assert build_catalogue(quads, vocabulary) == once


def test_every_row_stands_in_its_sources_graph() -> None:
    store = store_of(Reader(read_vocabulary(vocabulary_files())).read(raw_tables(TABLES, [])))
    graphs = {q.subject.value.removeprefix("https://knockon.example/id/"): q.graph_name.value for q in store}
    assert graphs["parts/AXLE-20"].endswith("/sources/book")
    assert graphs["parts/HUB-%3F"].endswith("/sources/stall")
    assert graphs["features/AXLE-20/seat"].endswith("/sources/book")
    assert graphs["suppliers/Mill"].endswith("/graph/records")


def test_a_store_is_seen_as_one_graph_by_rdflib_and_as_a_copy() -> None:
    store = store_of(Reader(read_vocabulary(vocabulary_files())).read(raw_tables(TABLES, [])))
    query = "SELECT ?p WHERE { ?p a <https://knockon.example/vocab#Part> }"
    parts = TABLES["parts.csv"].count("\n") - 1
    assert len(list(dataset_of(store).query(query))) == parts
    assert len(list(copy_of(store).query(query))) == parts
    assert len(copy_of(store)) == len({(q.subject, q.predicate, q.object) for q in store})


def test_a_folder_and_its_texts_are_the_same_records(tmp_path: Path) -> None:
    for name, text in TABLES.items():
        (tmp_path / name).parent.mkdir(exist_ok=True)
        (tmp_path / name).write_text(text, encoding="utf-8")
    store, vocabulary, findings = read_graph(tmp_path)
    assert findings == ()
    assert build_catalogue(store, vocabulary) == records_from_text(TABLES).catalogue
