"""A law over the whole demo world: a reading on one vehicle changes no answer about any other, to the byte."""

from __future__ import annotations

import shutil
from functools import cache
from pathlib import Path

import msgspec
import pytest

from knockon.graph.model.catalogue import Catalogue
from knockon.graph.records import load_records
from knockon.queries.answers import as_text
from knockon.queries.find.which_vehicle import which_vehicle
from knockon.queries.intake.readings.measured import Typed, read_typed, write_readings
from knockon.queries.plan.solving.request import asked_of
from knockon.queries.plan.swap import plan_swap
from tests.demo.demo import FOLDER

READ_ON = "tansy-m080"
MORE = (
    "tansy-m091,another Mk A as found,tansy front axle,drum,no,tansy-mk-a,tansy-mk-a,m091,\n"
    "tansy-m092,like m080's as found,tansy front axle,drum,no,tansy-mk-a,tansy-m080,m092,\n"
)
READINGS = (
    ("left rear drum, diameter", "199.9 mm"),
    ("left steering arm, bolt pitch", "60.0 mm"),
    ("right wheel, dish depth", "5 mm"),
    ("left lower ball pin, pin thread", "M12x1.25"),
    ("left front hose, length", "absent"),
)


@cache
def folder(of: Path) -> Path:
    shutil.copytree(FOLDER, of, ignore=shutil.ignore_patterns("__pycache__"))
    with (of / "vehicles.csv").open("a", encoding="utf-8") as table:
        table.write(MORE)
    return of


def answers(catalogue: Catalogue) -> dict[str, bytes]:
    """What is answered about each vehicle but the one that was read."""
    found = {}
    for name in (v for v in catalogue.vehicles if v != READ_ON):
        _, _, request = asked_of(catalogue, name, {"want": ("rotor=LARCH-201",)})
        swap = plan_swap(catalogue, name, request, alternatives=0, reasons=False)
        both = (swap, which_vehicle(catalogue, name))
        found[name] = msgspec.json.encode(both, enc_hook=as_text)
    return found


def test_a_reading_on_one_vehicle_changes_no_answer_about_another(
    tmp_path_factory: pytest.TempPathFactory, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("KNOCKON_CACHE", "off")
    own = folder(tmp_path_factory.mktemp("alone") / "own")
    before = load_records(own)
    then = answers(before)
    assert len(then) == 5
    typed = Typed(READINGS, by="m1", as_read=True)
    ready = read_typed(before, READ_ON, typed)
    write_readings(own, ready, typed, lambda: before)
    after = load_records(own)
    assert answers(after) == then
    _, _, request = asked_of(after, READ_ON, {"want": ("rotor=LARCH-201",)})
    plans = [plan_swap(c, READ_ON, request, alternatives=0, reasons=False) for c in (before, after)]
    assert plans[0].plan != plans[1].plan, "on the vehicle itself the readings count"
