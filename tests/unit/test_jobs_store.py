"""Named plans on the disk: one file an event, nothing lost with two writers, clear refusals."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

from knockon.graph.files.errors import RecordsError
from knockon.graph.jobs.events import AnyEvent, Closed, LineOrdered, Ordered, Planned, Received, Ticked
from knockon.graph.jobs.store import Job, JobRefused, add_event, job_names, read_job
from knockon.graph.model.catalogue import UnknownNameError

WHEN = "2026-11-30T10:00:00Z"
PLANNED = Planned("m080", WHEN, "tansy-m080", {"want": ("rotor=LARCH-201",)}, {"changes": 1})
ORDERED = Ordered(
    "m080", WHEN, "cheapest", "12.00",
    (LineOrdered("Mill", 2, "3.00", part="STUD-1", pack=4), LineOrdered("Mill", 1, "6.00", kit="K1", holds={"N-1": 2})),
    {"left rotor": "LARCH-201"},
)  # fmt: skip


def test_what_was_written_is_read_again(tmp_path: Path) -> None:
    events: list[AnyEvent] = [
        PLANNED,
        ORDERED,
        Received("m080", WHEN, "N-1", 1, "reject", why="wrong thread"),
        Ticked("m080", WHEN, "hose on", "left"),
        Closed("m080", WHEN, "m081"),
    ]
    for event in events:
        add_event(tmp_path, "Discs", event)
    job = read_job(tmp_path, "discs")
    assert job == Job("Discs", tuple(events))
    assert job.planned == PLANNED and job.closed is not None and job.closed.checked_by == "m081"
    assert [line.units for line in job.orders[0].lines] == [{"STUD-1": 8}, {"N-1": 2}]
    assert [p.name for p in sorted((tmp_path / "jobs").iterdir())] == [f"Discs.000{n}.json" for n in range(1, 6)]


def test_a_tick_is_taken_back_by_a_later_one(tmp_path: Path) -> None:
    add_event(tmp_path, "a", PLANNED)
    add_event(tmp_path, "a", Ticked("m080", WHEN, "hose on", "left"))
    add_event(tmp_path, "a", Ticked("m080", WHEN, "hose on", "right"))
    job = add_event(tmp_path, "a", Ticked("m080", WHEN, "hose on", "left", taken_back=True))
    assert list(job.ticked) == [("hose on", "right")]


def test_a_later_request_corrects_the_first(tmp_path: Path) -> None:
    add_event(tmp_path, "a", PLANNED)
    later = Planned("m080", WHEN, "tansy-mk-a")
    assert add_event(tmp_path, "A", later).planned == later
    assert job_names(tmp_path) == ["a"]


def test_two_writers_lose_nothing(tmp_path: Path) -> None:
    add_event(tmp_path, "a", PLANNED)
    with ThreadPoolExecutor(8) as pool:
        list(pool.map(lambda n: add_event(tmp_path, "a", Ticked("m080", WHEN, f"step {n}")), range(24)))
    assert {step for step, _ in read_job(tmp_path, "a").ticked} == {f"step {n}" for n in range(24)}


@pytest.mark.parametrize("name", ["", " ", "../up", "a/b", "-x", "x" * 41, "a.b", "a\nb\0"])
def test_names_that_cannot_be_files_are_refused(tmp_path: Path, name: str) -> None:
    with pytest.raises(JobRefused, match="cannot name a plan"):
        add_event(tmp_path, name, PLANNED)
    assert not (tmp_path / "jobs").exists()


def test_an_event_of_a_plan_that_is_not_there_is_refused(tmp_path: Path) -> None:
    with pytest.raises(JobRefused, match="no plan a"):
        add_event(tmp_path, "a", ORDERED)
    add_event(tmp_path, "front discs", PLANNED)
    with pytest.raises(UnknownNameError, match="front discs"):
        read_job(tmp_path, "frnt discs")


def test_a_file_that_cannot_be_read_is_told_by_its_name(tmp_path: Path) -> None:
    add_event(tmp_path, "a", PLANNED)
    (tmp_path / "jobs" / "a.0002.json").write_text('{"event": "danced"}')
    with pytest.raises(RecordsError, match=r"a\.0002\.json"):
        read_job(tmp_path, "a")


def test_what_is_not_allowed_is_not_written(tmp_path: Path) -> None:
    add_event(tmp_path, "a", PLANNED)

    def never(job: Job) -> None:
        raise JobRefused(f"{job.name} is closed")

    with pytest.raises(JobRefused, match="a is closed"):
        add_event(tmp_path, "a", ORDERED, never)
    assert len(read_job(tmp_path, "a").events) == 1
