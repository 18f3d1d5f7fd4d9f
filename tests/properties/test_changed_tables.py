"""A copy that is made from an earlier one, where rows of one table changed, is what is read anew, byte for byte.

On the demo world and on random small worlds: rows changed in all sorts of ways, good ones and broken ones, one change
after the other on copies that were themselves made from copies.
"""

from __future__ import annotations

import csv
import os
import shutil
from collections.abc import Mapping
from pathlib import Path
from random import Random

import msgspec
import pytest

from knockon.graph.files.shelf import Pieces
from knockon.graph.files.shipped import shipped
from knockon.graph.model.catalogue import Catalogue
from knockon.graph.records import Records, changed, load
from tests.oracle.generate import case_from_seed
from tests.oracle.records import write_records

WORLDS = int(os.environ.get("KNOCKON_EXAMPLES", "40")) // 2
Rows = list[list[str]]
JUNK = ("?", "absent", "1 furlong", "nan", "27", "25.4 mm", "1.125 in", "10 mm ±0.02 mm", "flat", "")


@pytest.fixture
def made(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """The tables of which a copy was made from an earlier one."""
    real, found = changed.made_anew, list[str]()

    def counting(folder: Path, tables: Mapping[str, str], pieces: Pieces) -> object:
        result = real(folder, tables, pieces)
        found.extend(["made"] if result is not None else [])
        return result

    monkeypatch.setattr(changed, "made_anew", counting)
    return found


def assert_as_read_anew(folder: Path, cache: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("KNOCKON_CACHE", str(cache))
    kept = load(folder)
    monkeypatch.setenv("KNOCKON_CACHE", "off")
    assert_alike(kept, load(folder))


def assert_alike(kept: Records, anew: Records) -> None:
    assert kept.findings == anew.findings
    for name in (*Catalogue.__struct_fields__, "numbers_of_type", "sets_at", "feature_kinds"):
        one, other = getattr(kept.catalogue, name), getattr(anew.catalogue, name)
        assert one == other, name
        if isinstance(other, Mapping):
            assert msgspec.json.encode(list(one.items())) == msgspec.json.encode(list(other.items())), name
    assert kept.catalogue.sources_with_sizes == anew.catalogue.sources_with_sizes


def rows_in(path: Path) -> Rows:
    with path.open(newline="", encoding="utf-8") as stream:
        return list(csv.reader(stream))


def write(path: Path, rows: Rows) -> None:
    with path.open("w", newline="", encoding="utf-8") as stream:
        csv.writer(stream, lineterminator="\n").writerows(rows)


def change(folder: Path, chance: Random) -> str:
    """Change some rows of one table, in most cases of a table of features; what was done."""
    tables = sorted((folder / "features").glob("*.csv"))
    table = chance.choice(tables)
    rows = rows_in(table)
    if len(rows) < 2:
        return "nothing"
    at, way = chance.randrange(1, len(rows)), chance.randrange(9)
    row, head = rows[at], rows[0]
    sizes = [i for i, column in enumerate(head) if column not in ("part", "feature", "source")] or [0]
    size = chance.choice(sizes)
    parts = [r[0] for r in rows_in(folder / "parts.csv")[1:]]
    sources = [r[0] for r in rows_in(folder / "sources.csv")[1:]]
    if way <= 2:
        row[size] = chance.choice(rows[1:])[size]
    elif way == 3:
        row[size] = chance.choice(JUNK)
    elif way == 4:
        del rows[at]
    elif way == 5:
        rows.insert(chance.randrange(1, len(rows)), [*row])
        rows[at][head.index("source")] = chance.choice(sources)
    elif way == 6:
        rows.append([*row])
        rows[-1][head.index("part")] = chance.choice(parts)
    elif way == 7:
        row[head.index("feature")] = chance.choice(rows[1:])[head.index("feature")]
    else:
        other = folder / chance.choice(("offers.csv", "parts.csv", "sources.csv"))
        if other.exists():
            write(other, [*rows_in(other)[:1], *chance.sample(rows_in(other)[1:], len(rows_in(other)) - 1)])
        chance.shuffle(copied := rows[1:])
        rows[1:] = copied
    write(table, rows)
    return f"{table.name} row {at}, way {way}"


def size_changed(folder: Path) -> None:
    """One size of a part that nobody read on the item, and like which only parts are drawn."""
    table = folder / "features" / "journal.csv"
    rows = rows_in(table)
    rows[-1][rows[0].index("diameter")] = "31.5 mm"
    write(table, rows)


@pytest.mark.parametrize("seed", range(4))
def test_of_the_demo_world(seed: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, made: list[str]) -> None:
    folder = tmp_path / "records"
    shutil.copytree(shipped("data_demo"), folder)
    assert_as_read_anew(folder, tmp_path / "cache", monkeypatch)
    size_changed(folder)
    assert_as_read_anew(folder, tmp_path / "cache", monkeypatch)
    assert made
    chance, before = Random(seed), {p: p.read_bytes() for p in folder.rglob("*.csv")}
    for _ in range(6):
        change(folder, chance)
        assert_as_read_anew(folder, tmp_path / "cache", monkeypatch)
        if chance.random() < 0.5:  # what was broken is mended again
            for path, content in before.items():
                path.write_bytes(content)


@pytest.mark.parametrize("seed", range(WORLDS))
def test_of_random_worlds(seed: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    folder, chance = tmp_path / "records", Random(seed)
    write_records(folder, case_from_seed(seed).world)
    before = {p: p.read_bytes() for p in folder.rglob("*.csv")}
    assert_as_read_anew(folder, tmp_path / "cache", monkeypatch)
    for _ in range(5):
        if not list((folder / "features").glob("*.csv")):
            return
        change(folder, chance)
        assert_as_read_anew(folder, tmp_path / "cache", monkeypatch)
        if chance.random() < 0.4:
            for path, content in before.items():
                path.write_bytes(content)


def test_a_copy_is_made_from_another_only_so_often(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, made: list[str]
) -> None:
    monkeypatch.setattr(changed, "MOST_TIMES", 2)
    folder = tmp_path / "records"
    shutil.copytree(shipped("data_demo"), folder)
    monkeypatch.setenv("KNOCKON_CACHE", str(tmp_path / "cache"))
    load(folder)
    table = folder / "features" / "journal.csv"
    for number in range(4):
        rows = rows_in(table)
        rows[-1][rows[0].index("diameter")] = f"31.{number} mm"
        write(table, rows)
        load(folder)
    assert len(made) == 3  # twice, then all anew, then once more
