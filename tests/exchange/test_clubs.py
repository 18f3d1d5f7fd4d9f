"""Clubs beside one's own records: shown apart, left out, taken out, and never a word of one's own changed."""

import resource
import signal
from functools import partial
from pathlib import Path

import pyoxigraph as ox
import pytest

from knockon.graph.exchange.clubs import CLUBS, NotAClub, Shared, by_club, scoped, shared, shares_of
from knockon.graph.exchange.merging import merge_into, remove_club
from knockon.graph.files.atomic import NotWritten
from knockon.graph.files.rdf_files import club_files
from knockon.graph.judge.verdicts import Verdict
from knockon.graph.model.names import ID
from knockon.graph.model.schema import RDF, VOCAB
from knockon.graph.notes.write import Draft, add_note, withdraw_note
from knockon.graph.rdf.canonical import NotRdf, from_bytes, iri_of, read_rdf, to_bytes
from knockon.graph.records import RecordsError, load, load_records, read_graph
from knockon.queries.club.merging import judge_merge
from knockon.queries.fits.fits import judge_parts
from knockon.queries.intake.check import check_records
from tests.exchange.faults import at_once, dies_at_line
from tests.exchange.world import TABLES, write_world
from tests.unit.small import folder_of

ABOUT = Shared("north", "m9", "2026-01-02T03:04:05Z", "CC-BY-4.0", "Northern Circle")


