"""Ready-made queries answer, parameters are terms, and nothing that reaches out or writes is run."""

from functools import cache

import pytest
from msgspec.structs import replace

from knockon.graph.model.catalogue import UnknownNameError
from knockon.queries.ask.ask import (
    AskAnswer,
    QueryRefused,
    ask,
    bindings_of,
    described,
    find_ready_made,
    guard,
    ready_made,
)
from tests.exchange.asked_world import GIVEN, asked


@cache
def answer(name: str) -> AskAnswer:
    quads, catalogue = asked()
    query = find_ready_made(name)
    spelled = {n: v.replace("ROWAN-", "rowan ") for n, v in GIVEN.get(name, {}).items()}
    return ask(quads, query, bindings_of(query, spelled, catalogue), 60)


def table(name: str) -> list[dict[str, str]]:
    found = answer(name)
    return [{c: t.shown if t else "" for c, t in zip(found.columns, row, strict=True)} for row in found.rows]


def own(text: str, seconds: float = 30) -> AskAnswer:
    return ask(asked()[0], described("own", text), {}, seconds)


@pytest.mark.parametrize("name", ready_made())
def test_each_ready_made_query_says_what_it_answers_and_answers(name: str) -> None:
    query = find_ready_made(name)
    assert len(query.answers) > 20
    assert {p.name for p in query.parameters if p.default is None} == set(GIVEN.get(name, {}))
    assert answer(name).rows
    assert answer(name).whole
    assert not {p.name for p in query.parameters} & set(answer(name).columns)


def test_the_ready_made_queries_are_enough() -> None:
    assert len(ready_made()) >= 12


def test_parts_are_found_by_a_size_whatever_unit_it_was_written_in() -> None:
    found = {r["thing"] for r in table("parts-by-size")}
    assert {"ALDER-312", "ALDER-912"} <= found
    assert "ALDER-212" not in found  # 12.62 mm, and 0.5 in is 12.7 mm


def test_where_else_tells_what_stands_from_what_is_claimed() -> None:
    rows = {(r["how"], r["where"]) for r in table("where-else-used")}
    assert ("member of a set", "ALDER-213") in rows
    assert ("claimed: listed for", "tansy-mk-b") in rows
    assert ("stands in a vehicle", "tansy-mk-b") in rows


def test_a_part_stands_in_a_vehicle_that_is_like_another() -> None:
    """The vehicles of the catalogue, where what is not said of one is taken from the one that it is like."""
    quads, catalogue = asked()
    for part in ("ALDER-144", "MAPLE-101", "ALDER-139", "THORN-131", "ROWAN-110L"):
        query = find_ready_made("where-else-used")
        rows = ask(quads, query, bindings_of(query, {"part": part}, catalogue), 60).rows
        shown = [[t.shown if t else "" for t in row] for row in rows]
        assert {(r[1], r[2]) for r in shown if r[0] == "stands in a vehicle"} == {
            (v.vehicle, f.position)
            for v in catalogue.vehicles.values()
            for f in v.fittings
            if part in (f.part, catalogue.items[f.item].part if f.item in catalogue.items else "")
        }, part


def test_only_the_graphs_are_asked_that_a_query_names() -> None:
    n02 = "<https://knockon.example/id/sources/N02>"
    inside = own(f"SELECT (COUNT(*) AS ?n) {{ GRAPH {n02} {{ ?s ?p ?o }} }}").rows
    assert own(f"SELECT (COUNT(*) AS ?n) FROM {n02} {{ ?s ?p ?o }}").rows == inside
    assert own("SELECT ?s FROM <http://127.0.0.1:9/x> { ?s ?p ?o }").rows == ()
    assert own("SELECT ?s { ?s kn:text ?t FILTER(?t != ' FROM ') } LIMIT 1").rows


def test_blank_nodes_have_the_same_names_each_time() -> None:
    text = "SELECT ?shape ?name { ?kind sh:property ?shape . ?shape sh:name ?name }"
    assert own(text) == own(text)
    assert own(text).rows[0][0].value == "_:b1"  # type: ignore[union-attr]


def test_a_kind_and_a_dimension_are_names_that_the_vocabulary_knows() -> None:
    query, catalogue = find_ready_made("parts-by-size"), asked()[1]
    given = GIVEN["parts-by-size"]
    with pytest.raises(UnknownNameError, match=r"no kind of feature 'spacr'.*spacer"):
        bindings_of(query, given | {"kind": "spacr"}, catalogue)
    with pytest.raises(UnknownNameError, match=r"no dimension 'lenght'.*length"):
        bindings_of(query, given | {"dimension": "lenght"}, catalogue)
    assert bindings_of(query, given | {"kind": "Spacer"}, catalogue) == bindings_of(query, given, catalogue)
    assert bindings_of(query, given | {"dimension": "thread.major"}, catalogue)


def test_a_range_that_runs_backwards_is_refused() -> None:
    with pytest.raises(QueryRefused, match=r"least .* is greater than most"):
        bindings_of(find_ready_made("parts-by-size"), GIVEN["parts-by-size"] | {"least": "1 in", "most": "14"}, None)


