"""Usual checks: each one that is shipped can be lacking, and is so only where its parts stand and nobody looks."""

from __future__ import annotations

from importlib import resources
from pathlib import Path

import pytest
from msgspec.structs import replace

from knockon.graph.judge.lacking import lacked_checks, lacked_positions
from knockon.graph.model.layouts.mechanism import Figure, FigureTerm, Joint, Layout, Position
from knockon.graph.model.schema import UsualCheck, Vocabulary, read_vocabulary, vocabulary_files
from knockon.graph.records import load_records, records_from_text
from knockon.graph.rulebook.own import usable_vocabulary
from knockon.queries.fits.lacking import lacking, lacking_told
from tests.demo.test_new_kind import BICYCLE, BRACKET, GEARS, PREFIXES, TAPER_KEY

SHIPPED = read_vocabulary(vocabulary_files())


def demo_layout() -> Layout:
    (layout,) = load_records(Path(str(resources.files("knockon.data_demo")))).layouts.values()
    return layout


def layout_of(*part_types: str, joints: tuple[Joint, ...] = (), figures: tuple[Figure, ...] = ()) -> Layout:
    """A layout with a position for each part type, named like it and numbered where there are several."""
    positions = []
    for order, part_type in enumerate(part_types):
        seen = part_types[:order].count(part_type)
        name = f"{part_type} {seen + 1}" if part_types.count(part_type) > 1 else part_type
        positions.append(Position(name, "corner", part_type, 1, "needed", name, order))
    return Layout("own", positions=tuple(positions), joints=joints, figures=figures)


def stack(name: str, *terms: tuple[str, str], is_: str = "stack") -> Figure:
    found = tuple(FigureTerm(i, position, "feature", size) for i, (position, size) in enumerate(terms))
    return Figure(name, is_, "service", "limits", terms=found)


def lacked(layout: Layout, vocabulary: Vocabulary = SHIPPED) -> list[str]:
    return [c.check for c in lacked_checks(layout, vocabulary)]


def test_the_demo_layout_lacks_none_and_without_its_joints_and_figures_each() -> None:
    layout = demo_layout()
    assert lacked(layout) == []
    bare = replace(layout, joints=(), figures=())
    assert lacked(bare) == [c.label for c in SHIPPED.usual_checks]
    assert len(set(lacked(bare))) == len(SHIPPED.usual_checks) > 50


def test_each_check_of_the_demo_layout_is_missed_where_its_joint_or_chain_is_taken_out() -> None:
    layout = demo_layout()
    missed: set[str] = set()
    for joint in layout.joints:
        missed |= set(lacked(replace(layout, joints=tuple(j for j in layout.joints if j != joint))))
    assert missed == {c.label for c in SHIPPED.usual_checks if not c.chain}
    for check in (c for c in SHIPPED.usual_checks if c.chain):
        others = tuple(f for f in layout.figures if not set(check.dimensions) <= {t.dimension for t in f.terms})
        others = tuple(f for f in others if f.figure != check.chain)
        assert check.label in lacked(replace(layout, figures=others))


@pytest.mark.parametrize("check", SHIPPED.usual_checks, ids=lambda c: c.label)
def test_what_is_shipped_names_what_there_is(check: UsualCheck) -> None:
    dimensions = {name for kind in SHIPPED.kinds for name in SHIPPED.dimensions(kind)}
    assert check.rules or check.chain
    assert set(check.rules) <= set(SHIPPED.rules)
    assert {*check.first, *check.other, *check.through} <= set(SHIPPED.part_types)
    assert set(check.dimensions) <= dimensions
    assert check.why.endswith(".") and len(check.why.split()) <= 25
    assert (check.source, check.standing) == ("common practice, no source", "common practice")


def test_only_what_has_positions_is_lacking() -> None:
    assert lacked(layout_of("track rod end")) == []
    assert lacked(layout_of("track rod end", "steering arm")) == ["taper of the track rod end in the steering arm"]


def test_a_narrower_part_type_counts() -> None:
    own = PREFIXES + 'club:x a skos:Concept ; skos:prefLabel "long arm"@en ; skos:broader kn:type-steering-arm .'
    vocabulary, findings = usable_vocabulary((("own.ttl", own.encode()),))
    assert findings == ()
    assert lacked(layout_of("track rod end", "long arm"), vocabulary) == [
        "taper of the track rod end in the steering arm"
    ]


def test_another_rule_between_the_same_kinds_counts_and_one_between_others_does_not() -> None:
    def joined(rule: str) -> Layout:
        return layout_of("wheel", "drive flange", joints=(Joint("j", "wheel", "a", "drive flange", "b", rule),))

    assert lacked(joined("wheel on flange")) == lacked(joined("bolt circle")) == []
    assert lacked(joined("register")) == ["bolt circle and bore of the wheel on the drive flange"]


