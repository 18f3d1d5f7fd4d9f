"""The demo world's expected answers about kits and the shelf, worked out by hand beforehand."""

from __future__ import annotations

from knockon.graph.model.things import KitLine
from knockon.queries.plan.kit import KitAnswer
from tests.demo.demo import (
    AS_FOUND,
    demo,
    kitted,
)

DISCS = "rotor=LARCH-201"


MISSING_K1 = {
    *("bearings with spacer", "collars", "joint boots", "spring clips", "large clamps", "small clamps"),
    *("joint grease", "splash shield left", "splash shield right", "pad pin kits"),
    *("master cylinder", "rear wheel cylinders", "fluid"),
}
PERHAPS_K1 = {
    *("rotor screws", "hub split pins", "caliper lock tabs", "shield screws", "copper washers"),
    *("shakeproof washers", "ball pin nuts", "arm lock plates", "track rod end nuts"),
}


def groups_of(answer: KitAnswer, *statuses: str) -> set[str]:
    return {" ".join(x for x in (g.group, g.hand) if x) for g in answer.groups if g.status in statuses}


def test_what_the_complete_kit_lacks() -> None:
    answer = kitted("K1", AS_FOUND, DISCS)
    assert len(answer.groups) == 39
    assert groups_of(answer, "missing", "short") == MISSING_K1
    assert groups_of(answer, "short, perhaps inside") == PERHAPS_K1
    assert len(MISSING_K1 | PERHAPS_K1) == 22
    assert groups_of(answer, "present, unproven") == {"swivels upper", "swivels lower"}
    assert answer.count("present") == 15
    short = {(line.number, line.quantity, has) for g in answer.groups for line, has in g.lines if has < line.quantity}
    assert short >= {("ALDER-212", 2, 0), ("ROWAN-251", 2, 1), ("LARCH-202", 8, 4)}
    taper = [x for g in answer.groups if g.group == "swivels upper" for x in g.to_measure]
    assert "ALDER-931/upper ball pin, taper: ratio" in taper
    assert "ALDER-212" in answer.message and "all fittings" in answer.message


def test_an_unlisted_line_never_excuses_spacer_collar_boot_clip_or_shield() -> None:
    perhaps = groups_of(kitted("K1", AS_FOUND, DISCS), "short, perhaps inside")
    assert not perhaps & {"bearings with spacer", "collars", "joint boots", "spring clips", "splash shield left"}


def test_the_economy_kit() -> None:
    answer = kitted("K2", AS_FOUND, DISCS)
    status = {p.number: p.status for p in answer.parts}
    assert len(status) == 13
    assert {n for n, s in status.items() if s == "usable"} == {
        *("ALDER-201L", "ALDER-201R", "ALDER-911", "ALDER-912", "ROWAN-252"),
    }
    assert {n for n, s in status.items() if s == "unproven"} == {"LARCH-903", "LARCH-904"}
    assert {n for n, s in status.items() if s == "wrong"} == {
        *("ALDER-922", "ROWAN-901", "ROWAN-941", "LARCH-901", "LARCH-902", "HAZEL-911"),
    }


def test_the_shelf_is_a_kit() -> None:
    shelf = next(k for k in demo().kits.values() if k.is_ == "shelf")
    assert {KitLine("ROWAN-301", 2)} <= set(shelf.lines)
    status = {p.number: p.status for p in kitted(shelf.kit, AS_FOUND, DISCS).parts}
    assert status["ROWAN-301"] == "wrong"
    assert status["ROWAN-941"] == "wrong"
