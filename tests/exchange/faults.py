"""Faults on purpose: a process that dies at a chosen line of the writer, and processes that write at once."""

import os
import signal
import sys
from collections.abc import Callable, Collection, Sequence
from types import FrameType
from typing import Any

from knockon.graph.files import atomic

WRITER = (atomic.__file__,)


def dies_at_line(number: int, work: Callable[[], object], writers: Collection[str] = WRITER) -> bool:
    """Do the work in a child that kills itself at the ``number``-th line run in the writers; whether it died."""
    child = os.fork()
    if child == 0:
        _work_until(number, work, writers)
    _, status = os.waitpid(child, 0)
    if os.WIFSIGNALED(status):
        assert os.WTERMSIG(status) == signal.SIGKILL
        return True
    assert os.waitstatus_to_exitcode(status) == 0
    return False


def _work_until(number: int, work: Callable[[], object], writers: Collection[str]) -> None:
    passed = 0

    def trace(frame: FrameType, event: str, argument: Any) -> Any:
        nonlocal passed
        if frame.f_code.co_filename not in writers:
            return None
        if event == "line":
            passed += 1
            if passed == number:
                os.kill(os.getpid(), signal.SIGKILL)
        return trace

    try:
        sys.settrace(trace)
        work()
        os._exit(0)
    except BaseException:
        os._exit(3)


def at_once(works: Sequence[Callable[[], object]]) -> list[int]:
    """Do all in processes of their own at the same time; their exit statuses."""
    children = []
    for work in works:
        child = os.fork()
        if child == 0:
            try:
                work()
                os._exit(0)
            except BaseException:
                os._exit(3)
        children.append(child)
    return [os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) for child in children]
