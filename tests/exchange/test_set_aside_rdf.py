"""Rows that come in as RDF and are set aside: whichever way they came, an answer that they touch is never "fits"."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pyoxigraph as ox
import pytest

from knockon.graph.exchange.clubs import scoped
from knockon.graph.judge.verdicts import Verdict
from knockon.graph.rdf.canonical import to_bytes
from knockon.graph.records import Records, load, read_graph
from knockon.graph.records.served import load_served
from knockon.queries.fits.fits import judge_parts
from knockon.queries.fits.skipped import told
from knockon.queries.plan.swap import swap
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


# ------------------------------------------------------------------- fittings, members of sets, absences, readings


def two_benches(folder: Path, need: str = "needed") -> list[ox.Quad]:
    """The same world with a bench that is like another but for its ring, and a set of a stub and a ring."""
    write_tiny(folder, joints=JOINT)
    tables = {
        "vehicles": "vehicle,title,layout,as made,like\nbench-1,one,bench,yes,\nbench-2,other,bench,no,bench-1\n",
        "fittings": "vehicle,position,side,part,condition\nbench-1,stub,,STUB-B,sound\nbench-1,ring,,RING-B,sound\n"
        "bench-2,ring,,RING-A,sound\n",
        "set_members": "set,position,as part\nSET-1,ring,RING-A\nSET-1,stub,STUB-B\n",
    }
    for name, text in tables.items():
        (folder / f"{name}.csv").write_text(text)
    with (folder / "parts.csv").open("a") as parts:
        parts.write("SET-1,a set,bearing spacer,either,no,drawings\n")
    positions = (folder / "positions.csv").read_text()
    (folder / "positions.csv").write_text(positions.replace("wheel bearing,1,needed", f"wheel bearing,1,{need}"))
    store, _, findings = read_graph(folder)
    assert findings == ()
    return list(store)


RING = "fittings/bench-2/ring/"


@pytest.mark.parametrize("need", ["needed", "optional"])
@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("vocab#Fitting>", "vocab#Fiting>"),
        ("parts/RING-A>", "parts/RIGN-A>"),
        ('"sound"', '"sonud"'),
        ("vehicles/bench-2>", "vehicles/bnech-2>"),
    ],
)
def test_a_fitting_that_was_set_aside_leaves_its_place_unknown(
    tmp_path: Path, way: Way, need: str, old: str, new: str
) -> None:
    quads = two_benches(tmp_path / "world", need)
    whole = way(tmp_path / "whole", to_bytes(quads, "nq").decode()).catalogue
    vehicle = next(v for v in whole.vehicles if v.endswith("bench-2"))
    assert judge_parts(whole, ["STUB-B"], on=vehicle).verdict is Verdict.DOES_NOT_FIT
    records = way(tmp_path, changed(quads, RING, old, new))
    assert [f for f in records.findings if f.set_aside]
    answer = judge_parts(records.catalogue, ["STUB-B"], on=vehicle)
    assert answer.verdict is Verdict.NOT_KNOWN
    (row,) = answer.set_aside
    assert (row.kind, row.name, row.positions) == ("fitting", vehicle, ("ring",))
    (text,) = told(answer.set_aside)
    assert f'. The thing in ring of "{vehicle}" is not known.' in text
    assert judge_parts(records.catalogue, ["STUB-B"], on="bench-1").verdict is Verdict.FITS_ON_PAPER
    assert swap(records.catalogue, vehicle, want=["stub=STUB-B"]).set_aside == (row,)


def test_a_vehicle_that_is_like_none_does_not_lose_what_it_has(tmp_path: Path, way: Way) -> None:
    quads = two_benches(tmp_path / "world", "optional")
    records = way(tmp_path, changed(quads, "vehicles/bench-2", "vehicles/bench-1>", "vehicles/bnech-1>"))
    assert [f for f in records.findings if f.set_aside]
    assert not [v for v in records.catalogue.vehicles if v.endswith("bench-2")]


@pytest.mark.parametrize(
    ("old", "new"),
    [("vocab#SetMember>", "vocab#SetMebmer>"), ('"ring"', '"rimg"'), ("parts/SET-1>", "parts/STE-1>")],
)
def test_a_set_that_lost_a_member_does_not_fit_without_it(tmp_path: Path, way: Way, old: str, new: str) -> None:
    quads = two_benches(tmp_path / "world")
    whole = judge_parts(way(tmp_path / "whole", to_bytes(quads, "nq").decode()).catalogue, ["SET-1", "RING-B"])
    assert whole.verdict is Verdict.DOES_NOT_FIT
    records = way(tmp_path, changed(quads, "set_members/SET-1/ring/", old, new))
    assert [f for f in records.findings if f.set_aside]
    answer = judge_parts(records.catalogue, ["SET-1", "RING-B"])
    assert answer.verdict is not Verdict.FITS
    assert [(r.kind, r.name) for r in answer.set_aside] == [("set member", "SET-1")]


@pytest.mark.parametrize(("said", "verdict"), [('"1"', Verdict.DOES_NOT_FIT), ('"ture"', Verdict.NOT_KNOWN)])
def test_an_absence_that_cannot_be_read_is_no_presence(tmp_path: Path, way: Way, said: str, verdict: Verdict) -> None:
    folder = tmp_path / "world"
    write_tiny(folder)
    journals = (folder / "features" / "journal.csv").read_text()
    (folder / "features" / "journal.csv").write_text(
        journals.replace("STUB-B,journal,28.575..28.585 mm", "STUB-B,journal,absent")
    )
    (folder / "claims.csv").write_text("part,claim,other part\nSTUB-B,goes with,RING-B\n")
    records = way(tmp_path, changed(list(read_graph(folder)[0]), "features/STUB-B/journal", '"true"', said))
    assert bool(records.findings) is (verdict is Verdict.NOT_KNOWN)
    assert judge_parts(records.catalogue, ["STUB-B", "RING-B"]).verdict is verdict


def test_a_word_that_means_nothing_is_told(tmp_path: Path, way: Way) -> None:
    quads = written(tmp_path / "world")
    text = changed(quads, RIM, "vocab#reached>", "vocab#raeched>")
    (found,) = way(tmp_path, text).findings
    assert (found.set_aside, found.problem) == (False, "no such column, so it is not read")
    assert (found.written, found.suggestions[0]) == ("raeched", "reached")