def test_what_a_part_touches_agrees_with_the_layout() -> None:
    assert {"flange on stub", "hub nut on stub"} <= {r["joint"] for r in table("what-it-touches")}


def test_one_use_items_are_those_of_the_parts() -> None:
    _, catalogue = asked()
    assert {r["part"] for r in table("one-use-items")} == {p.part for p in catalogue.parts.values() if p.one_use}


def test_look_alikes_show_the_stub_that_is_too_short() -> None:
    rows = [r for r in table("look-alikes") if r["other"] == "ROWAN-901" and r["dimension"] == "length"]
    assert [(r["this one"], r["that one"]) for r in rows] == [("3.640 in", "3.160 in")]


def test_look_alikes_name_one_that_differs_in_its_hand_only() -> None:
    query = find_ready_made("look-alikes")
    quads, catalogue = asked()
    found = ask(quads, query, bindings_of(query, {"part": "ALDER-201L"}, catalogue))
    rows = [dict(zip(found.columns, (t.shown if t else "" for t in r), strict=True)) for r in found.rows]
    assert [(r["this hand"], r["that hand"], r["feature"]) for r in rows if r["other"] == "ALDER-201R"] == [
        ("left", "right", "")
    ]


def test_undated_claims_are_old_or_have_no_date() -> None:
    _, catalogue = asked()
    found = {r["source"] for r in table("undated-claims")}
    assert {"N01", "N22"} <= found
    assert "N25" in catalogue.sources and "N20" not in found


def test_hands_offers_and_claims_are_those_of_the_catalogue() -> None:
    _, catalogue = asked()
    assert {(r["part"], r["hand"], r["other hand"]) for r in table("left-and-right")} == {
        (p.part, p.hand, p.mirror_of) for p in catalogue.parts.values() if p.hand in ("left", "right")
    }
    assert {(r["supplier"], float(r["price"])) for r in table("offers-of")} == {
        (o.supplier, o.price) for o in catalogue.offers["LARCH-203L"]
    }
    assert {(r["claim"], r["of"], r["source"]) for r in table("claims-about")} == {
        (c.claim, c.vehicle or c.other_part, c.source) for c in catalogue.claims if c.part == "HAZEL-911"
    }


HOSTILE = (
    'x" } SERVICE <http://127.0.0.1:9/> { ?s ?p "',
    "'''",
    "\\",
    "}\n#",
    "?part",
    "> } #",
    "\u202e",
    "${x}",
    "1; DROP ALL",
)


@pytest.mark.parametrize("name", [q.name for q in ready_made().values() if q.parameters])
def test_no_value_of_a_parameter_changes_what_is_asked(name: str) -> None:
    # each parameter in turn gets text that would end a string, an IRI or a group: nothing is found, or it is refused
    query = find_ready_made(name)
    for parameter in query.parameters:
        for value in HOSTILE[:3] if parameter.sort == "text" else HOSTILE:
            given = {**GIVEN.get(name, {}), parameter.name: value}
            if parameter.sort == "text":
                assert ask(asked()[0], query, bindings_of(query, given, asked()[1]), 60).rows == ()
                continue
            with pytest.raises((QueryRefused, UnknownNameError)):
                bindings_of(query, given, asked()[1])


def test_near_miss_threads_stand_side_by_side() -> None:
    written = {r["written"] for r in table("threads-like")}
    assert any("3/8-24" in w for w in written) and any("M10x1" in w for w in written)


def test_sizes_are_numbers_in_the_base_unit() -> None:
    found = own("SELECT ?low ?unit { ?s kn:sizeOf <https://knockon.example/id/parts/ALDER-212> ; "
                "kn:written '.497 in' ; kn:low ?low ; kn:unit ?unit }")  # fmt: skip
    assert [[t.shown if t else "" for t in row] for row in found.rows] == [["12.6238", "mm"]]


def test_a_source_can_be_asked_by_itself() -> None:
    graph = "<https://knockon.example/id/sources/N03>"
    found = own(
        f"SELECT ?w {{ GRAPH {graph} {{ ?f kn:featureName 'spacer' ; ?p ?w }} FILTER(DATATYPE(?w) = kn:length) }}"
    )
    assert [row[0].shown for row in found.rows if row[0]] == ["12.2 mm"]


def test_ask_construct_and_describe_are_answered() -> None:
    assert own("ASK { ?s a kn:Part }").rows[0][0].value == "yes"  # type: ignore[union-attr]
    assert own("ASK { ?s a kn:Nothing }").rows[0][0].value == "no"  # type: ignore[union-attr]
    assert own("CONSTRUCT { ?s a kn:Thing } WHERE { ?s a kn:Kit }").columns == ("subject", "predicate", "object")
    assert own("DESCRIBE <https://knockon.example/id/parts/ALDER-212>").rows


