"""Records on a SPARQL 1.1 server: the same answers as from a folder, in bounded time, and nothing sent to any other."""

from __future__ import annotations

import time
from pathlib import Path

import pyoxigraph as ox
import pytest

from knockon.graph.exchange.derived import DERIVED
from knockon.graph.exchange.server import VOCABULARY, NotAnswered
from knockon.graph.judge.verdicts import Verdict
from knockon.graph.model.build import build_catalogue
from knockon.graph.model.schema import vocabulary_files
from knockon.graph.rdf.canonical import to_bytes
from knockon.graph.rdf.store import store_of
from knockon.graph.records import Records, read_graph, read_own_vocabulary
from knockon.graph.records.served import load_served
from knockon.graph.tables.files import raw_tables
from knockon.graph.tables.read import Reader
from knockon.graph.triples.statements import triples_of
from knockon.queries.ask.ask import QueryRefused, ReadyMade, ask, bindings_of, described, find_ready_made, ready_made
from knockon.queries.ask.server import ask_server, bound
from knockon.queries.fits.fits import judge_parts
from knockon.queries.ui.http import server_at
from tests.commands.running import demo, full, pasted, run
from tests.demo.test_new_kind import GEARS, TAPER_KEY
from tests.exchange import sparql_server as served
from tests.exchange.asked_world import DEMO, GIVEN, asked
from tests.exchange.world import write_world


@pytest.fixture(scope="module")
def url() -> object:
    with served.serving(served.over(store_of(asked()[0]))) as where:
        yield where


@pytest.mark.parametrize("name", ready_made())
def test_each_ready_made_query_says_the_same_on_a_server(name: str, url: str) -> None:
    query = find_ready_made(name)
    terms = bindings_of(query, GIVEN.get(name, {}), None)
    there = ask_server(server_at(url), query, terms)
    here = ask(asked()[0], query, bindings_of(query, GIVEN.get(name, {}), asked()[1]), 60)
    assert there.columns == here.columns
    assert sorted(there.rows, key=str) == sorted(here.rows, key=str)
    assert there.rows


@pytest.mark.parametrize(
    "text",
    [
        "ASK { ?s a kn:Part }",
        "CONSTRUCT { ?s a kn:Thing } WHERE { ?s a kn:Kit }",
        "SELECT ?w { GRAPH <https://knockon.example/id/sources/N03> { ?f ?p ?w } }",
        "SELECT (COUNT(DISTINCT ?g) AS ?n) { GRAPH ?g { ?s ?p ?o } }",
    ],
)
def test_every_form_of_query_is_answered_alike(text: str, url: str) -> None:
    query = described("own", text)
    there, here = ask_server(server_at(url), query, {}), ask(asked()[0], query, {}, 60)
    assert (there.columns, there.rows) == (here.columns, here.rows)


def test_the_test_s_server_speaks_the_protocol_as_rdflib_s_client_does(url: str) -> None:
    """A client that others wrote, in each of the protocol's three ways, counts the same parts."""
    from rdflib.plugins.stores.sparqlstore import SPARQLStore

    query = "SELECT DISTINCT ?p WHERE { GRAPH ?g { ?p a <https://knockon.example/vocab#Part> } }"
    for method in ("GET", "POST", "POST_FORM"):
        assert len(list(SPARQLStore(url, method=method).query(query))) == len(asked()[1].parts)


def test_a_source_is_left_out_on_a_server(url: str) -> None:
    query = described("own", "SELECT ?s WHERE { ?s kn:text ?t }")
    all_notes = {r[0].shown for r in ask_server(server_at(url), query, {}).rows if r[0]}
    assert {r[0].shown for r in ask_server(server_at(url), query, {}, ["N03"]).rows if r[0]} == all_notes - {"N03"}
    with pytest.raises(Exception, match="no source or club 'N3'"):
        ask_server(server_at(url), query, {}, ["N3"])


def test_records_of_a_server_are_those_of_the_folder(url: str) -> None:
    records = load_served(server_at(url))
    assert records.findings == ()
    assert records.catalogue == asked()[1]
    raw = store_of(list(read_graph(DEMO)[0]))
    with served.serving(served.over(raw)) as plain:
        assert load_served(server_at(plain)).catalogue == asked()[1]
        assert "N03" not in load_served(server_at(plain), ["N03"]).catalogue.notes


