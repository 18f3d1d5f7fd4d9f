"""Which tests run which lines: recorded once, so that a mutant is tried on those tests only that can notice it.

A test also reaches what an earlier test worked out for it and left in a cache. So what is cached (functions, fixtures
for more than one test) is recorded under a label of its own, and who asked for it, first or later, is written down.
"""

from __future__ import annotations

import difflib
import functools
import json
import shutil
import threading
import time
from collections import Counter
from collections.abc import Callable, Generator, Hashable, Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import coverage
import pytest

ROOT = Path(__file__).parents[2]
TESTS = "reach.json"
RECORDINGS = "reach"  # one folder for each time that tests were recorded
LINES = "lines.coverage"
SOURCES = "sources"  # as they were when the lines were recorded


class Recorder:
    """Writes down, for each test and each cached thing, which lines it runs and which cached things it asks for."""

    def __init__(self, measured: coverage.Coverage, known: frozenset[str]) -> None:
        self.measured, self.known = measured, known
        self.stack = [""]
        self.used: dict[str, set[str]] = {}
        self.seconds: dict[str, float] = {}
        self.failed: set[str] = set()

    @contextmanager
    def within(self, label: str) -> Iterator[None]:
        """What runs meanwhile is recorded under this label."""
        self.stack.append(label)
        self.measured.switch_context(label)
        try:
            yield
        finally:
            self.stack.pop()
            self.measured.switch_context(self.stack[-1])

    def use(self, label: str) -> None:
        """The running test, or cached thing, asked for this."""
        self.used.setdefault(self.stack[-1], set()).add(label)

    # ---- stand-ins for the standard library's caches

    def cache(self, function: Callable[..., Any]) -> Callable[..., Any]:
        """As functools.cache. What a helper of the tests keeps has a label for each answer; of what the product keeps,
        whoever asks later reaches what the first one reached."""
        made: dict[Hashable, tuple[Any, str]] = {}
        own = function.__module__.startswith("tests.")

        @functools.wraps(function)
        def remembered(*arguments: Any, **named: Any) -> Any:
            key = (arguments, tuple(sorted(named.items())))
            if key not in made:
                label = f"{function.__module__}.{function.__qualname__}{key!r}" if own else self.stack[-1]
                if own and threading.current_thread() is threading.main_thread():
                    with self.within(label):
                        made[key] = function(*arguments, **named), label
                else:
                    made[key] = function(*arguments, **named), label
            value, label = made[key]
            if label != self.stack[-1]:
                self.used.setdefault(self.stack[-1], set()).add(label)
            return value

        remembered.cache_clear = made.clear  # type: ignore[attr-defined]
        return remembered

    def install(self) -> None:
        """Put the stand-ins where the tests and the product will find them: before either is imported."""
        real_cache, real_lru = functools.cache, functools.lru_cache

        def ours(function: Callable[..., Any]) -> bool:
            return function.__module__.split(".")[0] in ("knockon", "tests")

        def cache(function: Callable[..., Any]) -> Callable[..., Any]:
            return self.cache(function) if ours(function) else real_cache(function)

        def lru_cache(maxsize: Any = 128, typed: bool = False) -> Any:
            if callable(maxsize):
                return cache(maxsize)
            if maxsize is not None and maxsize > 1000:  # of single values: it saves time, and shares no world
                return real_lru(maxsize, typed)
            return lambda function: cache(function) if ours(function) else real_lru(maxsize, typed)(function)

        functools.cache = cache  # type: ignore[assignment]
        functools.lru_cache = lru_cache

    # ---- as a plugin of pytest

    def pytest_collection_modifyitems(self, items: list[pytest.Item]) -> None:
        """Those that were not yet recorded."""
        items[:] = [item for item in items if item.nodeid not in self.known]

    @pytest.hookimpl(wrapper=True)
    def pytest_runtest_protocol(self, item: pytest.Item) -> Generator[None, Any, Any]:
        """A test runs under its own name."""
        began = time.process_time()
        with self.within(item.nodeid):
            info = getattr(item, "_fixtureinfo", None)
            for definitions in getattr(info, "name2fixturedefs", {}).values():
                for fixture in definitions:
                    if fixture.scope != "function":
                        self.use(f"fixture {fixture.baseid} {fixture.argname}")
            result = yield
        self.seconds[item.nodeid] = time.process_time() - began
        return result

    @pytest.hookimpl(wrapper=True)
    def pytest_fixture_setup(self, fixturedef: Any) -> Generator[None, Any, Any]:
        """A fixture that several tests share runs under its own name."""
        if fixturedef.scope == "function":
            return (yield)
        with self.within(f"fixture {fixturedef.baseid} {fixturedef.argname}"):
            return (yield)

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        """What fails, or is skipped, without any mutant can notice nothing."""
        if not report.passed:
            self.failed.add(report.nodeid)


