"""Worlds made up for benchmarks: repeatable, in order, with what they promise in them."""

from __future__ import annotations

import csv
import re
from pathlib import Path

import pytest

from knockon.graph.judge.verdicts import Verdict
from knockon.graph.records import load_records
from knockon.queries.fits.partners import claimed_of, counted, first_of, partners_counted, partners_of
from knockon.queries.intake.check import check_records
from knockon.queries.ui.details import Shown
from knockon.queries.ui.terminal.screen import render
from knockon.queries.ui.texts.fits.partners import partners_pages
from tests.bench.peers import QUESTIONS, interval, oxigraph, oxigraph_pairs, pandas, rdflib
from tests.bench.worlds import DEMO, make_world, new_parts

PARTS = 120


@pytest.fixture(scope="module", params=[False, True], ids=["zipf", "distinct"])
def world(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Path:
    return make_world(tmp_path_factory.mktemp("worlds") / "records", PARTS, 1, request.param)


def contents(folder: Path) -> dict[str, bytes]:
    return {str(p.relative_to(folder)): p.read_bytes() for p in folder.rglob("*.csv")}


def feature_rows(folder: Path, *tables: str) -> list[list[str]]:
    rows = []
    for table in tables:
        with (folder / "features" / f"{table}.csv").open(encoding="utf-8", newline="") as stream:
            rows += [row for row in csv.reader(stream) if "-x" in row[0]]
    return rows


def test_the_same_seed_gives_the_same_bytes(tmp_path: Path) -> None:
    once, again, other = (make_world(tmp_path / str(n), PARTS, seed) for n, seed in enumerate((1, 1, 2)))
    assert contents(once) == contents(again) != contents(other)


def test_it_holds_the_demo_and_as_many_parts_as_asked_for(world: Path) -> None:
    assert len(list(new_parts(world))) == PARTS
    for table, written in contents(DEMO).items():
        assert contents(world)[table].startswith(written)


def test_a_new_part_says_by_its_number_that_it_is_made_up(world: Path) -> None:
    known = load_records(DEMO).parts
    for part in new_parts(world):
        found = re.fullmatch(r"(.+)-x\d+", part["part"])
        assert found is not None
        assert known[found[1]].part_type == part["part type"]
        assert part["name"].endswith("made up")


def test_check_skips_nothing_and_finds_no_more_than_unusual_sizes(world: Path) -> None:
    found = check_records(world)
    assert not [f for f in found.findings if f.set_aside]
    assert [f.problem for f in found.findings if "outside the usual sizes" not in f.problem] == []


def test_blanks_and_second_statements_are_about_as_many_as_it_says(tmp_path: Path) -> None:
    rows = feature_rows(make_world(tmp_path / "records", 10_000, 3), "rolling_bearing", "stub_end", "hub_collar")
    sizes = [cell for row in rows for cell in row[3:-1]]
    assert 0.01 < sum(not cell for cell in sizes) / len(sizes) < 0.03
    assert 0.015 < 1 - len({row[0] for row in rows}) / len(rows) < 0.045


def test_distinct_sizes_are_distinct(tmp_path: Path) -> None:
    folder = make_world(tmp_path / "records", 4000, 1, distinct=True)
    drawn = [row[2] for row in feature_rows(folder, "journal") if row[2]]
    assert len(drawn) == len(set(drawn)) > 30


def test_a_folder_that_is_there_stays_untouched(world: Path) -> None:
    before = contents(world)
    with pytest.raises(FileExistsError):
        make_world(world, 1, 1)
    assert contents(world) == before


@pytest.mark.parametrize("question", QUESTIONS)
def test_what_a_user_would_take_instead_finds_the_same_by_every_way(world: Path, question: str) -> None:
    found = [way(world, *QUESTIONS[question])() for way in (oxigraph, oxigraph_pairs, pandas, rdflib)]
    assert found[0] > 0
    assert len(set(found)) == 1


@pytest.mark.parametrize(
    ("cell", "low", "high"),
    [
        ("28.5 mm", 28.5, 28.5),
        ("1 1/8 in", 28.575, 28.575),
        (".5 in", 12.7, 12.7),
        ("28.5 mm ±0.05 mm", 28.45, 28.55),
        ("1.5 in ±0.002 in", 38.0492, 38.1508),
        ("82 deg", 82, 82),
        ("25", 25, 25),
        ("module 2.0", 6.283185, 6.283185),
        ("24/48", 3.324852, 3.324852),
    ],
)
def test_a_size_is_given_to_the_peers_as_an_interval(cell: str, low: float, high: float) -> None:
    assert interval(cell) == pytest.approx((low, high))


@pytest.mark.parametrize("cell", ["", "absent", "?", "taper"])
def test_a_cell_without_a_size_gives_them_nothing(cell: str) -> None:
    assert interval(cell) is None


@pytest.mark.parametrize("part", ["ROWAN-201", "ALDER-201L"])
@pytest.mark.parametrize("parts", [1000, 3000])
def test_partners_among_many_parts_stand_on_one_screen_with_all_counted(tmp_path: Path, parts: int, part: str) -> None:
    catalogue = load_records(make_world(tmp_path / "records", parts, 1))
    answer = partners_counted(catalogue, part)
    assert render(partners_pages(catalogue, partners_of(catalogue, part), Shown(), "")) == render(
        partners_pages(catalogue, answer, Shown(), "")
    )
    first = render(partners_pages(catalogue, answer, Shown(), f"knockon partners {part}")).splitlines()
    whole = render(partners_pages(catalogue, partners_of(catalogue, part), Shown(full=True), "")).splitlines()
    assert len(first) <= 60 < len(whole)
    assert any(re.search(r", and \d+ more\.$", line) for line in first)
    assert first[-1] == f"next: knockon partners {part} --others"


def test_what_is_counted_of_partners_is_what_is_listed(tmp_path: Path) -> None:
    catalogue = load_records(make_world(tmp_path / "records", 1000, 2))
    for number in ("ROWAN-201", "ALDER-201L", "ALDER-221", "ALDER-131", "ROWAN-301"):
        listed = partners_of(catalogue, number).joints
        for at, plain in zip(partners_counted(catalogue, number).joints, listed, strict=True):
            assert len(at.partners) == len(plain.partners)
            assert counted(at) == counted(plain)
            for verdict in Verdict:
                assert claimed_of(at, verdict) == claimed_of(plain, verdict)
                for most in (1, 3, None):
                    assert first_of(at, verdict, most) == first_of(plain, verdict, most)