@pytest.fixture(autouse=True)
def no_cache(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("KNOCKON_CACHE", "off")


@pytest.fixture
def ours(tmp_path: Path) -> Path:
    return write_world(tmp_path / "ours")


def theirs(tmp_path: Path, name: str = "north", **changed: str) -> bytes:
    """What another club shares: its own measurement of S-1 and S-2, in sources of the same names as ours."""
    tables = {
        "sources": "source,title,standing,member\ndrawings,Their drawings,drawing,\nN1,Their note 1,drawing,m9\n",
        "features__spacer": "part,feature,length,source\nS-1,spacer,12.2 mm,N1\nS-2,spacer,12.2 mm,N1\n",
        "features__internal_spline": "part,feature,teeth,pitch,source\nF-2,spline,25,module 1.0,drawings\n",
        "notes": "note,date,member,text,parts,outcome,source\nN1,2020,m9,measured both,S-1;S-2,measured,N1\n",
    }
    folder = write_world(tmp_path / f"of-{name}", **(tables | changed))
    return shared(
        read_graph(folder)[0], Shared(name, *(getattr(ABOUT, f) for f in ("member", "at", "licence", "title")))
    )


def take_in(folder: Path, content: bytes) -> dict[str, int]:
    return merge_into(folder, by_club(from_bytes(content, "trig", "it"), "it"))


def test_sources_of_two_clubs_never_collide(ours: Path, tmp_path: Path) -> None:
    take_in(ours, theirs(tmp_path))
    catalogue = load_records(ours)
    assert {"drawings", "N1", "north: drawings", "north: N1"} <= set(catalogue.sources)
    assert catalogue.sources["N1"].standing == "worn"
    assert catalogue.sources["north: N1"].standing == "drawing"
    assert {"N1", "N2", "north: N1"} == set(catalogue.notes)
    assert catalogue.notes["north: N1"].parts == ("S-1", "S-2")
    assert catalogue.notes["north: N1"].source == "north: N1"
    stated = catalogue.features_of("S-1")["spacer"].dimensions["length"]
    assert {(s.source, s.written, s.rank) for s in stated} == {("N1", "12.6 mm", 4), ("north: N1", "12.2 mm", 2)}


def test_only_what_is_said_to_be_an_item_is_a_club_s_own_thing(ours: Path) -> None:
    """A vehicle as made is everybody's, and stays so though somebody's statement about it names the class of items."""
    van, item = ox.NamedNode(ID + "vehicles/van"), ox.NamedNode(VOCAB + "Item")
    see, is_a = ox.NamedNode("http://www.w3.org/2000/01/rdf-schema#seeAlso"), ox.NamedNode(RDF + "type")
    said = read_graph(ours)[0]
    for predicate, is_own in ((see, False), (is_a, True)):
        names = {iri_of(q.subject) for q in scoped([*said, ox.Quad(van, predicate, item)], "north")}
        assert (van.value not in names) is is_own
        assert (f"{CLUBS}north/vehicles/van" in names) is is_own


def test_one_s_own_files_are_not_touched(ours: Path, tmp_path: Path) -> None:
    before = {p: p.read_bytes() for p in ours.rglob("*.csv")}
    take_in(ours, theirs(tmp_path))
    assert {p: p.read_bytes() for p in ours.rglob("*.csv")} == before
    assert [p.name for p in club_files(ours)] == ["north.nq"]


def test_the_file_says_who_when_and_under_what_licence(tmp_path: Path) -> None:
    text = theirs(tmp_path).decode()
    for said in ('"m9"', '"CC-BY-4.0"', '"Northern Circle"', '"2026-01-02T03:04:05Z"', "prov:wasAttributedTo"):
        assert said in text
    assert theirs(tmp_path).decode() == text


def test_a_club_s_sizes_decide_and_can_be_left_out(ours: Path, tmp_path: Path) -> None:
    assert judge_parts(load_records(ours), ["J-1", "F-2"]).verdict is Verdict.NOT_KNOWN
    take_in(ours, theirs(tmp_path))
    assert judge_parts(load_records(ours), ["J-1", "F-2"]).verdict in (Verdict.DO_NOT_USE, Verdict.DOES_NOT_FIT)
    for without in (["north"], ["north: drawings"]):
        assert judge_parts(load_records(ours, without), ["J-1", "F-2"]).verdict is Verdict.NOT_KNOWN
    own = {s.source for s in load_records(ours, ["N1"]).features_of("S-1")["spacer"].dimensions["length"]}
    assert own == {"north: N1"}
    with pytest.raises(RecordsError, match=r"no source or club 'nort'.*north"):
        load_records(ours, ["nort"])


def test_leaving_out_the_source_of_the_parts_leaves_no_loose_ends(ours: Path) -> None:
    catalogue = load_records(ours, ["drawings"])
    assert catalogue.parts == {}
    assert catalogue.vehicles == {}
    assert catalogue.notes["N1"].parts == ()


def test_leaving_a_note_out_takes_no_member_of_a_set_off_a_vehicle(tmp_path: Path) -> None:
    """A fitting may be one member of a set, which is named with its place and has no row of its own."""
    folder = folder_of(tmp_path)
    with (folder / "fittings.csv").open("a") as fittings:
        fittings.write("my-cart,hub,left,PAIR-25/hub/left,,sound\n")
    whole, left_out = load_records(folder), load_records(folder, ["N1"])
    (hub,) = (f for f in whole.vehicles["my-cart"].fittings if f.position == "hub" and f.member)
    assert hub in left_out.vehicles["my-cart"].fittings and left_out.notes == {} != whole.notes


def test_taking_a_club_out_gives_the_old_answers(ours: Path, tmp_path: Path) -> None:
    before = load(ours)
    take_in(ours, theirs(tmp_path))
    assert load(ours) != before
    assert remove_club(ours, "north") > 100
    assert load(ours) == before
    with pytest.raises(NotAClub, match="no club 'north'"):
        remove_club(ours, "north")


def test_a_layout_is_never_made_of_two_clubs_rows(ours: Path, tmp_path: Path) -> None:
    more = TABLES["positions.csv"] + "axle,boot,corner,joint boot,1,needed,boot,9\n"
    take_in(ours, theirs(tmp_path, positions=more, vehicles=TABLES["vehicles.csv"].replace("The van", "Their van")))
    catalogue = load_records(ours)
    assert catalogue.layouts == load_records(ours, ["north"]).layouts
    assert catalogue.vehicles["van"].title == "The van"
    found = judge_merge(load(ours), ours, {}, "it")
    assert found.findings == ()


def test_what_a_merge_does_is_told_before_it_is_done(ours: Path, tmp_path: Path) -> None:
    incoming = by_club(
        from_bytes(
            theirs(tmp_path, parts=TABLES["parts.csv"].replace("F-1,flange", "F-1,flanged thing")), "trig", "it"
        ),
        "it",
    )
    answer = judge_merge(load(ours), ours, incoming, "it")
    assert club_files(ours) == []
    assert [(d.thing, d.column, d.ours, d.theirs) for d in answer.differences] == [
        ("parts/F-1", "name", "flange", "flanged thing"),
    ]
    contradicted = [(d.things, d.decided, [s.source for s in d.sides]) for d in answer.size_disputes]
    assert contradicted == [
        (("S-2",), False, ["drawings", "north: N1"]),
        (("S-1",), True, ["north: N1", "N1"]),
    ]
    assert [(f.check, f.part, f.other, f.before) for f in answer.flips] == [
        ("flange on stub", "J-1", "F-2", Verdict.NOT_KNOWN),
    ]
    merge_into(ours, incoming)
    again = judge_merge(load(ours), ours, incoming, "it")
    assert (again.size_disputes, again.note_disputes, again.flips) == ((), (), ())


def test_a_club_can_withdraw_what_it_shared(ours: Path, tmp_path: Path) -> None:
    take_in(ours, theirs(tmp_path))
    folder = tmp_path / "of-north"
    withdraw_note(folder, "N1", "m9", "misread", partial(load_records, folder))
    take_in(ours, shared(read_graph(folder)[0], ABOUT))
    assert "north: N1" not in load_records(ours).notes
    assert {s.source for s in load_records(ours).features_of("S-1")["spacer"].dimensions["length"]} == {"N1"}


@pytest.mark.parametrize("form", ["nq", "trig", "ttl", "jsonld"])
def test_an_export_can_be_taken_in_as_a_club_s(form: str, ours: Path, tmp_path: Path) -> None:
    path = tmp_path / f"export.{form}"
    path.write_bytes(to_bytes(read_graph(write_world(tmp_path / "other"))[0], form))
    with pytest.raises(NotRdf, match="whose they are with --club"):
        by_club(read_rdf(path), str(path))
    merge_into(ours, by_club(read_rdf(path), str(path), "other"))
    assert "other: N2" in load_records(ours).notes


def test_a_round_trip_through_the_whole_demo_world_loses_nothing() -> None:
    from importlib import resources

    store = read_graph(Path(str(resources.files("knockon.data_demo"))))[0]
    written = to_bytes(store, "nq")
    for form in ("nq", "trig", "ttl", "jsonld"):
        assert to_bytes(from_bytes(to_bytes(store, form), form, form), "nq") == written
    assert written.count(b"\n") == len(store) > 9000


def test_merged_records_pass_the_shapes(ours: Path, tmp_path: Path) -> None:
    take_in(ours, theirs(tmp_path))
    add_note(ours, Draft(member="m1", text="x", parts=("S-1",), outcome="worked"), partial(load_records, ours))
    answer = check_records(ours)
    assert answer.findings == ()
    assert answer.counts["nodes checked"] > 20


# ----------------------------------------------------------------- kill, disk


def test_a_kill_at_any_line_leaves_the_old_or_the_new(ours: Path, tmp_path: Path) -> None:
    incoming = by_club(from_bytes(theirs(tmp_path), "trig", "it"), "it")
    whole = to_bytes(incoming["north"], "nq")
    number, seen = 1, set()
    while dies_at_line(number, partial(merge_into, ours, incoming)):
        seen.add(tuple(p.read_bytes() for p in club_files(ours)))
        for path in club_files(ours):
            path.unlink()
        number += 1
    assert number > 30
    assert seen == {(), (whole,)}
    assert load(ours).findings == ()


def test_a_kill_while_a_club_is_taken_out_leaves_it_or_not(ours: Path, tmp_path: Path) -> None:
    incoming = by_club(from_bytes(theirs(tmp_path), "trig", "it"), "it")
    whole = to_bytes(incoming["north"], "nq")
    number, seen = 1, set()
    merge_into(ours, incoming)
    while dies_at_line(number, partial(remove_club, ours, "north")):
        seen.add(tuple(p.read_bytes() for p in club_files(ours)))
        merge_into(ours, incoming)
        number += 1
    assert number > 15
    assert seen == {(), (whole,)}
    assert club_files(ours) == []


def test_a_merge_where_no_byte_can_be_written_changes_nothing(ours: Path, tmp_path: Path) -> None:
    """The system refuses as it does on a full disk."""
    content = theirs(tmp_path)

    def write_where_nothing_can_be_written() -> None:
        signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
        resource.setrlimit(resource.RLIMIT_FSIZE, (0, 0))
        with pytest.raises(NotWritten, match="Nothing was changed"):
            take_in(ours, content)

    assert at_once([write_where_nothing_can_be_written]) == [0]
    assert club_files(ours) == [] and load(ours).findings == ()


def test_what_a_club_has_said_otherwise_since_is_told(ours: Path, tmp_path: Path) -> None:
    """A union keeps both; the one that is used is named, and the row still counts."""
    take_in(ours, theirs(tmp_path))
    sources = "source,title,standing,member\ndrawings,Newer drawings,drawing,\nN1,Their note 1,drawing,m9\n"
    take_in(ours, theirs(tmp_path / "later", sources=sources))
    records = load(ours)
    assert [(f.file, f.written, f.problem, f.set_aside) for f in records.findings] == [
        ("clubs/north.nq", "Newer drawings; Their drawings",
         "2 different values are stated. All are kept and 'Newer drawings' is used", False),
    ]  # fmt: skip
    assert records.catalogue.sources["north: drawings"].title == "Newer drawings"


def test_a_byte_order_mark_is_no_hindrance(tmp_path: Path) -> None:
    path = tmp_path / "a.nq"
    path.write_bytes(b"\xef\xbb\xbf" + TRIPLE % b"north" + b"\n")
    assert list(by_club(read_rdf(path), "it")) == ["north"]


def test_two_merges_at_once_lose_nothing(ours: Path, tmp_path: Path) -> None:
    parts = [theirs(tmp_path), theirs(tmp_path, features__spacer="part,feature,length,source\nS-1,spacer,9 mm,N1\n")]
    works = [partial(take_in, ours, content) for content in (*parts, *parts)]
    assert at_once(works) == [0] * 4
    # both files say one time of sharing, so neither is the newer one
    union = {q for content in parts for q in from_bytes(content, "trig", "it")}
    assert set(from_bytes(club_files(ours)[0].read_bytes(), "nq", "it")) == union


def test_a_full_disk_leaves_the_club_as_it_was(ours: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    import os

    take_in(ours, theirs(tmp_path))
    before = club_files(ours)[0].read_bytes()

    def full(descriptor: int) -> None:
        raise OSError(28, os.strerror(28))

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(NotWritten, match=r": the disk is full\. Nothing was changed$"):
        take_in(ours, theirs(tmp_path, features__spacer="part,feature,length,source\nS-1,spacer,9 mm,N1\n"))
    assert club_files(ours)[0].read_bytes() == before
    assert [p.name for p in (ours / "clubs").iterdir()] == ["north.nq"]


# ------------------------------------------------------------------- hostile

TRIPLE = b"<http://a/s> <http://a/p> <http://a/o> <https://knockon.example/id/clubs/%s/x> ."
IN_NORTH = "<https://knockon.example/id/clubs/north/graph/records>"
TYPE = "<http://www.w3.org/1999/02/22-rdf-syntax-ns#type>"


@pytest.mark.parametrize(
    ("name", "content", "said"),
    [
        ("a.trig", b"\x00\xff\xfe", "not TriG"),
        ("a.nq", b"<a> <b> <c", "not N-Quads"),
        ("a.jsonld", b"[" * 300_000, "nested more than 64 deep"),
        ("a.jsonld", b'{"@context": "http://127.0.0.1:9/c", "http://a/b": 1}', "not JSON-LD"),
        ("a.ttl", b"<http://a/a> <http://a/b> " + b"(" * 300_000, "not Turtle"),
        ("a.nq", b"", "no statements"),
        ("a.xls", b"", "no known extension"),
        ("a.nq", b"".join(b"_:b%d <http://a/p> _:b%d .\n" % (i, i + 1) for i in range(3000)), "blank nodes"),
        ("a.nq", TRIPLE % b"../../etc", "club's name|not N-Quads"),
        ("a.nq", TRIPLE % b"UP%2F", "cannot be a club's name"),
        ("a.ttl", b"<http://a/s> <http://a/p> <<( <http://a/a> <http://a/b> <http://a/c> )>> .", "triple terms"),
    ],
)  # fmt: skip
def test_a_hostile_file_is_refused_in_words(name: str, content: bytes, said: str, tmp_path: Path) -> None:
    path = tmp_path / name
    path.write_bytes(content)
    with pytest.raises(RecordsError, match=said):
        by_club(read_rdf(path), str(path))


def test_faulty_rows_of_a_club_are_findings_and_its_good_ones_go_on(ours: Path) -> None:
    ident = "https://knockon.example/id"
    lines = [
        f'<{ident}/parts/X-1> {TYPE} <https://knockon.example/vocab#Part> {IN_NORTH} .',
        f'<{ident}/parts/X-1> <https://knockon.example/vocab#part> "X-1" {IN_NORTH} .',
        f'<{ident}/features/S-1/spacer> {TYPE} <https://knockon.example/vocab#Spacer> {IN_NORTH} .',
        f'<{ident}/features/S-1/spacer> <https://knockon.example/vocab#of> <{ident}/parts/S-1> {IN_NORTH} .',
        f'<{ident}/features/S-1/spacer> <https://knockon.example/vocab#featureName> "spacer" {IN_NORTH} .',
        f'<{ident}/features/S-1/spacer> <https://knockon.example/vocab#spacerLength> "about a thumb" {IN_NORTH} .',
        f'<{ident}/claims/S-2/x> {TYPE} <https://knockon.example/vocab#Claim> {IN_NORTH} .',
        f'<{ident}/claims/S-2/x> <https://knockon.example/vocab#part> <{ident}/parts/NOBODY> {IN_NORTH} .',
        f'<{ident}/claims/S-2/x> <https://knockon.example/vocab#claim> "same as" {IN_NORTH} .',
        f'<http://elsewhere.example/a> <http://elsewhere.example/b> "whatever" {IN_NORTH} .',
    ]  # fmt: skip
    path = "".join(q for q in read_graph(ours)[1].kinds if q.endswith("#Spacer"))
    column = next(c.path for c in read_graph(ours)[1].kinds[path].columns if c.name == "length")
    text = "\n".join(lines).replace("https://knockon.example/vocab#spacerLength", column) + "\n"
    merge_into(ours, by_club(from_bytes(text.encode(), "nq", "it"), "it"))
    records = load(ours)
    assert "X-1" not in records.catalogue.parts
    assert all(c.part != "NOBODY" for c in records.catalogue.claims)
    unknown = [s for s in records.catalogue.features_of("S-1")["spacer"].dimensions["length"] if s.unknown]
    assert [s.source for s in unknown] == ["north"]
    problems = {f.problem.partition(":")[0] for f in records.findings}
    assert "nothing is stated" in problems
    assert "names something that is not in the records" in problems
    assert any("counts as not known" in f.problem for f in records.findings)
    assert {f.file for f in records.findings} == {"clubs/north.nq"}
    assert ox.NamedNode("http://elsewhere.example/a") in {q.subject for q in read_graph(ours)[0]}


def test_a_file_put_there_by_hand_that_speaks_for_others_is_not_read(ours: Path, tmp_path: Path) -> None:
    take_in(ours, theirs(tmp_path))
    (ours / "clubs" / "south.nq").write_bytes((ours / "clubs" / "north.nq").read_bytes())
    records = load(ours)
    assert [f.file for f in records.findings] == ["clubs/south.nq"]
    assert "north: N1" in records.catalogue.notes


def test_a_cell_whose_row_nobody_gives_is_a_finding_that_names_the_club(ours: Path) -> None:
    """A file that says a part's other name without the part's row changes nothing, and is told before and after."""
    vocab, graph = "https://knockon.example/vocab#", "<https://knockon.example/id/clubs/north/graph/records>"
    part = "<https://knockon.example/id/parts/S-1>"
    lines = [f'{part} <{vocab}name> "AAA" {graph} .', f"{part} <http://purl.org/dc/terms/relation> <urn:x> {graph} ."]
    incoming = by_club(from_bytes("\n".join(lines).encode(), "nq", "x"), "x")
    before = load(ours)
    judged = judge_merge(before, ours, incoming, "x.nq")
    (told,) = judged.findings
    assert (told.file, told.column, told.written) == ("clubs/north.nq", "parts/S-1: name", "AAA")
    assert "belongs to no row" in told.problem
    merge_into(ours, incoming)
    after = load(ours)
    assert after.findings == (*before.findings, told)
    assert after.catalogue == before.catalogue
    assert "AAA" in club_files(ours)[0].read_text(encoding="utf-8")


def test_a_merge_tells_who_shared_when_and_under_what_licence(ours: Path, tmp_path: Path) -> None:
    incoming = by_club(from_bytes(theirs(tmp_path), "trig", "x"), "x")
    (told,) = judge_merge(load(ours), ours, incoming, "x.trig").shares
    assert told == Shared("north", "m9", "2026-01-02T03:04:05Z", "CC-BY-4.0", "Northern Circle")
    assert shares_of(incoming["north"], "south") == ()
