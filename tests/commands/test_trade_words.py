"""The trade's words, British and American, wherever a name is typed: one reading is taken, of two none is."""

from __future__ import annotations

from pathlib import Path

import pytest

from knockon.graph.model.catalogue import SeveralReadingsError
from knockon.graph.model.layouts.layout import Places
from knockon.graph.model.nearest import in_own_words, meanings, nearest, trade_words, word_key
from knockon.graph.model.schema import read_vocabulary, vocabulary_files
from knockon.graph.records import records_from_text
from knockon.queries.as_typed import find_places
from knockon.queries.find.glossary import words
from tests.commands.running import Ran, demo, run
from tests.unit.test_ready_made import CAR, TWO, car

ONE = {
    "brake disc": "rotor", "disk": "rotor", "upright": "knuckle", "hub carrier": "knuckle", "swivel hub": "knuckle",
    "steering knuckle": "knuckle", "tie rod end": "track rod end", "axle nut": "hub nut", "half-shaft": "drive shaft",
    "driveshaft": "drive shaft", "calliper": "caliper", "backing plate": "backplate", "lug nuts": "wheel nut",
    "Brake  Pads": "pads", "tire": "tyre", "top wishbone": "upper arm", "lower control arm": "lower arm",
    "brake line": "front pipe", "brake hose": "front hose", "top ball pin": "upper ball pin",
    "inner wheel bearing": "inner bearing", "distance piece": "bearing spacer", "outer CV joint": "outer joint",
}  # fmt: skip
"""Words with one meaning in the demo's layout, each with the position."""
TWO_MEANINGS = {
    "CV joint": ("outer joint", "inner joint"),
    "constant velocity joints": ("outer joint", "inner joint"),
    "wheel bearing": ("inner bearing", "outer bearing"),
    "gaiter": ("joint boot", "inner joint boot"),
}


@pytest.mark.parametrize("word", ONE)
def test_a_word_with_one_meaning_is_taken_on_both_sides_and_on_one(word: str) -> None:
    places = Places(car().catalogue.layouts["my car"])
    if ONE[word] in places.positions:
        assert find_places(places, word) == find_places(places, ONE[word])
        assert find_places(places, f"left {word}") == find_places(places, f"left {ONE[word]}")
        assert find_places(places, f"{word} right") == find_places(places, f"right {ONE[word]}")


@pytest.mark.parametrize("word", TWO_MEANINGS)
def test_a_word_with_two_meanings_is_offered_both_and_none_is_taken(word: str) -> None:
    places = Places(car().catalogue.layouts["my car"])
    with pytest.raises(SeveralReadingsError) as caught:
        find_places(places, word)
    assert set(caught.value.nearest) >= set(TWO_MEANINGS[word])
    with pytest.raises(SeveralReadingsError) as caught:
        find_places(places, f"left {word}")
    assert set(caught.value.nearest) >= {f"left {p}" for p in TWO_MEANINGS[word]}


def test_with_two_axles_a_word_needs_its_axle() -> None:
    places = Places(records_from_text({"layout_uses.csv": TWO}).catalogue.layouts["both"])
    for word in ("rotor", "brake disc", "discs"):
        with pytest.raises(SeveralReadingsError) as caught:
            find_places(places, word)
        assert set(caught.value.nearest) == {"front rotor", "rear rotor"}
    assert find_places(places, "front brake disc") == find_places(places, "front rotor")
    assert find_places(places, "left rear disc") == find_places(places, "left rear rotor")
    assert find_places(places, "knuckle") == find_places(places, "front knuckle")
    assert find_places(places, "upper swivel pin") == find_places(places, "front upper ball pin")


def said_by(outcome: Ran) -> str:
    """What a command says of a mistake, without line breaks."""
    return " ".join(outcome.err.split())


COMMANDS = (
    ("swap", "tansy-m080", "--want", "{}=LARCH-201"),
    ("swap", "tansy-m080", "--want", "rotor=LARCH-201", "--why", "{}"),
    ("swap", "tansy-m080", "--want", "{}.outside diameter>=190 mm"),
    ("swap", "tansy-mk-b", "--renew", "{}"),
    ("swap", "tansy-mk-b", "--renew", "hub nut", "--keep", "left {}"),
    ("kit", "K1", "--for", "tansy-m080", "--want", "{}=LARCH-201"),
    ("list", "parts", "--type", "{}"),
    ("list", "parts", "--at", "{}"),
    ("list", "joints", "--at", "{}"),
    ("fits", "LARCH-201", "ROWAN-241", "--empty", "{}"),
    ("fits", "LARCH-201", "ROWAN-241", "--at", "{} on flange"),
)


@pytest.mark.parametrize("command", COMMANDS, ids=" ".join)
def test_a_command_answers_the_trades_word_as_the_records_own(command: tuple[str, ...]) -> None:
    own = demo(*(a.format("rotor") for a in command))
    said = demo(*(a.format("Brake Discs") for a in command))
    assert said.status == own.status
    assert said.flowing.replace("Brake Discs", "rotor").replace("'", "") == own.flowing.replace("'", "")
    assert said.err == own.err


