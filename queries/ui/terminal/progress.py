"""What is shown on the standard error output while work takes long; nothing where that is no terminal.

A bar where it is known how much there is, else a line that says what is being done and for how long.
"""

from __future__ import annotations

import sys
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any, TextIO

import click

from knockon.queries.ui.sentences import shell as says
from knockon.queries.ui.terminal.outlet import outlet_now

Progress = Callable[[int, int], None]
"""Called with how much is done and how much there is."""
Steps = Callable[[str, int, int], None]
"""Called with what begins now, and of what is done one by one with how much is done and how much there is (else 0)."""
LONG = 1.0
"""Seconds after which work is long."""
AGAIN = 0.5
"""Seconds after which a line is written anew."""
LONGEST = 78
_lines: list[_Line] = []
"""The line that is kept now, if any."""


@contextmanager
def progress_bar(label: str, after: float = LONG) -> Iterator[Progress]:
    """What is to be called as the work goes on; the bar comes after so many seconds, on a terminal only."""
    stream, outlet = sys.stderr, outlet_now()
    if outlet is not None and outlet.heard is not None:
        heard = outlet.heard
        yield lambda done, whole: heard(label, done, whole)
        return
    if stream is None or not stream.isatty():
        yield lambda done, whole: None
        return
    began = time.monotonic()
    shown: list[Any] = []

    def progress(done: int, whole: int) -> None:
        if not shown and time.monotonic() - began >= after and done < whole:
            shown.append(click.progressbar(length=whole, label=label, file=stream))
            shown[0].__enter__()
        if shown:
            shown[0].update(done - shown[0].pos)

    try:
        yield progress
    finally:
        for bar in shown:
            bar.__exit__(None, None, None)


@contextmanager
def steps_shown(first: str, after: float = LONG) -> Iterator[Steps]:
    """What is to be called as each step begins; ``first``: the step that begins at once. A line comes after so many
    seconds, on a terminal only, and goes when the work is done. Within another one it writes that line."""
    stream, outlet = sys.stderr, outlet_now()
    if outlet is not None and outlet.heard is not None:
        outlet.heard(first, 0, 0)
        yield outlet.heard
        return
    if stream is None or not stream.isatty():
        yield lambda step, done, whole: None
        return
    if _lines:
        _lines[-1].begin(first, 0, 0)
        yield _lines[-1].begin
        return
    line = _Line(stream, first)
    stopped = threading.Event()
    thread = threading.Thread(target=line.keep, args=(stopped, after), daemon=True)
    _lines.append(line)
    thread.start()
    try:
        yield line.begin
    finally:
        stopped.set()
        thread.join()
        _lines.remove(line)
        line.erase()


class _Line:
    """The line: what is being done. It is written by a thread of its own, since much of the work calls nobody."""

    def __init__(self, stream: TextIO, first: str) -> None:
        self._stream, self._step, self._written = stream, first, 0
        self._began = time.monotonic()

    def begin(self, step: str, done: int, whole: int) -> None:
        """A step begins, or goes on."""
        self._step = says.STEP_OF.format(step=step, done=done, whole=whole) if whole else step

    def keep(self, stopped: threading.Event, after: float) -> None:
        """Write it after so many seconds, and again until it is stopped."""
        wait = after
        while not stopped.wait(wait):
            self.write()
            wait = AGAIN

    def write(self) -> None:
        """What is being done now, and for how long."""
        said = says.STEP.format(step=self._step, seconds=int(time.monotonic() - self._began))[:LONGEST]
        self._stream.write("\r" + said.ljust(self._written))
        self._stream.flush()
        self._written = max(self._written, len(said))

    def erase(self) -> None:
        """Leave nothing behind."""
        if self._written:
            self._stream.write("\r" + " " * self._written + "\r")
            self._stream.flush()
