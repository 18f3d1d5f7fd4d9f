"""Prepared copies of records, and reading while somebody writes."""

from __future__ import annotations

import gc
import io
import os
import subprocess
import sys
import time
from collections.abc import Callable, Iterator, Mapping
from pathlib import Path
from random import Random

import msgspec
import pytest

from knockon.graph import records
from knockon.graph.files import copies, shelf
from knockon.graph.files.shipped import shipped
from knockon.graph.model.catalogue import Catalogue
from knockon.graph.records import RecordsError, load, prepared
from knockon.graph.tables.files import RawTable, read_folder
from tests.oracle.generate import case_from_seed
from tests.oracle.records import write_records
from tests.unit.small import TABLES, folder_of


@pytest.fixture
def cache(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    folder = tmp_path / "cache"
    monkeypatch.setenv("KNOCKON_CACHE", str(folder))
    return folder


def test_a_prepared_copy_is_the_same_catalogue(tmp_path: Path, cache: Path) -> None:
    folder = folder_of(tmp_path / "records")
    once = load(folder)
    copies = list(cache.glob("*.records"))
    assert len(copies) == 1
    assert load(folder) == once
    assert list(cache.glob("*.records")) == copies


def assert_the_same(kept: Catalogue, made: Catalogue) -> None:
    """Equal in everything, in the same order, and in the ways that lead into it."""
    for name in (*Catalogue.__struct_fields__, "numbers_of_type", "sets_at", "claims_on", "feature_kinds"):
        one, other = getattr(kept, name), getattr(made, name)
        assert one == other, name
        assert name == "claims_on" or not isinstance(one, Mapping) or list(one.items()) == list(other.items()), name
        if isinstance(one, Mapping):
            assert all(one[key] == one.get(key) == value and key in one for key, value in other.items()), name
            assert list(one) == [key for key, _ in one.items()] and len(one) == len(other)
            assert one.get("nothing of this name") is None and "nothing of this name" not in one
    assert kept.sources_with_sizes == made.sources_with_sizes


def test_the_demo_world_comes_back_whole(cache: Path) -> None:
    made, kept = load(shipped("data_demo")), load(shipped("data_demo"))
    assert type(kept.catalogue.parts) is not type(made.catalogue.parts)
    assert_the_same(kept.catalogue, made.catalogue)
    wanted = next(t for t in made.catalogue.vocabulary.part_types if t in made.catalogue.numbers_of_type)
    assert kept.catalogue.parts_of_type(wanted) == made.catalogue.parts_of_type(wanted)


@pytest.mark.parametrize("seed", range(12))
def test_random_worlds_come_back_whole(seed: int, tmp_path: Path, cache: Path) -> None:
    write_records(tmp_path / "records", case_from_seed(seed).world)
    made, kept = load(tmp_path / "records"), load(tmp_path / "records")
    assert_the_same(kept.catalogue, made.catalogue)
    assert kept.findings == made.findings


def test_keys_of_any_text_are_found_in_their_order() -> None:
    entries = [
        (key, key.encode("utf-8", "surrogatepass")) for key in ("b", "", "a/b", "a", "ä", "\ud800", "𝄞", "A-1", "a b")
    ]
    file = io.BytesIO(b"".join(shelf.shelved(shelf.keyed("one", entries))))
    back = shelf.Keyed(shelf.pieces_of(memoryview(file.getvalue())), "one", bytes)
    assert list(back.items()) == entries
    assert all(back[key] == value for key, value in entries) and "c" not in back


@pytest.mark.parametrize("seed", range(30))
@pytest.mark.parametrize("by", [None, lambda key: key[::-1]], ids=["in the order of the keys", "in another order"])
def test_a_mapping_with_other_keys_is_the_one_that_is_made_of_them(seed: int, by: Callable[[str], str] | None) -> None:
    chance = Random(seed)
    place = by or (lambda key: key)
    names = sorted({chance.choice("abäz/ 𝄞") * chance.randrange(3) + str(chance.randrange(20)) for _ in range(12)})
    before, touched = (set(chance.sample(names, chance.randrange(len(names)))) for _ in range(2))
    changes = {key: chance.choice((None, b"other", b"")) for key in touched}
    now = dict.fromkeys(before, b"as it was") | changes
    entries = [(key, b"as it was") for key in sorted(before, key=place)]
    pieces = {name: memoryview(bytes(piece)) for name, piece in shelf.keyed("one", entries).items()}
    changed, inserted = shelf.edited(pieces, "one", changes, by)
    back = shelf.Keyed(pieces | {name: memoryview(piece) for name, piece in changed.items()}, "one", bytes)
    expected = [(key, found) for key in sorted(now, key=place) if (found := now[key]) is not None]
    assert list(back.items()) == expected
    assert all(back[key] == found for key, found in expected) and len(back) == len(expected)
    if None not in changes.values():
        ranks = {key: rank for rank, key in enumerate(sorted(before))}
        assert {key: back.rank_of(key) for key in before} == {k: shelf.moved(r, inserted) for k, r in ranks.items()}


def old(folder: Path) -> None:
    """Make files look as if nobody had touched them for a while."""
    time.sleep(prepared.SETTLED / 10**9 + 0.1)


def test_files_that_look_as_before_are_not_read(tmp_path: Path, cache: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(prepared, "SETTLED", 10**8)
    folder = folder_of(tmp_path / "records")
    old(folder)
    once = load(folder)
    assert len(list(cache.glob("*.looks"))) == 1
    read: list[Path] = []

    def reading(path: Path, folder: Path) -> bytes:
        read.append(path)
        return path.read_bytes()

    monkeypatch.setattr(prepared, "settled_content", reading)
    assert load(folder) == once
    assert read == []
    table, text = folder / "suppliers.csv", TABLES["suppliers.csv"]
    before = table.stat()
    table.write_text(text.replace("9", "8"))  # as long as it was, and said to be as old
    os.utime(table, ns=(before.st_atime_ns, before.st_mtime_ns))
    assert load(folder).catalogue.suppliers != once.catalogue.suppliers
    assert table in read


def test_files_that_were_just_written_are_read_again(tmp_path: Path, cache: Path) -> None:
    folder = folder_of(tmp_path / "records")
    assert prepared.looks(folder) == ""
    load(folder)
    assert list(cache.glob("*.looks")) == []


@pytest.mark.skipif(not hasattr(os, "getuid"), reason="permissions are told in another way here")
def test_copies_are_private_and_one_that_others_can_write_is_not_read(tmp_path: Path, cache: Path) -> None:
    folder = folder_of(tmp_path / "records")
    load(folder)
    (copy,) = cache.glob("*.records")
    assert cache.stat().st_mode & 0o777 == 0o700 and copy.stat().st_mode & 0o777 == 0o600
    copy.chmod(0o666)
    assert prepared.fetch(copy.stem) is None
    copy.chmod(0o600)
    assert prepared.fetch(copy.stem) is not None


def test_a_piece_that_is_damaged_says_so_when_it_is_asked_for() -> None:
    file = b"".join(shelf.shelved(shelf.keyed("one", [("good", b"\x07"), ("bad", b"\xc1")])))
    back = shelf.Keyed(shelf.pieces_of(memoryview(file)), "one", msgspec.msgpack.Decoder(int).decode)
    assert back["good"] == 7
    for ask in (lambda: back["bad"], lambda: list(back.values())):
        with pytest.raises(RecordsError, match="is damaged"):
            ask()


def test_a_copy_that_is_deleted_meanwhile_is_still_read(tmp_path: Path, cache: Path) -> None:
    folder = folder_of(tmp_path / "records")
    made, kept = load(folder), load(folder)
    for copy in cache.glob("*"):
        copy.unlink()
    assert_the_same(kept.catalogue, made.catalogue)


def test_copies_are_bounded_in_size(tmp_path: Path, cache: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(copies, "MOST_BYTES", 2500)
    for number in range(5):
        copies.keep_copy(f"{number}.records", b"x" * 1000)
        os.utime(cache / f"{number}.records", ns=(number, number))
    assert sorted(p.name for p in cache.glob("*")) == ["3.records", "4.records"]
    copies.keep_copy("9.records", b"x" * 9000)
    assert [p.name for p in cache.glob("*")] == ["9.records"]


def test_two_that_prepare_at_once_do_not_hurt_each_other(tmp_path: Path, cache: Path) -> None:
    folder = folder_of(tmp_path / "records")
    program = f"from pathlib import Path; from knockon.graph.records import load; load(Path({str(folder)!r}))"
    both = [subprocess.Popen([sys.executable, "-c", program]) for _ in range(2)]
    assert [one.wait() for one in both] == [0, 0]
    assert len(list(cache.glob("*.records"))) == 1 and not list(cache.glob("*.part"))
    assert load(folder).findings == ()


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
    (copy,) = cache.glob("*.records")
    for rubbish in (b"", b"\x93\x01\x02", copy.read_bytes()[:-20]):
        copy.write_bytes(rubbish)
        assert load(folder) == once
        assert len(copy.read_bytes()) > 1000


def test_only_so_many_copies_are_kept(tmp_path: Path, cache: Path) -> None:
    folder = folder_of(tmp_path / "records")
    for postage in range(copies.MOST_COPIES + 3):
        (folder / "suppliers.csv").write_text(f"supplier,title,postage\nMill,a mill,{postage}\nForge,,1\n")
        load(folder)
    assert len(list(cache.glob("*.records"))) == copies.MOST_COPIES


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


def writing_while_read(
    folder: Path, monkeypatch: pytest.MonkeyPatch, postages: list[int]
) -> Callable[[], float | None]:
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


@pytest.mark.parametrize("collects", [True, False])
def test_reading_leaves_the_collector_as_it_was(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, collects: bool
) -> None:
    monkeypatch.setenv("KNOCKON_CACHE", "off")
    was = gc.isenabled()
    (gc.enable if collects else gc.disable)()
    try:
        assert load(folder_of(tmp_path)).catalogue.parts
        assert gc.isenabled() is collects
        with pytest.raises(RecordsError):
            load(tmp_path / "nowhere")
        assert gc.isenabled() is collects
    finally:
        (gc.enable if was else gc.disable)()


def test_what_a_copy_holds_is_declared_with_types_and_not_with_texts() -> None:
    """Texts are evaluated one by one when a copy is opened: that took half of the time."""
    seen: set[type] = set()
    waiting: list[object] = [Catalogue, records.Finding]
    while waiting:
        one = waiting.pop()
        waiting += [arg for arg in getattr(one, "__args__", ()) if arg not in seen]
        if isinstance(one, type) and issubclass(one, msgspec.Struct) and one not in seen:
            seen.add(one)
            assert not any(isinstance(told, str) for told in vars(one)["__annotations__"].values()), one
            waiting += [field.type for field in msgspec.structs.fields(one)]
    assert len(seen) > 30