def test_each_position_of_the_first_part_type_is_to_be_in_such_a_joint() -> None:
    joint = Joint("upper", "ball pin 1", "taper", "upper arm", "bore", "taper")
    layout = layout_of("ball pin", "ball pin", "upper arm", "lower arm", joints=(joint,))
    (found,) = lacked_checks(layout, SHIPPED)
    assert found.check == "taper of the ball pin in the arm"
    assert found.positions == ("ball pin 2", "upper arm", "lower arm")
    lower = Joint("lower", "ball pin 2", "taper", "lower arm", "bore", "taper")
    assert lacked(replace(layout, joints=(joint, lower))) == []


def test_a_bearing_in_another_bore_is_looked_at_there() -> None:
    front = Joint("front", "wheel bearing 1", "bearing", "knuckle", "bore", "bearing in seat")
    rear = Joint("rear", "wheel bearing 2", "bearing", "rear hub", "bore", "bearing in seat")
    layout = layout_of("wheel bearing", "wheel bearing", "knuckle", "rear hub", joints=(front, rear))
    assert lacked(layout) == []
    assert lacked(replace(layout, joints=(rear,))) == ["bearing in the knuckle"]


def test_a_chain_counts_by_its_name_or_by_what_it_takes() -> None:
    layout = layout_of("wheel", "caliper")
    radial, face = "wheel to caliper, radial", "wheel to caliper, face"
    assert lacked(layout) == [radial, face]
    named = stack("Wheel to caliper, radial", ("wheel", "barrel radius"))
    other = stack("room for the caliper", ("wheel", "barrel radius"), ("caliper", "reach"))
    for one in (named, other):
        assert lacked(replace(layout, figures=(one,))) == [face]
    through_one = stack("room", ("wheel", "barrel radius"), ("wheel", "reach"))
    of_others = stack("room", ("wheel", "barrel radius"), ("caliper", "thickness"))
    for one in (through_one, of_others):
        assert lacked(replace(layout, figures=(one,))) == [radial, face]


def test_what_is_only_told_is_no_check() -> None:
    told = stack("room", ("wheel", "barrel radius"), ("caliper", "reach"), is_="told")
    assert "wheel to caliper, radial" in lacked(replace(layout_of("wheel", "caliper"), told=(told,)))


def test_what_a_layout_has_is_counted_beside_what_it_lacks() -> None:
    figures = (stack("room", ("wheel", "reach")), stack("share", ("wheel", "reach"), is_="figure"))
    joint = Joint("j", "wheel", "a", "caliper", "b", "register")
    bare = layout_of("wheel", "caliper")
    catalogue = records_from_text({}).catalogue
    for layout, counted, said in (
        (bare, (0, 0, 0), "no joints and no stacks"),
        (replace(bare, figures=figures), (0, 1, 1), "no joints, 1 stack and 1 figure"),
        (replace(bare, joints=(joint,), figures=figures[:1]), (1, 1, 0), "1 joint and 1 stack"),
    ):
        (found,) = lacking(catalogue, [layout])
        assert (found.joints, found.stacks, found.figures) == counted
        assert lacking_told([found])[0].startswith(f"This layout has {said}. It lacks these usual checks,")


@pytest.mark.parametrize(("tables", "turtle"), [(GEARS, TAPER_KEY), (BICYCLE, BRACKET)])
def test_a_layout_of_another_trade_is_told_nothing(tables: dict[str, str], turtle: str) -> None:
    catalogue = records_from_text(tables, {"club.ttl": turtle}).catalogue
    for layout in catalogue.layouts.values():
        assert lacked(layout, catalogue.vocabulary) == []
        assert lacked(replace(layout, joints=(), figures=()), catalogue.vocabulary) == []


KEY = """
club:usual-key a kn:UsualCheck ; sh:order 1 ; rdfs:label "key under the gear"@en ;
  kn:judgedBy club:key-in-hub ; kn:partType club:type-taper-key ; kn:otherPartType club:type-gear-wheel ;
  kn:why "A key of another taper bears at one end." ;
  dcterms:source "the club's book" ; kn:standing "from memory" .
"""
DRIVEN = """
club:usual-drive a kn:UsualCheck ; sh:order 2 ; rdfs:label "how far the key is driven"@en ;
  kn:chain "key tightens" ; kn:through club:type-taper-key, club:type-plain-shaft ; kn:dimension "height", "depth" ;
  kn:why "A key that bottoms holds nothing." ; dcterms:source "the club's book" ; kn:standing "from memory" .
"""


