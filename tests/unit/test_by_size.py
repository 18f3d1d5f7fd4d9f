"""Other numbers by size: they record what a part records at all its joints, whatever is claimed of numbers."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st

from knockon.graph.records import records_from_text
from knockon.queries.fits.part import show_part
from tests.unit.test_ready_made import CAR, PARTS

HEAD = "part,feature,type,bore,outside diameter,source\n"
"""A bearing's bore is read where it sits on the stub, its outside diameter where it sits in the knuckle."""
BEARINGS = (
    "B-25,bearing,ball,25 mm,52 mm,book\nB-28,bearing,ball,28 mm,52 mm,book\nB-A,bearing,ball,25 mm,52 mm,seller\n"
    "B-B,bearing,ball,25 mm,55 mm,book\nB-L,bearing,ball,25 mm,52 mm,book\nB-D,bearing,ball,25 mm,,book\n"
)
MORE = "".join(f"B-{x},bearing,wheel bearing,{'left' if x == 'L' else 'either'},no,book\n" for x in "ABCDL")
SOURCES = "source,standing,title\nbook,drawing,a made-up book\nseller,seller,a stall\n"


def alike(number: str, claims: str = "part,claim,vehicle,other part,text,source\n") -> tuple[str, ...]:
    tables = {**CAR, "sources.csv": SOURCES, "parts.csv": PARTS + MORE, "claims.csv": claims}
    return show_part(
        records_from_text({**tables, "features/rolling_bearing.csv": HEAD + BEARINGS}).catalogue, number
    ).same_sizes


def test_the_same_sizes_of_the_same_type_and_hand() -> None:
    """B-A has the sizes of B-25, from a weaker source; B-B has another outside diameter, B-L is for one side, of B-D no
    outside diameter is recorded, of B-C nothing."""
    assert alike("B-25") == ("B-A",)
    assert alike("B-A") == ("B-25",)
    assert alike("B-28") == ()
    assert alike("B-C") == ()  # nothing is recorded: nothing is the same


def test_a_claim_makes_no_number_alike_and_hides_none() -> None:
    claims = "part,claim,vehicle,other part,text,source\nB-25,superseded by,,B-B,,book\nB-25,same as,,B-C,,book\n"
    assert alike("B-25", claims) == ("B-A",)


@settings(max_examples=25, deadline=None)
@given(st.lists(st.tuples(st.sampled_from(["25 mm", "1 in", "?"]), st.sampled_from(["52 mm", "55 mm", "?"])),
                min_size=2, max_size=5))  # fmt: skip
def test_alike_is_as_the_cells_say(bearings: list[tuple[str, str]]) -> None:
    """By brute force over the cells; of what has none but unknown sizes nothing is alike."""
    parts = PARTS + "".join(f"X-{n},bearing,wheel bearing,either,no,book\n" for n in range(len(bearings)))
    rows = "".join(f"X-{n},bearing,ball,{bore},{outside},book\n" for n, (bore, outside) in enumerate(bearings))
    catalogue = records_from_text({**CAR, "parts.csv": parts, "features/rolling_bearing.csv": HEAD + rows}).catalogue
    for n, (bore, outside) in enumerate(bearings):
        expected = [
            f"X-{m}"
            for m, (other, other_outside) in enumerate(bearings)
            if m != n and (bore, outside) != ("?", "?")
            and (bore == "?" or other == bore) and (outside == "?" or other_outside == outside)
        ]  # fmt: skip
        assert list(show_part(catalogue, f"X-{n}").same_sizes) == expected, (bore, outside)
