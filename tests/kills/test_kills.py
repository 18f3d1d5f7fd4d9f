"""A small sample of the kills, and that the judge of them would see a loss."""

from __future__ import annotations

import random
import shutil
from pathlib import Path

import pytest

from tests.kills.run import Tally, _judge, kills, measure
from tests.kills.scenarios import Scenario, scenarios, state

KILLS, SEED = 13, 4


@pytest.fixture(scope="module")
def every(tmp_path_factory: pytest.TempPathFactory) -> tuple[Scenario, ...]:
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("KNOCKON_CACHE", "off")
        return scenarios(tmp_path_factory.mktemp("kills"))


@pytest.fixture(autouse=True)
def no_copies(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("KNOCKON_CACHE", "off")


def test_a_killed_command_leaves_the_old_or_the_new_and_loses_nothing(
    every: tuple[Scenario, ...], tmp_path: Path
) -> None:
    tally = kills(every, KILLS, SEED, tmp_path / "tried", lambda so_far: None)
    assert tally.faults == []
    assert tally.kills == KILLS and len(tally.commands) == len(every)


def test_every_command_has_lines_to_be_killed_at(every: tuple[Scenario, ...], tmp_path: Path) -> None:
    lines = {s.name: measure(s, tmp_path / "tried").lines for s in every}
    assert min(lines.values()) > 20, lines


def test_the_judge_sees_a_mix_and_a_row_that_is_lost(every: tuple[Scenario, ...], tmp_path: Path) -> None:
    scenario = next(s for s in every if s.name == "import of a changed sheet")
    place = tmp_path / "tried"
    shutil.copytree(scenario.start, place)
    table = place / "ours" / "features" / "spacer.csv"
    whole = table.read_text(encoding="utf-8")
    _judge(scenario, place, random.Random(1), Tally(), timed=False)
    table.write_text(whole.replace("12.7 mm", "12.9 mm"), encoding="utf-8")  # the new row, and not what is kept of it
    with pytest.raises(AssertionError, match="neither the old records nor the new"):
        _judge(scenario, place, random.Random(1), Tally(), timed=False)
    table.write_text(whole.replace("S-1,spacer,12.7 mm,N1\n", ""), encoding="utf-8")
    assert state(place).tables != scenario.old.tables
    with pytest.raises(AssertionError, match="neither the old records nor the new"):
        _judge(scenario, place, random.Random(1), Tally(), timed=False)
