"""``knockon needs``: what to do first, what a part must be, which recorded parts are that, and a message to sellers."""

from __future__ import annotations

import json
import shlex

import pytest

from tests.commands.running import demo, pasted, run

DISCS = ("--want", "rotor=LARCH-201")
NUT = ("needs", "tansy-m080", "hub nut", *DISCS)
JOINT = ("needs", "tansy-m080", "outer joint", *DISCS)
CYLINDER = ("needs", "tansy-m080", "rear wheel cylinder", *DISCS)


def test_the_first_page_begins_with_what_to_do_and_says_what_the_part_must_be() -> None:
    ran = demo(*NUT)
    assert ran.status == 0
    assert ran.lines[1].startswith("Left and right hub nut, for m080's Mk A, as found (tansy-m080). You asked:")
    assert ran.lines[2] == "ROWAN-252 hub nut, slotted meets all of this by its sizes."
    must = " ".join(ran.section("WHAT IT MUST BE"))
    assert "nut: thread 3/4-16 UNF, right hand (usual), height at most 16.84 mm (0.663 in)." in must
    assert "  -  ROWAN-252 hub nut, slotted, on tansy-mk-b." in ran.section("RECORDED PARTS BY THEIR SIZES")


def test_counts_and_designations_are_told_as_they_are_written() -> None:
    text = demo(*JOINT).flowing
    assert "teeth 25, pitch 24/48 (module 1.058), pressure angle 30 deg, form involute flat root" in text
    assert "thread 3/4-16 UNF, right hand" in text
    # how tightly a bearing presses stays open beside a size without limits
    assert "diameter 28.475 to 28.675 mm (1.121 to 1.129 in) and if possible 28.55 to 28.575 mm" in text


def test_what_is_not_known_is_said_first_and_the_exit_status_is_1() -> None:
    ran = demo(*JOINT)
    assert ran.status == 1
    assert "NOT KNOWN YET: no recorded part is sure to meet all of this. Measure ROWAN-201" in ran.flowing
    beside = " ".join(ran.section("WHAT IS NOT KNOWN BESIDE IT"))
    assert "Not recorded: ALDER-223, left slinger ring, seat: pattern." in beside


def test_a_miss_is_told_with_its_amount_and_a_claim_apart() -> None:
    ran = demo(*CYLINDER)
    parts = " ".join(" ".join(ran.section("RECORDED PARTS BY THEIR SIZES")).split())
    assert "HAZEL-331 rear wheel cylinder: cylinder: bore is 0.89 mm (0.035 in) too large" in parts
    claimed = " ".join(ran.section("CLAIMED, NOT BY SIZES"))
    assert (
        "HAZEL-131: listed for tansy-mk-a (quillmere-drawings, drawing). By its sizes it misses one limit." in claimed
    )


def test_why_names_who_sets_each_limit_and_evidence_each_check() -> None:
    why = demo(*NUT, "--why").flowing
    assert "nut, thread: 19 to 19.1 mm (0.748 to 0.752 in), because of hub nut on stub, thread major diameter" in why
    assert "(ROWAN-201, left outer joint) [ASME B1.1, ISO 261: a nut has the nominal diameter of its bolt]" in why
    evidence = demo(*NUT, "--evidence").flowing
    assert "ROWAN-252 hub nut, slotted, meets it: - hub nut on stub, left and right hub nut: fits." in evidence


def test_the_message_is_for_a_seller_and_stands_alone() -> None:
    ran = demo(*JOINT, "--message")
    assert ran.lines[1] == "I am looking for an outer joint, 2 pieces for the left and the right side."
    assert "- Stub spline: major diameter 25.41 to 27.89 mm (1.000 to 1.098 in), teeth 25" in ran.flowing
    assert "ALDER-223 slinger ring (slinger on joint)." in ran.out
    assert "next:" not in ran.out and "NOT KNOWN" not in ran.out
    left = demo("needs", "tansy-m080", "left knuckle", *DISCS, "--message")
    assert left.lines[1] == "I am looking for a knuckle, 1 piece for the left side."
    nothing = demo("needs", "tansy-m080", "rotor", "--message")
    assert nothing.lines[1:] == ["There is nothing to ask a seller for."]


@pytest.mark.parametrize(
    ("question", "said"),
    [
        (("brake drum", *DISCS), "Nothing is needed here: the plan leaves left and right brake drum empty"),
        (("outer bearing", *DISCS), "It is part of a set. The others of that set are taken to stay beside it."),
        (("left hub nut", *DISCS), "Both sides take the same part, or its mirror image."),
        (("wheel",), "The plan keeps MAPLE-101"),
        (("rotor", "--want", "rotor.outside diameter>=250 mm"), "Known parts alone give no plan."),
        (("hub nut", *DISCS, "--keep", "hub nut"), "NO PLAN: no set of known parts meets this request"),
    ],
    ids=lambda x: x[0] if isinstance(x, tuple) else "",
)
def test_it_says_what_the_plan_does_there(question: tuple[str, ...], said: str) -> None:
    assert said in demo("needs", "tansy-m080", *question).flowing


def test_the_commands_that_end_the_page_run() -> None:
    ways = pasted(demo(*NUT))
    assert [w.split()[-1] for w in ways] == ["--message", "--why", "--evidence", "--full"]
    for way in ways:
        assert demo(*shlex.split(way)[1:]).status == 0


def test_without_a_plan_the_page_leads_to_why_there_is_none() -> None:
    none = demo("needs", "tansy-m080", "hub nut", *DISCS, "--keep", "hub nut")
    assert none.status == 1
    assert pasted(none) == ["knockon swap tansy-m080 --want rotor=LARCH-201 --keep 'hub nut'"]


def test_json_gives_windows_and_parts() -> None:
    document = json.loads(demo(*NUT, "--json").out)
    answer = document["result"]
    assert answer["position"] == "hub nut" and answer["places"] == ["left hub nut", "right hub nut"]
    windows = {(w["feature"], w["dimension"]): w for w in answer["specifications"][0]["windows"]}
    assert windows["nut", "height"]["high"]["value"] == 16.8402
    assert [p["number"] for p in answer["meets"]] == ["ROWAN-252"]


def test_mistakes_are_told_with_what_is_near() -> None:
    position = run("needs", "tansy-m080", "hub nutt")
    assert position.status == 2 and "Nearest: hub nut" in position.err
    assert run("needs", "tansy-m080").status == 2
    assert run("needs", "no-such-van", "hub nut").status == 2
    wish = run("needs", "tansy-m080", "hub nut", "--want", "rotor.outside diameter>>2")
    assert wish.status == 2 and wish.err
