"""Which verdicts flip between two states of the records."""

from __future__ import annotations

from knockon.graph.verdicts import Verdict
from knockon.queries.merging import flipped
from tests.unit.small import with_rows, world


def test_a_new_claim_flips_also_the_verdicts_of_what_is_said_to_be_the_same() -> None:
    same = ("HUB-?,same as,,GREASE,,stall", "HUB-25L,same as,,GREASE,,stall")
    before = world(with_rows("claims.csv", *same))
    after = world(with_rows("claims.csv", *same, "HUB-25L,listed for,big-cart,,,book"))
    flips = {(f.check, f.part, f.other): (f.before, f.after) for f in flipped(before, after)}
    assert flips[("hub on axle", "HUB-?", "AXLE-25")] == (Verdict.NOT_KNOWN, Verdict.FITS_ON_PAPER)
