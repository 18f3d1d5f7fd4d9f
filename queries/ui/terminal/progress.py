"""A bar on the standard error output while work takes long; nothing where that is no terminal."""

from __future__ import annotations

import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any

import click

Progress = Callable[[int, int], None]
"""Called with how much is done and how much there is."""
LONG = 1.0
"""Seconds after which work is long."""


@contextmanager
def progress_bar(label: str, after: float = LONG) -> Iterator[Progress]:
    """What is to be called as the work goes on; the bar comes after so many seconds, on a terminal only."""
    stream = sys.stderr
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
