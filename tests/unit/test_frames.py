"""The catalogue as frames."""

from __future__ import annotations

from knockon.graph.model.frames import DIMENSION_COLUMNS, dimension_frame, part_frame, unstated_frame
from knockon.graph.records import records_from_text

TABLES = {
    "sources.csv": "source,standing\nbook,drawing\n",
    "parts.csv": "part,name,part type,hand,one use,source\nA-1,one,bearing spacer,either,no,book\n",
    "features/spacer.csv": "part,feature,length,source\nA-1,length,.497 in,book\nA-1,length,12.7 mm,book\n",
    "suppliers.csv": "supplier,postage\nS,1\nT,2\n",
    "offers.csv": "supplier,part,price\nS,A-1,7\nT,A-1,6.5\n",
}


def test_frames_hold_every_statement() -> None:
    catalogue = records_from_text(TABLES).catalogue
    frame = dimension_frame(catalogue)
    assert tuple(frame.columns) == DIMENSION_COLUMNS
    assert sorted(frame["low"].round(4)) == [12.6238, 12.7]
    assert set(frame["standing"]) == {"drawing"}
    assert "length" not in set(unstated_frame(catalogue)["dimension"])
    assert part_frame(catalogue)["cheapest"].tolist() == [6.5]


def test_two_rows_of_one_key_are_reported_and_both_kept() -> None:
    parts = TABLES["parts.csv"] + "A-1,other,bearing spacer,either,no,book\n"
    records = records_from_text({**TABLES, "parts.csv": parts})
    assert [(f.file, f.row, f.column, f.set_aside) for f in records.findings] == [("parts.csv", 3, "name", False)]
    assert records.catalogue.parts["A-1"].name == "one"
