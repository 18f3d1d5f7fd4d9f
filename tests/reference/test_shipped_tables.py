"""Bearings, threads and clearance holes as a general-purpose library ships them, loaded as parts: which go together?

Source of every size: the CSV files of bd_warehouse 0.4.0 (Apache-2.0). Each answer of the engine is compared with a
direct look-up in those tables.
"""

from __future__ import annotations

import csv
import io
from collections import Counter
from collections.abc import Sequence

import pytest

from knockon.graph.judge.verdicts import Verdict
from knockon.graph.records import Records, records_from_text
from knockon.queries.fits.partners import partners_of
from tests.reference.shipped_tables import (
    BearingRow,
    bearings,
    clearance_holes,
    screw_sizes,
    tapped_sizes,
    thread_cell,
)

GOOD = {Verdict.FITS, Verdict.FITS_ON_PAPER}
SOURCES = "source,title,standing,licence\nshipped,bd_warehouse 0.4.0 tables,drawing,Apache-2.0\n"


def table(header: str, rows: Sequence[tuple[object, ...]]) -> str:
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(header.split(","))
    writer.writerows(rows)
    return out.getvalue()


def records_of(tables: dict[str, str], turtle: dict[str, str] | None = None) -> Records:
    records = records_from_text(
        {"sources.csv": SOURCES, "layouts.csv": "layout,title\nbench,Bench\n", **tables}, turtle
    )
    assert records.findings == ()
    return records


def good_partners(records: Records, number: str, joint: str) -> set[str]:
    (at,) = [j for j in partners_of(records.catalogue, number).joints if j.joint == joint]
    return {p.number for p in at.partners if p.verdict in GOOD}


PART_COLUMNS = "part,name,part type,hand,one use,source"
POSITION_COLUMNS = "layout,position,level,part type,quantity,need,pressed in,group,order"
JOINT_COLUMNS = "layout,joint,position,feature,other position,other feature,rule"


# ---------------------------------------------------------------- bearings


def shaft(bore: float) -> str:
    return f"shaft {bore:g}"


def housing(outside: float) -> str:
    return f"housing {outside:g}"


@pytest.fixture(scope="module")
def bearing_rows() -> list[BearingRow]:
    return bearings()


@pytest.fixture(scope="module")
def bearing_world(bearing_rows: list[BearingRow]) -> Records:
    bores = sorted({r.bore for r in bearing_rows})
    outsides = sorted({r.outside for r in bearing_rows})
    names = [r.name for r in bearing_rows]
    parts = [(n, "bearing", "wheel bearing", "either", "no", "shipped") for n in names]
    parts += [(shaft(b), "shaft", "outer joint", "either", "no", "shipped") for b in bores]
    parts += [(housing(o), "housing", "knuckle", "either", "no", "shipped") for o in outsides]
    return records_of(
        {
            "parts.csv": table(PART_COLUMNS, parts),
            "positions.csv": table(
                POSITION_COLUMNS,
                [
                    ("bench", "bearing", "vehicle", "wheel bearing", 1, "needed", "no", "bearing", 10),
                    ("bench", "shaft", "vehicle", "outer joint", 1, "needed", "no", "shaft", 20),
                    ("bench", "housing", "vehicle", "knuckle", 1, "needed", "no", "housing", 30),
                ],
            ),
            "joints.csv": table(
                JOINT_COLUMNS,
                [
                    ("bench", "on shaft", "bearing", "bearing", "shaft", "journal", "bearing on journal"),
                    ("bench", "in housing", "bearing", "bearing", "housing", "seat", "bearing in seat"),
                ],
            ),
            "features/rolling_bearing.csv": table(
                "part,feature,type,bore,outside diameter,assembled width,ring width,source",
                [
                    (
                        r.name,
                        "bearing",
                        r.kind,
                        f"{r.bore:g} mm",
                        f"{r.outside:g} mm",
                        f"{r.assembled:g} mm",
                        f"{r.width:g} mm",
                        "shipped",
                    )
                    for r in bearing_rows
                ],
            ),
            "features/journal.csv": table(
                "part,feature,diameter,source", [(shaft(b), "journal", f"{b:g} mm", "shipped") for b in bores]
            ),
            "features/bearing_seat.csv": table(
                "part,feature,diameter,source", [(housing(o), "seat", f"{o:g} mm", "shipped") for o in outsides]
            ),
        }
    )


