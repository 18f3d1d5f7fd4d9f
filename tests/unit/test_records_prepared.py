"""Prepared copies of records, and reading while somebody writes."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from knockon.graph import records
from knockon.graph.files import copies
from knockon.graph.records import RecordsError, load, prepared
from knockon.graph.tables.files import RawTable, read_folder
from tests.unit.small import TABLES, folder_of


@pytest.fixture
def cache(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    folder = tmp_path / "cache"
    monkeypatch.setenv("KNOCKON_CACHE", str(folder))
    return folder


def test_a_prepared_copy_is_the_same_catalogue(tmp_path: Path, cache: Path) -> None:
    folder = folder_of(tmp_path / "records")
    once = load(folder)
    copies = list(cache.glob("*.msgpack"))
    assert len(copies) == 1
    assert load(folder) == once
    assert list(cache.glob("*")) == copies


def test_any_change_makes_a_new_copy(tmp_path: Path, cache: Path) -> None:
    folder = folder_of(tmp_path / "records")
    before = prepared.fingerprint(folder)
    (folder / "suppliers.csv").write_text(TABLES["suppliers.csv"].replace("9", "10"))
    assert prepared.fingerprint(folder) != before
    assert load(folder).catalogue.suppliers["Forge"].postage == 10
    (folder / "club.ttl").write_text("@prefix kn: <https://knockon.example/vocab#> .\n")
    assert prepared.fingerprint(folder) not in (before, "")


def test_a_broken_copy_is_made_again(tmp_path: Path, cache: Path) -> None:
    folder = folder_of(tmp_path / "records")
    once = load(folder)
    (copy,) = cache.glob("*.msgpack")
    for rubbish in (b"", b"\x93\x01\x02", copy.read_bytes()[:-20]):
        copy.write_bytes(rubbish)
        assert load(folder) == once
        assert len(copy.read_bytes()) > 1000


def test_only_so_many_copies_are_kept(tmp_path: Path, cache: Path) -> None:
    folder = folder_of(tmp_path / "records")
    for postage in range(copies.MOST_COPIES + 3):
        (folder / "suppliers.csv").write_text(f"supplier,title,postage\nMill,a mill,{postage}\nForge,,1\n")
        load(folder)
    assert len(list(cache.glob("*"))) == copies.MOST_COPIES


def test_copies_can_be_switched_off(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("KNOCKON_CACHE", "off")
    assert copies.folder_of_copies() is None
    folder = folder_of(tmp_path)
    assert load(folder).findings == ()
    assert prepared.fetch(prepared.fingerprint(folder)) is None


def test_a_cache_that_cannot_be_written_is_no_error(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    blocked = tmp_path / "file"
    blocked.write_text("not a folder")
    monkeypatch.setenv("KNOCKON_CACHE", str(blocked / "inside"))
    assert load(folder_of(tmp_path / "records")).findings == ()


def writing_while_read(folder: Path, monkeypatch: pytest.MonkeyPatch, postages: list[int]) -> Callable[[], float]:
    """Each reading of the tables is followed by one writing, as long as there are any; gives what an answer sees."""
    read = read_folder

    def and_write(at: Path, findings: list[records.Finding]) -> Iterator[RawTable]:
        yield from read(at, findings)
        if postages:
            (at / "suppliers.csv").write_text(f"supplier,title,postage\nForge,,{postages.pop(0)}\n", encoding="utf-8")

    monkeypatch.setattr(records, "read_folder", and_write)
    return lambda: load(folder).catalogue.suppliers["Forge"].postage


@pytest.mark.parametrize("cached", [True, False])
def test_an_answer_rests_on_one_state_of_the_records(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, cached: bool
) -> None:
    monkeypatch.setenv("KNOCKON_CACHE", str(tmp_path / "cache") if cached else "off")
    postage = writing_while_read(folder_of(tmp_path / "records"), monkeypatch, [21, 22])
    assert postage() == 22
    assert postage() == 22


def test_records_that_never_come_to_rest_are_not_answered_from(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("KNOCKON_CACHE", "off")
    postage = writing_while_read(folder_of(tmp_path / "records"), monkeypatch, list(range(99)))
    with pytest.raises(RecordsError, match="is being written to"):
        postage()
