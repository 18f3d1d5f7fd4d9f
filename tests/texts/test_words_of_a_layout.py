"""Words that are a vehicle's come from its layout: a lathe's headstock is spoken of without any of them."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from knockon.graph.model.layout_words import NEUTRAL, LayoutWord, words_of
from knockon.graph.model.layouts.ready_made import ready_made
from knockon.graph.records import load, records_from_text
from tests.commands.running import demo, run

OF_A_VEHICLE = re.compile(
    r"\b(vehicles?|axles?|hands?|sides?|roads?|driv\w*|drove|brak\w*|wheels?|bleed\w*|pedals?|steer\w*|tyres?|cars?"
    r"|hubs?|knuckles?|corners?)\b",
    re.IGNORECASE,
)
TYPES = """
@prefix club: <https://knockon.example/club/headstocks#> . @prefix skos: <http://www.w3.org/2004/02/skos/core#> .
club:type-spindle a skos:Concept ; skos:prefLabel "spindle"@en .
club:type-bearing a skos:Concept ; skos:prefLabel "spindle bearing"@en .
club:type-chuck a skos:Concept ; skos:prefLabel "chuck"@en .
"""
TABLES = {
    "types.ttl": TYPES,
    "sources.csv": """\
source,title,standing
book,the maker's book (invented),drawing
bench,read on the bench,on the item
""",
    "parts.csv": """\
part,name,part type,hand,one use,source
SP-1,spindle with a 40 mm nose,spindle,either,no,book
SP-2,spindle with a 45 mm nose,spindle,either,no,book
BR-1,bearing for a 50 mm journal,spindle bearing,either,yes,book
BR-2,bearing for a 55 mm journal,spindle bearing,either,yes,book
CH-1,chuck with a 40 mm register,chuck,either,no,book
CH-2,chuck with a 45 mm register,chuck,either,no,book
CH-3,chuck from a stall,chuck,either,no,book
""",
    "features/journal.csv": """\
part,feature,diameter,source
SP-1,journal,50.00 mm,book
SP-2,journal,55.00 mm,book
""",
    "features/spigot.csv": """\
part,feature,diameter,source
SP-1,nose,40.00 mm,book
SP-2,nose,45.00 mm,book
""",
    "features/rolling_bearing.csv": """\
part,feature,bore,outside diameter,source
BR-1,ring,50 mm,90 mm,book
BR-2,ring,55 mm,90 mm,book
""",
    "features/register_bore.csv": """\
part,feature,diameter,source
CH-1,register,40.02 mm,book
CH-2,register,45.02 mm,book
""",
    "layouts.csv": """\
layout,title
headstock,a lathe's headstock
""",
    "positions.csv": """\
layout,position,level,part type,quantity,need,carried by,pressed in,group,order
headstock,spindle,vehicle,spindle,1,needed,,no,spindles,10
headstock,bearing,vehicle,spindle bearing,2,needed,spindle,yes,bearings,20
headstock,chuck,vehicle,chuck,1,needed,spindle,no,chucks,30
""",
    "joints.csv": """\
layout,joint,position,feature,other position,other feature,rule,reached,other reached
headstock,bearing on spindle,bearing,ring,spindle,journal,bearing on journal,corner apart,hub nut off
headstock,chuck on spindle,chuck,register,spindle,nose,register,on the vehicle,on the vehicle
""",
    "figures.csv": """\
layout,figure,is,sort,low,high,unit,compared with,safety critical,standing,source,says
headstock,nose against journal,told,service,,,mm,as made,no,from memory,made up for a test,
headstock,shoulder,stack,service,5 mm,20 mm,mm,limits,yes,from memory,made up for a test,the shoulder is too low
""",
    "figure_terms.csv": """\
layout,figure,order,position,feature,dimension,factor
headstock,nose against journal,1,spindle,journal,diameter,1
headstock,nose against journal,2,spindle,nose,diameter,-1
headstock,shoulder,1,spindle,journal,diameter,1
headstock,shoulder,2,chuck,register,diameter,-1
""",
    "vehicles.csv": """\
vehicle,title,layout,as made,made as
lathe,a lathe as made,headstock,yes,
mine,my lathe,headstock,no,lathe
""",
    "fittings.csv": """\
