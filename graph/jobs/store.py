"""The named plans of a records folder: one new file an event in ``jobs/``, so that nothing written is ever changed.

A file is called ``NAME.0001.json``. Two writers never take one number: a number is taken while others are held off.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path

import msgspec

from knockon.graph.files.atomic import NotWritten, sole_writer, write_whole
from knockon.graph.files.errors import RecordsError
from knockon.graph.files.plain import files_in
from knockon.graph.jobs.events import Answered, AnyEvent, Built, Closed, Noted, Ordered, Planned, Received, Ticked
from knockon.graph.model.catalogue import UnknownNameError
from knockon.graph.model.nearest import nearest

JOBS = "jobs"
ENDING = ".json"
_NAME = re.compile(r"[^\W_](?:[\w -]{0,38}[^\W_])?")
_FILE = re.compile(r"(.+)\.(\d{4,9})\.json")
EXPECTED = "letters and digits, also with spaces and hyphens between, at most 40"


class JobRefused(RecordsError):
    """What cannot be said of a named plan."""


class Job(msgspec.Struct, frozen=True):
    """A named plan with all that happened to it, first to last."""

    name: str
    events: tuple[AnyEvent, ...]

    @property
    def planned(self) -> Planned:
        """What was asked last. Raises JobRefused where nothing was."""
        found = [e for e in self.events if isinstance(e, Planned)]
        if not found:
            raise JobRefused(f"plan {self.name} has no request. Write one with: knockon order --plan")
        return found[-1]

    @property
    def orders(self) -> tuple[Ordered, ...]:
        """The orders that were placed."""
        return tuple(e for e in self.events if isinstance(e, Ordered))

    @property
    def received(self) -> tuple[Received, ...]:
        """What came, and what was found on it."""
        return tuple(e for e in self.events if isinstance(e, Received))

    @property
    def answered(self) -> Answered | None:
        """The answers that were kept last."""
        return next((e for e in reversed(self.events) if isinstance(e, Answered)), None)

    @property
    def ticked(self) -> dict[tuple[str, str], Ticked]:
        """The steps that are done, by step and side."""
        found = {(e.step, e.side): e for e in self.events if isinstance(e, Ticked)}
        return {key: e for key, e in found.items() if not e.taken_back}

    @property
    def closed(self) -> Closed | None:
        """When the job card was closed."""
        return next((e for e in reversed(self.events) if isinstance(e, Closed)), None)

    @property
    def built(self) -> Built | None:
        """When the record was written."""
        return next((e for e in reversed(self.events) if isinstance(e, Built)), None)

    @property
    def noted(self) -> str:
        """The club note that says what was built, if there is one."""
        return next((e.note for e in reversed(self.events) if isinstance(e, Noted)), "")


def job_names(folder: Path) -> list[str]:
    """The names of all plans, sorted. Raises RecordsError."""
    return sorted({m[1] for path in files_in(folder / JOBS, ENDING) if (m := _FILE.fullmatch(path.name))})


def read_job(folder: Path, name: str) -> Job:
    """A plan by its name, whatever the case. Raises UnknownNameError, RecordsError for a file that cannot be read."""
    names = job_names(folder)
    found = next((n for n in names if n.casefold() == name.strip().casefold()), None)
    if found is None:
        raise UnknownNameError("plan", name, nearest(name, names))
    return Job(found, tuple(_events(folder, found)))


def _events(folder: Path, name: str) -> Iterator[AnyEvent]:
    for path in _files(folder, name):
        try:
            yield msgspec.json.decode(path.read_bytes(), type=AnyEvent)
        except (OSError, msgspec.MsgspecError, UnicodeDecodeError) as error:
            raise RecordsError(f"{path}: cannot be read as what happened to a plan ({error})") from error


def _files(folder: Path, name: str) -> list[Path]:
    of_it = ((path, _FILE.fullmatch(path.name)) for path in files_in(folder / JOBS, ENDING))
    return [path for path, m in sorted(of_it, key=lambda pair: (len(pair[0].name), pair[0].name)) if m and m[1] == name]


def add_event(folder: Path, name: str, event: AnyEvent, allowed: Callable[[Job], None] | None = None) -> Job:
    """Write down what happened, and give the plan as it is then. ``allowed`` looks at it as it stands while other
    writers are held off, and raises JobRefused.

    Raises JobRefused, NotWritten, RecordsError.
    """
    name = checked_name(folder, name)
    with sole_writer(folder):
        job = Job(name, tuple(_events(folder, name)))
        if not job.events and not isinstance(event, Planned):
            raise JobRefused(f"there is no plan {name}")
        if allowed is not None:
            allowed(job)
        (folder / JOBS).mkdir(exist_ok=True)
        write_whole(next_file(folder, name), event_bytes(event), only_new=True)
    return Job(name, (*job.events, event))


def next_file(folder: Path, name: str) -> Path:
    """The file of the next event of a plan; call it as the sole writer."""
    taken = [int(m[2]) for path in _files(folder, name) if (m := _FILE.fullmatch(path.name))]
    return folder / JOBS / f"{name}.{max(taken, default=0) + 1:04}{ENDING}"


def event_bytes(event: AnyEvent) -> bytes:
    """An event as its file has it."""
    return msgspec.json.format(msgspec.json.encode(event), indent=1) + b"\n"


def checked_name(folder: Path, name: str) -> str:
    """A name as it is written already, or one that may be given. Raises JobRefused."""
    name = " ".join(name.split())
    for there in job_names(folder):
        if there.casefold() == name.casefold():
            return there
    if not _NAME.fullmatch(name):
        raise JobRefused(f"{name!r:.60} cannot name a plan. Expected: {EXPECTED}")
    return name


__all__: Sequence[str] = ("Job", "JobRefused", "NotWritten", "add_event", "checked_name", "job_names", "read_job")
