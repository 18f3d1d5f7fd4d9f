"""Who is right: the contradictions of the demo world, how each is decided, what hangs on it, what would settle it."""

from functools import cache
from importlib import resources
from pathlib import Path

import pytest
from msgspec.structs import replace

from knockon.graph.files.shipped import shipped
from knockon.graph.judge.verdicts import Verdict
from knockon.graph.model.catalogue import Catalogue
from knockon.graph.model.layouts.layout import Places
from knockon.graph.model.things import Feature, Kit, KitLine, Note, Said, Source
from knockon.graph.records import load, load_records
from knockon.queries.club.contradictions import believing, note_conflicts, size_conflicts
from knockon.queries.club.disputes import SizeDispute, find_disputes
from knockon.queries.club.note_disputes import NoteDispute
from knockon.queries.club.what_reads import kits_with
from knockon.queries.fits.checking.candidates import new_parts
from knockon.queries.fits.checking.checks import Checks
from knockon.queries.ui.terminal.blocks import Para
from knockon.queries.ui.texts.club.disputes import disputes_text
from tests.unit.small import TABLES, with_rows, world


@cache
def demo() -> Catalogue:
    return load_records(Path(str(resources.files("knockon.data_demo"))))


def size_of(catalogue: Catalogue, thing: str) -> SizeDispute:
    (found,) = (d for d in find_disputes(catalogue, 1).size_disputes if thing in d.things)
    return found


def test_a_size_that_a_note_states_stands_with_the_note_s_words_and_another_with_none() -> None:
    told = [b.text for b in disputes_text(find_disputes(demo(), 1)) if isinstance(b, Para) and b.text.startswith(".03")]
    assert told[0] == ".036 in (0.9144 mm), used (quillmere-drawings, drawing, 1970-80)."
    assert ", not used (N21, worn, m052, 2021 spring). Tab washers measured: .036, .035, .040" in told[1]
    assert told[1].endswith(" Condition: A,B.")


def notes_on(catalogue: Catalogue, check: str) -> NoteDispute:
    (found,) = (d for d in find_disputes(catalogue, 1).note_disputes if d.check == check)
    return found


def standing(catalogue: Catalogue, source: str, standing: str) -> Catalogue:
    """The catalogue with another standing of one source, as its records would be read."""
    changed: Source = replace(catalogue.sources[source], standing=standing)
    features = {
        thing: {
            name: replace(
                feature,
                dimensions={
                    d: tuple(replace(s, rank=changed.rank) if s.source == source else s for s in statements)
                    for d, statements in feature.dimensions.items()
                },
            )
            for name, feature in by_name.items()
        }
        for thing, by_name in catalogue.features.items()
    }
    return replace(catalogue, sources={**catalogue.sources, source: changed}, features=features)


def test_the_drawing_decides_the_spacer_and_both_notes_are_shown() -> None:
    found = size_of(demo(), "ALDER-212")
    sides = {s.source: s for s in found.sides}
    assert set(sides) == {"quillmere-drawings", "N02", "N03"}
    assert found.decided
    assert [s.source for s in found.sides if s.computes] == ["quillmere-drawings"]
    assert (sides["N02"].standing, sides["N02"].condition) == ("same number, new", "B, new parts")
    assert (sides["N03"].written, sides["N03"].condition, sides["N03"].member) == ("12.2 mm", "B?", "m033")
    assert found.settle.startswith("measure ALDER-212, spacer: length")
    answer = found.answers[0]
    assert (answer.check, answer.part, answer.others) == ("bearing float", "ALDER-212", ("tansy-mk-b",))
    said = {label.partition(":")[0]: verdict for label, verdict in answer.if_right}
    assert said["N03"] is Verdict.DO_NOT_USE
    assert said["N02"] is said["quillmere-drawings"] is answer.now is Verdict.FITS_ON_PAPER


def test_a_verdict_that_depends_on_whom_one_believes_hangs_on_the_size() -> None:
    """The book says 20 mm of the hub's bore, the stall 25 mm: on either axle the one would fit, the other not."""
    said = TABLES["features/register_bore.csv"] + "HUB-20L,bore,25 mm,stall\n"
    (found,) = find_disputes(world({"features/register_bore.csv": said}), 1).size_disputes
    assert {(a.check, a.part, a.others) for a in found.answers} == {
        ("hub on axle", part, (axle,)) for part in ("HUB-20L", "HUB-20R") for axle in ("AXLE-20", "AXLE-25")
    }
    ifs = {a.others: tuple(v for _, v in a.if_right) for a in found.answers if a.part == "HUB-20L"}
    assert ifs["AXLE-20",] != ifs["AXLE-25",] and all(len(set(v)) == 2 for v in ifs.values())


