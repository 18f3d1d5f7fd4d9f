"""``check`` on a records folder: what is wrong inside a layout, beside faulty rows and shapes."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

import pytest

from knockon.queries.check import CheckAnswer, check_records
from tests.unit.small import TABLES, with_rows


def checked(folder: Path, changed: Mapping[str, str]) -> CheckAnswer:
    for name, text in {**TABLES, **changed}.items():
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_text(text, encoding="utf-8")
    return check_records(folder)


def test_good_records(tmp_path: Path) -> None:
    answer = checked(tmp_path, {})
    assert answer.findings == () and answer.set_aside == 0
    assert answer.counts["parts"] == TABLES["parts.csv"].count("\n") - 1
    assert answer.counts["nodes checked"] > answer.counts["parts"]


@pytest.mark.parametrize(
    ("table", "row", "file", "column", "written"),
    [
        ("joints.csv", "cart axle,lid on hub,lid,x,hub,rim,fitting place,,,", "joints.csv", "lid on hub", "lid"),
        ("set_members.csv", "PAIR-25,lid,left,,1", "set_members.csv", "PAIR-25", "lid"),
        ("fittings.csv", "cart,lid,,CAP-1,,sound", "fittings.csv", "cart", "lid"),
        ("positions.csv", "cart axle,lid,corner,wheel stud,1,needed,box,no,lids,50", "positions.csv", "lid", "box"),
    ],
)
def test_a_position_that_is_not_in_the_layout(
    tmp_path: Path, table: str, row: str, file: str, column: str, written: str
) -> None:
    found = [(f.file, f.column, f.written) for f in checked(tmp_path, with_rows(table, row)).findings]
    assert (file, column, written) in found


def test_things_that_hang_on_each_other_in_a_circle(tmp_path: Path) -> None:
    rows = TABLES["positions.csv"].replace("drive flange,1,needed,axle", "drive flange,1,needed,cap")
    findings = checked(tmp_path, {"positions.csv": rows}).findings
    assert {(f.column, f.written) for f in findings} == {("hub", "cap"), ("cap", "hub")}
    assert all("hangs on itself" in f.problem and not f.set_aside for f in findings)
