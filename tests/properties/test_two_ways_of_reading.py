"""A catalogue that is built straight from tables is the one that is built from the quads of the same tables.

On broken folders of the whole demo world, each way of breaking in its turn, and on random small worlds; with notes
beside the tables too, as they are written here and as others may change them.
"""

from __future__ import annotations

import os
import shutil
from pathlib import Path
from random import Random

import msgspec
import pytest
from msgspec.structs import replace

from knockon.graph.exchange import notes_as_rows
from knockon.graph.exchange.answerable import answerable
from knockon.graph.files.rdf_files import note_files
from knockon.graph.files.shipped import shipped
from knockon.graph.model.catalogue import Catalogue
from knockon.graph.model.schema import DCTERMS, RDF, VOCAB, Column, Table, Vocabulary, read_vocabulary, vocabulary_files
from knockon.graph.records import Records, load, load_records, read_stated
from knockon.graph.tables.stated import ReadTables, is_plain
from tests.oracle.generate import case_from_seed
from tests.oracle.records import write_records
from tests.properties.breaking import WAYS, broken
from tests.properties.noting import add_notes, spoil, withdraw_some
from tests.properties.test_broken_records import folder_of

SEEDS = len(WAYS)


@pytest.fixture(autouse=True)
def _nothing_kept(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("KNOCKON_CACHE", "off")


def through_quads(folder: Path) -> Records:
    found = answerable(read_stated(folder))
    return Records(found.catalogue, found.findings)


def assert_alike(straight: Records, long: Records) -> None:
    """The same to the byte, everything in the same order."""
    assert straight.findings == long.findings
    for name in Catalogue.__struct_fields__:
        one, other = (msgspec.json.encode(getattr(r.catalogue, name)) for r in (straight, long))
        assert one == other, name


def test_the_shipped_vocabulary_is_read_straight() -> None:
    assert is_plain(read_vocabulary(vocabulary_files()))


@pytest.mark.parametrize("seed", range(SEEDS), ids=WAYS)
def test_broken_folders_are_read_alike(seed: int, tmp_path: Path) -> None:
    folder = folder_of(broken(seed)[0], tmp_path)
    assert_alike(load(folder), through_quads(folder))


@pytest.mark.parametrize("seed", range(int(os.environ.get("KNOCKON_EXAMPLES", "40"))))
def test_random_worlds_are_read_alike(seed: int, tmp_path: Path) -> None:
    write_records(tmp_path, case_from_seed(seed).world)
    assert is_plain(read_vocabulary(vocabulary_files(tmp_path)))
    assert_alike(load(tmp_path), through_quads(tmp_path))


@pytest.fixture
def straight(monkeypatch: pytest.MonkeyPatch) -> list[bool]:
    """Of each folder with notes whether it was read straight."""
    found: list[bool] = []
    real = notes_as_rows.with_notes

    def telling(folder: Path, read: ReadTables) -> ReadTables | None:
        joined = real(folder, read)
        found.append(joined is not None)
        return joined

    monkeypatch.setattr(notes_as_rows, "with_notes", telling)
    return found


@pytest.mark.parametrize("seed", range(6))
def test_the_demo_with_notes_is_read_alike(seed: int, tmp_path: Path, straight: list[bool]) -> None:
    folder, chance = tmp_path / "records", Random(seed)
    shutil.copytree(shipped("data_demo"), folder)
    add_notes(folder, chance, 6)
    assert note_files(folder)
    assert_alike(load(folder), through_quads(folder))
    assert all(straight)  # what a member writes by hand never sends the tables the long way
    withdraw_some(folder, chance)
    assert_alike(load(folder), through_quads(folder))
    known = load_records(folder)
    for _ in range(4):
        spoil(folder, known, chance)
        assert_alike(load(folder), through_quads(folder))


@pytest.mark.parametrize("seed", range(int(os.environ.get("KNOCKON_EXAMPLES", "40"))))
def test_random_worlds_with_notes_are_read_alike(seed: int, tmp_path: Path) -> None:
    chance = Random(seed)
    write_records(tmp_path, case_from_seed(seed).world)
    add_notes(tmp_path, chance, 3)
    assert_alike(load(tmp_path), through_quads(tmp_path))
    withdraw_some(tmp_path, chance)
    assert_alike(load(tmp_path), through_quads(tmp_path))
    if note_files(tmp_path):
        spoil(tmp_path, load_records(tmp_path), chance)
        assert_alike(load(tmp_path), through_quads(tmp_path))


@pytest.mark.parametrize("seed", range(0, SEEDS, 4))
def test_broken_folders_with_notes_are_read_alike(seed: int, tmp_path: Path) -> None:
    folder = folder_of(broken(seed)[0], tmp_path)
    known = load_records(shipped("data_demo"))
    add_notes(folder, Random(seed), 3, known)
    assert_alike(load(folder), through_quads(folder))


@pytest.mark.parametrize(
    ("columns", "plain"),
    [
        (["my:length", "my:width"], True),
        (["my:length", "my:length"], False),  # one quad would be in both columns
        (["kn:featureName", "my:width"], False),
        (["rdf:type", "my:width"], False),
        (["dcterms:date", "my:width"], False),
    ],
)
def test_a_vocabulary_in_which_a_quad_may_mean_two_things_is_not_plain(columns: list[str], plain: bool) -> None:
    paths = [iri.replace("my:", "https://club.example/").replace("kn:", VOCAB) for iri in columns]
    paths = [iri.replace("rdf:", RDF).replace("dcterms:", DCTERMS) for iri in paths]
    shape = Table("https://club.example/Peg", "peg", "peg", "", tuple(Column(p, p, "length") for p in paths), True)
    if len({*paths}) < 2:
        shape = replace(shape, columns=tuple(replace(c, name=f"{i}") for i, c in enumerate(shape.columns)))
    assert is_plain(Vocabulary(kinds={shape.iri: shape})) is plain
