"""Readings on a vehicle, as a member types them: each belongs to the thing in its place, and to no other."""

import json
import shutil
from pathlib import Path

import pytest

from knockon.graph.model.names import iri
from knockon.graph.records import load
from tests.commands.running import Ran, full, run
from tests.unit.small import TABLES, folder_of

DEMO = Path(__file__).parents[2] / "data_demo"
VEHICLES = TABLES["vehicles.csv"] + "other-cart,another as found,cart axle,no,cart,cart\n"
HUB = "left hub, bore: diameter = 21 mm"


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("KNOCKON_CACHE", "off")
    return written(tmp_path / "own")


def written(folder: Path, **tables: str) -> Path:
    folder_of(folder)
    for name, text in {"vehicles": VEHICLES, **tables}.items():
        (folder / f"{name}.csv").write_text(text, encoding="utf-8")
    return folder


def note(folder: Path, *sizes: str, vehicle: str = "my-cart", **options: str) -> Ran:
    said = {"member": "m1", "text": "read it", "outcome": "measured", **options}
    words = [w for k, v in said.items() if v for w in (f"--{k.replace('_', '-')}", v)]
    words += ["--vehicle", vehicle] if vehicle else []
    return run("note", "add", "--records", str(folder), *words, *(w for s in sizes for w in ("--size", s)))


def flowing(text: str) -> str:
    return " ".join(text.split())


def bores(folder: Path, vehicle: str, side: str) -> list[tuple[str, int, bool]]:
    """What computes for the hub on one side of a vehicle: as written, its standing, whether it is of the number."""
    from knockon.graph.model.layouts.layout import Place, Places
    from knockon.queries.fits.checking.candidates import as_found

    catalogue = load(folder).catalogue
    places = Places(catalogue.layouts["cart axle"])
    thing = as_found(catalogue, places, catalogue.vehicles[vehicle])[Place("hub", side)].thing
    feature = catalogue.features_of(thing).get("bore")
    return sorted((s.written, s.rank, s.of_number) for s in feature.dimensions["diameter"]) if feature else []


NUMBER = [("20 mm", 2, False)]
READ = [("20 mm", 2, True), ("21 mm", 1, False)]


SAID = (
    HUB, "Left  HUB, bore: diameter = 21 mm", "HUB-20L, bore: diameter = 21 mm", "left hub, Pilot bore: dia = 21 mm",
    "left hub flange, bore: size across = 21 mm", "HUB-20L, register bore: Diameter = 21 mm",
)  # fmt: skip


@pytest.mark.parametrize("size", SAID)
def test_a_reading_in_a_place_is_of_the_thing_there_and_changes_no_other(folder: Path, size: str) -> None:
    ran = note(folder, size, standing="on the item")
    assert ran.status == 0, ran.err
    assert "Its readings belong to the left hub of my-cart (HUB-20L), and to no other part" in ran.flowing
    assert (
        "Differs from what is recorded of its number: bore: diameter 20 mm, not 21 mm (book, drawing)." in ran.flowing
    )
    assert bores(folder, "my-cart", "left") == READ
    assert (
        bores(folder, "my-cart", "right")
        == bores(folder, "other-cart", "left")
        == bores(folder, "cart", "left")
        == NUMBER
    )
    assert [f for f in load(folder).findings if f.set_aside] == []


def test_a_place_that_is_read_is_on_the_item_without_saying_so_and_a_number_is_worn(folder: Path) -> None:
    assert note(folder, HUB).status == 0
    assert note(folder, "HUB-20L, bore: diameter = 20.5 mm").status == 0
    assert [load(folder).catalogue.sources[n].standing for n in ("N02", "N03")] == ["on the item", "worn"]


FITTINGS = TABLES["fittings.csv"] + "my-cart,hub,,HUB-?,,sound\n"


