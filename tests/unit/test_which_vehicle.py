"""Which vehicle is this: what speaks for which variant, a mixture, and what is not recorded, which speaks for none."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

import pytest
from msgspec.structs import replace

from knockon.graph.judge.beliefs import Known, Size, share_a_value
from knockon.graph.model.catalogue import Catalogue, UnknownNameError
from knockon.graph.model.layouts.layout import Place
from knockon.graph.model.things import Feature, Fitting, Item, Statement, Vehicle
from knockon.queries.as_typed import RequestError
from knockon.queries.find.compared_things import (
    NOT_COMPARED,
    NUMBER_ONLY,
    OTHER,
    OTHER_NUMBER,
    SAME_NUMBER,
    SAME_SIZES,
    agreeing,
    compared,
)
from knockon.queries.find.place_rows import (
    EMPTY_THERE,
    NOT_RECORDED_HERE,
    NOT_RECORDED_THERE,
    NOT_THERE,
    OTHER_ARRANGEMENT,
    SAME_ARRANGEMENT,
    Cell,
    PlaceRow,
)
from knockon.queries.find.which_vehicle import AGAINST, FOR, OPEN, WhichVehicleAnswer, which_vehicle
from knockon.queries.fits.checking.candidates import Candidate
from knockon.queries.fits.checking.evidence import Value
from knockon.queries.ui.terminal.screen import render
from knockon.queries.ui.texts.find.vehicle import vehicle_text
from tests.demo.demo import demo

A, B, C = "tansy-mk-a", "tansy-mk-b", "tansy-mk-c"
BRAKES = ("rotor", "rotor screw", "caliper", "pads", "pad pin kit", "caliper bolt", "caliper lock tab")


def found(fittings: tuple[Fitting, ...], arrangements: tuple[str, ...] = (), like: str = "") -> Catalogue:
    """The demo world with one more vehicle, as found."""
    mine = Vehicle("mine", "tansy front axle", as_made=False, arrangements=arrangements, like=like, fittings=fittings)
    return replace(demo(), vehicles={**demo().vehicles, "mine": mine})


def of(vehicle: str, *positions: str) -> tuple[Fitting, ...]:
    """The fittings of a vehicle as made, at these positions or at all."""
    return tuple(f for f in demo().vehicles[vehicle].fittings if not positions or f.position in positions)


def row(answer: WhichVehicleAnswer, said: str) -> PlaceRow:
    return next(r for r in answer.rows if r.said == said)


def cells(answer: WhichVehicleAnswer, said: str) -> Mapping[str, Cell]:
    return {c.vehicle: c for c in row(answer, said).cells}


def every_cell(answer: WhichVehicleAnswer) -> Iterator[Cell]:
    return (c for r in answer.rows for c in r.cells)


def test_a_vehicle_that_is_wholly_one_variant_is_that_one() -> None:
    for name in (A, B, C):
        answer = which_vehicle(found(of(name), demo().vehicles[name].arrangements), "mine")
        best = answer.matches[0]
        assert (best.vehicle, best.speaks_against, best.other) == (name, (), 0)
        assert answer.is_settled and not answer.is_mixture and not answer.taken_over
        assert all(m.speaks_against for m in answer.matches[1:])


def test_a_mixture_says_which_pieces_speak_for_which_variant() -> None:
    there = tuple(f for f in of(A) if f.position not in ("brake drum", "backplate")) + of(B, *BRAKES)
    answer = which_vehicle(found(there, ("disc",)), "mine")
    assert answer.is_mixture and not answer.is_settled
    pieces = {s.vehicles: set(s.places) for s in answer.strands if "knuckle" in s.places or "rotor" in s.places}
    assert {"knuckle", "inner bearing", "outer bearing", "bearing spacer", "outer joint"} <= pieces[(A,)]
    assert {"rotor", "caliper", "rotor screw"} <= pieces[(B,)]
    assert {"rotor", "caliper"} & pieces[(A,)] == set()
    assert cells(answer, "rotor")[A].word == NOT_THERE  # Mk A is known to have drums
    assert "rotor" in answer.matches[0].speaks_against
    assert answer.matches[0].vehicle == A


def test_what_was_taken_over_speaks_for_nothing() -> None:
    taken = tuple(replace(f, taken_from=A) for f in of(A))
    answer = which_vehicle(found(taken, (), A), "mine")
    assert answer.taken_over == sum(bool(r.here) for r in answer.rows) > 50
    assert {c.word for c in every_cell(answer)} == {NOT_RECORDED_HERE}
    assert not answer.is_settled and not any(m.speaks_for or m.speaks_against for m in answer.matches)
    assert set(answer.close) == {A, B, C}  # nothing tells them apart
    brakes = next(x for x in answer.look if x.said == "brake arrangement")
    assert (brakes.reached, brakes.separates) == ("on the vehicle", 2)
    assert [t.numbers for t in brakes.there] == [("drum",), ("disc",), ("disc",)]


def test_the_demo_vehicles_own_rows_only_are_counted() -> None:
    answer = which_vehicle(demo(), "tansy-m080")
    assert [m.vehicle for m in answer.matches] == [A, B, C]
    assert answer.matches[0].speaks_against == ("right lower ball pin",)
    assert row(answer, "knuckle").taken_from == A
    assert {c.word for c in row(answer, "knuckle").cells} == {NOT_RECORDED_HERE}
    assert cells(answer, "right lower ball pin")[C].word == SAME_NUMBER
    assert cells(answer, "left lower ball pin")[C].word == OTHER
    assert answer.is_mixture
    assert {s.vehicles for s in answer.strands} == {(A,), (C,), (A, B)}


def test_an_arrangement_speaks_too() -> None:
    answer = which_vehicle(demo(), "tansy-m080")
    assert {v: c.word for v, c in cells(answer, "brake arrangement").items()} == {
        A: SAME_ARRANGEMENT,
        B: OTHER_ARRANGEMENT,
        C: OTHER_ARRANGEMENT,
    }
    assert not any(r.position == "rotor" for r in answer.rows)  # told by the arrangement, once
    assert not any(look.said in ("rotor", "caliper", "brake arrangement") for look in answer.look)


def test_a_number_whose_sizes_on_the_thing_are_others_speaks_for_nothing() -> None:
    answer = which_vehicle(demo(), "tansy-m080")
    wheel = cells(answer, "wheel")[A]
    assert wheel.word == NUMBER_ONLY
    assert [(d.feature, d.dimension, d.here) for d in wheel.differ] == [("weights", "thickness", "4.0 mm ±0.5 mm")]
    assert "wheel" in answer.matches[0].doubtful and "wheel" not in answer.matches[0].speaks_for


def test_a_vehicle_as_made_is_compared_with_the_others() -> None:
    answer = which_vehicle(demo(), B)
    assert {m.vehicle for m in answer.matches} == {A, C}
    assert not answer.is_mixture and not answer.is_settled and not answer.taken_over
    assert all(r.here or c.word != SAME_NUMBER for r in answer.rows for c in r.cells)


def test_the_same_is_said_only_of_what_is_recorded_of_both() -> None:
    for name in ("tansy-m080", A, B, C):
        for r in which_vehicle(demo(), name).rows:
            for cell in r.cells:
                assert cell.word in (*FOR, *AGAINST, *OPEN)
                if cell.word in FOR:
                    assert r.here and cell.number and not r.taken_from and not cell.differ
                if cell.word == SAME_SIZES:
                    assert cell.agree > 0


@pytest.mark.parametrize("position", ["knuckle", "outer joint", "wheel", "upper arm"])
def test_what_nobody_recorded_speaks_for_none(position: str) -> None:
    whole = which_vehicle(found(of(B), ("disc",)), "mine")
    assert cells(whole, position)[B].word == SAME_NUMBER
    rest = tuple(f for f in of(B) if f.position != position)
    without = which_vehicle(found(rest, ("disc",)), "mine")
    assert {c.word for c in cells(without, position).values()} == {NOT_RECORDED_HERE}
    assert without.matches[0].vehicle == B


def test_of_a_variant_nothing_recorded_means_no_record_where_a_part_is_needed_and_maybe_none_elsewhere() -> None:
    """The Mk A has a knuckle, whoever forgot to write it down; a pressure limiter it need not have."""
    mine = found(of(B), ("disc",))
    bare = replace(mine.vehicles[A], fittings=tuple(f for f in of(A) if f.position != "knuckle"))
    answer = which_vehicle(replace(mine, vehicles={**mine.vehicles, A: bare}), "mine")
    assert cells(answer, "knuckle")[A].word == NOT_RECORDED_THERE
    assert cells(answer, "pressure limiter")[A].word == EMPTY_THERE


def test_both_hands_are_one_row_unless_something_is_said_of_one_only() -> None:
    assert row(which_vehicle(found(of(B), ("disc",)), "mine"), "knuckle").places == ("left knuckle", "right knuckle")
    left = tuple(f for f in of(B) if (f.position, f.side) != ("knuckle", "right"))
    answer = which_vehicle(found(left, ("disc",)), "mine")
    assert cells(answer, "left knuckle")[B].word == SAME_NUMBER
    assert cells(answer, "right knuckle")[B].word == NOT_RECORDED_HERE


def _size(value: Value) -> Size:
    return Size(value.low, value.high, False, value.written if value.low is None else None)


def test_each_place_to_look_at_tells_the_close_ones_apart() -> None:
    answer = which_vehicle(demo(), "tansy-m080")
    assert answer.close == (A, B)
    assert [look.said for look in answer.look][:2] == ["knuckle", "outer joint"]
    reach = ["on the vehicle", "hub nut off", "corner apart", ""]
    assert [reach.index(x.reached) for x in answer.look] == sorted(reach.index(x.reached) for x in answer.look)
    for look in answer.look:
        first, second = look.there
        assert first.numbers != second.numbers
        ours, theirs = ([v for v in t.values if v.computes] for t in (first, second))
        if look.dimension:
            assert ours and theirs and look.how
            assert not any(share_a_value(_size(a), _size(b)) for a in ours for b in theirs)
        elif look.feature:
            assert {first.size, second.size} == {"has it", "has none"}


def test_nothing_to_look_at_where_it_was_looked_at() -> None:
    assert "knuckle" not in [x.said for x in which_vehicle(found(of(B), ("disc",)), "mine").look]


def test_without_another_vehicle_as_made_there_is_no_answer() -> None:
    alone = replace(demo(), vehicles={A: demo().vehicles[A]})
    with pytest.raises(RequestError, match="another vehicle as made of the layout 'tansy front axle' is not recorded"):
        which_vehicle(alone, A)
    with pytest.raises(UnknownNameError):
        which_vehicle(demo(), "tansy-mk-q")


# ------------------------------------------------------------------ two things


def thing(number: str, item: str = "") -> Candidate:
    return Candidate(Place("knuckle", "left"), item or number, number or item, number or item, stays=True)


def read(item: str, **sizes: tuple[float, float]) -> Catalogue:
    """The demo world with a thing that has no number, and readings of its bearing bores."""
    own: dict[str, tuple[Statement, ...]] = {}
    for dimension, (low, high) in sizes.items():
        own[dimension] = (Statement("read", "survey", 1, low, high),)
    kind = demo().features_of("ALDER-101L")["bearing bores"].kind
    features = {**demo().features, item: {"bearing bores": Feature("bearing bores", kind, own)} if own else {}}
    return replace(demo(), items={**demo().items, item: Item(item)}, features=features)


@pytest.mark.parametrize(
    ("sizes", "word"),
    [({}, NOT_COMPARED), ({"diameter": (50.78, 50.82)}, SAME_SIZES), ({"diameter": (57.1, 57.2)}, OTHER)],
)
def test_a_thing_without_a_number_is_told_by_its_sizes(sizes: dict[str, tuple[float, float]], word: str) -> None:
    result = compared(read("odd", **sizes), thing("", "odd"), thing("ALDER-101L"))
    assert result.word == word


def test_another_number_without_a_size_of_both_is_not_compared() -> None:
    bare = replace(demo(), features={k: v for k, v in demo().features.items() if k != "ALDER-201L"})
    assert compared(bare, thing("ALDER-101L"), thing("ALDER-201L")).word == OTHER_NUMBER
    assert compared(bare, thing("ALDER-201L"), thing("ALDER-201L")).word == SAME_NUMBER


def test_a_reading_may_lie_a_little_beside_a_length_without_limits() -> None:
    def known(low: float, high: float, nominal: bool) -> Known:
        return Known((Size(low, high, nominal, None),))

    nominal = known(25.4, 25.4, nominal=True)
    assert agreeing(known(25.34, 25.36, nominal=False), nominal, is_length=True)
    assert not agreeing(known(25.30, 25.34, nominal=False), nominal, is_length=True)
    assert not agreeing(known(25.34, 25.36, nominal=False), nominal, is_length=False)
    assert not agreeing(known(25.36, 25.36, nominal=True), nominal, is_length=True)


# ------------------------------------------------------------------ in words


def said(catalogue: Catalogue, name: str = "mine") -> str:
    return " ".join(render(vehicle_text(catalogue, which_vehicle(catalogue, name))).split())


def test_one_variant_alone_is_told_as_far_as_it_was_looked_at() -> None:
    text = said(found(of(B, "knuckle", "rotor", "upper arm"), ("disc",)))
    assert (
        "What was found agrees with Tansy Mk B 1973-77, 7.7 in disc front brakes, as made (tansy-mk-b), and with no"
        in text
    )


def test_where_several_are_left_the_places_that_would_decide_are_named() -> None:
    text = said(found(of(B, "upper arm", "lower arm")))
    assert "NOT KNOWN YET: what is recorded agrees with tansy-mk-a and tansy-mk-b. Look at the places below." in text
    assert "These places tell tansy-mk-a and tansy-mk-b apart:" in text
    assert "Brake arrangement: tansy-mk-a drum; tansy-mk-b disc." in text


def test_what_is_of_no_variant_is_said_of_the_closest() -> None:
    odd = tuple(replace(f, part="LARCH-901") if f.position == "rotor" else f for f in of(B))
    text = said(found(odd, ("disc",)))
    assert "It is closest to Tansy Mk B" in text and "A mixture" not in text
    assert "None of them: rotor." in text


def test_what_it_was_recorded_as_is_told_where_something_else_is_closer() -> None:
    catalogue = found(of(B), ("disc",))
    mine = replace(catalogue.vehicles["mine"], made_as=A)
    text = said(replace(catalogue, vehicles={**catalogue.vehicles, "mine": mine}))
    assert "The records say that it was made as tansy-mk-a." in text
