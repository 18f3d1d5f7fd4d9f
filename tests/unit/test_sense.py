"""Usual sizes: what a reading, an import and the records themselves are held against."""

from collections.abc import Mapping

import pytest

from knockon.graph.judge.sense import UsualSizes, unlike_the_others, widened
from knockon.graph.judge.usual_sizes import asked_back_sizes, shipped_sizes
from knockon.graph.model.schema import Vocabulary
from knockon.graph.model.things import Feature
from knockon.graph.quantity import DATATYPES, MEASURED, read_cell
from tests.unit.small import TABLES, world

DRUMS = "part,feature,diameter,source\nHUB-20L,drum,{},book\nHUB-25L,drum,{},book\n"


def usual(*sizes: str) -> UsualSizes:
    catalogue = world({"features/brake_drum.csv": DRUMS.format(*sizes)} if sizes else {})
    return UsualSizes.of((f for own in catalogue.features.values() for f in own.values()), catalogue.vocabulary)


def doubt(sizes: UsualSizes, written: str, table: str = "brake_drum", column: str = "diameter") -> str:
    kinds = world().vocabulary.kinds.values()
    kind = next(k for k in kinds if k.table == table)
    at = next(c for c in kind.columns if c.name == column)
    found = sizes.doubt(kind, at, written, read_cell(written, at.datatype))
    return str(found) if found else ""


@pytest.mark.parametrize(
    ("sizes", "expected"),
    [([10, 20], (5, 30)), ([10], (5, 15)), ([-4, 10], (-9, 15)), ([0, 8], (-4, 12)), ([-10, -4], (-15, 1)),
     ([0, 0], None), ([], None)],
)  # fmt: skip
def test_from_the_least_to_the_greatest_widened_by_half(
    sizes: list[float], expected: tuple[float, float] | None
) -> None:
    assert widened(sizes) == expected


def test_a_size_outside_is_asked_back_with_the_slip_that_it_may_be() -> None:
    recorded = usual("177.8 mm", "203.2 mm")
    said = "{} is outside the usual sizes of a brake drum (diameter 88.9 to 304.8 mm)"
    assert doubt(recorded, "1779 mm") == said.format("1779 mm") + ". Did you mean 177.9 mm?"
    assert doubt(recorded, "7 mm") == said.format("7 mm") + ". Did you mean 7 in?"
    assert doubt(recorded, "80 in") == said.format("80 in") + ". Did you mean 8 in?"
    assert doubt(recorded, "180 in") == said.format("180 in") + ". Did you mean 180 mm?"
    assert doubt(recorded, "5000 mm") == said.format("5000 mm")
    assert doubt(recorded, "88.9 mm") == doubt(recorded, "304.8 mm") == doubt(recorded, "?") == ""


def test_of_what_nobody_recorded_our_own_range_is_usual_and_without_one_what_is_no_slip() -> None:
    assert "100 to 500 mm" in doubt(usual(), "1779 mm")
    assert doubt(usual(), "1779 mm", "bolt_circle", "pitch circle diameter")
    assert "teeth 4 to 120" in doubt(usual(), "1779", "external_spline", "teeth")
    assert doubt(usual(), "1779 mm", "external_spline", "pitch diameter")


def test_where_neither_the_records_nor_our_usual_sizes_say_anything_only_a_slip_is_asked_back() -> None:
    said = "1600 mm is outside the usual sizes of a nut (height 1 to 80 mm). Did you mean 16 mm?"
    assert doubt(usual(), "1600 mm", "nut", "height") == said
    assert doubt(usual(), "79 mm", "nut", "height") == doubt(usual(), "-20 mm", "wheel_offset", "offset") == ""


def test_the_wider_ends_are_of_dimensions_that_there_are_and_of_none_that_has_usual_sizes() -> None:
    kinds = {f"features/{kind.table}": kind for kind in world().vocabulary.kinds.values()}
    for table, dimension in asked_back_sizes():
        column = next(c for c in kinds[table].columns if c.name == dimension.partition(".")[0])
        assert dimension.partition(".")[2] in DATATYPES[column.datatype].parts
    assert not {*asked_back_sizes()} & {*shipped_sizes()}


def test_every_dimension_that_is_measured_is_asked_back_somewhere() -> None:
    known = {*asked_back_sizes(), *shipped_sizes()}
    for kind in world().vocabulary.kinds.values():
        for column in (c for c in kind.columns if c.method and c.datatype in MEASURED):
            parts = DATATYPES[column.datatype].parts
            ends = [
                f"{column.name}.{part}" if part else column.name
                for part in parts
                if part not in ("hand", "flank angle")
            ]
            assert all((f"features/{kind.table}", end) in known for end in ends), (kind.table, ends)


def test_a_thread_is_held_against_diameters_and_pitches() -> None:
    catalogue = world({"features/stud.csv": "part,feature,thread,source\nSTUD-1,thread end,M12x1.5,book\n"})
    sizes = UsualSizes.of((f for own in catalogue.features.values() for f in own.values()), catalogue.vocabulary)
    assert doubt(sizes, "M12x1.25", "stud", "thread") == ""
    assert "thread pitch" in doubt(sizes, "M12x0.5", "stud", "thread")


def test_a_recorded_size_far_from_all_others_is_doubted_and_one_of_few_is_not() -> None:
    seats = TABLES["features/spigot.csv"]
    more = seats + "".join(f"{part},seat,{size},book\n" for part, size in (("HUB-25L", "30 mm"), ("HUB-?", "2000 mm")))
    (found,) = unlike_the_others(*_of(more))
    assert (found.thing, found.written, found.table) == ("HUB-?", "2000 mm", "spigot")
    assert unlike_the_others(*_of(seats)) == ()


def _of(spigots: str) -> tuple[Mapping[str, dict[str, Feature]], Vocabulary]:
    catalogue = world({"features/spigot.csv": spigots})
    return catalogue.features, catalogue.vocabulary
