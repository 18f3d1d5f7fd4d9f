"""``knockon overview``: dangers first, plans with how far they are."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

from knockon.graph.files.shipped import shipped
from tests.commands.running import demo, run

WISH = ("tansy-m080", "--want", "rotor=LARCH-201", "--plan", "discs", "--by", "m080")


def test_the_danger_of_a_vehicle_comes_first() -> None:
    ran = demo("overview")
    assert ran.status == 0
    assert ran.lines[1].startswith("!  DO NOT DRIVE tansy-m080 as it stands: lower pin in arm")
    vehicles = json.loads(demo("overview", "--json").out)["result"]["vehicles"]
    assert [v["vehicle"] for v in vehicles if v.get("wrong")] == ["tansy-m080"]


def test_a_plan_says_how_far_it_is(tmp_path: Path) -> None:
    folder = tmp_path / "records"
    shutil.copytree(shipped("data_demo"), folder)
    assert run("--records", str(folder), "job-card", *WISH).status == 0
    assert (
        "discs: rotor=LARCH-201 on tansy-m080. Nothing is ordered yet."
        in run("--records", str(folder), "overview").flowing
    )
    ticked = run("--records", str(folder), "job-card", "--plan", "discs", "--tick", _first(folder), "--by", "m080")
    assert ticked.status == 0, ticked.err
    plan = json.loads(run("--records", str(folder), "overview", "--json").out)["result"]["plans"][0]
    assert (plan["plan"], plan["ticked"], plan["closed"], plan["by"]) == ("discs", 1, False, "m080")
    assert plan["request"] == {"want": ["rotor=LARCH-201"]}


def _first(folder: Path) -> str:
    card = json.loads(run("--records", str(folder), "job-card", "--plan", "discs", "--json").out)["result"]
    line = card["lines"][0]
    return f"{line['side']} {line['step']}".strip()