def record(folder: Path, tests: Iterable[str], only_new: bool) -> int:
    """Run these tests, or those that were not yet recorded, once, and write down what each of them reaches."""
    known = _read(folder)
    here = folder / RECORDINGS / str(1 + len(_recordings(folder)))
    for room in ("graph", "queries"):
        for file in sorted((ROOT / room).rglob("*.py")):
            copy = here / SOURCES / file.relative_to(ROOT)
            copy.parent.mkdir(parents=True, exist_ok=True)
            shutil.copyfile(file, copy)
    measured = coverage.Coverage(data_file=str(here / LINES), source_pkgs=["knockon"], branch=False, config_file=False)
    measured.erase()
    recorder = Recorder(measured, frozenset(known["seconds"] if only_new else ()))
    recorder.install()
    measured.start()
    status = int(pytest.main(["-q", "-p", "no:cacheprovider", *tests], plugins=[recorder]))
    measured.stop()
    measured.save()
    passed = {name: round(s, 4) for name, s in recorder.seconds.items() if name not in recorder.failed}
    asked = {label: found | set(known["used"].get(label, ())) for label, found in recorder.used.items() if label}
    used = {label: sorted(found) for label, found in asked.items()}
    text = {
        "seconds": dict(sorted((known["seconds"] | passed).items())),
        "failed": sorted({*known["failed"], *recorder.failed} - passed.keys()),
        "used": dict(sorted((known["used"] | used).items())),
    }
    (folder / TESTS).write_text(json.dumps(text, indent=0), encoding="utf-8")
    return status


def _recordings(folder: Path) -> list[Path]:
    return sorted(path for path in (folder / RECORDINGS).glob("*") if path.is_dir())


def _read(folder: Path) -> dict[str, Any]:
    if not (folder / TESTS).exists():
        return {"seconds": {}, "failed": [], "used": {}}
    read: dict[str, Any] = json.loads((folder / TESTS).read_text(encoding="utf-8"))
    return read


class Reach:
    """What was recorded, asked the other way round: which tests reach a line.

    Lines are those of the files as they are now; where a file has changed since some tests were recorded, its changed
    lines are reached by all of these tests that reach the file.
    """

    def __init__(self, folder: Path) -> None:
        read = _read(folder)
        self.seconds: dict[str, float] = read["seconds"]
        self.users: dict[str, list[str]] = {}
        for user, labels in read["used"].items():
            for label in labels:
                self.users.setdefault(label, []).append(user)
        self.recordings = [(path, coverage.CoverageData(str(path / LINES))) for path in _recordings(folder)]
        for _, data in self.recordings:
            data.read()
        self.by_line: dict[str, dict[int, set[str]]] = {}

    def tests_recorded(self) -> dict[str, int]:
        """How many tests of each file were recorded, so can notice a mutant."""
        return dict(sorted(Counter(name.partition("::")[0] for name in self.seconds).items()))

    def labels(self, file: str) -> dict[int, set[str]]:
        """For each line of a file the labels under which it ran; "" is the import. A line that is in no recording as
        it is now is not there."""
        if file not in self.by_line:
            lines = (ROOT / file).read_text(encoding="utf-8").splitlines()
            found: dict[int, set[str]] = {}
            changed: dict[int, set[str]] = {}
            for path, data in self.recordings:
                (name,) = [f for f in data.measured_files() if f.endswith("/" + file)] or [""]
                then = data.contexts_by_lineno(name) if name else {}
                was = _as_it_was(path / SOURCES / file, lines)
                everything = {label for labels in then.values() for label in labels if label}
                for line in range(1, len(lines) + 1):
                    if line in was:
                        found.setdefault(line, set()).update(then.get(was[line], ()))
                    else:
                        changed.setdefault(line, set()).update(everything)
            self.by_line[file] = {line: labels | changed.get(line, set()) for line, labels in found.items()}
        return self.by_line[file]

    def tests(self, labels: Iterable[str]) -> set[str]:
        """The tests behind some labels, through all that is cached."""
        seen: set[str] = set()
        todo = list(labels)
        while todo:
            label = todo.pop()
            if label not in seen:
                seen.add(label)
                todo.extend(self.users.get(label, ()))
        return seen & self.seconds.keys()

    def at_import(self, file: str, first: int, last: int) -> bool:
        """Whether one of these lines runs at import, or is not known."""
        labels = self.labels(file)
        return any("" in labels.get(line, ("",)) for line in range(first, last + 1))

    def of_lines(self, file: str, first: int, last: int) -> set[str]:
        """The tests that run one of these lines after the import."""
        labels = self.labels(file)
        return self.tests({label for line in range(first, last + 1) for label in labels.get(line, ()) if label})

    def of_file(self, file: str) -> set[str]:
        """The tests that run any line of a file after its import."""
        return self.tests({label for found in self.labels(file).values() for label in found if label})


def _as_it_was(file: Path, lines: list[str]) -> dict[int, int]:
    """For each line that did not change, its number in the file as it was."""
    old = file.read_text(encoding="utf-8").splitlines() if file.exists() else []
    blocks = difflib.SequenceMatcher(None, old, lines, autojunk=False).get_matching_blocks()
    return {b.b + i + 1: b.a + i + 1 for b in blocks for i in range(b.size)}