def test_a_stack_of_a_vehicle_hangs_on_the_size_with_the_rest_as_it_is_fitted() -> None:
    """The stall's 25 mm would leave 5 mm of room on an axle of 20 mm; the hub has no place on the big cart."""
    room = {
        "figures.csv": "layout,figure,is,sort,low,high,unit,compared with,says\n"
        "cart axle,room,stack,service,0 mm,0.1 mm,mm,limits,it rattles\n",
        "figure_terms.csv": "layout,figure,order,position,feature,dimension,factor\n"
        "cart axle,room,1,hub,bore,diameter,1\ncart axle,room,2,axle,seat,diameter,-1\n",
        "features/register_bore.csv": TABLES["features/register_bore.csv"] + "HUB-20L,bore,25 mm,stall\n",
    }
    (found,) = find_disputes(world(room), 1).size_disputes
    hanging = {(a.part, a.others): tuple(v.is_no for _, v in a.if_right) for a in found.answers if a.check == "room"}
    assert hanging == {(hub, ("cart", "my-cart")): (False, True) for hub in ("HUB-20L", "HUB-20R")}


def test_of_many_sources_that_state_one_size_three_are_named_and_the_others_counted() -> None:
    names = ("first", "second", "third", "fourth", "fifth")
    rows = [f"HUB-20L,bore,20 mm,{n}" for n in names]
    bores = with_rows("features/register_bore.csv", *rows, "HUB-20L,bore,25 mm,stall")
    sources = with_rows("sources.csv", *(f"{n},{n},drawing," for n in names))
    (found,) = find_disputes(world({**bores, **sources}), 1).size_disputes
    assert [label for label, _ in found.answers[0].if_right] == ["book, fifth, first and 3 more: 20 mm", "stall: 25 mm"]


def test_the_plan_that_holds_the_spacer_hangs_on_it_too() -> None:
    (swap,) = size_of(demo(), "ALDER-212").swaps
    assert (swap.swap, swap.check, swap.part) == ("tansy-m080, rotor=LARCH-201", "bearing float", "ALDER-213")
    assert swap.now is Verdict.FITS
    assert {v for label, v in swap.if_right if label.startswith("N03")} == {Verdict.DO_NOT_USE}
    assert find_disputes(demo(), 1, most_plans=0).size_disputes[1].swaps == ()


def test_a_kit_with_both_parts_hangs_on_their_contradiction() -> None:
    kit = Kit("X9", "kit", "an axle", lines=(KitLine("ALDER-212", 2), KitLine("ALDER-211", 4)))
    with_kit = replace(demo(), kits={**demo().kits, "X9": kit})
    kits = {a.part: a.kits for a in size_of(with_kit, "ALDER-212").answers}
    assert kits == {"ALDER-212": ("X9",), "ALDER-213": kits_with(with_kit, "ALDER-213", ["tansy-mk-b"])}
    assert kits_with(with_kit, "ALDER-212", ["ALDER-211"]) == ("X9",)
    assert kits_with(with_kit, "ALDER-212", ["ALDER-911"]) == ()


def test_of_equal_standing_neither_is_believed() -> None:
    catalogue = standing(standing(demo(), "N03", "drawing"), "N02", "drawing")
    found = size_of(catalogue, "ALDER-212")
    assert not found.decided
    assert "nothing is averaged" in found.ruling
    assert {s.source for s in found.sides if s.computes} == {"quillmere-drawings", "N02", "N03"}
    assert not find_disputes(catalogue, 1).is_quiet
    assert find_disputes(demo(), 1).is_quiet
    assert [a.now for a in found.answers if a.check == "bearing float"] == [Verdict.DISPUTED, Verdict.DISPUTED]


def test_a_report_of_use_does_not_outweigh_the_measured_taper() -> None:
    found = notes_on(demo(), "lower pin in arm")
    assert [(s.note, s.outcome) for s in found.sides] == [("N07", "failed"), ("N06", "worked")]
    assert found.sizes_say is Verdict.DO_NOT_USE
    assert found.explained is None
    assert "N07" in found.ruling and "never outweighs" in found.ruling
    assert found.settle.startswith("measure ALDER-332/lower ball pin, taper: ratio")
    assert found.answers == ("lower pin in arm: ALDER-152 with ALDER-332", "lower pin in arm on tansy-m080")


def test_a_size_hangs_on_the_part_that_stands_there_and_on_another_that_is_listed() -> None:
    """The spacer ALDER-212 stands in the Mk B; the set ALDER-213 holds the same spacer and is listed for it."""
    answers = {(a.check, a.part, a.others): dict(a.if_right) for a in size_of(demo(), "ALDER-212").answers}
    assert set(answers) == {
        ("bearing float", "ALDER-212", ("tansy-mk-b",)),
        ("bearing float", "ALDER-213", ("tansy-mk-b",)),
    }
    assert all(said["N03: 12.2 mm"] is Verdict.DO_NOT_USE for said in answers.values())


