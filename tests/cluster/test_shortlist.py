"""The short list: the same noes as the program's, a superset of the parts of all plans, and so the same plans."""

from __future__ import annotations

import json
import os
import shutil
from pathlib import Path

import pytest

from knockon.graph.columns.parquet import write_parquet
from knockon.graph.columns.tables import Catalogued
from knockon.graph.files.shipped import shipped
from knockon.graph.model.layouts.layout import Places
from knockon.graph.records import load, load_records
from knockon.queries.plan.solving.request import Request, read_request
from knockon.queries.shortlist.folder import SAME
from knockon.queries.shortlist.shortlist import Way
from tests.cluster.alike import both_ways, noes
from tests.commands.running import run
from tests.oracle.engine import request_for_engine
from tests.oracle.generate import case_from_seed
from tests.oracle.records import write_records

DEMO = shipped("data_demo")
FIRST = int(os.environ.get("KNOCKON_FIRST_WORLD") or 0)
WORLDS = range(FIRST, FIRST + int(os.environ.get("KNOCKON_EXAMPLES") or 8))


@pytest.fixture(autouse=True)
def _nothing_kept(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("KNOCKON_CACHE", "off")


def of_demo(*want: str) -> Request:
    catalogue = load_records(DEMO)
    return read_request(catalogue, Places(catalogue.layouts["tansy front axle"]), want=want)


def test_the_demo_has_the_same_noes(tmp_path: Path) -> None:
    ours, theirs = noes(DEMO, "tansy-m080", tmp_path / "columns")
    assert ours == theirs and len(ours) > 300


@pytest.mark.parametrize("seed", WORLDS)
def test_random_worlds_have_the_same_noes_and_the_same_plans(seed: int, tmp_path: Path) -> None:
    case = case_from_seed(seed)
    folder = tmp_path / "records"
    folder.mkdir()
    write_records(folder, case.world)
    ours, theirs = noes(folder, case.vehicle.name, tmp_path / "columns")
    assert ours == theirs
    request = request_for_engine(case.world, case.request)
    both = both_ways(folder, case.vehicle.name, request, tmp_path / "short", Way((tmp_path / "columns",)))
    assert not both.differences()


def test_the_demo_s_swap_is_the_same_from_the_short_records(tmp_path: Path) -> None:
    both = both_ways(DEMO, "tansy-m080", of_demo("rotor=LARCH-201"), tmp_path / "short")
    assert not both.differences() and both.whole.plan is not None
    left = {p.position: (p.parts, p.left) for p in both.shortlist.positions}
    assert left["rotor"] == (3, 1) and left["knuckle"] == (7, 2)  # LARCH-201 meets the disc knuckle, left and right
    chosen = {f.number for f in both.whole.plan.filled if f.recorded}
    assert chosen <= set(load(tmp_path / "short").catalogue.parts)


def test_the_command_writes_the_short_records(tmp_path: Path) -> None:
    into = tmp_path / "short"
    done = run("shortlist", "tansy-m080", "--want", "rotor=LARCH-201", "--into", str(into))
    assert done.status == 0, done.err
    assert "can still be used" in done.flowing and "knuckle" in done.out
    assert load(into).findings == load(DEMO).findings
    again = run("shortlist", "tansy-m080", "--want", "rotor=LARCH-201", "--into", str(into))
    assert again.status == 2 and "exists already" in again.err
    question = ("swap", "tansy-m080", "--want", "rotor=LARCH-201", "--json")
    whole, short = (json.loads(run(*of, *question).out)["result"]["plan"] for of in ((), ("--records", str(into))))
    assert whole["filled"] and whole["costs"] == short["costs"] and whole["filled"] == short["filled"]


@pytest.mark.parametrize("folder", ["no-such", "empty"])
def test_a_folder_that_is_no_export_is_named(folder: str, tmp_path: Path) -> None:
    (tmp_path / "empty").mkdir()
    out = str(tmp_path / "short")
    done = run(
        "shortlist", "tansy-m080", "--want", "rotor=LARCH-201", "--into", out, "--parquet", str(tmp_path / folder)
    )
    assert done.status == 2 and "parts.parquet" in done.err and not Path(out).exists()


def test_a_part_of_which_two_exports_speak_is_not_ruled_out_by_its_sizes(tmp_path: Path) -> None:
    case = case_from_seed(3)
    folder = tmp_path / "records"
    folder.mkdir()
    write_records(folder, case.world)
    twice = tmp_path / "once", tmp_path / "again"
    for export in twice:
        write_parquet(Catalogued(load(folder).catalogue, folder), export)
    request = request_for_engine(case.world, case.request)
    one, two = (
        both_ways(folder, case.vehicle.name, request, tmp_path / f"short{len(exports)}", Way(exports))
        for exports in (twice[:1], twice)
    )
    assert not one.differences() and not two.differences()
    assert sum(j.noes for j in one.shortlist.joints) > sum(j.noes for j in two.shortlist.joints) == 0


def test_of_equal_parts_the_cheapest_stays_and_stands_for_the_others(tmp_path: Path) -> None:
    folder = tmp_path / "records"
    shutil.copytree(DEMO, folder, ignore=shutil.ignore_patterns("*.py", "__pycache__"))
    for name in ("ZZZ-1", "ZZZ-2", "ZZZ-3"):  # as the outer joint of the wanted model, by other makers
        for path in [folder / "parts.csv", *sorted((folder / "features").glob("*.csv"))]:
            rows = path.read_text().splitlines()
            more = [r.replace("ROWAN-201", name, 1) for r in rows if r.startswith("ROWAN-201,")]
            path.write_text("\n".join([*rows, *more]) + "\n")
    with (folder / "offers.csv").open("a") as offers:
        offers.write("Dunmallow Spares,ZZZ-1,9.00,\nDunmallow Spares,ZZZ-2,8.00,\n")
    both = both_ways(folder, "tansy-m080", of_demo("rotor=LARCH-201"), tmp_path / "short")
    assert not both.differences() and both.shortlist.equal == 2
    said = (tmp_path / f"short{SAME}").read_text()
    assert said == "kept,instead of\nZZZ-2,ZZZ-1\nZZZ-2,ZZZ-3\n"
    kept = set(load(tmp_path / "short").catalogue.parts)
    assert "ZZZ-2" in kept and not {"ZZZ-1", "ZZZ-3"} & kept