def test_a_club_may_say_usual_checks_of_its_own() -> None:
    vocabulary, findings = usable_vocabulary((("own.ttl", (TAPER_KEY + KEY + DRIVEN).encode()),))
    assert findings == ()
    (layout,) = records_from_text(GEARS, {"own.ttl": TAPER_KEY + KEY + DRIVEN}).catalogue.layouts.values()
    assert lacked(layout, vocabulary) == []
    assert lacked(replace(layout, joints=(), figures=()), vocabulary) == [
        "key under the gear",
        "how far the key is driven",
    ]


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("club:key-in-hub", "club:key-in-hup", "no such fit rule"),
        ("kn:otherPartType club:type-gear-wheel", "kn:otherPartType club:type-gear-weel", "no such part type"),
        ("kn:partType club:type-taper-key ;", "", "kn:partType is missing"),
        ("kn:judgedBy", "kn:jugdedBy", "nothing reads this word here"),
        ("sh:order 1", "sh:order -1", "cannot be read"),
        ("kn:standing", 'kn:chain "x" ; kn:standing', "of a joint and of a chain at once"),
        ("kn:UsualCheck", "kn:UsualChekc", "nothing reads a thing of this type"),
        ("through club:type-taper-key", "through club:type-tapir-key", "no such part type"),
        ('"height"', '"hight"', "no kind has such a dimension"),
        ('kn:chain "key tightens" ;', "", "kn:chain is missing"),
        ("kn:through club:type-taper-key, club:type-plain-shaft ;", "", "kn:through is missing"),
    ],
)
def test_a_slip_in_a_club_s_usual_check_is_found_and_the_check_left_out(old: str, new: str, said: str) -> None:
    own = KEY + DRIVEN
    assert old in own
    changed = own.replace(old, new, 1)
    vocabulary, findings = usable_vocabulary((("own.ttl", (TAPER_KEY + changed).encode()),))
    assert any(said in f.problem and f.set_aside and f.row for f in findings), findings
    assert len(vocabulary.usual_checks) == len(SHIPPED.usual_checks) + 1


def test_a_check_by_a_rule_that_is_left_out_is_left_out_too() -> None:
    rule_of_it = TAPER_KEY[TAPER_KEY.index("club:key-in-hub a kn:FitRule") :]
    misspelt = rule_of_it.replace("kn:firstKind club:TaperKey", "kn:firstKind club:TaperKay", 1)
    spoilt = TAPER_KEY.replace(rule_of_it, misspelt) + KEY
    assert spoilt != TAPER_KEY + KEY
    vocabulary, findings = usable_vocabulary((("own.ttl", spoilt.encode()),))
    assert any(f.problem == "is itself left out" for f in findings)
    assert "key under the gear" not in [c.label for c in vocabulary.usual_checks]


SMALL = ("knuckle", "outer joint", "drive flange", "hub nut", "rotor", "caliper")


def positions_lacked(layout: Layout) -> dict[tuple[str, str], set[str]]:
    return {(one.like, one.axle): set(one.positions) for one in lacked_positions(layout, SHIPPED)}


def test_a_small_layout_of_one_s_own_hears_which_usual_positions_it_lacks() -> None:
    """Six positions of a driven front corner: what that always needs, and what a disc brake needs, is named; nothing of
    a drum brake or of either bearing, of which it has no part."""
    (((like, axle), lacks),) = positions_lacked(layout_of(*SMALL)).items()
    assert (like, axle) == ("driven front corner", "")
    assert {"wheel", "wheel nut", "wheel stud", "pads", "caliper bolt", "track rod end", "hub split pin"} <= lacks
    assert not lacks & {*SMALL, "brake drum", "cartridge bearing", "inner bearing", "wheel spacer"}


def test_each_position_that_is_added_is_lacked_no_longer() -> None:
    (before,) = positions_lacked(layout_of(*SMALL)).values()
    (after,) = positions_lacked(layout_of(*SMALL, "pads", "wheel")).values()
    assert before - after == {"pads", "wheel"} and not after - before


def test_what_the_whole_vehicle_has_makes_a_layout_no_less_like_a_corner() -> None:
    beside = ("master cylinder", "brake fluid", "pressure limiter")
    assert positions_lacked(layout_of(*SMALL[:3], *beside)) != {}


def test_an_axle_of_one_s_own_hears_it_beside_one_that_is_ready_made() -> None:
    layout = layout_of("stub axle", "hub", "rear drum", "rear shoes", "handbrake lever")
    on_axle = replace(layout, positions=tuple(replace(p, axle="rear") for p in layout.positions))
    (((like, axle), lacks),) = positions_lacked(on_axle).items()
    assert (like, axle) == ("rear corner", "rear") and {"backplate", "rear wheel cylinder"} <= lacks


@pytest.mark.parametrize(
    "types", [("wheel",), ("wheel", "copper washer", "frame", "fork", "crank"), ("frame", "crank")]
)
def test_a_layout_of_another_sort_lacks_no_positions(types: tuple[str, ...]) -> None:
    assert positions_lacked(layout_of(*types)) == {}


@pytest.mark.parametrize(("tables", "turtle"), [(GEARS, TAPER_KEY), (BICYCLE, BRACKET)])
def test_a_layout_of_another_trade_lacks_no_positions(tables: dict[str, str], turtle: str) -> None:
    catalogue = records_from_text(tables, {"club.ttl": turtle}).catalogue
    for layout in catalogue.layouts.values():
        assert lacked_positions(layout, catalogue.vocabulary) == ()


def test_the_demo_layout_lacks_no_position() -> None:
    assert lacked_positions(demo_layout(), SHIPPED) == ()