def test_commands_answer_from_a_server_as_from_the_folder(url: str) -> None:
    for command in (("fits", "ROWAN-301", "ROWAN-241"), ("note", "list", "--part", "ALDER-212"), ("part", "ALDER-212")):
        there, here = run(*command, "--server", url), demo(*command)
        assert there.status == here.status
        assert there.lines[0] == f"Records: {url}"
        told, same = (ran.out.partition("\nnext: ")[0].splitlines()[1:] for ran in (there, here))
        assert told == same
        assert pasted(there) == [line.replace("knockon ", f"knockon --server {url} ", 1) for line in pasted(here)]
    document = full(run("ask", "one-use-items", "--server", url, "--json").out)
    assert document["records"]["invented"] is False
    assert document["result"]["rows"] == full(demo("ask", "one-use-items", "--json").out)["result"]["rows"]


def test_an_export_for_queries_fills_a_server(tmp_path: Path) -> None:
    folder = write_world(tmp_path / "ours")
    file = tmp_path / "all.nq"
    assert run("export", str(file), "--for-queries", "--records", str(folder)).status == 0
    store = ox.Store()
    store.bulk_load(file.read_bytes(), format=ox.RdfFormat.N_QUADS)
    with served.serving(served.over(store)) as where:
        options = (
            "--with",
            "kind=spacer",
            "--with",
            "dimension=length",
            "--with",
            "least=12 mm",
            "--with",
            "most=13 mm",
        )
        there = run("ask", "parts-by-size", *options, "--format", "csv", "--server", where)
        here = run("ask", "parts-by-size", *options, "--format", "csv", "--records", str(folder))
    assert there.status == 0 and there.out == here.out


@pytest.mark.parametrize(
    "command", [("note", "add", "--member", "m", "--text", "t", "--outcome", "told"), ("merge", "x.trig"), ("check",),
                ("share", "-", "--club", "us"), ("export", "-"), ("import", "x.csv")],
)  # fmt: skip
def test_a_server_is_never_written_to(command: tuple[str, ...]) -> None:
    asked_for: list[str] = []
    with served.serving(served.over(ox.Store(), asked_for)) as where:
        ran = run(*command, "--server", where)
    assert ran.status == 2 and ran.err and not asked_for


# ------------------------------------------------------------------ parameters


def test_parameters_reach_a_server_as_terms(url: str) -> None:
    query = described(
        "q", "# What is called so?\n# ?name text: The name.\nSELECT ?name ?part WHERE { ?part kn:name ?name }"
    )
    for name in (
        'x" } SERVICE <http://127.0.0.1:9/> { ?s ?p "',
        "'''",
        "\\",
        "}\n#",
        "?part",
        '" . ?part kn:name "hub nut',
    ):
        assert ask_server(server_at(url), query, bindings_of(query, {"name": name}, None)).rows == ()
    assert ask_server(server_at(url), query, bindings_of(query, {"name": "wheel bearing, ball"}, None)).rows


def test_a_part_s_name_cannot_leave_its_iri(url: str) -> None:
    query = find_ready_made("where-else-used")
    for name in ("> } #", "ROWAN-201> ?p ?o . <http://a/", "\n", "\u202e", "%3E", "ROWAN 201"):
        assert ask_server(server_at(url), query, bindings_of(query, {"part": name}, None)).rows == ()
    with pytest.raises(QueryRefused, match="part is empty"):
        bindings_of(query, {"part": ""}, None)


def test_values_go_into_every_group_and_into_no_text() -> None:
    text = "SELECT ?a WHERE # WHERE {\n{ ?a ?b 'WHERE {' . { SELECT ?a WHERE { ?a ?c ?d } } }"
    written = bound(text, {"b": ox.Literal('"')}).partition("\n")[2]
    values = ' VALUES ?b { "\\"" }'
    assert written == text.replace("\n{", "\n{" + values).replace(
        "SELECT ?a WHERE { ?a ?c", f"SELECT ?a WHERE {{{values} ?a ?c"
    )
    with pytest.raises(QueryRefused, match="must write WHERE"):
        bound("SELECT ?a { ?a ?b ?c }", {"b": ox.Literal("x")})


def test_a_number_is_finite() -> None:
    for written in ("nan", "inf", "-Infinity", "1e999"):
        with pytest.raises(QueryRefused, match="Enter a number"):
            bindings_of(find_ready_made("undated-claims"), {"before": written}, None)


