"""The bottom bracket of a bicycle: the same questions in another trade, in words of that trade."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from knockon.graph.judge.verdicts import Verdict
from knockon.graph.model.catalogue import Catalogue
from knockon.graph.records import load
from knockon.queries.fits.fits import judge_parts
from knockon.queries.plan.changes import KEPT, MOVED_OVER
from knockon.queries.plan.kit import MISSING, check_kit
from knockon.queries.plan.swap import swap
from tests.commands.running import run
from tests.oracle.motion import Request
from tests.oracle.plan import Swap
from tests.oracle.world import (
    Condition,
    Dimension,
    Fitting,
    Joint,
    Kind,
    Part,
    Position,
    Row,
    Rule,
    Size,
    Source,
    Term,
    Vehicle,
    Window,
    World,
)
from tests.texts.test_words_of_a_layout import OF_A_VEHICLE
from tests.worked.bicycle import TABLES

WANT = ("--want", "right crank=CR-13")
QUESTIONS = (
    ("swap", "tourer", *WANT),
    ("swap", "tourer", *WANT, "--full"),
    ("swap", "tourer", *WANT, "--keep", "crank spindle", "--full"),
    ("kit", "bracket", "--for", "tourer", *WANT, "--full"),
    ("fits", "LC-17", "FR-35"),
    ("fits", "RC-17", "SP-17", "FR-68"),
    ("part", "SP-17"),
    ("partners", "SP-17"),
    ("tell-apart", "RC-17", "RC-17-RH"),
    ("combinations", "bottom bracket"),
    ("list", "parts", "--type", "fixed cup"),
    ("check",),
)


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    made = tmp_path_factory.mktemp("cycles")
    for name, text in TABLES.items():
        path = made / name
        path.parent.mkdir(exist_ok=True)
        path.write_text(text, encoding="utf-8")
    return made


@pytest.fixture(scope="module")
def catalogue(folder: Path) -> Catalogue:
    records = load(folder)
    assert not records.findings
    return records.catalogue


def test_a_crank_forces_the_spindle_and_both_cups_and_the_frame_stays(catalogue: Catalogue) -> None:
    """CR-13 has 13.2 mm at the large end, SP-15 has 12.3 mm: 0.9 mm apart, at most 0.1 mm: SP-17. Its journals are 17
    mm, the rings of both cups 15 mm: 2 mm too small: RC-17 and LC-17. RC-17-RH would turn the wrong way, and the ring
    of LC-17-? is not recorded. Both new cups have the thread of the old ones: frame and lock ring stay."""
    answer = swap(catalogue, "tourer", want=("right crank=CR-13",))
    assert {c.position: (c.new, set(c.reason.cites) if c.reason else set()) for c in answer.changes
            if c.status == "forced by fit"} == {
        "right crank": ("CR-13", set()),
        "crank spindle": ("SP-17", {"crank on spindle"}),
        "right cup": ("RC-17", {"crank on spindle", "right cup on spindle"}),
        "left cup": ("LC-17", {"crank on spindle", "left cup on spindle"}),
    }  # fmt: skip
    assert {c.position for c in answer.changes if c.status in (KEPT, MOVED_OVER)} == {"frame", "lock ring"}


def test_threads_that_start_and_bind_threads_of_the_other_hand_and_what_nobody_measured(catalogue: Catalogue) -> None:
    """1.370 in x 24 TPI has a pitch diameter of 34.798 - 0.6495 x 1.0583 = 34.111 mm, M35x1 one of 34.350 mm: the cup
    starts in the older frame. The pitches differ by 0.058 mm, so it binds."""
    near = judge_parts(catalogue, ("LC-17", "FR-35"), at="left cup in frame")
    assert near.verdict is Verdict.DO_NOT_USE
    other_hand = judge_parts(catalogue, ("RC-17-RH", "FR-68"), at="right cup in frame")
    assert other_hand.verdict is Verdict.DOES_NOT_FIT
    assert judge_parts(catalogue, ("LC-17-?", "SP-17")).verdict is Verdict.NOT_KNOWN


def test_the_kit_lacks_the_crank_and_has_the_wrong_cup(catalogue: Catalogue) -> None:
    answer = check_kit(catalogue, "bracket", "tourer", want=("right crank=CR-13",))
    assert {g.group for g in answer.groups if g.status == MISSING} == {"right cups", "cranks"}
    assert [p.number for p in answer.parts if p.status == "wrong"] == ["RC-17-RH"]


@pytest.mark.parametrize("question", QUESTIONS, ids=" ".join)
def test_no_answer_speaks_of_a_vehicle_or_of_brakes(folder: Path, question: tuple[str, ...]) -> None:
    outcome = run("--records", str(folder), *question)
    assert outcome.status in (0, 1) and outcome.out.strip(), outcome
    said = re.sub(r"1 vehicle, 1 kit|chain side", "", outcome.out.replace(str(folder), ""))
    said = re.sub(r"thread hand|(left|right) hand\b", "", said)  # of a thread
    assert not [line for line in said.splitlines() if OF_A_VEHICLE.search(line)]


def test_its_own_words_are_used(folder: Path) -> None:
    said = run("--records", str(folder), "swap", "tourer", "--want", "crank arm=CR-13", "--full").flowing
    assert "bicycle" in said and "bracket apart" in said
    assert "can mean" not in run("--records", str(folder), "swap", "tourer", "--keep", "chain side cup", *WANT).err


# ---------------------------------------------------------------- the same bracket, by trying every filling

SIZE = {
    "frame": "FR-68 FR-35", "right cup": "RC-15 RC-17 RC-17-RH", "left cup": "LC-15 LC-17 LC-17-?",
    "lock ring": "LR-1", "crank spindle": "SP-15 SP-17", "right crank": "CR-12 CR-13",
}  # fmt: skip
"""The numbers for each position."""
FEATURES: dict[tuple[str, str], dict[str, int | str]] = {
    # Threads by what decides: size, pitch and hand in one word, for in these records no two differ in less than all.
    ("frame", "right thread"): {"FR-68": "1.370-24-LH", "FR-35": "35-1-RH"},
    ("frame", "left thread"): {"FR-68": "1.370-24-RH", "FR-35": "35-1-RH"},
    ("right cup", "thread"): {"RC-15": "1.370-24-LH", "RC-17": "1.370-24-LH", "RC-17-RH": "1.370-24-RH"},
    ("left cup", "thread"): dict.fromkeys(("LC-15", "LC-17", "LC-17-?"), "1.370-24-RH"),
    ("lock ring", "nut"): {"LR-1": "1.370-24-RH"},
    # Sizes in micrometres. LC-17-? has none recorded.
    ("right cup", "ring"): {"RC-15": 15000, "RC-17": 17000, "RC-17-RH": 17000},
    ("left cup", "ring"): {"LC-15": 15000, "LC-17": 17000},
    ("crank spindle", "right journal"): {"SP-15": 15000, "SP-17": 17000},
    ("crank spindle", "left journal"): {"SP-15": 15000, "SP-17": 17000},
    ("crank spindle", "square"): {"SP-15": 12300, "SP-17": 13200},
    ("right crank", "square hole"): {"CR-12": 12300, "CR-13": 13200},
}
MEETS = (
    ("right cup in frame", "right cup", "thread", "frame", "right thread", "thread"),
    ("left cup in frame", "left cup", "thread", "frame", "left thread", "thread"),
    ("lock ring on left cup", "left cup", "thread", "lock ring", "nut", "thread"),
    ("right cup on spindle", "right cup", "ring", "crank spindle", "right journal", "size"),
    ("left cup on spindle", "left cup", "ring", "crank spindle", "left journal", "size"),
    ("crank on spindle", "crank spindle", "square", "right crank", "square hole", "size"),
)
CARRIED = {
    "right cup": "frame", "left cup": "frame", "lock ring": "left cup", "right crank": "crank spindle",
}  # fmt: skip


def in_the_oracles_form() -> World:
    """Sizes go together where they differ by at most 0.1 mm, threads where they are the same: the rules of the records
    are finer, and come to this for these parts."""
    kinds = (Kind("thread", (Dimension("is", "code"),)), Kind("size", (Dimension("is", "length"),)))
    terms = (Term(1, 0, "is"), Term(-1, 1, "is"))
    rules = (
        Rule("thread", ("thread", "thread"), (Condition("same", "assembly", "required", terms, same_code=True),)),
        Rule("size", ("size", "size"), (Condition("near", "assembly", "required", terms, Window(-100, 100)),)),
    )
    sort = {(p, f): rule for _, a, fa, b, fb, rule in MEETS for p, f in ((a, fa), (b, fb))}
    rows = tuple(
        Row(number, feature, sort[position, feature],
            (("is", Size(said, said) if isinstance(said, int) else said),), "book")
        for (position, feature), numbers in FEATURES.items()
        for number, said in numbers.items()
    )  # fmt: skip
    return World(
        kinds=kinds,
        rules=rules,
        sources=(Source("book", "drawing"),),
        parts=tuple(Part(number, position) for position, known in SIZE.items() for number in known.split()),
        rows=rows,
        positions=tuple(Position(name, "vehicle", name, carried_by=CARRIED.get(name, "")) for name in SIZE),
        joints=tuple(Joint(*joint) for joint in MEETS),
    )


WISHES = ("right crank=CR-13", "crank spindle=SP-17", "frame=FR-35", "right cup=RC-17", "left cup=LC-17-?")


@pytest.mark.parametrize("wish", WISHES)
def test_what_is_forced_is_what_trying_every_filling_forces(catalogue: Catalogue, wish: str) -> None:
    world, (position, number) = in_the_oracles_form(), tuple(wish.split("="))
    fitted = tuple(Fitting(f.position, "", f.part) for f in catalogue.vehicles["tourer"].fittings)
    ours = Swap(world, Vehicle("tourer", ("only",), fitted), Request(wants=((position, number),))).answer()
    theirs = swap(catalogue, "tourer", want=(wish,))
    assert (theirs.plan is None) == (not ours.best)
    forced = {c.position for c in theirs.changes if c.status == "forced by fit"}
    assert forced == {name for name, _ in ours.forced_by_fit}
    known = {c.position for c in theirs.changes if c.status == "forced by what is known"}
    assert known == {name for name, _ in ours.forced_by_known}
    if theirs.plan is not None:
        chosen = {name: choice.thing.number for (name, _), choice in ours.best[0].items() if choice is not None}
        assert {f.place: f.number for f in theirs.plan.filled} == chosen