def test_how_many_bearings_there_are(bearing_rows: list[BearingRow]) -> None:
    assert Counter(r.kind for r in bearing_rows) == {"ball": 65, "roller": 9, "taper": 27}
    assert len({r.name for r in bearing_rows}) == len(bearing_rows)


def test_every_shaft_takes_the_bearings_of_its_bore(bearing_rows: list[BearingRow], bearing_world: Records) -> None:
    for bore in sorted({r.bore for r in bearing_rows}):
        looked_up = {r.name for r in bearing_rows if r.bore == bore}
        assert good_partners(bearing_world, shaft(bore), "on shaft") == looked_up


def test_every_housing_takes_the_bearings_of_its_diameter(
    bearing_rows: list[BearingRow], bearing_world: Records
) -> None:
    for outside in sorted({r.outside for r in bearing_rows}):
        looked_up = {r.name for r in bearing_rows if r.outside == outside}
        assert good_partners(bearing_world, housing(outside), "in housing") == looked_up


def test_a_bearing_finds_its_shaft_and_its_housing(bearing_rows: list[BearingRow], bearing_world: Records) -> None:
    for row in bearing_rows[::7]:
        assert good_partners(bearing_world, row.name, "on shaft") == {shaft(row.bore)}
        assert good_partners(bearing_world, row.name, "in housing") == {housing(row.outside)}


# ----------------------------------------------------------------- threads


@pytest.fixture(scope="module")
def thread_world() -> Records:
    screws, holes = screw_sizes(), tapped_sizes()
    parts = [(f"screw {s}", "screw", "caliper bolt", "either", "no", "shipped") for s in screws]
    parts += [(f"tapped {s}", "tapped hole", "knuckle", "either", "no", "shipped") for s in holes]
    return records_of(
        {
            "parts.csv": table(PART_COLUMNS, parts),
            "positions.csv": table(
                POSITION_COLUMNS,
                [
                    ("bench", "screw", "vehicle", "caliper bolt", 1, "needed", "no", "screw", 10),
                    ("bench", "hole", "vehicle", "knuckle", 1, "needed", "no", "hole", 20),
                ],
            ),
            "joints.csv": table(
                JOINT_COLUMNS, [("bench", "screwed in", "screw", "thread", "hole", "thread", "screw in thread")]
            ),
            "features/external_thread.csv": table(
                "part,feature,thread,source", [(f"screw {s}", "thread", thread_cell(s), "shipped") for s in screws]
            ),
            "features/internal_thread.csv": table(
                "part,feature,thread,source", [(f"tapped {s}", "thread", thread_cell(s), "shipped") for s in holes]
            ),
        }
    )


def test_every_screw_goes_with_its_own_thread_only(thread_world: Records) -> None:
    screws, holes = screw_sizes(), tapped_sizes()
    assert (len(screws), len(holes)) == (57, 99)
    matched = 0
    for size in screws:
        looked_up = {f"tapped {h}" for h in holes if thread_cell(h) == thread_cell(size)}
        assert good_partners(thread_world, f"screw {size}", "screwed in") == looked_up
        matched += len(looked_up)
    assert matched > 45


def test_every_tapped_hole_takes_its_own_screw_only(thread_world: Records) -> None:
    for size in tapped_sizes():
        looked_up = {f"screw {s}" for s in screw_sizes() if thread_cell(s) == thread_cell(size)}
        assert good_partners(thread_world, f"tapped {size}", "screwed in") == looked_up


# --------------------------------------------------------- clearance holes