@pytest.mark.parametrize("text", ["SELECT * WHERE { SERVICE <http://127.0.0.1:9/> { ?s ?p ?o } }", "DROP ALL"])
def test_what_reaches_out_or_writes_is_not_sent_at_all(text: str) -> None:
    asked_for: list[str] = []
    with served.serving(served.over(ox.Store(), asked_for)) as where, pytest.raises(QueryRefused):
        ask_server(server_at(where), described("own", text), {})
    assert asked_for == []


# ------------------------------------------------------------- broken, hostile

QUERY: ReadyMade = described("own", "SELECT ?s WHERE { ?s ?p ?o }")


@pytest.mark.parametrize(
    ("answer", "said"),
    [
        (served.saying(b"not found", 404, "text/plain"), "refused with 404 .*not found"),
        (served.saying(b"\x1b[31mno\x00", 500, "text/plain"), "refused with 500"),
        (served.saying(b"<html>Welcome</html>"), "not answer with SPARQL results in JSON|breaks off"),
        (served.saying(b""), "not answer with SPARQL results in JSON|breaks off"),
        (served.saying(b'{"head":{},"boolean":true}'), "answered yes or no"),
        (served.saying(b'{"head":{"vars":["g"]},"results":{"bindings":[{"g":{"type":"x"}}]}}'), "breaks off|JSON"),
        (served.saying(b"[" * 200_000), "nested more than 64 deep"),
        (served.hanging_up, "not answer properly|cannot be reached"),
        (served.cut_short, "not answer properly|breaks off"),
        (served.saying(b'{"head":{"vars":["g"]},"results":{"bindings":[]}}'), "no named graphs"),
    ],
)  # fmt: skip
def test_a_broken_server_is_told_in_words(answer: served.Answer, said: str) -> None:
    with served.serving(answer) as where, pytest.raises(NotAnswered, match=said) as told:
        ask_server(server_at(where, 20), QUERY, {})
    assert str(told.value).startswith(where) and "\x1b" not in str(told.value)


@pytest.mark.parametrize("answer", [served.silent, served.dripping])
def test_a_server_that_never_ends_is_not_waited_for(answer: served.Answer) -> None:
    with served.serving(answer) as where:
        begun = time.monotonic()
        with pytest.raises(NotAnswered, match=r"no answer within 0\.5 s|cannot be reached|not answer properly"):
            ask_server(server_at(where, 0.5), QUERY, {})
        assert time.monotonic() - begun < 5


def test_nobody_but_the_named_server_is_asked(monkeypatch: pytest.MonkeyPatch) -> None:
    asked_for: list[str] = []
    with served.serving(served.over(ox.Store(), asked_for)) as other:
        for name in ("http_proxy", "HTTP_PROXY", "all_proxy"):
            monkeypatch.setenv(name, other)
        with served.serving(served.elsewhere(other)) as where, pytest.raises(NotAnswered, match="sends elsewhere"):
            ask_server(server_at(where), QUERY, {})
    assert asked_for == []


class Counting:
    """Counts the rows that each query brings, in the order of the queries."""

    def __init__(self) -> None:
        self.store = store_of(asked()[0])
        self.rows: list[int] = []

    def query(self, text: str, **options: object) -> object:
        self.rows.append(len(list(self.store.query(text, **options))))  # type: ignore[arg-type]
        return self.store.query(text, **options)  # type: ignore[arg-type]


def test_a_query_brings_its_answer_and_the_names_of_graphs_and_nothing_else() -> None:
    counting = Counting()
    with served.serving(served.over(counting)) as where:  # type: ignore[arg-type]
        answer = ask_server(server_at(where), described("own", "SELECT ?s WHERE { ?s a kn:Kit } ORDER BY ?s"), {})
    graphs = {q.graph_name for q in counting.store}
    assert counting.rows == [len(graphs), len(answer.rows)] and answer.rows


def test_other_questions_bring_what_is_recorded_and_not_what_follows_from_it() -> None:
    counting = Counting()
    with served.serving(served.over(counting)) as where:  # type: ignore[arg-type]
        load_served(server_at(where))
    derived = sum(q.graph_name == DERIVED for q in counting.store)
    assert derived > len(counting.store) / 10
    assert counting.rows == [1, len(counting.store) - derived]


def test_a_server_that_keeps_statements_back_is_found_out() -> None:
    store = store_of(asked()[0])

    class Cut:
        """Answers of at most a thousand rows, as some servers give without a word."""

        def query(self, text: str, **options: object) -> object:
            return store.query(text + " LIMIT 1000" if "?s ?p ?o WHERE" in text else text, **options)  # type: ignore[arg-type]

    with served.serving(served.over(Cut())) as where, pytest.raises(NotAnswered, match=r"sent 1000 of \d+ statements"):  # type: ignore[arg-type]
        load_served(server_at(where))


