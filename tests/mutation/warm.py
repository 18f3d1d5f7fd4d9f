"""Trying a mutant in a second or less: tests and product are imported and collected once, then one fork a mutant.

In the fork the changed function gets its new code, wherever it is referred to. What runs at import cannot be changed
that way; such a mutant is imported anew (:mod:`tests.mutation.trial`). Nothing is written into the checkout.
"""

from __future__ import annotations

import gc
import importlib
import os
import resource
import sys
from collections.abc import Sequence
from functools import partial
from multiprocessing import Pipe
from multiprocessing.connection import Connection
from pathlib import Path
from types import CodeType, FunctionType
from typing import Any

import pytest

from tests.mutation.program import PROGRAM
from tests.mutation.trial import ROOT, Changed, Ended, answer_of, module_of, settle_hypothesis

Functions = dict[tuple[str, str, int], list[FunctionType]]
Request = tuple[str, str, list[str], int]  # file, source, tests, seconds of processor time
TOP = "<module>"


def changed_functions(old: CodeType, new: CodeType) -> list[tuple[CodeType, CodeType]] | None:
    """The functions whose code differs, old and new; None where something else does: a module's or a class's own."""
    if old == new:
        return []
    if old.co_name != TOP and old.co_flags & 0x2:  # its names are local: a function, not the body of a class
        return [(old, new)]
    inside_old, inside_new = _inside(old), _inside(new)
    if len(inside_old) != len(inside_new) or _own(old) != _own(new):
        return None
    found = [changed_functions(a, b) for a, b in zip(inside_old, inside_new, strict=True)]
    return None if None in found else [pair for pairs in found if pairs for pair in pairs]


def _inside(code: CodeType) -> list[CodeType]:
    return [c for c in code.co_consts if isinstance(c, CodeType)]


def _own(code: CodeType) -> tuple[object, ...]:
    consts = tuple(c for c in code.co_consts if not isinstance(c, CodeType))
    return code.co_code, consts, tuple(map(type, consts)), code.co_names, code.co_exceptiontable


def functions_of_product() -> Functions:
    """The product's functions, by module, qualified name and first line."""
    found: Functions = {}
    for thing in gc.get_objects():
        if type(thing) is FunctionType:
            module = str(thing.__globals__.get("__name__", ""))
            if module.startswith("knockon."):
                code = thing.__code__
                found.setdefault((module, code.co_qualname, code.co_firstlineno), []).append(thing)
    return found


def put_in(file: str, source: str, functions: Functions) -> bool:
    """Give the functions of an imported file their changed code; False where that is not possible."""
    if file == PROGRAM:
        planner: Any = importlib.import_module("knockon.queries.plan.solving.planner")
        planner._program = lambda: source
        return True
    module = module_of(file)
    if module not in sys.modules:
        sys.meta_path.insert(0, Changed(module, source))
        return True
    path = str(sys.modules[module].__file__)
    original = (ROOT / file).read_text(encoding="utf-8")
    old, new = (compile(text, path, "exec", dont_inherit=True) for text in (original, source))
    pairs = changed_functions(old, new)
    if not pairs:
        return False
    todo: list[tuple[FunctionType, CodeType]] = []
    for before, after in pairs:
        here = functions.get((module, before.co_qualname, before.co_firstlineno), [])
        if not here or before.co_freevars != after.co_freevars:
            return False
        todo.extend((function, after) for function in here)
    for function, code in todo:
        function.__code__ = code
    return True


class Loop:
    """In place of pytest's own loop over the tests: waits for mutants and tries each in a fork."""

    def __init__(self, asked: Connection) -> None:
        self.asked = asked

    def pytest_runtestloop(self, session: pytest.Session) -> bool:
        """Serve until nothing more is asked."""
        items = {item.nodeid: item for item in session.items}
        functions = functions_of_product()
        gc.collect()
        gc.freeze()
        self.asked.send(sorted(items))
        while (request := self.asked.recv()) is not None:
            work = partial(_try, request=request, items=items, functions=functions)
            self.asked.send(answer_of(work, 8 * request[-1]))
        return True


def _try(ask: int, request: Request, items: dict[str, Any], functions: Functions) -> None:
    from _pytest.runner import runtestprotocol

    file, source, tests, limit = request
    resource.setrlimit(resource.RLIMIT_CPU, (limit, limit + 5))
    if source and not put_in(file, source, functions):
        os.write(ask, b"cold")
        return
    chosen = [items[name] for name in tests]
    for item, following in zip(chosen, [*chosen[1:], None], strict=True):
        try:
            failed = any(report.failed for report in runtestprotocol(item, log=False, nextitem=following))
        except BaseException:
            failed = True
        if failed:
            os.write(ask, f"failed {item.nodeid}".encode())
            return
    os.write(ask, b"passed")


class Warm:
    """A process that has the tests of some files ready."""

    def __init__(self, files: Sequence[str], log: Path) -> None:
        self.ask, asked = Pipe()
        self.process = os.fork()
        if self.process == 0:
            self.ask.close()
            try:
                _serve(files, log, asked)
            finally:
                os._exit(0)
        asked.close()
        self.tests: frozenset[str] = frozenset(self.ask.recv())

    def run(self, file: str, source: str, tests: Sequence[str], limit: int) -> Ended | None:
        """How the tests end; None where the mutant has to be imported anew."""
        self.ask.send((file, source, list(tests), limit))
        ended: Ended = self.ask.recv()
        return None if ended.how == "cold" else ended

    def close(self) -> None:
        """Nothing more is asked."""
        self.ask.send(None)
        self.ask.close()
        os.waitpid(self.process, 0)


def _serve(files: Sequence[str], log: Path, asked: Connection) -> None:
    out = os.open(log, os.O_WRONLY | os.O_CREAT | os.O_TRUNC)
    for stream in (1, 2):
        os.dup2(out, stream)
    settle_hypothesis()
    quiet = ["-q", "-p", "no:cacheprovider", "-p", "no:xdist", "--capture=sys", "--assert=plain", "--tb=native"]
    pytest.main([*quiet, *files], plugins=[Loop(asked)])
