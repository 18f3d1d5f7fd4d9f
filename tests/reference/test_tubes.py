"""Brake tubes, flares and hoses against published texts. Each check names its source."""

import pytest

from knockon.graph.formulas.interval import Interval
from knockon.graph.formulas.tubes import HOSE_CLASSES, flares, flares_like, hose_class
from knockon.graph.judge.verdicts import Verdict
from knockon.graph.records import records_from_text
from knockon.queries.fits.fits import judge_parts


# 49 CFR 571.106 table I, quoted at nhtsa.gov/interpretations/04-009678drn-2: "1/8 inch or 3 mm or less"; "3/16 inch
# or 4 to 5 mm"; "1/4 inch or 6 mm or more"; an inside diameter between the classes uses the middle row. SAE J1401
# scope (standards.sae.org/wip/j1401): less than 4 mm (1/8 in or less) or 4 to 5 mm (3/16 in).
@pytest.mark.parametrize(
    ("inside", "row"), [(3.0, 0), (3.175, 0), (3.5, 1), (4.0, 1), (4.7625, 1), (5.0, 1), (5.5, 1), (6.0, 2), (6.35, 2)]
)
def test_hose_classes(inside: float, row: int) -> None:
    assert hose_class(inside) == HOSE_CLASSES[row]


# tnlab.org on SAE J533-2024 (secondary page): outside diameters of 45 degree flares in mm; greatest wall for a double
# flare.
@pytest.mark.parametrize(
    ("tube", "single", "double", "wall"),
    [
        (3.18, (4.4, 4.6), (5.0, 5.4), 0.63),
        (4.76, (6.1, 6.3), (6.7, 7.1), 0.71),
        (6.35, (8.0, 8.3), (8.7, 9.1), 0.83),
        (7.94, (9.9, 10.3), (10.4, 10.8), 0.89),
    ],
)
def test_flare_diameters(tube: float, single: tuple[float, float], double: tuple[float, float], wall: float) -> None:
    of_tube = {f.double: f for f in flares() if f.tube == tube}
    assert of_tube[False].outside == Interval(*single)
    assert of_tube[True].outside == Interval(*double)
    assert of_tube[True].greatest_wall == wall


def test_a_reading_tells_single_from_double() -> None:
    (only,) = flares_like(Interval(6.85, 6.95))
    assert (only.tube, only.double) == (4.76, True)
    assert flares_like(7.5) == []


# SAE J533 (saemobilus.sae.org/content/J533_201702) and ISO 13486-1 (standards.iteh.ai) are double flares; ISO 4038 is
# a single, bubble one. The racetrackdriving.com and fedhillusa.com flare pages: the two are not interchangeable
# although both exist with an M10x1 nut, so an equal thread is not an equal joint.
TABLES = {
    "sources.csv": "source,title,standing\npages,flare pages,drawing\n",
    "layouts.csv": "layout,title\nbench,Bench\n",
    "parts.csv": "part,name,part type,hand,one use,source\n"
    "inverted,pipe with inverted flare,front pipe,either,no,pages\n"
    "bubble,pipe with bubble flare,front pipe,either,no,pages\n"
    "port,hose with a port for inverted flares,front hose,either,no,pages\n",
    "positions.csv": "layout,position,level,part type,quantity,need,pressed in,group,order\n"
    "bench,pipe,vehicle,front pipe,1,needed,no,pipe,10\n"
    "bench,hose,vehicle,front hose,1,needed,no,hose,20\n",
    "joints.csv": "layout,joint,position,feature,other position,other feature,rule\n"
    "bench,nut in port,pipe,nut,hose,port,pipe nut in port\n"
    "bench,flare on seat,pipe,flare,hose,port,flare in seat\n",
    "features/external_thread.csv": "part,feature,thread,source\ninverted,nut,M10x1,pages\nbubble,nut,M10x1,pages\n",
    "features/tube_flare.csv": "part,feature,form,tube diameter,source\n"
    "inverted,flare,inverted flare,4.75 mm,pages\n"
    "bubble,flare,bubble flare,4.75 mm,pages\n",
    "features/hydraulic_female_end.csv": "part,feature,thread,seat,source\nport,port,M10x1,inverted flare,pages\n",
}


def test_an_equal_thread_is_not_an_equal_joint() -> None:
    records = records_from_text(TABLES)
    assert records.findings == ()
    wrong = judge_parts(records.catalogue, ["bubble", "port"])
    by_joint = {e.check: e.verdict for e in wrong.joints}
    assert by_joint == {"nut in port": Verdict.FITS, "flare on seat": Verdict.DO_NOT_USE}
    assert judge_parts(records.catalogue, ["inverted", "port"]).verdict == Verdict.FITS