@pytest.mark.parametrize(
    "where", ["file:///etc/passwd", "ftp://a/b", "localhost:7878", "http://", "http:///query", "http://u:p@a/b",
              "http://a b/", "http://a:x/", "http://a/\u00e9", "http://a/\n", "", "javascript:1"],
)  # fmt: skip
def test_what_is_no_server_is_refused(where: str) -> None:
    with pytest.raises(NotAnswered):
        server_at(where)


def test_faulty_rows_of_a_server_are_findings() -> None:
    lines = to_bytes(list(read_graph(DEMO)[0]), "nq").decode().splitlines()
    gone = [x for x in lines if not ("/id/parts/ALDER-212>" in x.split()[0] and "vocab#name>" in x.split()[1])]
    assert len(gone) < len(lines)
    store = ox.Store()
    store.bulk_load("\n".join(gone).encode(), format=ox.RdfFormat.N_QUADS)
    with served.serving(served.over(store)) as where:
        records = load_served(server_at(where))
    assert "ALDER-212" not in records.catalogue.parts
    assert {f.file for f in records.findings if "ALDER-212: name" in f.column} == {"server"}


def _with_vocabulary(turtle: str) -> Records:
    """The taper keys' records on a server whose vocabulary graph holds the shipped words and this Turtle."""
    club = ("club.ttl", turtle.encode())
    said = [t for name, text in (*vocabulary_files(), club) for t in triples_of(text, name)]
    told = [ox.Quad(t.subject, t.predicate, t.object, VOCABULARY) for t in said]
    vocabulary, _ = read_own_vocabulary((club,))
    store = ox.Store()
    store.extend([*told, *Reader(vocabulary).read(raw_tables(GEARS, []))])
    with served.serving(served.over(store)) as where:
        return load_served(server_at(where))


def test_a_server_s_vocabulary_is_checked_as_a_club_s_turtle_is() -> None:
    records = _with_vocabulary(TAPER_KEY)
    assert records.findings == ()
    assert judge_parts(records.catalogue, ["KEY-8", "GEAR-8"]).verdict is Verdict.FITS
    records = _with_vocabulary(TAPER_KEY.replace("kn:need kn:required", "kn:need kn:requierd", 1))
    (found,) = (f for f in records.findings if "kn:need" in f.column)
    assert (found.row, found.problem, found.set_aside) == (0, "no such word", True)
    assert "key in hub keyway" not in records.catalogue.vocabulary.rules


def test_a_server_adds_nothing_to_what_is_shipped() -> None:
    records = _with_vocabulary(TAPER_KEY + "kn:register kn:condition kn:thread-hand .\n")
    assert ["kn:register" in f.column for f in records.findings] == [True]


@pytest.mark.parametrize(
    ("old", "new"),
    [("female_minor", "female_mnior"), ("female_minor", "female_major"), ("tooth_depth", "tooth_overlap")],
)
def test_a_figure_that_comes_as_rdf_with_another_role_is_not_known(old: str, new: str) -> None:
    tables = {
        **GEARS,
        "figures.csv": "layout,figure,is,formula,sort,low,high,unit,compared with,safety critical\n"
        "gear drive,f,figure,tooth_depth,service,0 mm,9 mm,mm,limits,yes\n",
        "figure_terms.csv": "layout,figure,order,position,feature,dimension,role\n"
        "gear drive,f,1,key,key,height,female_major\ngear drive,f,2,gear,keyway,depth,female_minor\n",
    }
    verdicts = []
    for change in ("", old):
        vocabulary, _ = read_own_vocabulary((("club.ttl", TAPER_KEY.encode()),))
        quads = Reader(vocabulary).read(raw_tables(tables, []))
        text = to_bytes(list(quads), "nq").decode().replace(f'"{change}"', f'"{new}"')
        store = ox.Store()
        store.bulk_load(text.encode(), format=ox.RdfFormat.N_QUADS)
        catalogue = build_catalogue(store, vocabulary)
        verdicts.append(judge_parts(catalogue, ["KEY-8", "GEAR-8"]).figures[0].verdict)
    assert verdicts == [Verdict.FITS, Verdict.NOT_KNOWN]
