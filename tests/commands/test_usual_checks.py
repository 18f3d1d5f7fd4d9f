"""A layout of one's own is never told that it can be done without hearing which usual checks it lacks."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from tests.commands.running import demo, full, run
from tests.commands.tiny import write_tiny

SPLINES = "splines of the drive flange on the outer joint"
POSITIONED = "spline engagement as positioned"
TOLD = (
    "This layout has 1 joint and 1 stack. It lacks these usual checks, so nothing looked at them: "
    f"{SPLINES}; {POSITIONED}."
)


def with_flange(folder: Path) -> Path:
    """The tiny world with a third position, a drive flange, of which only the nut's seat is checked."""
    write_tiny(
        folder,
        positions="bench,flange,corner,drive flange,1,needed,flanges,30\n",
        parts="FLANGE-A,flange,drive flange,either,no,drawings\n",
        fittings="bench-1,flange,FLANGE-A,sound\n",
        features="",
    )
    tables = {
        "figures.csv": "layout,figure,is,sort,low,high,unit,compared with,safety critical,standing,source,says\n"
        'bench,seat of the nut,stack,service,0 mm,,mm,limits,yes,common practice,"common practice, no source",'
        "the nut goes tight on plain shank\n",
        "figure_terms.csv": "layout,figure,order,position,feature,dimension,factor\n"
        "bench,seat of the nut,1,flange,boss,length,1\nbench,seat of the nut,2,stub,stub end,thread start,-1\n",
        "features/flange_boss.csv": "part,feature,length,source\nFLANGE-A,boss,30.0..30.1 mm,drawings\n",
        "features/stub_end.csv": "part,feature,thread start,source\n"
        + "".join(f"STUB-{s},stub end,25.0..25.1 mm,drawings\n" for s in "ABC"),
    }
    for name, text in tables.items():
        (folder / name).write_text(text, encoding="utf-8")
    return folder


@pytest.fixture
def own(tmp_path: Path) -> Path:
    return with_flange(tmp_path)


def result_of(*question: str) -> Any:
    return full(run(*question, "--json").out)["result"]


QUESTIONS = {
    "swap": ("swap", "--full", "bench-1", "--want", "ring=RING-B"),
    "swap, nothing fits": ("swap", "--full", "bench-1", "--want", "ring=RING-B", "--want", "stub=STUB-A"),
    "kit": ("kit", "half", "--for", "bench-1", "--want", "ring=RING-B"),
    "kit, nothing fits": ("kit", "half", "--for", "bench-1", "--want", "ring=RING-B", "--want", "stub=STUB-A"),
    "combinations": ("combinations", "bench", "--with", "ring=RING-B"),
    "combinations, nothing fits": ("combinations", "bench", "--with", "ring=RING-B", "--with", "stub=STUB-A"),
    "fits": ("fits", "STUB-B", "RING-B", "FLANGE-A"),
    "fits, do not meet": ("fits", "FLANGE-A", "RING-B"),
}


@pytest.mark.parametrize("question", QUESTIONS.values(), ids=QUESTIONS.keys())
def test_an_answer_about_it_names_them_once(own: Path, question: tuple[str, ...]) -> None:
    asked = (*question, "--records", str(own))
    ran, result = run(*asked), result_of(*asked)
    assert ran.status in (0, 1), ran.err
    assert ran.flowing.count(TOLD) == 1
    assert TOLD in result["cautions"]
    (lacks,) = result["lacks_checks"]
    assert [c["check"] for c in lacks["checks"]] == [SPLINES, POSITIONED]
    assert (lacks["layout"], lacks["joints"], lacks["stacks"], lacks["figures"]) == ("bench", 1, 1, 0)


def test_it_is_told_beside_the_good_news_not_after_the_order(own: Path) -> None:
    ran = run(*QUESTIONS["swap"], "--records", str(own))
    assert ran.status == 0 and "It can be done" in ran.out
    assert ran.flowing.index("It lacks these usual checks") < ran.flowing.index("ORDER LIST")


def test_two_parts_hear_of_what_they_take_part_in_only(own: Path) -> None:
    asked = ("fits", "STUB-B", "RING-B", "--records", str(own))
    assert [c["check"] for c in result_of(*asked)["lacks_checks"][0]["checks"]] == [SPLINES, POSITIONED]
    knuckle = "bench,upright,corner,knuckle,1,optional,uprights,40\nbench,arm,corner,steering arm,1,optional,arms,50\n"
    with (own / "positions.csv").open("a") as table:
        table.write(knuckle)
    found = [c["check"] for c in result_of(*asked)["lacks_checks"][0]["checks"]]
    assert found == [SPLINES, POSITIONED, "bearing in the knuckle"]
    assert len(result_of(*QUESTIONS["swap"], "--records", str(own))["lacks_checks"][0]["checks"]) == 4


def test_check_remarks_on_each_with_why_and_its_status_stays(own: Path) -> None:
    ran, result = run("check", "--records", str(own)), result_of("check", "--records", str(own))
    assert (ran.status, result["findings"]) == (0, [])
    assert "Everything is in order" in ran.out
    assert "Splines of the drive flange on the outer joint. The same count of teeth of another pitch" in ran.flowing
    assert "Between: flange, stub. [common practice, no source]" in ran.flowing
    (lacks,) = result["lacks_checks"]
    assert [c["check"] for c in lacks["checks"]] == [SPLINES, POSITIONED]
    assert all(c["why"] and c["source"] and c["standing"] for c in lacks["checks"])


def test_more_than_a_handful_are_counted(own: Path) -> None:
    with (own / "positions.csv").open("a") as table:
        for order, name in enumerate(("caliper", "rotor", "pads", "knuckle", "hub nut", "front hose"), 40):
            table.write(f"bench,{name},corner,{name},1,optional,{name},{order}\n")
    ran = run(*QUESTIONS["combinations"], "--records", str(own))
    (lacks,) = result_of(*QUESTIONS["combinations"], "--records", str(own))["lacks_checks"]
    checks = [c["check"] for c in lacks["checks"]]
    assert len(checks) > 6
    assert f"{'; '.join(checks[:5])}; {len(checks) - 5} more (see knockon check)." in ran.flowing
    assert all(f"{c[:1].upper()}{c[1:]}. " in run("check", "--full", "--records", str(own)).flowing for c in checks)


def test_one_that_is_lacking_is_told_as_one(tmp_path: Path) -> None:
    folder = write_tiny(tmp_path, positions="bench,nut,corner,hub nut,1,optional,nuts,30\n")
    said = (
        "This layout has 1 joint and no stacks. It lacks this usual check, so nothing looked at it: thread of the hub"
    )
    assert said in run("combinations", "bench", "--records", str(folder)).flowing


def test_a_layout_with_all_its_usual_checks_hears_nothing(tmp_path: Path) -> None:
    folder = write_tiny(tmp_path)
    for question in (("check",), QUESTIONS["swap"], ("combinations", "bench"), ("fits", "STUB-A", "RING-A")):
        asked = (*question, "--records", str(folder))
        assert result_of(*asked)["lacks_checks"] == []
        assert "usual check" not in run(*asked).out


def test_the_demo_hears_nothing() -> None:
    for question in (
        ("check",),
        ("fits", "ROWAN-101", "ROWAN-141"),
        ("swap", "--full", "tansy-m080", "--want", "rotor=LARCH-201"),
    ):
        ran = demo(*question)
        assert ran.out and "usual check" not in ran.out
        assert full(demo(*question, "--json").out)["result"]["lacks_checks"] == []