@pytest.mark.parametrize("command", [c for c in COMMANDS if "--at" not in c or "parts" in c], ids=" ".join)
def test_a_command_offers_both_meanings_and_takes_none(command: tuple[str, ...]) -> None:
    outcome = demo(*(a.format("CV joint") for a in command))
    assert outcome.status == 2 and not outcome.out
    assert "CV joint' can mean " in said_by(outcome)
    assert "outer joint" in said_by(outcome) and "inner joint" in said_by(outcome)


@pytest.mark.parametrize(
    ("typed", "offered"),
    [("hub carier", "knuckle"), ("constant velocty joint", "outer joint"), ("brake dics", "rotor"), ("rotr", "rotor")],
)
def test_a_misspelt_word_is_offered_with_the_records_own(typed: str, offered: str) -> None:
    for command in (("list", "parts", "--type", typed), ("swap", "tansy-m080", "--want", "disc", "--keep", typed)):
        outcome = demo(*command)
        assert outcome.status == 2 and offered in said_by(outcome), outcome


def test_a_list_understands_a_word_of_the_trade_as_its_sort_and_among_its_words() -> None:
    assert "knockon list parts --type rotor" in said_by(demo("list", "discs"))
    joints = said_by(demo("list", "CV-joints"))
    assert "--type 'outer joint'" in joints and "--type 'inner joint'" in joints
    assert "knockon list parts --at 'upper ball pin'" in said_by(demo("list", "top ball pin"))
    listed = demo("list", "parts", "brake disc").flowing
    assert all(number in listed for number in ("LARCH-201", "LARCH-301", "LARCH-901"))
    nothing = demo("list", "parts", "callipr")
    assert nothing.status == 1 and "Nearest part types: caliper" in nothing.flowing


def test_words_looks_up_what_the_trade_means() -> None:
    said = demo("words", "hub carrier").flowing
    assert "knuckle" in said and "steering knuckle" in said and "part type" in said
    assert "pitch circle diameter" in demo("words", "PCD").flowing
    assert "Nearest: knuckle" in said_by(demo("words", "hub carier"))
    assert {t.sort for t in words("brake disc", read_vocabulary(vocabulary_files())).trade} == {
        "part type",
        "kind of feature",
    }


def test_a_dimension_may_be_said_as_the_trade_says_it() -> None:
    own = demo("swap", "tansy-m080", "--want", "rotor.outside diameter>=200 mm")
    said = demo("swap", "tansy-m080", "--want", "rotor.OD>=200 mm")
    assert said.status == own.status
    assert said.flowing.replace("rotor.OD", "rotor.outside diameter") == own.flowing


def test_records_keep_one_word_and_say_which() -> None:
    records = car(parts=CAR["parts.csv"].replace("R-100,rotor,rotor,", "R-100,rotor,brake disc,"))
    (finding,) = [f for f in records.findings if f.file == "parts.csv" and f.column == "part type"]
    assert finding.suggestions == ("rotor",)


SHEET = "part no,description,type,hand,one use\nX-1,a disc,Brake Disc,either,no\nX-2,a joint,CV joint,either,no\n"


def test_a_sheet_may_have_the_trades_words_and_those_with_two_meanings_wait(tmp_path: Path) -> None:
    for name, text in CAR.items():
        file = tmp_path / "records" / name
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_text(text, encoding="utf-8")
    (tmp_path / "sheet.csv").write_text(SHEET, encoding="utf-8")
    at = ("--records", str(tmp_path / "records"))
    asked = ("import", str(tmp_path / "sheet.csv"), "--table", "parts", "--source", "book", "--accept-mapping")
    outcome = run(*at, *asked)
    parts = (tmp_path / "records" / "parts.csv").read_text(encoding="utf-8")
    assert "X-1,a disc" in parts and ",rotor," in parts.split("X-1", 1)[1].splitlines()[0], outcome
    assert "X-2" not in parts
    waits = run(*at, "quarantine").flowing
    assert "outer joint" in waits and "inner joint" in waits


@pytest.mark.parametrize(
    "word", ["features/bearing_seat", "bearing_seat", "bearing seat", "Bearing Housings", "housing bore"]
)
def test_a_sheet_goes_to_the_table_of_what_the_trade_calls_so(tmp_path: Path, word: str) -> None:
    (tmp_path / "sheet.csv").write_text("part,feature,dia (mm)\nK-1,bearing bores,52\n", encoding="utf-8")
    for name, text in CAR.items():
        file = tmp_path / "records" / name
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_text(text, encoding="utf-8")
    asked = ("--records", str(tmp_path / "records"), "import", str(tmp_path / "sheet.csv"), "--source", "book")
    proposed = run(*asked, "--table", word)
    assert proposed.status == 1 and "features/bearing_seat" in proposed.flowing, proposed
    assert run(*asked, "--table", word, "--accept-mapping").status == 0
    assert run(*asked, "--table", word).status == 0  # the mapping that was kept says the same
    other = run(*asked, "--table", "journal")
    assert other.status == 2 and "--table journal" in said_by(other)