@pytest.mark.parametrize(
    ("size", "vehicle", "said"),
    [
        ("HUB-?, bore: diameter = 21 mm", "my-cart", 'stands in 2 places of my-cart. Which one did you read? Write '
         '--size "left hub, bore: diameter = 21 mm" or --size "right hub, bore: diameter = 21 mm"'),
        ("hub, bore: diameter = 21 mm", "my-cart", 'has a hub on each side. Write --size "left hub, bore: diam'),
        ("left axle, seat: diameter = 21 mm", "my-cart", 'one axle, not one on each side. Write --size "axle, seat'),
        ("HUB-20L, bore: diameter = 21 mm", "my-cart", 'not recorded on my-cart. Write the place: --size "left hub,'),
        ("left hub, bore: diameter = 21 mm", "", "was read on one particular thing. Name its vehicle with --vehicle"),
        ("HUB-20L, bore: diameter = 21 mm", "", "was read on one particular thing. Name its vehicle with --vehicle"),
        ("left hub, bore: diameter = 21 mm", "cart", "cart is a model as made. Name the vehicle"),
        ("odd-axle, seat: diameter = 21 mm", "other-cart", "is not on other-cart. It is here: my-cart, axle"),
        ("left hub, boar: diameter = 21 mm", "my-cart", "no feature of left hub 'boar' in these records. Nearest: bo"),
        ("left hub, pilot boar: dia = 21 mm", "my-cart", "left hub 'pilot boar' in these records. Nearest: bore"),
        ("left hub, bore: diametre = 21 mm", "my-cart", "of bore 'diametre' in these records. Nearest: diameter"),
    ],
)  # fmt: skip
def test_where_the_place_is_not_clear_it_is_asked_for(tmp_path: Path, size: str, vehicle: str, said: str) -> None:
    folder = written(tmp_path, fittings=FITTINGS)
    ran = note(folder, size, vehicle=vehicle, standing="on the item")
    assert ran.status == 2 and said in flowing(ran.err), ran.err
    assert not (folder / "notes").exists() or list((folder / "notes").glob("*.nq")) == []


def test_what_the_refusal_says_can_be_typed(tmp_path: Path) -> None:
    folder = written(tmp_path, fittings=FITTINGS)
    assert note(folder, "right hub, bore: diameter = 21 mm", standing="on the item").status == 0
    assert bores(folder, "my-cart", "right") == [("21 mm", 1, False)]
    assert bores(folder, "my-cart", "left") == []


def test_a_named_thing_keeps_its_name(folder: Path) -> None:
    ran = note(folder, "axle, seat: diameter = 21 mm")
    assert "Its readings belong to the axle of my-cart (AXLE-20), and to no other part: odd-axle." in ran.flowing
    assert iri("items", "odd-axle") in (folder / "notes" / "N02.nq").read_text(encoding="utf-8")
    assert set(load(folder).catalogue.items) == {"odd-axle"}


def test_two_notes_on_one_thing_are_of_one_name_and_either_can_be_withdrawn(folder: Path) -> None:
    for value in ("21 mm", "21.5 mm"):
        said = note(folder, f"left hub, bore: diameter = {value}")
    assert "Contradicts what is recorded: bore: diameter 21 mm, not 21.5 mm (N02, on the item)." in said.flowing
    (item,) = {i for i in load(folder).catalogue.items if i != "odd-axle"}
    assert len(bores(folder, "my-cart", "left")) == 3
    for name, left in (("N02", [("20 mm", 2, True), ("21.5 mm", 1, False)]), ("N03", NUMBER)):
        assert run("note", "withdraw", name, "--records", str(folder), "--member", "m1").status == 0
        assert bores(folder, "my-cart", "left") == left
        assert (item in load(folder).catalogue.items) == (name == "N02")


def test_a_thing_of_another_number_is_another_thing(folder: Path) -> None:
    note(folder, HUB)
    fittings = folder / "fittings.csv"
    fittings.write_text(TABLES["fittings.csv"] + "my-cart,hub,left,HUB-25L,,sound\n", encoding="utf-8")
    assert bores(folder, "my-cart", "left") == [("25 mm", 2, False)]
    ran = run("check", "--records", str(folder))
    assert "the place now holds HUB-25L" in ran.flowing
    assert note(folder, "left hub, bore: diameter = 25.1 mm").status == 0
    assert bores(folder, "my-cart", "left") == [("25 mm", 2, True), ("25.1 mm", 1, False)]


def test_a_part_of_an_unrecorded_place_is_read_there(tmp_path: Path) -> None:
    folder = written(tmp_path, fittings=TABLES["fittings.csv"].replace("cart,hub,left,HUB-20L,,sound\n", "", 1))
    ran = note(folder, HUB)
    assert "Its readings belong to the left hub of my-cart, and to no other part" in ran.flowing, ran.err
    assert bores(folder, "my-cart", "left") == [("21 mm", 1, False)]
    assert bores(folder, "my-cart", "right") == NUMBER