# A rule of the reader's own, as a club would write it: no Python knows of clearance holes.
CLEARANCE_RULE = """
@prefix dcterms: <http://purl.org/dc/terms/> .
@prefix kn: <https://knockon.example/vocab#> .
@prefix own: <https://club.example/holes#> .
@prefix rdfs: <http://www.w3.org/2000/01/rdf-schema#> .
@prefix sh: <http://www.w3.org/ns/shacl#> .

own:ClearanceHole a sh:NodeShape, rdfs:Class ;
    rdfs:subClassOf kn:Feature ;
    sh:targetClass own:ClearanceHole ;
    rdfs:label "clearance hole"@en ;
    kn:table "clearance_hole" ;
    sh:property [ sh:path kn:diameter ; sh:name "diameter" ; sh:datatype kn:length ; sh:order 1 ;
                  sh:description "Diameter of the hole." ; kn:method "Caliper, inside jaws." ] .

own:bolt-through a kn:FitRule ;
    rdfs:label "bolt through hole"@en ;
    kn:firstRole "bolt" ; kn:firstKind kn:ExternalThread ;
    kn:secondRole "hole" ; kn:secondKind own:ClearanceHole ;
    kn:safetyCritical false ;
    kn:condition own:goes-through .

own:goes-through a kn:Condition ;
    sh:order 1 ; rdfs:label "bolt goes through"@en ; kn:sort kn:assembly ; kn:need kn:required ;
    kn:value "hole.diameter - bolt.thread.major" ; kn:low 0 ; kn:grossLow 0 ; kn:unit "mm" ;
    dcterms:source "ISO 273" ; kn:standing "standard" ; kn:saysNo "the bolt is thicker than the hole" .
"""

# A pitch for each size, only so that the bolt has a thread; the rule does not look at it.
BOLTS = [s for s in screw_sizes() if "-" in s]


def hole_name(size: str, fit: str) -> str:
    return f"hole {size} {fit}"


@pytest.fixture(scope="module")
def hole_world() -> Records:
    holes = [(hole_name(r.size, fit), d) for r in clearance_holes() for fit, d in r.diameters.items()]
    parts = [(f"screw {s}", "screw", "caliper bolt", "either", "no", "shipped") for s in BOLTS]
    parts += [(name, "plate", "knuckle", "either", "no", "shipped") for name, _ in holes]
    return records_of(
        {
            "parts.csv": table(PART_COLUMNS, parts),
            "positions.csv": table(
                POSITION_COLUMNS,
                [
                    ("bench", "screw", "vehicle", "caliper bolt", 1, "needed", "no", "screw", 10),
                    ("bench", "plate", "vehicle", "knuckle", 1, "needed", "no", "plate", 20),
                ],
            ),
            "joints.csv": table(
                JOINT_COLUMNS, [("bench", "through", "screw", "thread", "plate", "hole", "bolt through hole")]
            ),
            "features/external_thread.csv": table(
                "part,feature,thread,source", [(f"screw {s}", "thread", thread_cell(s), "shipped") for s in BOLTS]
            ),
            "features/clearance_hole.csv": table(
                "part,feature,diameter,source", [(name, "hole", f"{d:.4f} mm", "shipped") for name, d in holes]
            ),
        },
        {"holes.ttl": CLEARANCE_RULE},
    )


def size_of(screw: str) -> str:
    return screw.rsplit("-", 1)[0]


def test_every_bolt_goes_through_the_holes_that_are_not_smaller(hole_world: Records) -> None:
    holes = clearance_holes()
    assert len(holes) == 90
    majors = {r.size: r.major for r in holes}
    for screw in BOLTS:
        major = majors[size_of(screw)]
        looked_up = {hole_name(r.size, f) for r in holes for f, d in r.diameters.items() if d >= major}
        assert good_partners(hole_world, f"screw {screw}", "through") == looked_up


def test_every_bolt_goes_through_the_three_holes_of_its_row(hole_world: Records) -> None:
    for screw in BOLTS:
        own = {hole_name(size_of(screw), fit) for fit in ("Close", "Normal", "Loose")}
        assert own <= good_partners(hole_world, f"screw {screw}", "through")
