"""Which verdicts flip between two states of the records."""

from __future__ import annotations

import pytest
from msgspec.structs import replace

from knockon.graph.judge.verdicts import Verdict
from knockon.graph.model.layouts.layout import Place
from knockon.queries.club.merging import flipped
from knockon.queries.intake.changed import ChangedAnswer
from knockon.queries.plan.line_changes import LineChange
from knockon.queries.ui.terminal.blocks import Para
from knockon.queries.ui.texts.club.merge import changed_text
from tests.exchange.asked_world import asked
from tests.unit.small import TABLES, with_rows, world


def test_a_new_claim_flips_also_the_verdicts_of_what_is_said_to_be_the_same() -> None:
    same = ("HUB-?,same as,,GREASE,,stall", "HUB-25L,same as,,GREASE,,stall")
    before = world(with_rows("claims.csv", *same))
    after = world(with_rows("claims.csv", *same, "HUB-25L,listed for,big-cart,,,book"))
    flips = {(f.check, f.part, f.other): (f.before, f.after) for f in flipped(before, after)}
    assert flips[("hub on axle", "HUB-?", "AXLE-25")] == (Verdict.NOT_KNOWN, Verdict.FITS_ON_PAPER)


def test_a_figure_flips_with_each_part_that_is_listed_for_the_vehicle() -> None:
    """The spacer that stands in the Mk B, and the set that holds the same spacer and is listed for it."""
    before = asked()[1]
    (wrong,) = (s for s in before.features_of("ALDER-212")["spacer"].dimensions["length"] if s.source == "N03")
    features = dict(before.features)
    for thing in ("ALDER-212", "ALDER-213/bearing spacer"):
        feature = features[thing]["spacer"]
        lengths = (*feature.dimensions["length"], replace(wrong, source="N01", rank=2))
        spacer = replace(feature, dimensions={**feature.dimensions, "length": lengths})
        features[thing] = {**features[thing], "spacer": spacer}
    flips = list(flipped(before, replace(before, features=features)))
    assert {(f.check, f.part, f.other, f.after) for f in flips} >= {
        ("bearing float", "ALDER-212", "tansy-mk-b", Verdict.DISPUTED),
        ("bearing float", "ALDER-213", "tansy-mk-b", Verdict.DISPUTED),
    }
    assert len({(f.check, f.part, f.other) for f in flips}) == len(flips)


def test_a_plan_is_called_the_same_only_where_its_order_and_its_places_are() -> None:
    same = ChangedAnswer((), (), (), (), (), 0, (), (), 0, vehicle="van", planned=(True, True))
    others = (
        replace(same, lines=(LineChange("HUB-1", 0, 2),)),
        replace(same, places=((Place("hub", "left"), "HUB-1", "HUB-2"),)),
        replace(same, planned=(True, False)),
        replace(same, planned=(False, False)),
    )
    told = [[b.text for b in changed_text(a) if isinstance(b, Para)] for a in (same, *others)]
    assert [any("The plan is the same" in text for text in texts) for texts in told] == [True, *[False] * 4]


ROOM = {
    "figures.csv": "layout,figure,is,sort,low,high,unit,compared with,safety critical\n"
    "cart axle,room,stack,service,0 mm,1 mm,mm,limits,no\n",
    "figure_terms.csv": "layout,figure,order,position,feature,dimension,factor\n"
    "cart axle,room,1,hub,bore,diameter,1\ncart axle,room,2,axle,seat,diameter,-1\n",
}


@pytest.mark.parametrize(
    ("listed", "vehicles"), [("", {"big-cart"}), ("HUB-25L,listed for,cart,,,book", {"big-cart", "cart", "my-cart"})]
)
def test_a_figure_flips_on_no_vehicle_for_which_the_part_is_not_listed(listed: str, vehicles: set[str]) -> None:
    """Bored to the size of the smaller axle, the bigger hub has another verdict on either axle; it stands on one."""
    claimed = {**ROOM, **with_rows("claims.csv", *filter(None, [listed]))}
    bored = TABLES["features/register_bore.csv"].replace("HUB-25L,bore,25 mm", "HUB-25L,bore,20.5 mm")
    flips = list(flipped(world(claimed), world({**claimed, "features/register_bore.csv": bored})))
    assert {f.other for f in flips if (f.check, f.part) == ("room", "HUB-25L")} == vehicles