def test_a_set_is_put_in_whole_where_a_size_of_one_member_is_in_dispute() -> None:
    """Its spacer beside bearings bought apart is not the set whose maker states the float."""
    catalogue = demo()
    places = Places(catalogue.layouts["tansy front axle"])
    checks = Checks(catalogue, places)
    at = next(f for f in places.figures if f.figure.figure == "bearing float" and f.side == "left")
    found = {p: {c.number: c for c in new_parts(catalogue, places, p)} for p in at.places}
    whole = {p: here["ALDER-213"] for p, here in found.items() if "ALDER-213" in here}
    knuckle = {p: here["ALDER-201L"] for p, here in found.items() if "ALDER-201L" in here}
    mixed = {p: here["ALDER-211"] for p, here in found.items() if "ALDER-211" in here}
    assert len(whole) == 3 and len(mixed) == 2
    assert checks.figure(at, knuckle | whole, None).verdict is Verdict.FITS
    assert checks.is_stated(at, knuckle | whole)
    assert not checks.is_stated(at, knuckle | whole | mixed)
    assert checks.figure(at, knuckle | whole | mixed, None).verdict is not Verdict.FITS
    for one in mixed:
        assert not checks.is_stated(at, knuckle | whole | {one: mixed[one]})


def test_two_notes_on_one_wheel_are_both_right_under_their_condition() -> None:
    found = notes_on(demo(), "wheel to caliper, radial")
    assert {s.note for s in found.sides} == {"N04", "N05"}
    assert found.explained is not None
    assert found.explained.size == "wheel, weights: thickness"
    assert {(written, verdict.is_no) for _, written, verdict in found.explained.cases} == {
        ("0 mm", False),
        ("4.0 mm ±0.5 mm", True),
    }
    assert "both can be right" in found.ruling
    assert found.swaps == ("tansy-m080, rotor=LARCH-201",)
    assert found.kits == ()


@pytest.mark.parametrize(("number", "size"), [("HUB-20L", "hub, bore: diameter"), ("HUB-25L", ""), ("CAP-1", "")])
def test_only_another_thing_of_the_same_number_explains_two_notes(number: str, size: str) -> None:
    """One hub was bored out to the bigger axle: the notes on its number may be of it, those on another's cannot."""
    changed = {
        **with_rows("notes.csv", "N2,2021,m1,goes on,HUB-20L;AXLE-25,hub on axle,worked,survey"),
        **with_rows("items.csv", f"bored,{number},bored out,,,survey"),
        **with_rows("features/register_bore.csv", "bored,bore,25 mm,survey"),
    }
    (found,) = find_disputes(world(changed), 1).note_disputes
    assert (found.explained.size if found.explained else "") == size


@pytest.mark.parametrize(
    ("parts", "check", "settle"),
    [
        ("HUB-20L;AXLE-25", "hub on axle", "measure HUB-20L, bore: diameter (now: 20 mm, drawing)"),
        ("CAP-1;HUB-20L", "cap on hub", "measure CAP-1, rim: pattern"),
    ],
)
def test_the_size_on_which_two_notes_hang_settles_them(parts: str, check: str, settle: str) -> None:
    """The weakest of those that are recorded; where one is not, that one."""
    notes = [f"N{i},2021,m1,told,{parts},{check},{what},survey" for i, what in enumerate(("failed", "worked"), 2)]
    found = [d for d in find_disputes(world(with_rows("notes.csv", *notes)), 1).note_disputes if d.check == check]
    assert [d.settle for d in found] == [settle]


def test_no_other_notes_of_the_demo_world_contradict() -> None:
    assert {c.check for c in note_conflicts(demo())} == {"lower pin in arm", "wheel to caliper, radial"}


@pytest.mark.parametrize("joint", ["", "flange on stub"])
def test_a_note_that_names_no_joint_contradicts_one_that_does(joint: str) -> None:
    worked = Note("X1", "fits fine", parts=("ROWAN-301", "ROWAN-241"), joint=joint, outcome="worked", source="N01")
    catalogue = replace(demo(), notes={**demo().notes, "X1": worked})
    found = notes_on(catalogue, "flange on stub")
    assert {s.note for s in found.sides} == {"N19", "X1"}
    assert found.sizes_say is Verdict.DO_NOT_USE


def test_parts_that_meet_at_several_joints_went_well_at_each_of_them() -> None:
    """A note on three parts names no joint: it is held against a failure of the same parts at a joint that is named."""
    parts = ("ALDER-211", "ALDER-201L", "ROWAN-201")
    worked = Note("X1", "all went on", parts=parts, outcome="worked", source="N01")
    failed = Note("X2", "would not go", parts=parts, joint="inner bearing on stub", outcome="failed", source="N02")
    unnamed = Note("X3", "would not go", parts=("ALDER-211", "ROWAN-201"), outcome="failed", source="N02")
    notes = {"X1": worked, "X2": failed, "X3": unnamed}
    (found,) = note_conflicts(replace(demo(), notes=notes))
    assert (found.check, [n.note for n in found.notes]) == ("inner bearing on stub", ["X2", "X1"])


