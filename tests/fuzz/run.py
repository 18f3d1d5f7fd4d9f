"""Runs inputs in children, so that one that dies, hangs or eats all memory is one fault and the rest goes on."""

from __future__ import annotations

import faulthandler
import json
import os
import resource
import select
import signal
import sys
import traceback
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path
from types import FrameType

from tests.fuzz.kinds import Kind, input_of

SECONDS = 10
"""Of processor time for one input; by the clock ten times as many, since others may want the machine too."""
MOST_MEMORY = 3 * 1024**3
A_CHILD = 2_000
"""Inputs that one child tries before a fresh one takes over."""
TAKES_TOO_LONG = "hang"
Progress = Callable[[int, int], None]


class TakesTooLong(BaseException):
    """An input took longer than one may."""


@dataclass
class Tally:
    """What came of the inputs of one kind so far: how many, what came of them, what was done to them."""

    kind: str
    seed: int
    done: int = 0
    outcomes: Counter[str] = field(default_factory=Counter)
    changes: Counter[str] = field(default_factory=Counter)
    faults: list[str] = field(default_factory=list)
    """For each input that failed its number and what it did."""

    @classmethod
    def read(cls, path: Path, kind: str, seed: int) -> Tally:
        """The tally of an earlier run of this seed, or an empty one."""
        try:
            said = json.loads(path.read_text(encoding="utf-8"))
        except (FileNotFoundError, ValueError):
            return cls(kind, seed)
        if said["seed"] != seed:
            return cls(kind, seed)
        return cls(kind, seed, said["done"], Counter(said["outcomes"]), Counter(said["changes"]), said["faults"])

    def keep(self, path: Path) -> None:
        """Keep it whole or not at all."""
        path.parent.mkdir(parents=True, exist_ok=True)
        part = path.with_suffix(".part")
        part.write_text(json.dumps(self.__dict__, indent=1, sort_keys=True), encoding="utf-8")
        part.replace(path)


def run(kind: Kind, most: int, folder: Path, seed: int, progress: Progress = lambda done, whole: None) -> Tally:
    """Try the inputs up to number ``most``, those that an earlier run tried left out; a tally of all of them."""
    kept = folder / f"{kind.name}.json"
    tally = Tally.read(kept, kind.name, seed)
    kind.warm()
    while tally.done < most:
        _one_child(kind, tally, min(most, tally.done + A_CHILD), folder, progress, most)
        tally.keep(kept)
    return tally


def _one_child(kind: Kind, tally: Tally, end: int, folder: Path, progress: Progress, most: int) -> None:
    reading, writing = os.pipe()
    sys.stdout.flush()
    sys.stderr.flush()
    child = os.fork()
    if child == 0:
        os.close(reading)
        _try_all(kind, tally, end, writing)
    os.close(writing)
    try:
        for line in _lines(reading, child):
            said = json.loads(line)
            _count(kind, tally, said, folder)
            progress(tally.done, most)
    finally:
        os.close(reading)
        _, status = os.waitpid(child, 0)
    if tally.done < end:  # it died with this one in hand
        why = f"killed by signal {os.WTERMSIG(status)}" if os.WIFSIGNALED(status) else f"ended with {status >> 8}"
        _count(kind, tally, {"came": "death", "fault": f"the process died: {why}"}, folder)


def _lines(reading: int, child: int) -> Iterator[bytes]:
    """What the child says, line by line; one that says nothing for too long is ended."""
    rest = b""
    while True:
        if not select.select([reading], [], [], SECONDS * 20)[0]:  # deaf to its own alarm
            os.kill(child, signal.SIGKILL)
        piece = os.read(reading, 65536)
        if not piece:
            return
        *lines, rest = (rest + piece).split(b"\n")
        yield from lines


def _count(kind: Kind, tally: Tally, said: dict[str, object], folder: Path) -> None:
    number = tally.done
    tally.done += 1
    tally.outcomes[str(said["came"])] += 1
    changes = said.get("changes")
    tally.changes.update(changes if isinstance(changes, list) else ())
    if said.get("fault"):
        fault = str(said["fault"])
        given = input_of(kind, tally.seed, number)
        place = folder / kind.name
        place.mkdir(parents=True, exist_ok=True)
        (place / f"{tally.seed}-{number}-{given.name}").write_bytes(given.content)
        (place / f"{tally.seed}-{number}.txt").write_text(f"{', '.join(given.changes)}\n{fault}\n", encoding="utf-8")
        tally.faults.append(f"{number}: {fault.strip().splitlines()[-1]}")


def _try_all(kind: Kind, tally: Tally, end: int, writing: int) -> None:
    """In the child: each input from the next one on; never returns."""
    try:
        faulthandler.disable()  # what a child dies of is told by the parent
        resource.setrlimit(resource.RLIMIT_AS, (MOST_MEMORY, MOST_MEMORY))
        resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
        for signal_ in (signal.SIGPROF, signal.SIGALRM):
            signal.signal(signal_, _late)
        for number in range(tally.done, end):
            said = json.dumps(_try_one(kind, tally.seed, number)) + "\n"
            os.write(writing, said.encode())
        os._exit(0)
    except BaseException:
        traceback.print_exc()
        os._exit(3)


def _late(number: int, frame: FrameType | None) -> None:
    raise TakesTooLong


def _try_one(kind: Kind, seed: int, number: int) -> dict[str, object]:
    given = input_of(kind, seed, number)
    try:
        try:
            signal.setitimer(signal.ITIMER_PROF, SECONDS)
            signal.setitimer(signal.ITIMER_REAL, SECONDS * 10)
            came, fault = kind.take(given), ""
        finally:
            signal.setitimer(signal.ITIMER_PROF, 0)
            signal.setitimer(signal.ITIMER_REAL, 0)
    except TakesTooLong:
        came, fault = TAKES_TOO_LONG, traceback.format_exc(limit=-8) + f"takes more than {SECONDS} s"
    except BaseException:
        came, fault = "fault", traceback.format_exc(limit=-12)
    return {"came": came, "changes": given.changes, "fault": fault[-4000:]}
