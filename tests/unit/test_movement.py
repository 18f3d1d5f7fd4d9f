"""What goes, what moves with what, and what is left as it is."""

from __future__ import annotations

from knockon.graph.model.layout import Place
from knockon.graph.records import records_from_text
from knockon.queries.fits.checking.candidates import Candidate
from knockon.queries.plan.solving.movement import Movement
from knockon.queries.plan.solving.planner import Filling
from tests.unit.small import AXLE, LEFT, RIGHT, TABLES, problem, world

CAP, STUD = Place("cap", "left"), Place("stud", "left")


def movement(*new: Place, empty: tuple[Place, ...] = ()) -> Movement:
    """Everything of the cart stays but what is named."""
    of = problem(world())
    chosen: dict[Place, Candidate] = {}
    for place, candidates in of.candidates.items():
        kept = next(c for c in candidates if c.stays)
        chosen[place] = next(c for c in candidates if not c.stays) if place in new else kept
    return Movement(of, Filling({p: c for p, c in chosen.items() if p not in empty}, {}))


def test_what_stays_goes_or_comes() -> None:
    found = movement(LEFT, empty=(CAP,))
    assert (found.staying(LEFT), found.gone(LEFT), found.new(LEFT)) == (False, True, True)
    assert (found.staying(RIGHT), found.gone(RIGHT), found.new(RIGHT)) == (True, False, False)
    assert (found.staying(CAP), found.gone(CAP), found.new(CAP)) == (False, True, False)


def test_what_hangs_on_a_lost_carrier_moves() -> None:
    found = movement(LEFT)
    assert found.moved(CAP) and found.moved(STUD)
    assert not found.moved(Place("cap", "right"))
    assert not found.moved(LEFT)  # it went


def test_it_moves_too_where_the_carriers_carrier_goes() -> None:
    found = movement(AXLE)
    assert found.lost_carriers(CAP) == frozenset({AXLE})
    assert found.moved(LEFT) and found.moved(CAP)


def test_every_lost_carrier_counts() -> None:
    assert movement(AXLE, LEFT).lost_carriers(CAP) == frozenset({LEFT, AXLE})


def test_what_moves_together_is_not_disturbed() -> None:
    found = movement(AXLE)
    assert found.together(CAP, STUD) and found.untouched(CAP, LEFT)
    assert not found.untouched(AXLE, LEFT)
    assert not movement(LEFT).untouched(CAP, LEFT)
    assert movement().untouched(CAP, LEFT)


def test_a_figure_is_touched_by_anything_that_comes_goes_or_moves_against_the_rest() -> None:
    assert not movement().touches([AXLE, LEFT, CAP])
    assert movement(LEFT).touches([AXLE, LEFT])
    assert movement(empty=(CAP,)).touches([CAP, LEFT])
    assert not movement(AXLE).touches([CAP, LEFT])
    assert movement(LEFT).touches([AXLE, CAP])


def test_a_circle_of_carriers_is_set_aside() -> None:
    rows = TABLES["positions.csv"].replace("drive flange,1,needed,axle", "drive flange,1,needed,cap")
    found = records_from_text({**TABLES, "positions.csv": rows}).findings
    assert [f.row for f in found if f.set_aside and "leads back to itself" in f.problem] == [3, 5]
