"""A club adds kinds of feature of its own as Turtle and tables only: they are validated, matched and planned.

Two invented worlds: a gear held on a shaft by a taper key, and a bicycle's bottom bracket with a left-hand thread on
the drive side. Nothing of either is known to the program; sizes are made up.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from knockon.graph.judge.verdicts import Verdict
from knockon.graph.model.catalogue import Catalogue
from knockon.graph.records import load, load_records
from knockon.queries.fits.fits import judge_parts
from knockon.queries.fits.part import show_part
from knockon.queries.fits.partners import partners_of
from knockon.queries.intake.check import check_records
from knockon.queries.plan.combinations import combinations
from knockon.queries.plan.swap import swap

PREFIXES = """\
@prefix kn: <https://knockon.example/vocab#> .
@prefix club: <https://knockon.example/club/workshop#> .
@prefix dcterms: <http://purl.org/dc/terms/> .
@prefix rdfs: <http://www.w3.org/2000/01/rdf-schema#> .
@prefix sh: <http://www.w3.org/ns/shacl#> .
@prefix skos: <http://www.w3.org/2004/02/skos/core#> .
"""


def kind(name: str, label: str, *dimensions: tuple[str, str]) -> str:
    """A kind of feature: a node shape with a property for each (dimension, datatype)."""
    table = label.replace(" ", "_")
    shape = [f'club:{name} a sh:NodeShape, rdfs:Class ; rdfs:subClassOf kn:Feature ; sh:targetClass club:{name} ;',
             f'  rdfs:label "{label}"@en ; kn:table "{table}" ; rdfs:comment "As the club records it."@en']  # fmt: skip
    for order, (dimension, datatype) in enumerate(dimensions, 1):
        path = f"club:{name}-{dimension.replace(' ', '-')}"
        shape.append(
            f'  ; sh:property [ sh:path {path} ; sh:name "{dimension}" ; sh:datatype kn:{datatype} ; '
            f'sh:order {order} ; sh:description "The {dimension}." ; kn:method "Caliper." ]'
        )
    return "\n".join(shape) + " .\n"


def rule(name: str, label: str, first: tuple[str, str], second: tuple[str, str], *conditions: str) -> str:
    """A fit rule between (role, kind) and (role, kind) with the conditions of these names."""
    return (
        f'club:{name} a kn:FitRule ; rdfs:label "{label}"@en ; kn:safetyCritical true ;\n'
        f'  kn:firstRole "{first[0]}" ; kn:firstKind club:{first[1]} ;\n'
        f'  kn:secondRole "{second[0]}" ; kn:secondKind club:{second[1]} ;\n'
        f"  kn:condition {', '.join('club:' + c for c in conditions)} .\n"
    )


def condition(name: str, order: int, label: str, sort: str, value: str, window: str, says: str) -> str:
    """One required condition; ``window`` is the Turtle of its limits."""
    return (
        f'club:{name} a kn:Condition ; sh:order {order} ; rdfs:label "{label}"@en ; kn:sort kn:{sort} ;\n'
        f'  kn:need kn:required ; kn:value "{value}" ; {window}\n'
        f'  dcterms:source "made up for a test" ; kn:standing "from memory" ; kn:saysNo "{says}" .\n'
    )


def part_types(*labels: str) -> str:
    return "".join(f'club:type-{x.replace(" ", "-")} a skos:Concept ; skos:prefLabel "{x}"@en .\n' for x in labels)


EQUAL = 'kn:low -0.02 ; kn:high 0.02 ; kn:grossLow -0.02 ; kn:grossHigh 0.02 ; kn:unit "mm" ;'

TAPER_KEY = PREFIXES + "".join([
    part_types("plain shaft", "gear wheel", "taper key"),
    kind("TaperKey", "taper key", ("width", "length"), ("height", "length"), ("taper", "ratio")),
    kind("ShaftKeyway", "shaft keyway", ("width", "length"), ("depth", "length")),
    kind("HubKeyway", "hub keyway", ("width", "length"), ("depth", "length"), ("taper", "ratio")),
    rule("key-in-shaft", "key in shaft keyway", ("key", "TaperKey"), ("way", "ShaftKeyway"), "enters", "fills"),
    rule("key-in-hub", "key in hub keyway", ("key", "TaperKey"), ("way", "HubKeyway"), "enters", "fills", "taper"),
    condition("enters", 1, "key enters", "assembly", "way.width - key.width",
              'kn:low 0 ; kn:grossLow 0 ; kn:unit "mm" ;', "the key is wider than the keyway"),
    condition("fills", 2, "key fills the keyway", "service", "way.width - key.width",
              'kn:high 0.1 ; kn:grossHigh 0.1 ; kn:unit "mm" ;', "the key is loose in the keyway"),
    condition("taper", 3, "taper", "service", "key.taper - way.taper",
              "kn:low -0.001 ; kn:high 0.001 ; kn:grossLow -0.001 ; kn:grossHigh 0.001 ;",
              "the tapers differ: the key bears at one end only"),
])  # fmt: skip

SOURCES = "source,title,standing\nbook,the club's own drawings,drawing\nstall,a market stall,seller\n"
GEARS = {
    "sources.csv": SOURCES,
    "parts.csv": """\
