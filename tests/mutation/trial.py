"""Trying one mutant: a forked process imports it in place of its file and runs the chosen tests until one fails.

Nothing is written into the checkout. The libraries are imported before the fork, the product and the tests after it.
"""

from __future__ import annotations

import contextlib
import importlib.util
import os
import resource
import select
import signal
import sys
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from importlib.abc import MetaPathFinder
from importlib.machinery import ModuleSpec, PathFinder, SourceFileLoader
from pathlib import Path
from types import CodeType
from typing import Any

import pytest

ROOT = Path(__file__).parents[2]
LIBRARIES = (
    "clingo", "click", "lark", "networkx", "numpy", "oxrdflib", "pandas", "pint", "pyshacl", "python_calamine",
    "rapidfuzz", "rdflib", "rich", "hypothesis", "jsonschema", "_pytest.assertion.rewrite", "xml.etree.ElementTree",
)  # fmt: skip


def import_libraries() -> None:
    """Import once what each mutant needs."""
    for name in LIBRARIES:
        if importlib.util.find_spec(name):
            __import__(name)


def module_of(file: str) -> str:
    """The name under which a file of the checkout is imported."""
    parts = Path(file).with_suffix("").parts
    parts = parts[1:] if parts[:2] == ("queries", "knockon") else ("knockon", *parts)
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


class Changed(MetaPathFinder):
    """Finds one module with another source than its file holds."""

    def __init__(self, module: str, source: str) -> None:
        self.module, self.source = module, source

    def find_spec(self, fullname: str, path: Sequence[str] | None, target: Any = None) -> ModuleSpec | None:
        """The module's own spec, but for the loader."""
        if fullname != self.module:
            return None
        spec = PathFinder.find_spec(fullname, path, target)
        if spec is None or spec.origin is None:
            return None
        source = self.source

        class Loader(SourceFileLoader):
            def get_code(self, fullname: str) -> CodeType:
                return compile(source, self.path, "exec", dont_inherit=True)

        spec.loader = Loader(fullname, spec.origin)
        return spec


class Chosen:
    """Runs these tests only, in this order, and says which of them failed."""

    def __init__(self, order: Sequence[str]) -> None:
        self.order = {name: i for i, name in enumerate(order)}
        self.failed = ""

    @pytest.hookimpl(trylast=True)
    def pytest_collection_modifyitems(self, items: list[pytest.Item]) -> None:
        """The chosen ones, first things first."""
        items[:] = sorted((i for i in items if i.nodeid in self.order), key=lambda item: self.order[item.nodeid])

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        """The first failure."""
        if report.failed and not self.failed:
            self.failed = report.nodeid


@dataclass(frozen=True, slots=True)
class Ended:
    """How a run of tests ended: ``passed``, ``failed`` (with the test), ``broken`` (nothing could be collected), or
    ``time`` (stopped for taking much too long)."""

    how: str
    test: str = ""
    seconds: float = 0.0


def answer_of(work: Callable[[int], None], patience: float) -> Ended:
    """Do something in a fork, which writes how it ended into a pipe; within ``patience`` seconds."""
    began = time.perf_counter()
    answers, ask = os.pipe()
    child = os.fork()
    if child == 0:
        os.close(answers)
        os.setsid()
        try:
            work(ask)
        finally:
            os._exit(0)
    os.close(ask)
    try:
        ready, _, _ = select.select([answers], [], [], patience)
        text = os.read(answers, 10_000).decode() if ready else ""
    finally:
        _kill(child)
        os.waitpid(child, 0)
        os.close(answers)
    how, _, test = text.partition(" ")
    return Ended(how or "time", test, time.perf_counter() - began)


def _kill(child: int) -> None:
    with contextlib.suppress(ProcessLookupError):
        os.kill(child, signal.SIGKILL)
    with contextlib.suppress(ProcessLookupError, PermissionError):
        os.killpg(child, signal.SIGKILL)


def run(module: str, source: str | None, tests: Sequence[str], limit: int, log: Path) -> Ended:
    """Run tests with a module's source replaced (None: as it is), in a process of their own.

    ``limit``: the processor time that it may take, in seconds.
    """
    return answer_of(lambda ask: _import_and_run(ask, module, source, tests, limit, log), 8 * limit)


def settle_hypothesis() -> None:
    """The same cases in every run, and no search for a smaller one when a mutant fails."""
    from hypothesis import Phase, settings

    settings.register_profile("mutants", deadline=None, derandomize=True, phases=(Phase.explicit, Phase.generate))
    os.environ["HYPOTHESIS_PROFILE"] = "mutants"
    os.environ.setdefault("KNOCKON_EXAMPLES", "40")


def _import_and_run(ask: int, module: str, source: str | None, tests: Sequence[str], limit: int, log: Path) -> None:
    out = os.open(log, os.O_WRONLY | os.O_CREAT | os.O_TRUNC)
    for stream in (1, 2):
        os.dup2(out, stream)
    resource.setrlimit(resource.RLIMIT_CPU, (limit, limit + 5))
    if source is not None:
        sys.meta_path.insert(0, Changed(module, source))
    settle_hypothesis()
    chosen = Chosen(tests)
    files = list(dict.fromkeys(t.partition("::")[0] for t in tests))
    quiet = ["-x", "-q", "--no-header", "-p", "no:cacheprovider", "-p", "no:xdist", "--assert=plain", "--tb=native"]
    status = int(pytest.main([*quiet, *files], plugins=[chosen]))
    failed = f"failed {chosen.failed}" if chosen.failed else f"broken status {status}"
    text = "passed" if status == 0 else failed
    os.write(ask, text.encode())
