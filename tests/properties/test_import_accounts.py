"""For any table of random cells: rows in = rows loaded + rows quarantined, and a second import changes nothing."""

from pathlib import Path
from tempfile import TemporaryDirectory

from hypothesis import given, settings
from hypothesis import strategies as st

from knockon.graph.mapping import ColumnMap, Mapping
from knockon.graph.quarantine import read_book
from knockon.graph.sheets import Sheet
from knockon.queries.intake.sheets.imports import import_sheets

CELLS = st.one_of(
    st.text(max_size=12).map(str.strip),
    st.sampled_from(["28 mm", '1 1/8"', "?", "n/a", "08-Mar", "ALDER-211", "=1+1", "absent", "27,5", 'x,"y"\nz']),
)
PARTS = "part,name,part type,hand,one use\nALDER-211,bearing,wheel bearing,either,no\n"
MAPPING = Mapping(
    "",
    "features/rolling_bearing",
    (ColumnMap("Part No", "part"), ColumnMap("Bore", "bore", "mm"), ColumnMap("Kind", "type")),
    (("feature", "bearing"),),
)


@settings(max_examples=60, deadline=None)
@given(st.lists(st.tuples(st.one_of(st.just("ALDER-211"), CELLS), CELLS, CELLS), max_size=8))
def test_every_row_is_accounted_for(rows: list[tuple[str, str, str]]) -> None:
    numbered = tuple(enumerate([("Part No", "Bore", "Kind"), *rows], 1))
    sheet = Sheet("s.csv", "", numbered)
    with TemporaryDirectory() as name:
        folder = Path(name)
        (folder / "parts.csv").write_text(PARTS, encoding="utf-8")
        answer = import_sheets(folder, "s.csv", [sheet], [MAPPING])
        assert answer.rows == answer.loaded + answer.quarantined
        assert answer.rows + sum(n for _, n in answer.passed_over) == len(rows)
        assert {e.row for e in read_book(folder)} == {e.row for e in answer.entries}
        assert len({e.row for e in answer.entries}) == answer.quarantined
        before = {p: p.read_bytes() for p in folder.rglob("*.csv")}
        again = import_sheets(folder, "s.csv", [sheet], [MAPPING])
        assert {p: p.read_bytes() for p in folder.rglob("*.csv")} == before
        assert (again.added, again.removed, again.loaded) == ((), (), answer.loaded)
