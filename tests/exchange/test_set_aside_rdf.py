"""Rows that come in as RDF and are set aside: whichever way they came, an answer that they touch is never "fits"."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pyoxigraph as ox
import pytest

from knockon.graph.exchange.canonical import to_bytes
from knockon.graph.exchange.clubs import scoped
from knockon.graph.records import Records, load, read_graph
from knockon.graph.records.served import load_served
from knockon.graph.verdicts import Verdict
from knockon.queries.fits import judge_parts
from knockon.queries.set_aside import told
from knockon.queries.ui.http import server_at
from tests.commands.tiny import write_tiny
from tests.exchange import sparql_server as served

JOINT = "bench,ring on rim,ring,bearing,stub,journal,bearing on journal,corner apart,on the vehicle\n"
FIGURES = """layout,figure,is,formula,sort,low,high,unit,compared with,standing,source,says
bench,room,stack,,service,-1 mm,1 mm,mm,limits,from memory,nobody,too little room
bench,overlap,figure,tooth_depth,service,-90 mm,9 mm,mm,limits,from memory,nobody,too little overlap
bench,note,told,,service,,,mm,limits,from memory,nobody,this much
"""
TERMS = """layout,figure,order,position,feature,dimension,factor,role
bench,room,1,stub,journal,diameter,1,
bench,room,2,ring,bearing,bore,-1,
bench,overlap,1,stub,journal,diameter,,female_major
bench,overlap,2,ring,bearing,bore,,female_minor
bench,note,1,stub,journal,diameter,1,
"""
Way = Callable[[Path, str], Records]


def written(folder: Path) -> list[ox.Quad]:
    """The quads of the world, in which the parts fit."""
    write_tiny(folder, joints=JOINT)
    (folder / "figures.csv").write_text(FIGURES)
    (folder / "figure_terms.csv").write_text(TERMS)
    store, _, findings = read_graph(folder)
    assert findings == ()
    return list(store)


def from_server(folder: Path, text: str) -> Records:
    store = ox.Store()
    store.bulk_load(text.encode(), format=ox.RdfFormat.N_QUADS)
    with served.serving(served.over(store)) as where:
        return load_served(server_at(where))


def from_club(folder: Path, text: str) -> Records:
    quads = scoped(ox.parse(text.encode(), format=ox.RdfFormat.N_QUADS), "north")
    return _beside(folder, "clubs/north.nq", to_bytes(quads, "nq").decode())


def from_notes(folder: Path, text: str) -> Records:
    return _beside(folder, "notes/all.nq", text)


def _beside(folder: Path, name: str, text: str) -> Records:
    own = folder / "own"
    (own / name).parent.mkdir(parents=True)
    (own / "suppliers.csv").write_text("supplier,title\nMill,\n")
    (own / name).write_text(text)
    return load(own)


@pytest.fixture(params=[from_server, from_club, from_notes], ids=["server", "club", "own RDF"])
def way(request: pytest.FixtureRequest) -> Way:
    found: Way = request.param
    return found


def changed(quads: list[ox.Quad], subject: str, old: str, new: str) -> str:
    """The N-Quads with one text in the statements of one subject changed."""
    lines = to_bytes(quads, "nq").decode().splitlines(keepends=True)
    made = [x.replace(old, new) if f"/id/{subject}>" in x.split(" ")[0] else x for x in lines]
    assert made != lines
    return "".join(made)


def test_the_whole_world_fits_whichever_way_it_came(tmp_path: Path, way: Way) -> None:
    records = way(tmp_path, to_bytes(written(tmp_path / "world"), "nq").decode())
    assert (records.findings, records.catalogue.set_aside) == ((), ())
    answer = judge_parts(records.catalogue, ["STUB-B", "RING-B"])
    assert answer.verdict is Verdict.FITS
    assert (len(answer.joints), len(answer.figures)) == (2, 2)


RIM = "joints/bench/ring%20on%20rim"
ROOM = "figures/bench/room"


@pytest.mark.parametrize(
    ("subject", "old", "new", "name"),
    [
        (RIM, "bearing on journal", "bearing on jurnal", "ring on rim"),
        (RIM, '"stub"', '"stbu"', "ring on rim"),
        (RIM, '"ring"', '"rimg"', "ring on rim"),
        (RIM, "vocab#Joint>", "vocab#Jiont>", "ring on rim"),
        (RIM, "layouts/bench>", "layouts/bnech>", "ring on rim"),
        (RIM, "vocab#otherPosition>", "vocab#otherPositon>", "ring on rim"),
        (RIM, '"on the vehicle"', '"on the vehicel"', "ring on rim"),
        (ROOM, '"-1 mm"', '"much"', "room"),
        (ROOM, '"-1 mm"', '"2 mm"', "room"),
        (ROOM, '"stack"', '"stakc"', "room"),
        (ROOM, "vocab#Figure>", "vocab#Figrue>", "room"),
        ("figures/bench/overlap", "tooth_depth", "tooth_dpeth", "overlap"),
        ("figure_terms/bench/overlap/2", "female_minor", "female_major", "overlap"),
        ("positions/bench/ring", "vocab#Position>", "vocab#Positon>", "ring"),
        ("positions/bench/ring", '"wheel bearing"', '"wheel baering"', "ring"),
    ],
)
def test_what_was_set_aside_is_told_and_not_passed_over(
    tmp_path: Path, way: Way, subject: str, old: str, new: str, name: str
) -> None:
    records = way(tmp_path, changed(written(tmp_path / "world"), subject, old, new))
    assert [f for f in records.findings if f.set_aside]
    answer = judge_parts(records.catalogue, ["STUB-B", "RING-B"])
    assert answer.verdict is not Verdict.FITS
    assert name in {r.name for r in answer.set_aside}
    assert any(f'"{name}"' in text for text in told(answer.set_aside))


@pytest.mark.parametrize(
    ("subject", "old", "new"),
    [
        ("figure_terms/bench/room/2", '"-1"', '"minus one"'),
        ("figure_terms/bench/room/2", '"ring"', '"rimg"'),
        ("figure_terms/bench/room/2", "vocab#FigureTerm>", "vocab#FigureTrem>"),
        ("figure_terms/bench/room/2", '"bore"', '"boer"'),
        ("figure_terms/bench/room/2", '"bearing"', '"baering"'),
        ("figure_terms/bench/overlap/2", "female_minor", "female_mnior"),
        (RIM, '"journal"', '"juornal"'),
    ],
)
def test_a_check_that_can_be_read_in_part_stays_open(
    tmp_path: Path, way: Way, subject: str, old: str, new: str
) -> None:
    records = way(tmp_path, changed(written(tmp_path / "world"), subject, old, new))
    assert records.findings
    answer = judge_parts(records.catalogue, ["STUB-B", "RING-B"])
    name = subject.split("/")[2].replace("%20", " ")
    (check,) = (c for c in (*answer.joints, *answer.figures) if c.check == name)
    assert (check.verdict, answer.verdict) == (Verdict.NOT_KNOWN, Verdict.NOT_KNOWN)


def test_a_sum_that_lost_every_term_is_told(tmp_path: Path, way: Way) -> None:
    quads = written(tmp_path / "world")
    text = changed(quads, "figure_terms/bench/room/2", '"-1"', '"minus one"')
    text = text.replace(
        'figure_terms/bench/room/1> <https://knockon.example/vocab#factor> "1"',
        'figure_terms/bench/room/1> <https://knockon.example/vocab#factor> "one"',
    )
    answer = judge_parts(way(tmp_path, text).catalogue, ["STUB-B", "RING-B"])
    assert answer.verdict is Verdict.NOT_KNOWN
    assert [(r.kind, r.name) for r in answer.set_aside] == [("figure", "room")]


def test_what_is_only_told_checks_nothing(tmp_path: Path, way: Way) -> None:
    text = changed(written(tmp_path / "world"), "figures/bench/note", '"service"', '"servcie"')
    records = way(tmp_path, text)
    assert [f for f in records.findings if f.set_aside]
    assert judge_parts(records.catalogue, ["STUB-B", "RING-B"]).verdict is Verdict.FITS


def test_a_row_of_a_club_whose_layout_is_not_used_is_not_told(tmp_path: Path) -> None:
    folder = tmp_path / "world"
    quads = written(folder)
    text = changed(scoped(quads, "north"), RIM, "bearing on journal", "bearing on jurnal")
    (folder / "clubs").mkdir()
    (folder / "clubs" / "north.nq").write_text(text)
    records = load(folder)
    assert [f.file for f in records.findings if f.set_aside] == ["clubs/north.nq"]
    assert judge_parts(records.catalogue, ["STUB-B", "RING-B"]).verdict is Verdict.FITS
    for table in ("layouts", "positions", "joints", "figures", "figure_terms", "vehicles", "fittings"):
        (folder / f"{table}.csv").unlink()
    assert judge_parts(load(folder).catalogue, ["STUB-B", "RING-B"]).verdict is Verdict.NOT_KNOWN
    with pytest.raises(Exception, match=r"no layout|no part"):
        judge_parts(load(folder, ["north"]).catalogue, ["STUB-B", "RING-B"])


def test_a_part_is_called_by_its_iri(tmp_path: Path, way: Way) -> None:
    records = way(tmp_path, changed(written(tmp_path / "world"), "parts/STUB-B", '"STUB-B"', '"STUB-A"'))
    assert {f.problem for f in records.findings if f.column == "parts/STUB-B: part"} == {"the row's IRI says 'STUB-B'"}
    assert "STUB-B" not in records.catalogue.parts


def test_turned_ends_of_a_joint_are_turned_back(tmp_path: Path, way: Way) -> None:
    quads = written(tmp_path / "world")
    text = changed(quads, RIM, '"stub"', '"new"')
    for old, new in (('"ring"', '"stub"'), ('"new"', '"ring"'), ('"bearing"', '"new"'), ('"journal"', '"bearing"'),
                     ('"new"', '"journal"')):  # fmt: skip
        text = changed(list(ox.parse(text.encode(), format=ox.RdfFormat.N_QUADS)), RIM, old, new)
    records = way(tmp_path, text)
    assert records.findings == ()
    answer = judge_parts(records.catalogue, ["STUB-B", "RING-B"])
    assert [j.verdict for j in answer.joints] == [Verdict.FITS, Verdict.FITS]
