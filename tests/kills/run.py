"""Kills one command at a place that a seed draws, looks at what is left, and goes on from there as people do."""

from __future__ import annotations

import os
import random
import resource
import shutil
import signal
import subprocess
import sys
import time
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from types import FrameType
from typing import Any, NoReturn

from knockon.graph.exchange import handed_out, merging
from knockon.graph.files import atomic
from knockon.graph.notes import write
from knockon.graph.quarantine import all_or_none as together
from knockon.graph.tables.pending import pending
from knockon.queries.intake.sheets import writing as import_writing
from knockon.queries.ui.commands.intake import import_ as command_import
from tests.kills.scenarios import NOTE, Scenario, hidden, readable, run, state

WRITERS = {m.__file__ for m in (atomic, together, merging, write, import_writing, handed_out, command_import)}
LINE, MOMENT, CLOCK = (
    "at a line of the writers",
    "at a moment of processor time",
    "by the clock, as a process of its own",
)
WAYS = (*(LINE,) * 12, *(MOMENT,) * 7, CLOCK)
BY_HAND = "S-2,by hand,9.5 mm,drawings\n"
F_BY_HAND = "F-2,by hand,27,,drawings\n"


@dataclass
class Tally:
    """What came of the kills: by command, how they were killed, what they left, and what was wrong."""

    commands: Counter[str] = field(default_factory=Counter)
    ways: Counter[str] = field(default_factory=Counter)
    left: Counter[str] = field(default_factory=Counter)
    after: Counter[str] = field(default_factory=Counter)
    faults: list[str] = field(default_factory=list)

    @property
    def kills(self) -> int:
        """Commands that were killed before their end."""
        return sum(self.ways.values())


@dataclass
class Measured:
    """How long a command runs to its end: lines of the writers, processor time, seconds by the clock."""

    lines: int
    processor: float
    clock: float = 0.0


def measure(scenario: Scenario, place: Path) -> Measured:
    """Run a command to its end, twice: once counted, once timed."""
    reading, writing = os.pipe()
    _fresh(scenario, place)
    child = os.fork()
    if child == 0:
        _count_lines(scenario, place, writing)
    os.close(writing)
    lines = int(os.read(reading, 20))
    os.close(reading)
    assert os.waitpid(child, 0)[1] == 0
    _fresh(scenario, place)
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    assert _in_child(lambda: run(place, scenario.words)) in (0, 1)
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return Measured(lines, after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime)


def _fresh(scenario: Scenario, place: Path) -> None:
    shutil.rmtree(place, ignore_errors=True)
    shutil.copytree(scenario.start, place)


def _in_child(work: Callable[[], int]) -> int:
    """The exit status of the work done in a fork; negative: the signal that killed it."""
    child = os.fork()
    if child == 0:
        try:
            os._exit(work())
        except BaseException:
            os._exit(9)
    return os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])


def _tracing(at: Callable[[int], None]) -> Callable[..., Any]:
    passed = 0

    def trace(frame: FrameType, event: str, argument: Any) -> Any:
        nonlocal passed
        if frame.f_code.co_filename not in WRITERS:
            return None
        if event == "line":
            passed += 1
            at(passed)
        return trace

    return trace


def _count_lines(scenario: Scenario, place: Path, writing: int) -> NoReturn:
    last = [0]

    def at(number: int) -> None:
        last[0] = number

    try:
        sys.settrace(_tracing(at))
        run(place, scenario.words)
        sys.settrace(None)
        os.write(writing, str(last[0]).encode())
        os._exit(0)
    except BaseException:
        os._exit(9)


def kill(scenario: Scenario, place: Path, way: str, share: float, measured: Measured) -> bool:
    """Run the command and kill it at ``share`` of its way; whether it was killed before its end."""
    if way == CLOCK:
        return _killed_by_the_clock(scenario, place, share, measured)

    def work() -> int:
        if way == LINE:
            wanted = 1 + int(share * measured.lines)
            sys.settrace(_tracing(lambda number: os.kill(os.getpid(), signal.SIGKILL) if number == wanted else None))
        else:
            signal.signal(signal.SIGPROF, signal.SIG_DFL)  # which ends the process, and runs nothing of it
            signal.setitimer(signal.ITIMER_PROF, max(0.001, share * measured.processor))
        return run(place, scenario.words)

    status = _in_child(work)
    assert status in (0, 1, -signal.SIGKILL, -signal.SIGPROF), f"ended with {status}"
    return status < 0


def _killed_by_the_clock(scenario: Scenario, place: Path, share: float, measured: Measured) -> bool:
    words = [w.replace("@", str(place)) for w in scenario.words]
    command = [sys.executable, "-m", "knockon", *words, "--records", str(place / "ours")]
    began = time.monotonic()
    process = subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    try:
        process.wait((0.3 + 0.7 * share) * measured.clock if measured.clock else None)
        measured.clock = time.monotonic() - began
        return False
    except subprocess.TimeoutExpired:
        process.kill()
        process.wait()
        return True


