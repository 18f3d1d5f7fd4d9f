"""A small sample of the broken inputs, and the runner itself: what it must notice, keep and go on after."""

from __future__ import annotations

import os
import random
import signal
from pathlib import Path

import pytest

from tests.fuzz import rdf, requests, run, sheets, vocabulary
from tests.fuzz.kinds import Input, Kind, input_of
from tests.fuzz.run import Tally

SAMPLE = {"vocabulary": 25, "rdf": 150, "sheets": 100, "requests": 120}
KINDS = {k.name: k for k in (vocabulary.KIND, rdf.KIND, sheets.KIND, requests.KIND)}
SEED = 9


@pytest.mark.parametrize("name", SAMPLE)
def test_no_broken_input_raises_hangs_or_loses_a_row(name: str, tmp_path: Path) -> None:
    tally = run.run(KINDS[name], SAMPLE[name], tmp_path, SEED)
    assert tally.faults == []
    assert (tally.done, sum(tally.outcomes.values())) == (SAMPLE[name], SAMPLE[name])
    assert len(tally.outcomes) > 1, "all inputs came to the same"


@pytest.mark.parametrize("name", SAMPLE)
def test_an_input_is_made_of_its_number_alone(name: str) -> None:
    kind = KINDS[name]
    kind.warm()
    text = [i for i in (input_of(kind, SEED, n) for n in range(30)) if not i.name.endswith("xlsx")]  # a zip holds times
    assert text == [i for i in (input_of(kind, SEED, n) for n in range(30)) if not i.name.endswith("xlsx")]
    assert len({i.content for i in text}) > 20


def made(rng: random.Random) -> Input:
    return Input(rng.randbytes(4), "it.bin", ("byte",))


def that_takes(take: object) -> Kind:
    return Kind("tried", made, take, lambda: None)  # type: ignore[arg-type]


def test_whatever_goes_wrong_with_one_input_is_kept_and_the_others_are_tried(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(run, "SECONDS", 0.3)
    seen = [made(random.Random(f"tried/{SEED}/{n}")).content for n in range(8)]

    def take(given: Input) -> str:
        what = seen.index(given.content)
        if what == 2:
            raise ValueError("a slip")
        if what == 3:
            os.kill(os.getpid(), signal.SIGSEGV)
        if what == 5:
            while True:
                pass
        if what == 6:
            os._exit(7)
        return "taken"

    tally = run.run(that_takes(take), 8, tmp_path, SEED)
    assert tally.outcomes == {"taken": 4, "fault": 1, "death": 2, "hang": 1}
    assert [f.partition(":")[0] for f in tally.faults] == ["2", "3", "5", "6"]
    assert "a slip" in tally.faults[0] and "signal 11" in tally.faults[1] and "ended with 7" in tally.faults[3]
    assert (tmp_path / "tried" / f"{SEED}-2-it.bin").read_bytes() == seen[2]
    assert "ValueError: a slip" in (tmp_path / "tried" / f"{SEED}-2.txt").read_text(encoding="utf-8")


def test_one_that_is_deaf_to_its_own_alarm_is_ended(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(run, "SECONDS", 0.1)

    def take(_: Input) -> str:
        signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGPROF, signal.SIGALRM})
        while True:
            pass

    tally = run.run(that_takes(take), 1, tmp_path, SEED)
    assert "signal 9" in tally.faults[0]


def test_a_run_goes_on_where_the_last_one_stopped(tmp_path: Path) -> None:
    tried = tmp_path / "tried.txt"

    def take(given: Input) -> str:
        with tried.open("a", encoding="utf-8") as file:
            file.write(f"{given.content!r}\n")
        return "taken"

    assert run.run(that_takes(take), 3, tmp_path, SEED).done == 3
    assert run.run(that_takes(take), 7, tmp_path, SEED).outcomes == {"taken": 7}
    lines = tried.read_text(encoding="utf-8").splitlines()
    assert len(lines) == len(set(lines)) == 7
    assert Tally.read(tmp_path / "tried.json", "tried", SEED + 1).done == 0  # another seed begins anew


FOUND = Path(__file__).parent / "found"


@pytest.mark.parametrize("path", sorted(FOUND.glob("*.ttl")), ids=lambda p: p.name)
def test_what_once_failed_is_read_now(path: Path) -> None:
    assert vocabulary.take(Input(path.read_bytes(), path.name, ())).startswith("read")