part,name,part type,hand,one use,source
SHAFT-6,shaft with a 6 mm keyway,plain shaft,either,no,book
SHAFT-8,shaft with an 8 mm keyway,plain shaft,either,no,book
GEAR-6,gear with a 6 mm keyway,gear wheel,either,no,book
GEAR-8,gear with an 8 mm keyway,gear wheel,either,no,book
KEY-6,taper key 6 mm,taper key,either,no,book
KEY-8,taper key 8 mm,taper key,either,no,book
KEY-8S,taper key 8 mm of a steeper taper,taper key,either,no,book
KEY-?,taper key from a stall,taper key,either,no,stall
""",
    "features/taper_key.csv": """\
part,feature,width,height,taper,source
KEY-6,key,6 mm,6.1 mm,1:100,book
KEY-8,key,8 mm,7.1 mm,1:100,book
KEY-8S,key,8 mm,7.1 mm,1:50,book
KEY-?,key,8 mm,,?,stall
""",
    "features/shaft_keyway.csv": "part,feature,width,depth,source\n"
    "SHAFT-6,keyway,6 mm,3.5 mm,book\nSHAFT-8,keyway,8 mm,4 mm,book\n",
    "features/hub_keyway.csv": "part,feature,width,depth,taper,source\n"
    "GEAR-6,keyway,6 mm,2.5 mm,1:100,book\nGEAR-8,keyway,8 mm,3 mm,1:100,book\n",
    "features/spigot.csv": "part,feature,diameter,source\nSHAFT-6,seat,25 mm,book\nSHAFT-8,seat,25 mm,book\n",
    "features/register_bore.csv": "part,feature,diameter,source\nGEAR-6,bore,25 mm,book\nGEAR-8,bore,25 mm,book\n",
    "layouts.csv": "layout,title\ngear drive,a gear held by a taper key\n",
    "positions.csv": """\
layout,position,level,part type,quantity,need,carried by,group,order
gear drive,gear,vehicle,gear wheel,1,needed,shaft,gears,10
gear drive,key,vehicle,taper key,1,needed,shaft,keys,20
gear drive,shaft,vehicle,plain shaft,1,needed,,shafts,30
""",
    "joints.csv": """\
layout,joint,position,feature,other position,other feature,rule,reached,other reached
gear drive,gear on shaft,gear,bore,shaft,seat,register,on the vehicle,on the vehicle
gear drive,key under gear,key,key,gear,keyway,key in hub keyway,corner apart,corner apart
gear drive,key in shaft,key,key,shaft,keyway,key in shaft keyway,corner apart,corner apart
""",
    "figures.csv": "layout,figure,is,sort,low,high,unit,compared with,safety critical,standing,source,says\n"
    'gear drive,key tightens,stack,service,0 mm,0.3 mm,mm,limits,yes,from memory,"made up for a test",'
    "the key is driven home before it is tight\n",
    "figure_terms.csv": """\