def test_where_no_size_is_known_the_safer_reading_rules() -> None:
    notes = {
        n.note: n
        for n in (
            Note(
                "X1", "fine", parts=("ROWAN-902", "ROWAN-241"), joint="flange on stub", outcome="worked", source="N01"
            ),
            Note(
                "X2",
                "slipped",
                parts=("ROWAN-902", "ROWAN-241"),
                joint="flange on stub",
                outcome="failed",
                source="N01",
            ),
        )
    }
    found = notes_on(replace(demo(), notes={**demo().notes, **notes}), "flange on stub")
    assert found.sizes_say is Verdict.NOT_KNOWN
    assert "the safer reading counts: X2" in found.ruling
    assert found.settle.startswith("measure ROWAN-902, stub spline: ")


def test_believing_one_statement_changes_only_that_size() -> None:
    conflict = next(c for c in size_conflicts(demo()) if "ALDER-212" in c.things)
    changed = believing(demo(), conflict, "N03", "12.2 mm")
    differing = {t for t in demo().features if demo().features[t] != changed.features[t]}
    assert differing == set(conflict.things)
    (stated,) = changed.features["ALDER-212"]["spacer"].dimensions["length"]
    assert (stated.written, stated.rank) == ("12.2 mm", 2)


def test_believing_walks_over_no_records(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("KNOCKON_CACHE", str(tmp_path))
    load(shipped("data_demo"))
    kept = load(shipped("data_demo")).catalogue  # a prepared copy, looked up piece by piece
    conflict = next(c for c in size_conflicts(demo()) if "ALDER-212" in c.things)
    changed, expected = (believing(known, conflict, "N03", "12.2 mm") for known in (kept, demo()))
    for way in ("numbers_of_type", "sets_at", "claims_on", "feature_kinds"):
        assert getattr(changed, way) is getattr(kept, way)
        assert getattr(changed, way) == getattr(replace(demo(), features=expected.features), way)
    assert list(changed.features) == list(demo().features)
    assert dict(changed.features) == dict(expected.features)


def test_a_reading_on_a_thing_does_not_contradict_its_number() -> None:
    assert not any(t in demo().items for c in size_conflicts(demo()) for t in c.things)


def says_absent(catalogue: Catalogue, thing: str, feature: str, source: str) -> Catalogue:
    rank = catalogue.sources[source].rank
    known = replace(catalogue.features[thing][feature], absent=(Said(source, rank),))
    return replace(catalogue, features={**catalogue.features, thing: {**catalogue.features[thing], feature: known}})


def test_sources_that_disagree_whether_a_feature_is_there_contradict() -> None:
    weaker = says_absent(demo(), "ALDER-201L", "caliper lugs", "N03")
    found = size_of(weaker, "ALDER-201L")
    assert (found.dimension, found.decided) == ("presence", True)
    assert [(s.written, s.source, s.computes) for s in found.sides] == [
        ("recorded", "quillmere-drawings", True), ("absent", "N03", False),
    ]  # fmt: skip
    assert found.settle == "look whether ALDER-201L has caliper lugs"
    answer = next(a for a in found.answers if a.others == ("LARCH-203L",))
    assert answer.now is Verdict.FITS
    assert dict(answer.if_right)["N03: absent"] is Verdict.DOES_NOT_FIT
    assert dict(answer.if_right)["quillmere-drawings: recorded"] is Verdict.FITS
    assert "K1" in answer.kits
    assert {s.check for s in found.swaps} == {"caliper on lugs"}


def test_a_source_that_only_says_that_a_feature_is_there_is_a_side() -> None:
    kind = demo().features["ALDER-201L"]["caliper lugs"].kind
    known = Feature("caliper lugs", kind, {}, (Said("N03", 4),), (Said("N02", 3),))
    features = {**demo().features, "ALDER-201L": {**demo().features["ALDER-201L"], "caliper lugs": known}}
    found = size_of(replace(demo(), features=features), "ALDER-201L")
    assert [(s.written, s.source) for s in found.sides] == [("recorded", "N02"), ("absent", "N03")]


def test_equal_sources_leave_it_open_whether_a_feature_is_there() -> None:
    catalogue = standing(says_absent(demo(), "ALDER-201L", "caliper lugs", "quillmere-drawings"), "N03", "drawing")
    found = size_of(catalogue, "ALDER-201L")
    assert not found.decided
    assert all(s.computes for s in found.sides)
