"""A new kind of feature, its rule, table and layout, added as Turtle and CSV only: validated, matched and planned.

The world is a bicycle's bottom bracket: a threaded cup in a shell whose drive side has a left-hand thread, and a
tapered key on its crank axle. Nothing of it is in the shipped vocabulary, and there is no Python for it.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from knockon.graph.records import load_records
from knockon.graph.verdicts import Verdict
from knockon.queries.check import check_records
from knockon.queries.fits import judge_parts
from knockon.queries.partners import partners_of
from knockon.queries.swap import swap

WORDS = """
@prefix dcterms: <http://purl.org/dc/terms/> .
@prefix kn: <https://knockon.example/vocab#> .
@prefix rdfs: <http://www.w3.org/2000/01/rdf-schema#> .
@prefix sh: <http://www.w3.org/ns/shacl#> .
@prefix skos: <http://www.w3.org/2004/02/skos/core#> .
@prefix my: <https://bicycle.example/words#> .

my:shell a skos:Concept ; skos:prefLabel "bottom bracket shell"@en .
my:cup a skos:Concept ; skos:prefLabel "bearing cup"@en .
my:axle a skos:Concept ; skos:prefLabel "crank axle"@en .
my:key a skos:Concept ; skos:prefLabel "tapered key"@en .

my:CupThread a sh:NodeShape, rdfs:Class ; rdfs:subClassOf kn:Feature ; sh:targetClass my:CupThread ;
  rdfs:label "cup thread"@en ; rdfs:comment "The thread of a cup or its shell."@en ; kn:table "cup_thread" ;
  sh:property [ sh:path my:cupThread ; sh:name "thread" ; sh:datatype kn:thread ; sh:order 1 ;
    sh:description "Thread." ] ;
  sh:property [ sh:path my:turnsTo ; sh:name "turns" ; sh:datatype kn:code ; sh:order 2 ; sh:description "Hand." ] .
my:KeyFlank a sh:NodeShape, rdfs:Class ; rdfs:subClassOf kn:Feature ; sh:targetClass my:KeyFlank ;
  rdfs:label "key flank"@en ; rdfs:comment "The sloping flank of a key or of its way."@en ; kn:table "key_flank" ;
  sh:property [ sh:path my:slope ; sh:name "slope" ; sh:datatype kn:ratio ; sh:order 1 ; sh:description "Taper." ] ;
  sh:property [ sh:path my:thickEnd ; sh:name "thick end" ; sh:datatype kn:length ; sh:order 2 ;
    sh:description "Size." ] .

my:cupInShell a kn:FitRule ; rdfs:label "cup in shell"@en ; kn:firstRole "cup" ; kn:firstKind my:CupThread ;
  kn:secondRole "shell" ; kn:secondKind my:CupThread ; kn:safetyCritical true ;
  kn:condition my:hand, my:pitch, my:major .
my:hand a kn:Condition ; sh:order 1 ; rdfs:label "hand"@en ; kn:sort kn:assembly ; kn:need kn:required ;
  kn:value "cup.turns == shell.turns" ; dcterms:source "invented for a test" ; kn:saysNo "one is left-hand" .
my:pitch a kn:Condition ; sh:order 2 ; rdfs:label "pitch"@en ; kn:sort kn:service ; kn:need kn:required ;
  kn:value "cup.thread.pitch - shell.thread.pitch" ; kn:low -0.002 ; kn:high 0.002 ; kn:unit "mm" ;
  dcterms:source "invented for a test" ; kn:saysNo "the pitches differ" .
my:major a kn:Condition ; sh:order 3 ; rdfs:label "diameter"@en ;
  kn:sort kn:assembly ; kn:need kn:required ;
  kn:value "shell.thread.major - cup.thread.major" ; kn:low -0.05 ; kn:high 0.5 ; kn:unit "mm" ;
  dcterms:source "invented for a test" ; kn:saysNo "the cup is too big or falls through" .
my:keyInWay a kn:FitRule ; rdfs:label "key in way"@en ; kn:firstRole "key" ; kn:firstKind my:KeyFlank ;
  kn:secondRole "way" ; kn:secondKind my:KeyFlank ; kn:safetyCritical true ; kn:condition my:slopes, my:thickness .
my:slopes a kn:Condition ; sh:order 1 ; rdfs:label "slope"@en ; kn:sort kn:service ; kn:need kn:required ;
  kn:value "key.slope - way.slope" ; kn:low -0.0001 ; kn:high 0.0001 ; dcterms:source "invented for a test" ;
  kn:saysNo "the key bears at one end only" .
my:thickness a kn:Condition ; sh:order 2 ; rdfs:label "thick end"@en ; kn:sort kn:assembly ; kn:need kn:required ;
  kn:value "key.thick_end - way.thick_end" ; kn:low 0 ; kn:high 0.4 ; kn:grossLow 0 ; kn:grossHigh 0.4 ; kn:unit "mm" ;
  dcterms:source "invented for a test" ; kn:saysNo "the key drops in or does not enter" .