layout,figure,order,position,feature,dimension,factor
gear drive,key tightens,1,key,key,height,1
gear drive,key tightens,2,shaft,keyway,depth,-1
gear drive,key tightens,3,gear,keyway,depth,-1
""",
    "vehicles.csv": "vehicle,title,layout,as made,source\nlathe,a lathe as made,gear drive,yes,book\n",
    "fittings.csv": "vehicle,position,part,condition\n"
    "lathe,gear,GEAR-6,sound\nlathe,key,KEY-6,sound\nlathe,shaft,SHAFT-6,sound\n",
}

BRACKET = PREFIXES + "".join([
    part_types("frame shell", "bracket cup", "bracket spindle"),
    kind("ThreadedShell", "threaded shell", ("thread", "thread"), ("width", "length")),
    kind("ThreadedCup", "threaded cup", ("thread", "thread"), ("race depth", "length")),
    kind("Spindle", "spindle", ("between races", "length")),
    rule("cup-in-shell", "cup in shell", ("cup", "ThreadedCup"), ("shell", "ThreadedShell"), "starts", "size", "pitch",
         "hand"),
    condition("starts", 1, "cup starts", "assembly", "shell.thread.major - cup.thread.major",
              'kn:low -0.05 ; kn:grossLow -0.05 ; kn:unit "mm" ;', "the cup is too big for the shell"),
    condition("size", 2, "cup holds", "service", "shell.thread.major - cup.thread.major",
              'kn:high 0.05 ; kn:grossHigh 0.05 ; kn:unit "mm" ;', "the cup is loose in the shell"),
    condition("pitch", 3, "thread pitch", "service", "cup.thread.pitch - shell.thread.pitch", EQUAL,
              "the pitches differ"),
    condition("hand", 4, "thread hand", "assembly", "cup.thread.hand == shell.thread.hand", "",
              "one thread is left hand and the other right hand"),
])  # fmt: skip

BICYCLE = {
    "sources.csv": SOURCES,
    "parts.csv": """\
part,name,part type,hand,one use,source
SHELL-I,shell with inch threads,frame shell,either,no,book
SHELL-M,shell with metric threads,frame shell,either,no,book
CUP-IL,"cup, inch, left-hand thread",bracket cup,either,no,book
CUP-IR,"cup, inch, right-hand thread",bracket cup,either,no,book
CUP-MR,"cup, metric, right-hand thread",bracket cup,either,no,book
CUP-?,cup without a drawing,bracket cup,either,no,stall
SPIN-52,spindle 52,bracket spindle,either,no,book
SPIN-54,spindle 54,bracket spindle,either,no,book
""",
    "features/threaded_shell.csv": """\
part,feature,thread,width,source
SHELL-I,drive side,1.370 in-24 LH,68 mm,book
SHELL-I,other side,1.370 in-24 RH,68 mm,book
SHELL-M,drive side,M36x1 RH,70 mm,book
SHELL-M,other side,M36x1 RH,70 mm,book
""",
    "features/threaded_cup.csv": """\
part,feature,thread,race depth,source
CUP-IL,cup,1.370 in-24 LH,8 mm,book
CUP-IR,cup,1.370 in-24 RH,8 mm,book
CUP-MR,cup,M36x1 RH,8 mm,book
CUP-?,cup,1.370 in-24,8 mm,stall
""",
    "features/spindle.csv": "part,feature,between races,source\nSPIN-52,races,52 mm,book\nSPIN-54,races,54 mm,book\n",
    "layouts.csv": "layout,title\nbottom bracket,cups and spindle in a frame\n",
    "positions.csv": """\
layout,position,level,part type,quantity,need,carried by,group,order
bottom bracket,shell,vehicle,frame shell,1,needed,,shells,10
bottom bracket,drive side cup,vehicle,bracket cup,1,needed,shell,cups,20
bottom bracket,other cup,vehicle,bracket cup,1,needed,shell,cups,30
bottom bracket,spindle,vehicle,bracket spindle,1,needed,shell,spindles,40
""",
    "joints.csv": """\
layout,joint,position,feature,other position,other feature,rule,reached,other reached
bottom bracket,drive side cup in shell,drive side cup,cup,shell,drive side,cup in shell,on the vehicle,corner apart
bottom bracket,other cup in shell,other cup,cup,shell,other side,cup in shell,on the vehicle,corner apart
""",
    "figures.csv": "layout,figure,is,sort,low,high,unit,compared with,safety critical,standing,source,says\n"
    'bottom bracket,room between the races,stack,service,-0.5 mm,0.5 mm,mm,limits,yes,from memory,"made up for a test",'
    "the spindle binds or rattles\n",
    "figure_terms.csv": """\