def one(scenario: Scenario, place: Path, rng: random.Random, measured: Measured, tally: Tally) -> None:
    """Kill the command once, judge what is left, and bring it to its end."""
    _fresh(scenario, place)
    way, share = rng.choice(WAYS), max(rng.random(), rng.random())  # what is written is written late
    if not kill(scenario, place, way, share, measured):
        return
    tally.commands[scenario.name] += 1
    tally.ways[way] += 1
    try:
        timed = way == CLOCK  # the time of writing is its own
        _judge(scenario, place, rng, tally, timed)
    except AssertionError as error:
        tally.faults.append(f"{scenario.name}, killed {way} ({share:.6f}): {error}")


def _judge(scenario: Scenario, place: Path, rng: random.Random, tally: Tally, timed: bool) -> None:
    now = readable(place, scenario.given)
    assert not isinstance(now, str), f"cannot be read: {now}"
    old, new = scenario.old, scenario.new
    if timed:
        now, old, new = now.undated(), old.undated(), new.undated()
    assert now.records in (old.records, new.records), "neither the old records nor the new"
    # a file beside the records is whole by itself
    handed = zip(now.handed, old.handed, new.handed, strict=True)
    assert all(is_ in (was, will) for is_, was, will in handed), "a file that is neither the old one nor the new"
    is_new = now.records == new.records and now.handed == new.handed
    tally.left["the new" if is_new else "the old" if now.records == old.records else "the new without its mapping"] += 1
    if scenario.edits and rng.random() < 0.6:
        _edited(scenario, place, rng, tally)
    else:
        _again(scenario, place, tally, is_new, timed)


def _again(scenario: Scenario, place: Path, tally: Tally, is_new: bool, timed: bool) -> None:
    """The same command once more, as the member types it who saw it die."""
    if not scenario.again and is_new:
        assert _in_child(lambda: run(place, NOTE)) == 0
        tally.after["another note"] += 1
        if scenario.edits:  # what lies beside its place waits for the next import
            run(place, ("import", "@/mine.csv"))
    else:
        run(place, scenario.words)
        if not timed:
            assert state(place, scenario.given) == scenario.new, "run again it comes to something else"
        tally.after["run again"] += 1
    assert hidden(place) == [], f"left over: {hidden(place)}"


def _edited(scenario: Scenario, place: Path, rng: random.Random, tally: Tally) -> None:
    """A hand adds a row to the table, perhaps somebody writes a note, then the command is run again: all is there."""
    waits = bool(pending(place / "ours"))
    table = place / "ours" / scenario.edits
    row = BY_HAND if "spacer" in scenario.edits else F_BY_HAND
    text = table.read_text(encoding="utf-8")
    table.write_text(text + _cells(text, row), encoding="utf-8")
    _seen(place, row, "right after the edit")
    if rng.random() < 0.5:
        assert _in_child(lambda: run(place, NOTE)) == 0
        tally.after["edited by hand, then a note"] += 1
    else:
        tally.after["edited by hand"] += 1
    tally.after["the edit met an import that was not in its place yet"] += waits
    _seen(place, row, "before it is run again")
    words = scenario.words if scenario.again else ("import", "@/mine.csv")
    run(place, words)
    _seen(place, row, "once it is run again")
    table.write_text(table.read_text(encoding="utf-8").replace(_cells(text, row), ""), encoding="utf-8")
    if scenario.again:
        now = state(place, scenario.given)
        assert now.tables == scenario.new.tables, "without the edit the tables are not the new ones"
        kept = (scenario.new.kept, scenario.new.waiting)
        assert (now.kept, now.waiting) == kept, "what the import keeps is not what it would be"
    assert hidden(place) == [], f"left over: {hidden(place)}"


def _cells(text: str, row: str) -> str:
    """The row's cells under the table's own heading."""
    head = [h.strip() for h in text.splitlines()[0].split(",")]
    part, feature, size, *_ = row.strip().split(",")
    cells = {"part": part, "feature": feature, "length": size, "teeth": size, "source": "drawings"}
    return ",".join(cells.get(name, "") for name in head) + "\n"


def _seen(place: Path, row: str, when: str) -> None:
    part, feature = row.split(",")[:2]
    now = readable(place, ())
    assert not isinstance(now, str), f"{when}: cannot be read: {now}"
    assert feature in now.catalogue.features_of(part), f"{when}: the row that a hand wrote is lost"


def kills(every: tuple[Scenario, ...], most: int, seed: int, place: Path, progress: Callable[[Tally], None]) -> Tally:
    """Kill until ``most`` commands have been, in turn; one that came to its end first is tried again."""
    tally, number = Tally(), 0
    measured = {s.name: measure(s, place) for s in every}
    while tally.kills < most:
        scenario = every[tally.kills % len(every)]
        one(scenario, place, random.Random(f"{seed}/{number}"), measured[scenario.name], tally)
        number += 1
        progress(tally)
    return tally