"""

TABLES = {
    "sources.csv": "source,standing\nbook,drawing\n",
    "parts.csv": (
        "part,name,part type,hand,one use,source\n"
        "SHELL-1,shell,bottom bracket shell,either,no,book\n"
        "SHELL-2,shell with a metric thread,bottom bracket shell,either,no,book\n"
        "CUP-1,cup,bearing cup,either,no,book\n"
        "CUP-2,metric cup,bearing cup,either,no,book\n"
        "CUP-3,cup with a right-hand thread,bearing cup,either,no,book\n"
        "AXLE-1,axle,crank axle,either,no,book\n"
        "KEY-1,key,tapered key,either,yes,book\n"
        "KEY-2,steeper key,tapered key,either,yes,book\n"
    ),
    "layouts.csv": "layout,title\nbracket,bottom bracket\n",
    "positions.csv": (
        "layout,position,level,part type,quantity,need,carried by,group,order\n"
        "bracket,shell,vehicle,bottom bracket shell,1,needed,,shells,1\n"
        "bracket,drive side cup,vehicle,bearing cup,1,needed,shell,cups,2\n"
        "bracket,axle,vehicle,crank axle,1,needed,,axles,3\nbracket,key,vehicle,tapered key,1,needed,axle,keys,4\n"
    ),
    "joints.csv": (
        "layout,joint,position,feature,other position,other feature,rule\n"
        "bracket,cup in shell,drive side cup,thread,shell,thread,cup in shell\n"
        "bracket,key in axle,key,flank,axle,keyway,key in way\n"
    ),
    "vehicles.csv": "vehicle,title,layout,as made\ntourer,a tourer,bracket,yes\n",
    "fittings.csv": (
        "vehicle,position,part,condition\n"
        "tourer,shell,SHELL-1,sound\n"
        "tourer,drive side cup,CUP-1,sound\n"
        "tourer,axle,AXLE-1,sound\n"
        "tourer,key,KEY-1,sound\n"
    ),
    "features/cup_thread.csv": (
        "part,feature,thread,turns,source\n"
        "SHELL-1,thread,1 3/8-20 UN LH,left,book\n"
        "SHELL-2,thread,M36x1 LH,left,book\n"
        "CUP-1,thread,1 3/8-20 UN LH,left,book\n"
        "CUP-2,thread,M36x1 LH,left,book\nCUP-3,thread,1 3/8-20 UN,right,book\n"
    ),
    "features/key_flank.csv": (
        "part,feature,slope,thick end,source\n"
        "AXLE-1,keyway,1:100,6.0 mm,book\nKEY-1,flank,1:100,6.2 mm,book\nKEY-2,flank,1:50,6.2 mm,book\n"
    ),
}


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The bicycle's records."""
    root = tmp_path_factory.mktemp("bicycle")
    (root / "features").mkdir()
    (root / "words.ttl").write_text(WORDS, encoding="utf-8")
    for name, text in TABLES.items():
        (root / name).write_text(text, encoding="utf-8")
    return root


def test_it_is_validated(folder: Path) -> None:
    answer = check_records(folder)
    assert answer.findings == ()
    assert answer.counts["parts"] == 8
    assert answer.counts["features"] == 8


def test_a_wrong_cell_of_the_new_kind_is_found(folder: Path, tmp_path: Path) -> None:
    for path in folder.rglob("*.*"):
        target = tmp_path / path.relative_to(folder)
        target.parent.mkdir(exist_ok=True)
        target.write_text(path.read_text(encoding="utf-8").replace("6.0 mm", "six"), encoding="utf-8")
    (finding,) = (f for f in check_records(tmp_path).findings if f.set_aside)
    assert (finding.file, finding.row, finding.column, finding.written) == (
        "features/key_flank.csv",
        2,
        "thick end",
        "six",
    )


def test_it_is_matched(folder: Path) -> None:
    catalogue = load_records(folder)
    assert judge_parts(catalogue, ["CUP-1", "SHELL-1"]).verdict is Verdict.FITS
    assert judge_parts(catalogue, ["CUP-3", "SHELL-1"]).verdict is Verdict.DOES_NOT_FIT
    assert judge_parts(catalogue, ["KEY-2", "AXLE-1"]).verdict is Verdict.DO_NOT_USE
    (at,) = partners_of(catalogue, "SHELL-2").joints
    assert [(p.number, p.verdict.is_no) for p in at.partners] == [("CUP-2", False), ("CUP-1", True), ("CUP-3", True)]


def test_it_is_planned(folder: Path) -> None:
    answer = swap(load_records(folder), "tourer", want=["shell=SHELL-2"])
    assert answer.plan is not None
    assert [(line.number, line.quantity) for g in answer.plan.groups for line in g.lines] == [
        ("SHELL-2", 1),
        ("CUP-2", 1),
    ]
    cup = next(c for c in answer.changes if c.position == "drive side cup")
    assert cup.status == "forced by fit"
    assert cup.reason is not None
    assert cup.reason.cites == ("cup in shell",)
    assert {c.position: c.status for c in answer.changes if c.position in ("axle", "key")} == {
        "axle": "kept",
        "key": "kept",
    }