def test_a_member_of_a_set_is_read_by_its_name_or_place(tmp_path: Path) -> None:
    fittings = TABLES["fittings.csv"] + "my-cart,hub,,PAIR-25,,sound\nmy-cart,cap,,PAIR-25,,sound\n"
    folder = written(tmp_path, fittings=fittings)
    ran = note(folder, "PAIR-25/hub/right, bore: diameter = 25.4 mm", standing="on the item")
    assert ran.status == 0, ran.err
    assert bores(folder, "my-cart", "right") == [("25 mm", 2, True), ("25.4 mm", 1, False)]
    assert bores(folder, "my-cart", "left") == [("25 mm", 2, False)]
    refused = note(folder, "PAIR-25/hub, bore: diameter = 25.4 mm", standing="on the item")
    assert refused.status == 2 and 'Write --size "left hub, bore' in flowing(refused.err)
    assert [f for f in load(folder).findings if f.set_aside] == []


NAMED_BY_CLUBS = ("north: my-cart", "south: my-cart")


def test_clubs_keep_their_things_apart(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Two clubs that each read the left hub of a cart of that name, and a third that merges both."""
    monkeypatch.setenv("KNOCKON_CACHE", "off")
    third = written(tmp_path / "third")
    for club, value in (("north", "21 mm"), ("south", "22 mm")):
        own = written(tmp_path / club)
        assert note(own, f"left hub, bore: diameter = {value}").status == 0
        file = tmp_path / f"{club}.trig"
        assert run("share", str(file), "--records", str(own), "--club", club, "--member", "m1").status == 0
        assert run("merge", str(file), "--records", str(third)).status in (0, 1)
    on_item = {v: [w for w, rank, _ in bores(third, v, "left") if rank == 1] for v in ("my-cart", *NAMED_BY_CLUBS)}
    assert on_item == {"my-cart": [], "north: my-cart": ["21 mm"], "south: my-cart": ["22 mm"]}
    assert load(third).findings == load(tmp_path / "north").findings
    assert run("merge", "--remove", "north", "--records", str(third)).status == 0
    assert [v for v in load(third).catalogue.items if v.startswith("north")] == []


OLD = """\
<{notes}/N02> <{rdf}type> <{kn}Note> <{sources}/N02> .
<{notes}/N02> <{kn}note> "N02" <{sources}/N02> .
<{notes}/N02> <{kn}text> "read it" <{sources}/N02> .
<{notes}/N02> <{kn}outcome> "measured" <{sources}/N02> .
<{notes}/N02> <{kn}source> <{sources}/N02> <{sources}/N02> .
<{notes}/N02> <{kn}vehicle> <{vehicles}/my-cart> <{sources}/N02> .
<{features}/{part}/bore> <{rdf}type> <{kn}RegisterBore> <{sources}/N02> .
<{features}/{part}/bore> <{kn}of> <{parts}/{part}> <{sources}/N02> .
<{features}/{part}/bore> <{kn}featureName> "bore" <{sources}/N02> .
<{features}/{part}/bore> <{kn}diameter> "21 mm"^^<{kn}length> <{sources}/N02> .
<{sources}/N02> <{rdf}type> <{kn}Source> <{id}graph/records> .
<{sources}/N02> <{kn}source> "N02" <{id}graph/records> .
<{sources}/N02> <{kn}standing> "on the item" <{id}graph/records> .
"""


@pytest.mark.parametrize(("part", "left", "told"), [("HUB-20L", READ, False), ("HUB-%3F", [("21 mm", 4, False)], True)])
def test_a_note_of_the_first_kind_is_bound_where_one_place_is_possible(
    tmp_path: Path, part: str, left: list[tuple[str, int, bool]], told: bool
) -> None:
    folder = written(tmp_path, fittings=FITTINGS if part != "HUB-20L" else TABLES["fittings.csv"])
    (folder / "notes").mkdir()
    ids = {t: f"https://knockon.example/id/{t}" for t in ("notes", "sources", "vehicles", "features", "parts")}
    rdf, kn = "http://www.w3.org/1999/02/22-rdf-syntax-ns#", "https://knockon.example/vocab#"
    text = OLD.format(part=part, rdf=rdf, kn=kn, id="https://knockon.example/id/", **ids)
    (folder / "notes" / "N02.nq").write_text(text, encoding="utf-8")
    assert bores(folder, "my-cart", "left") == left
    assert bores(folder, "cart", "left") == NUMBER
    ran = run("check", "--records", str(folder))
    assert ("does not say on which thing it was taken. The reading counts as worn" in ran.flowing) == told


def test_a_table_that_reads_a_number_on_the_item_is_told_what_to_do(folder: Path) -> None:
    with (folder / "features" / "register_bore.csv").open("a", encoding="utf-8") as table:
        table.write("HUB-20L,bore,21 mm,survey\n")
    assert (
        bores(folder, "my-cart", "left") == bores(folder, "cart", "left") == [("20 mm", 2, False), ("21 mm", 4, False)]
    )
    said = run("check", "--records", str(folder)).flowing
    assert "FEATURES/REGISTER_BORE.CSV" in said and "a name that items.csv has with its vehicle and place" in said
    assert "my-cart, left hub; other-cart, left hub" in said


def test_a_size_far_from_the_usual_is_asked_back_and_written_as_read(folder: Path) -> None:
    slip = "left hub, bore: diameter = 210 mm"
    ran = note(folder, slip)
    assert ran.status == 2
    assert "210 mm is outside the usual sizes" in flowing(ran.err) and "Did you mean 21 mm?" in flowing(ran.err)
    assert "add --as-read" in flowing(ran.err) and not (folder / "notes" / "N02.nq").exists()
    words = ("--records", str(folder), "--member", "m1", "--text", "t", "--outcome", "measured", "--vehicle", "my-cart")
    assert run("note", "add", *words, "--size", slip, "--as-read").status == 0


def test_a_note_that_measured_and_states_no_size_says_so_wherever_it_is_told(folder: Path) -> None:
    said = "The size stands only in its text, so it is not used."
    words = ("--records", str(folder), "--member", "m1", "--text", "bore 20.4", "--outcome", "measured")
    ran = run("note", "add", *words, "--part", "HUB-20L", "--part", "AXLE-20")
    assert ran.status == 0 and f"{said} Give it with --size to have it used." in ran.flowing
    assert said in run("note", "list", "--records", str(folder)).flowing
    assert said in run("fits", "HUB-20L", "AXLE-20", "--notes", "--records", str(folder)).flowing
    note(folder, HUB)
    assert run("note", "list", "--records", str(folder)).flowing.count(said) == 1


def test_the_document_tells_what_is_bound_and_contradicted(folder: Path) -> None:
    words = ("--records", str(folder), "--member", "m1", "--text", "t", "--vehicle", "my-cart", "--json")
    told = json.loads(run("note", "add", *words, "--outcome", "measured", "--size", HUB).out)
    (bound,) = told["bound"]
    assert (bound["vehicle"], bound["place"], bound["number"]) == ("my-cart", "left hub", "HUB-20L")
    (against,) = told["contradicts"]
    assert (against["otherwise"], against["of_number"], against["source"]) == ("20 mm", True, "book")
    went = json.loads(run("note", "add", *words, "--outcome", "worked", "--part", "HUB-20L", "--part", "AXLE-25").out)
    assert [(a["note"], a["otherwise"]) for a in went["contradicts"]] == [("N1", "failed")]


def test_what_is_read_on_one_vehicle_is_still_measured_on_another(folder: Path) -> None:
    def wanted(vehicle: str) -> set[tuple[str, ...]]:
        ran = run("swap", vehicle, "--want", "hub=HUB-?", "--records", str(folder), "--json")
        return {(m["position"], m["feature"]) for m in full(ran.out)["result"]["measure_first"]}

    before = {v: wanted(v) for v in ("my-cart", "other-cart")}
    assert before == {"my-cart": {("axle", "seat")}, "other-cart": {("axle", "seat")}}
    assert note(folder, "axle, seat: diameter = 20.01 mm").status == 0
    assert {v: wanted(v) for v in before} == {"my-cart": set(), "other-cart": {("axle", "seat")}}


def test_a_part_shows_what_was_read_on_things_of_its_number_apart(folder: Path) -> None:
    note(folder, HUB)
    shown = full(run("part", "HUB-20L", "--records", str(folder), "--json").out)["result"]["features"]
    told = {f["of"]: {v["written"] for v in f["sizes"] if v["computes"]} for f in shown if f["name"] == "bore"}
    assert told == {"HUB-20L": {"20 mm"}, "my-cart left hub HUB-20L": {"21 mm"}}


def test_a_thing_that_was_read_twice_is_in_order(tmp_path: Path) -> None:
    folder = shutil.copytree(DEMO, tmp_path / "records", ignore=shutil.ignore_patterns("*.py", "__pycache__"))
    before = run("--records", str(folder), "check", "--json")
    for size, value in (("major diameter", "21.1 mm"), ("pitch diameter", "20 mm")):
        name = f"left drive shaft, outer spline: {size}"
        assert run("--records", str(folder), "measured", "tansy-m080", name, value).status == 0
    after = run("--records", str(folder), "check", "--json")
    assert full(after.out)["result"]["findings"] == full(before.out)["result"]["findings"] == []
