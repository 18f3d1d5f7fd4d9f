"""Claims without sizes: one part under many numbers, whether something is claimed of a pair, and what is told of it."""

from __future__ import annotations

import gc
import weakref
from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from knockon.graph.model.catalogue import Catalogue
from knockon.graph.model.layouts.layout import Place
from knockon.graph.model.things import Claim
from knockon.queries.fits.checking.candidates import Candidate
from knockon.queries.fits.checking.claims import Claims, Identity, claims_of
from knockon.queries.per_catalogue import per_catalogue
from tests.unit.small import AXLE, LEFT, with_rows, world

NUMBERS = ("HUB-20L", "HUB-25L", "HUB-?", "AXLE-20", "AXLE-25", "GREASE")
CLAIMS = st.lists(
    st.tuples(st.sampled_from(NUMBERS), st.sampled_from(("same as", "same as", "goes with")), st.sampled_from(NUMBERS))
    | st.tuples(st.sampled_from(NUMBERS), st.just("listed for"), st.sampled_from(("cart", "big-cart"))),
    max_size=8,
)
SMALL = world()


def claim(part: str, says: str, about: str) -> Claim:
    vehicle, other = (about, "") if says == "listed for" else ("", about)
    return Claim(part=part, claim=says, vehicle=vehicle, other_part=other, source="book")


def claiming(*rows: tuple[str, str, str]) -> Catalogue:
    return replace(SMALL, claims=tuple(claim(*row) for row in rows))


def standing(place: Place, number: str, drawn_as: str = "") -> Candidate:
    return Candidate(place, number, number, number, same_drawing=drawn_as)


def called(rows: list[tuple[str, str, str]], numbers: tuple[str, ...]) -> set[str]:
    """These numbers and all that are said to be the same, found the slow way."""
    found = set(numbers)
    pairs = [{a, b} for a, says, b in rows if says == "same as"]
    while new := {n for pair in pairs if pair & found for n in pair - found}:
        found |= new
    return found


def is_said(rows: list[tuple[str, str, str]], one: str, at: Place, other: str, there: Place) -> bool:
    """Whether a claim names the two numbers, or one of them and a vehicle that has the other in its place as made."""
    for a, says, b in rows:
        if says == "goes with" and {a, b} == {one, other}:
            return True
        for number, partner, place in ((one, other, there), (other, one, at)):
            if says == "listed for" and a == number:
                fittings = SMALL.vehicles[b].fittings
                if any(f.part == partner and f.position == place.position for f in fittings):
                    return True
    return False


@given(CLAIMS)
def test_what_is_claimed_of_a_number_is_claimed_of_all_its_names_and_of_no_others(
    rows: list[tuple[str, str, str]],
) -> None:
    claims = Claims(claiming(*rows))
    for one, other, drawn in product(NUMBERS, NUMBERS, ("", "HUB-25L")):
        first, second = standing(LEFT, one, drawn), standing(AXLE, other)
        names = product(called(rows, first.numbers), called(rows, second.numbers))
        expected = any(is_said(rows, a, LEFT, b, AXLE) for a, b in names)
        assert claims.support(first, second) == expected
        said = claims.said(first, second)
        assert bool(said) == expected
        assert all(c.claim == "same as" for c in said[:-1])
        assert all(c.claim != "same as" for c in said[-1:])


@given(CLAIMS)
def test_numbers_have_one_name_just_where_they_are_said_to_be_one_part(rows: list[tuple[str, str, str]]) -> None:
    identity = Identity.among(claim(*row) for row in rows)
    for one, other in product(NUMBERS, NUMBERS):
        assert (identity.part(one) == identity.part(other)) == (other in called(rows, (one,)))
        assert set(identity.of(one)) == called(rows, (one,))


def chain(name: str, long: int) -> list[tuple[str, str, str]]:
    """A part under so many numbers, each said to be the same as the next."""
    return [(f"{name}-{i}", "same as", f"{name}-{i + 1}") for i in range(long - 1)]


def test_whether_something_is_claimed_is_answered_without_a_chain(monkeypatch: pytest.MonkeyPatch) -> None:
    """Else each pair of parts that are sold under many numbers costs the product of the two."""

    def forbidden(*_: object) -> None:
        pytest.fail("a chain was asked for")

    monkeypatch.setattr(Identity, "_of", forbidden)
    claims = Claims(claiming(*chain("A", 60), *chain("B", 60), ("A-0", "goes with", "B-59")))
    assert claims.support(standing(LEFT, "A-59"), standing(AXLE, "B-0"))
    assert not claims.support(standing(LEFT, "A-59"), standing(AXLE, "C"))
    assert claims.said(standing(LEFT, "A-59"), standing(AXLE, "C")) == ()


def test_the_claim_with_the_fewest_between_is_told() -> None:
    rows = [*chain("A", 9), *chain("B", 9), ("A-0", "goes with", "B-8"), ("A-5", "goes with", "B-1")]
    claims = Claims(claiming(*rows))
    said = claims.said(standing(LEFT, "A-8"), standing(AXLE, "B-0"))
    assert [(c.part, c.claim, c.other_part) for c in said] == [
        ("A-7", "same as", "A-8"), ("A-6", "same as", "A-7"), ("A-5", "same as", "A-6"), ("B-0", "same as", "B-1"),
        ("A-5", "goes with", "B-1"),
    ]  # fmt: skip


SAID = {
    "each way round": [("AXLE-25,goes with,,HUB-?", "N1"), ("HUB-?,goes with,,AXLE-25", "book")],
    "one goes with it, one is listed": [("HUB-?,goes with,,AXLE-25", "N1"), ("HUB-?,listed for,big-cart,", "book")],
    "under two other numbers": [
        ("HUB-?,same as,,GREASE", "N1"), ("GREASE,goes with,,AXLE-25", "book"),
        ("HUB-?,same as,,STUD-1", "book"), ("STUD-1,goes with,,AXLE-25", "book"),
    ],
}  # fmt: skip


@pytest.mark.parametrize("way", SAID)
def test_of_several_that_claim_as_much_the_best_is_told(way: str) -> None:
    rows = [f"{row},,{source}" for row, source in SAID[way]]
    for order in (rows, rows[::-1]):
        claims = Claims(world(with_rows("claims.csv", *order)))
        said = claims.said(standing(LEFT, "HUB-?"), standing(AXLE, "AXLE-25"))
        assert said
        assert {c.source for c in said} == {"book"}


def test_a_catalogues_claims_are_looked_through_once_and_those_of_another_anew() -> None:
    one, other = claiming(("HUB-?", "goes with", "AXLE-25")), world(with_rows("claims.csv"))
    assert claims_of(one) is claims_of(one)
    assert claims_of(one) is claims_of(replace(one, features={}))  # the same claims, other sizes
    assert claims_of(one) is not claims_of(other)
    pair = standing(LEFT, "HUB-?"), standing(AXLE, "AXLE-25")
    assert claims_of(one).support(*pair) and not claims_of(replace(one, claims=())).support(*pair)


def test_what_was_made_of_a_catalogue_is_forgotten_with_it() -> None:
    @per_catalogue("claims")
    def identity_of(catalogue: Catalogue) -> Identity:
        return Identity.among(catalogue.claims)

    catalogue = claiming(("HUB-?", "same as", "HUB-25L"))
    made = weakref.ref(identity_of(catalogue))
    assert made() is identity_of(catalogue)
    del catalogue
    gc.collect()
    assert made() is None