def test_a_table_by_a_word_that_is_misspelt_or_has_two_meanings_is_not_taken(tmp_path: Path) -> None:
    (tmp_path / "sheet.csv").write_text("part,feature,dia (mm)\nK-1,bearing bores,52\n", encoding="utf-8")
    (tmp_path / "parts.csv").write_text("part,name,part type\nK-1,knuckle,knuckle\n", encoding="utf-8")
    asked = ("--records", str(tmp_path), "import", str(tmp_path / "sheet.csv"))
    misspelt = run(*asked, "--table", "bearing huosing")
    assert misspelt.status == 2 and "features/bearing_seat" in said_by(misspelt), misspelt


SAME = "part,feature,teeth,pitch,form\nX-1,spline,20,module 1.0,involute flat root\n"


@pytest.mark.parametrize(
    ("feature", "table"), [("female spline", "features/internal_spline"), ("male splines", "features/external_spline")]
)
def test_columns_that_two_tables_have_go_to_the_one_that_the_feature_names(
    tmp_path: Path, feature: str, table: str
) -> None:
    text = SAME.replace("feature,", "").replace("spline,", "")
    (tmp_path / "sheet.csv").write_text(text, encoding="utf-8")
    (tmp_path / "parts.csv").write_text("part,name,part type\nX-1,x,drive flange\n", encoding="utf-8")
    proposed = run("--records", str(tmp_path), "import", str(tmp_path / "sheet.csv"), "--feature", feature)
    assert f"{table}" in proposed.flowing, proposed


CLUB = """
@prefix kn: <https://knockon.example/vocab#> . @prefix skos: <http://www.w3.org/2004/02/skos/core#> .
kn:type-rotor skos:altLabel "Bremsscheibe"@de, "whirler"@en .
kn:type-knuckle skos:altLabel "whirler post"@en .
kn:pitchCircleDiameter skos:altLabel "Lochkreis"@de .
"""


def test_a_clubs_own_words_count_equally() -> None:
    records = records_from_text(CAR, {"words.ttl": CLUB})
    assert not records.findings
    places = Places(records.catalogue.layouts["my car"])
    assert find_places(places, "left whirler") == find_places(places, "left rotor")
    assert find_places(places, "Bremsscheibe") == find_places(places, "rotor") == find_places(places, "brake disc")
    assert "whirler" in nearest_words(records.catalogue.vocabulary.others("PartType"), "rotor")
    assert [t.name for t in words("Lochkreis", records.catalogue.vocabulary).trade] == ["pitch circle diameter"]


def nearest_words(others: dict[str, tuple[str, ...]], name: str) -> tuple[str, ...]:
    return others[name]


def test_nothing_but_words_can_be_added_to_what_is_shipped() -> None:
    records = records_from_text(CAR, {"words.ttl": CLUB + 'kn:type-rotor skos:prefLabel "whirler"@en .\n'})
    (finding,) = records.findings
    assert "nothing but other words" in finding.problem
    assert "rotor" in records.catalogue.vocabulary.part_types


def test_a_positions_own_words_stand_in_its_row() -> None:
    rows = "layout,position,level,part type,quantity,need,group,order,also called\n"
    records = car(positions=rows + "my car,rotor,corner,rotor,1,needed,rotors,190,spinning plate;whirler\n")
    places = Places(records.catalogue.layouts["my car"])
    for word in ("spinning plate", "whirlers", "brake disc"):
        assert find_places(places, word) == find_places(places, "rotor")


def test_no_word_is_the_name_of_another_part_type_unless_both_are_meant_so() -> None:
    """A label always means itself: a trade word that is another type's label would never be taken."""
    vocabulary = read_vocabulary(vocabulary_files())
    labels = {word_key(t): t for t in vocabulary.part_types}
    clashes = {
        (w, t) for t, known in vocabulary.part_types.items() for w in known.other if labels.get(word_key(w), t) != t
    }
    assert clashes == {("stub axle", "outer joint"), ("ball joint nut", "ball pin nut")} & clashes


def test_every_part_type_kind_and_dimension_that_the_trade_calls_otherwise_says_how() -> None:
    vocabulary = read_vocabulary(vocabulary_files())
    tops = {"set", "hub and bearings", "swivels and steering", "driveline", "brakes", "hydraulics", "wheels"}
    bare = {t for t, known in vocabulary.part_types.items() if not known.other} - tops - {"workshop consumable"}
    assert not bare
    assert not [k.label for k in vocabulary.kinds.values() if not k.other]
    assert not [(k.label, c.name) for k in vocabulary.kinds.values() for c in k.columns if not c.other]


def test_meaning_comes_before_spelling() -> None:
    assert nearest("brake disc", ["brake drum", "brake hose", "rotor"]) == ("rotor",)
    assert nearest("calipper bolt", ["caliper bolt", "caliper"])[0] == "caliper bolt"
    assert meanings("brake-DISCS", trade_words()) == ("rotor",)
    assert "rotor on flange" in in_own_words("brake disc on flange", trade_words())