layout,figure,order,position,feature,dimension,factor
bottom bracket,room between the races,1,shell,drive side,width,1
bottom bracket,room between the races,2,drive side cup,cup,race depth,-1
bottom bracket,room between the races,3,other cup,cup,race depth,-1
bottom bracket,room between the races,4,spindle,races,between races,-1
""",
    "vehicles.csv": "vehicle,title,layout,as made,source\nroadster,a roadster as made,bottom bracket,yes,book\n",
    "fittings.csv": "vehicle,position,part,condition\nroadster,shell,SHELL-I,sound\n"
    "roadster,drive side cup,CUP-IL,sound\nroadster,other cup,CUP-IR,sound\nroadster,spindle,SPIN-52,sound\n",
}
WORLDS = {"taper key": (TAPER_KEY, GEARS), "bottom bracket": (BRACKET, BICYCLE)}


def folder_of(name: str, root: Path) -> Path:
    turtle, tables = WORLDS[name]
    (root / "features").mkdir(parents=True)
    (root / "club.ttl").write_text(turtle, encoding="utf-8")
    for file, text in tables.items():
        (root / file).write_text(text, encoding="utf-8")
    return root


@pytest.fixture
def gears(tmp_path: Path) -> Catalogue:
    return load_records(folder_of("taper key", tmp_path / "gears"))


@pytest.fixture
def bicycle(tmp_path: Path) -> Catalogue:
    return load_records(folder_of("bottom bracket", tmp_path / "bicycle"))


@pytest.mark.parametrize("name", WORLDS)
def test_the_new_kinds_are_validated(name: str, tmp_path: Path) -> None:
    folder = folder_of(name, tmp_path / "good")
    answer = check_records(folder)
    assert answer.findings == ()
    assert answer.counts["nodes checked"] > 20
    assert answer.counts["shapes checked"] > 50


def test_a_bad_cell_of_a_new_kind_is_found_and_the_rest_loads(tmp_path: Path) -> None:
    folder = folder_of("taper key", tmp_path / "bad")
    table = folder / "features" / "taper_key.csv"
    table.write_text(table.read_text().replace("1:50", "one in fifty").replace("6.1 mm", "6.1"))
    records = load(folder)
    assert {(f.file, f.column, f.written) for f in records.findings} == {
        ("features/taper_key.csv", "taper", "one in fifty"),
        ("features/taper_key.csv", "height", "6.1"),
    }
    assert len(records.catalogue.parts) == 8
    assert judge_parts(records.catalogue, ["KEY-8S", "GEAR-8"]).verdict is Verdict.NOT_KNOWN


@pytest.mark.parametrize(
    ("parts", "verdict"),
    [
        ("KEY-8 GEAR-8", Verdict.FITS),
        ("KEY-8 SHAFT-8", Verdict.FITS),
        ("KEY-8 GEAR-6", Verdict.DOES_NOT_FIT),
        ("KEY-6 GEAR-8", Verdict.DO_NOT_USE),
        ("KEY-8S GEAR-8", Verdict.DO_NOT_USE),
        ("KEY-? GEAR-8", Verdict.NOT_KNOWN),
        ("GEAR-8 SHAFT-6", Verdict.FITS),
    ],
)
def test_the_taper_key_is_matched(gears: Catalogue, parts: str, verdict: Verdict) -> None:
    answer = judge_parts(gears, parts.split())
    assert answer.verdict is verdict
    if parts == "KEY-8S GEAR-8":
        line = next(x for x in answer.joints[0].lines if x.label == "taper")
        assert (line.state, line.low, line.says[:17]) == ("no", 0.01, "the tapers differ")
        assert {v.written for v in line.values} == {"1:50", "1:100"}


@pytest.mark.parametrize(
    ("cup", "at", "verdict"),
    [
        ("CUP-IL", "drive side cup in shell", Verdict.FITS),
        ("CUP-IR", "drive side cup in shell", Verdict.DOES_NOT_FIT),
        ("CUP-IL", "other cup in shell", Verdict.DOES_NOT_FIT),
        ("CUP-IR", "other cup in shell", Verdict.FITS),
        ("CUP-MR", "other cup in shell", Verdict.DOES_NOT_FIT),
        ("CUP-?", "drive side cup in shell", Verdict.NOT_KNOWN),
    ],
)
def test_the_threaded_cup_is_matched(bicycle: Catalogue, cup: str, at: str, verdict: Verdict) -> None:
    answer = judge_parts(bicycle, [cup, "SHELL-I"], at=at)
    assert answer.verdict is verdict
    if cup == "CUP-IR" and verdict is Verdict.DOES_NOT_FIT:
        assert [x.label for x in answer.joints[0].lines if x.state == "no"] == ["thread hand"]


def test_partners_by_verdict(bicycle: Catalogue) -> None:
    found = {j.joint: {p.number: p.verdict for p in j.partners} for j in partners_of(bicycle, "SHELL-I").joints}
    assert found["drive side cup in shell"] == {
        "CUP-IL": Verdict.FITS,
        "CUP-?": Verdict.NOT_KNOWN,
        "CUP-IR": Verdict.DOES_NOT_FIT,
        "CUP-MR": Verdict.DOES_NOT_FIT,
    }
    assert found["other cup in shell"]["CUP-IR"] is Verdict.FITS


def test_a_part_shows_its_new_feature(gears: Catalogue) -> None:
    answer = show_part(gears, "KEY-8")
    assert [(f.name, f.kind) for f in answer.features] == [("key", "taper key")]
    assert {(s.dimension, s.written) for s in answer.features[0].sizes} == {
        ("width", "8 mm"),
        ("height", "7.1 mm"),
        ("taper", "1:100"),
    }
    assert {t.joint for t in answer.touches} == {"key under gear", "key in shaft"}


def test_another_gear_forces_key_and_shaft(gears: Catalogue) -> None:
    answer = swap(gears, "lathe", want=["gear=GEAR-8"])
    assert answer.plan is not None
    assert {f.place: f.number for f in answer.plan.filled} == {"gear": "GEAR-8", "key": "KEY-8", "shaft": "SHAFT-8"}
    reasons = {str(c.place): c.reason.cites for c in answer.changes if c.reason}
    assert reasons["key"] == ("key under gear",)
    assert set(reasons["shaft"]) == {"key under gear", "key in shaft"}
    again = swap(gears, "lathe", want=["gear=GEAR-8"], keep=["shaft"])
    assert again.plan is None
    assert again.none is not None and set(again.none.cites) == {"key under gear", "key in shaft"}


def test_a_stack_of_new_dimensions_decides(gears: Catalogue) -> None:
    stack = judge_parts(gears, ["KEY-8", "GEAR-8", "SHAFT-8"]).figures[0]
    assert (stack.check, stack.verdict) == ("key tightens", Verdict.FITS)
    assert stack.lines[0].low == pytest.approx(0.1)
    assert judge_parts(gears, ["KEY-8", "SHAFT-6"], at="key in shaft").verdict is Verdict.DOES_NOT_FIT


def test_another_shell_forces_cups_and_spindle(bicycle: Catalogue) -> None:
    answer = swap(bicycle, "roadster", want=["shell=SHELL-M"])
    assert answer.plan is not None
    assert {f.place: f.number for f in answer.plan.filled} == {
        "shell": "SHELL-M",
        "drive side cup": "CUP-MR",
        "other cup": "CUP-MR",
        "spindle": "SPIN-54",
    }
    order = {line.number: line.quantity for g in answer.plan.groups for line in g.lines}
    assert order == {"SHELL-M": 1, "CUP-MR": 2, "SPIN-54": 1}
    reasons = {str(c.place): c.reason.cites for c in answer.changes if c.reason}
    assert reasons["spindle"] == ("room between the races",)
    assert reasons["drive side cup"] == ("drive side cup in shell",)


def test_a_property_of_a_new_kind_can_be_asked_for(bicycle: Catalogue) -> None:
    answer = swap(bicycle, "roadster", want=["spindle.between races>=53 mm"])
    assert answer.plan is not None
    assert {f.number for f in answer.plan.filled} >= {"SPIN-54", "SHELL-M"}


def test_combinations_of_a_new_layout(bicycle: Catalogue) -> None:
    answer = combinations(bicycle, "bottom bracket", first=2)
    possible = {p.position: {x.number for x in p.parts if not x.only_unknown} for p in answer.possible}
    assert possible["drive side cup"] == {"CUP-IL", "CUP-MR"}
    assert {c.filled[0].number for c in answer.combinations} == {"SHELL-I", "SHELL-M"}