def test_parameters_are_terms_and_never_text() -> None:
    quads, catalogue = asked()
    query = described("q", "# What is called so?\n# ?name text: The name.\nSELECT ?name ?part { ?part kn:name ?name }")
    for name in ('x" } SERVICE <http://127.0.0.1:9/> { ?s ?p "', "'''", "\\", "}\n#", "?part"):
        assert ask(quads, query, bindings_of(query, {"name": name}, catalogue)).rows == ()
    assert ask(quads, query, bindings_of(query, {"name": "hub nut"}, catalogue)).columns == ("part",)


@pytest.mark.parametrize(
    "given", [{}, {"part": "ROWAN-201", "more": "1"}, {"part": "NOBODY-1"}],
)  # fmt: skip
def test_missing_wrong_and_unknown_parameters_are_told(given: dict[str, str]) -> None:
    with pytest.raises((QueryRefused, UnknownNameError)):
        bindings_of(find_ready_made("look-alikes"), given, asked()[1])


def test_a_number_must_be_one() -> None:
    with pytest.raises(QueryRefused, match="Enter a number"):
        bindings_of(find_ready_made("undated-claims"), {"before": "long ago"}, asked()[1])
    with pytest.raises(UnknownNameError):
        find_ready_made("look-alike")


REACHING = [
    "SELECT * { SERVICE <http://127.0.0.1:9/x> { ?s ?p ?o } }",
    "SELECT * { service silent <http://127.0.0.1:9/x> { ?s ?p ?o } }",
    "SELECT * { SERVICE?x { ?s ?p ?o } }",
    "SELECT * { ?s ?p ?o.SERVICE<http://127.0.0.1:9/x>{ ?s ?p ?o } }",
    "PREFIX x: <http://127.0.0.1:9/> SELECT * { SERVICEx:y { ?s ?p ?o } }",
    "PREFIX x: <http://127.0.0.1:9/> SELECT * { SERVICE x:y { ?s ?p ?o } }",
    "SELECT * { \\u0053ERVICE <http://127.0.0.1:9/x> { ?s ?p ?o } }",
    "SELECT * { # a comment\nSERVICE <http://127.0.0.1:9/x> { ?s ?p ?o } }",
    "SELECT * { ?s ?p 'it''s' . SERVICE <http://127.0.0.1:9/x> { ?s ?p ?o } }",
    "SELECT * { FILTER(?a <?b) SERVICE <http://127.0.0.1:9/x> { ?s ?p ?o } }",
    "SELECT * { ?s ?p '''a ' b''' . SERVICE <http://127.0.0.1:9/x> { ?s ?p ?o } }",
    "LOAD <http://127.0.0.1:9/x>",
    "INSERT DATA { <http://a/a> <http://a/b> <http://a/c> }",
    "PREFIX a: <http://a/> DELETE WHERE { ?s ?p ?o }",
    "DROP ALL",
    "CLEAR DEFAULT",
    "SELECT * { ?s ?p 'open }",
    "SELECT * { ?s ?p ?o } # " + "x" * 100_000,
]


@pytest.mark.parametrize("text", REACHING)
def test_what_reaches_out_or_writes_is_refused_before_it_runs(text: str) -> None:
    with pytest.raises(QueryRefused):
        guard(text)


@pytest.mark.parametrize(
    "text",
    [
        "SELECT ?service { ?service a kn:Part }",
        "SELECT * { ?s kn:text 'SERVICE <http://127.0.0.1:9/x> { }' } # LOAD nothing",
        'SELECT * { ?s ?p <http://a/SERVICE> ; kn:service """LOAD""" }',
        "SELECT * { ?s ?p ?o FILTER(?o < 3 && ?o > 1) }",
    ],
)
def test_words_that_only_look_like_it_are_not_refused(text: str) -> None:
    guard(text)


def test_a_query_that_cannot_be_read_is_told_where() -> None:
    with pytest.raises(QueryRefused, match=r"cannot be understood: .*1"):
        own("SELECT ?x WHERE { ?x ")


def test_an_endless_query_is_stopped() -> None:
    text = "SELECT (COUNT(*) AS ?n) { ?a ?b ?c . ?d ?e ?f . ?g ?h ?i . ?j ?k ?l FILTER(?a != ?j) }"
    with pytest.raises(QueryRefused, match="no answer within 2 s"):
        own(text, 2)


def test_a_query_nested_without_end_is_stopped() -> None:
    with pytest.raises(QueryRefused):
        own("SELECT * { " + "{" * 40_000 + " ?s ?p ?o " + "}" * 40_000 + " }")


def test_an_answer_too_long_is_cut_off_and_says_so(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("knockon.queries.ask.ask.MOST_ROWS", 10)
    found = own("SELECT ?s { ?s a kn:Part }")
    assert (len(found.rows), found.whole) == (10, False)


def test_the_same_question_gives_the_same_rows() -> None:
    quads = asked()[0]
    query = replace(described("own", "SELECT ?s ?o { ?s a ?o }"))
    assert ask(quads, query, {}, 30).rows == ask(tuple(reversed(quads)), query, {}, 30).rows