vehicle,position,part,condition
lathe,spindle,SP-1,sound
lathe,bearing,BR-1,sound
lathe,chuck,CH-1,sound
mine,spindle,SP-1,unknown
mine,bearing,BR-2,unknown
mine,chuck,CH-1,sound
""",
}
QUESTIONS = (
    ("swap", "mine", "--want", "chuck=CH-2"),
    ("swap", "mine", "--want", "chuck=CH-2", "--full"),
    ("swap", "mine", "--want", "chuck=CH-3", "--full"),
    ("swap", "mine", "--want", "chuck=CH-2", "--keep", "spindle"),
    ("swap", "mine", "--want", "chuck.diameter>=10 mm", "--side-by-side"),
    ("swap", "lathe", "--renew", "bearing", "--full"),
    ("combinations", "headstock"),
    ("fits", "CH-1", "SP-1"),
    ("fits", "CH-2", "SP-1"),
    ("fits", "CH-2", "--on", "mine"),
    ("part", "SP-1"),
    ("partners", "SP-1"),
    ("tell-apart", "SP-1", "SP-2"),
    ("disputes",),
    ("check",),
)


@pytest.fixture(scope="module")
def headstock(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("headstock")
    for name, text in TABLES.items():
        path = folder / name
        path.parent.mkdir(exist_ok=True)
        path.write_text(text, encoding="utf-8")
    assert not [f for f in load(folder).findings if f.set_aside]
    return folder


@pytest.mark.parametrize("question", QUESTIONS, ids=" ".join)
def test_a_headstock_is_spoken_of_without_the_words_of_a_vehicle(headstock: Path, question: tuple[str, ...]) -> None:
    outcome = run("--records", str(headstock), *question)
    assert outcome.status in (0, 1) and outcome.out.strip(), outcome
    said = outcome.out.replace(str(headstock), "").replace("2 vehicles, 0 kits", "")  # rows of vehicles.csv
    said = re.sub(r"side by side|side-by-side", "", said, flags=re.IGNORECASE)  # one beside the other
    assert not [line for line in said.splitlines() if OF_A_VEHICLE.search(line)]


def test_a_danger_is_headed_as_the_layout_says(headstock: Path, tmp_path: Path) -> None:
    asked = ("swap", "mine", "--want", "chuck=CH-2")
    assert "DO NOT USE, as the machine stands" in run("--records", str(headstock), *asked).flowing
    own = {**TABLES, "layout_words.csv": "layout,word,says\nheadstock,machine,lathe\nheadstock,danger,DO NOT START\n"}
    for name, text in own.items():
        (tmp_path / name).parent.mkdir(exist_ok=True)
        (tmp_path / name).write_text(text, encoding="utf-8")
    said = run("--records", str(tmp_path), *asked, "--full").flowing
    assert "DO NOT START this lathe as it stands" in said
    assert "FOUND ON THE LATHE" not in said and "the machine" not in said


def test_a_vehicle_is_called_one_and_is_not_to_be_driven() -> None:
    said = demo("swap", "tansy-m080", "--want", "rotor=LARCH-201", "--full").flowing
    assert "DO NOT DRIVE this vehicle as it stands" in said and "Hidden until corner apart" in said
    assert NEUTRAL["caution on figures"] not in said
    assert "They never say that a vehicle brakes, steers or holds safely." in said


def test_every_ready_made_layout_gives_every_word_and_all_say_the_same() -> None:
    given = {
        name: {r["word"]: r["says"] for _, r in made.tables["layout_words"]} for name, made in ready_made().items()
    }
    assert len(given) == 4 and all(words.keys() == NEUTRAL.keys() for words in given.values())
    assert len({tuple(words.items()) for words in given.values()}) == 1


def test_the_table_takes_the_words_that_there_are_and_no_others() -> None:
    rows = "".join(f"headstock,{word},so\n" for word in NEUTRAL)
    tables = {**TABLES, "layout_words.csv": f"layout,word,says\n{rows}headstock,whatever,so\n"}
    records = records_from_text({n: t for n, t in tables.items() if n != "types.ttl"}, {"types.ttl": TYPES})
    assert [(f.file, f.row, f.column) for f in records.findings] == [("layout_words.csv", len(NEUTRAL) + 2, "word")]
    assert {w.word for w in records.catalogue.layouts["headstock"].words} == NEUTRAL.keys()


def test_layouts_that_differ_are_spoken_of_in_neutral_words() -> None:
    cart, lathe = (LayoutWord("cart", "machine", "cart"),), (LayoutWord("headstock", "machine", "lathe"),)
    assert words_of([cart])["machine"] == words_of([cart, cart])["machine"] == "cart"
    assert words_of([cart, lathe])["machine"] == words_of([cart, ()])["machine"] == words_of([])["machine"] == "machine"
    assert words_of([lathe])["danger"] == "DO NOT USE"
