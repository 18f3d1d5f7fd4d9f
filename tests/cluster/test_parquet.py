"""The catalogue in columns: what the files hold, the same bytes every time, and nothing written by halves."""

from __future__ import annotations

import re
from pathlib import Path

import duckdb
import pandas as pd
import pyarrow.parquet as pq
import pytest

import knockon
from knockon.graph.columns import parquet
from knockon.graph.columns.parquet import write_parquet
from knockon.graph.columns.tables import TABLES, Catalogued
from knockon.graph.files.atomic import NotWritten
from knockon.graph.files.shipped import shipped
from knockon.graph.model.frames import dimension_frame
from knockon.graph.records import load_records
from tests.commands.running import run

DEMO = shipped("data_demo")
PAGE = Path(__file__).parents[2] / "docs" / "parquet.md"


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("columns") / "demo"
    write_parquet(Catalogued(load_records(DEMO), DEMO), folder)
    return folder


def test_each_size_stands_there_as_answers_read_it(demo: Path) -> None:
    frame = dimension_frame(load_records(DEMO))
    columns = ["thing", "feature", "dimension", "low", "high", "nominal", "unknown", "written", "source", "standing"]
    there = pd.read_parquet(demo / "sizes.parquet").rename(columns={"lower": "low", "upper": "high"})
    order = [c for c in columns if c not in ("nominal", "unknown")]
    expected, found = (f[columns].sort_values(order, ignore_index=True) for f in (frame, there))
    pd.testing.assert_frame_equal(found, expected, check_dtype=False)
    assert len(found) > 900


def test_duckdb_reads_the_files(demo: Path) -> None:
    found = duckdb.sql(
        f"select lower, upper, unit, written, standing from '{demo}/sizes.parquet' where thing = 'ROWAN-101' and "
        "feature = 'journal' and used"
    ).fetchall()
    assert found == [(25.4, 25.4, "mm", "1.000 in", "drawing")]
    total = duckdb.sql(f"select count(*) from '{demo}/parts.parquet' where hand = 'left'").fetchall()
    assert total == [(sum(p.hand == "left" for p in load_records(DEMO).parts.values()),)]


def test_every_row_of_a_table_about_parts_says_which(demo: Path) -> None:
    rows = pd.read_parquet(demo / "rows.parquet")
    parts = rows[rows["file"] == "parts.csv"]
    assert list(parts["about"]) == [c[0] for c in parts["cells"]] and len(parts) == len(load_records(DEMO).parts)
    assert rows[rows["file"] == "vehicles.csv"]["about"].isna().all()


def test_the_same_records_give_the_same_bytes_in_groups_of_any_size(
    demo: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    write_parquet(Catalogued(load_records(DEMO), DEMO), tmp_path / "again")
    for table in TABLES:
        name = f"{table.name}.parquet"
        assert (demo / name).read_bytes() == (tmp_path / "again" / name).read_bytes(), name
    monkeypatch.setattr(parquet, "ROWS_IN_GROUP", 50)
    write_parquet(Catalogued(load_records(DEMO), DEMO), tmp_path / "small")
    small = pq.ParquetFile(tmp_path / "small" / "sizes.parquet")
    assert small.num_row_groups > 15
    assert small.read().equals(pq.read_table(demo / "sizes.parquet"))


def test_the_page_names_each_table_and_column(demo: Path) -> None:
    told = PAGE.read_text(encoding="utf-8")
    for table in TABLES:
        section = re.search(rf"^## {table.name}\n(.*?)(?=^## |\Z)", told, re.M | re.S)
        assert section, table.name
        rows = re.findall(r"^\| `(\w+)` \| ([^|]+) \| ([^|]+) \|$", section[1], re.M)
        assert rows == [(c.name, c.holds, c.means) for c in table.columns], table.name
        assert pq.read_schema(demo / f"{table.name}.parquet").names == [c.name for c in table.columns]


def test_a_source_can_be_left_out(tmp_path: Path) -> None:
    source = "dunmallow-list"
    assert run("--without", source, "export", "--parquet", str(tmp_path / "less")).status == 0
    assert source not in set(pd.read_parquet(tmp_path / "less" / "sizes.parquet")["source"])
    rows = pd.read_parquet(tmp_path / "less" / "rows.parquet")
    assert not any(source in list(cells) for cells in rows["cells"])


def test_the_command_says_what_it_wrote(tmp_path: Path) -> None:
    done = run("export", "--parquet", str(tmp_path / "out"))
    assert done.status == 0 and "11 tables" in done.out


def test_nothing_is_written_over_records_or_other_files(tmp_path: Path) -> None:
    records = tmp_path / "mine"
    records.mkdir()
    (records / "sources.csv").write_text("source,standing\nbook,drawing\n")
    (records / "parts.csv").write_text("part,name,part type,hand,one use,source\nA-1,one,rotor,either,no,book\n")
    catalogue = load_records(records)
    with pytest.raises(NotWritten, match="other files"):
        write_parquet(Catalogued(catalogue, DEMO), records)
    with pytest.raises(NotWritten, match="read from there"):
        write_parquet(Catalogued(catalogue, records), records)
    (tmp_path / "file").write_text("mine")
    with pytest.raises(NotWritten, match="is a file"):
        write_parquet(Catalogued(catalogue, records), tmp_path / "file")
    assert (tmp_path / "file").read_text() == "mine"


def test_an_export_that_fails_leaves_the_old_one(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    folder = tmp_path / "columns"
    write_parquet(Catalogued(load_records(DEMO), DEMO), folder)
    before = {p.name: p.read_bytes() for p in folder.iterdir()}

    def broken(*_: object) -> int:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(parquet, "_write", broken)
    with pytest.raises(NotWritten, match="disk is full"):
        write_parquet(Catalogued(load_records(DEMO), DEMO), folder)
    assert {p.name: p.read_bytes() for p in folder.iterdir()} == before


def test_python_writes_the_same(demo: Path, tmp_path: Path) -> None:
    written = knockon.open().export_parquet(tmp_path / "out")
    assert [t.table for t in written] == [t.name for t in TABLES]
    for table in TABLES:
        name = f"{table.name}.parquet"
        assert (demo / name).read_bytes() == (tmp_path / "out" / name).read_bytes(), name
