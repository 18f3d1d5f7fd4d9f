"""What a command says once it has written: whatever goes wrong from there on, it did not fail, and says what stands.

To call it a failure would have a note written twice, or a merge be made again.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any, TypeVar

import click

from knockon.queries.ui.asking import GOOD, CouldNotRun, Settings, mistakes_told, told
from knockon.queries.ui.sentences.shell import A_FAULT, NOT_SHOWN, STOPPED
from knockon.queries.ui.terminal.plain import say_beside

T = TypeVar("T")


class WrittenButNotShown(Exception):  # no error: the command did what it was asked
    """Something is written, and what was to be shown of it is not. ``status`` is the exit status all the same."""

    def __init__(self, said: str, why: str, status: int) -> None:
        super().__init__(NOT_SHOWN.format(said=said.strip(), why=why))
        self.status = status


@contextmanager
def having_written(said: str, status: int = GOOD) -> Iterator[None]:
    """Around all that follows the writing. ``said``: what is written, as a sentence."""
    try:
        yield
    except click.exceptions.Exit:
        raise
    except BaseException as error:
        raise WrittenButNotShown(said, _why(error), status) from error


def done(settings: Settings, name: str, answer: Any, said: str) -> int:
    """Tell what was written, as JSON or in one sentence; it is good, also where it cannot be shown."""
    with having_written(said):
        return told(settings, name, answer, said)


def afterwards(work: Callable[[], T]) -> tuple[T | None, str]:
    """What there is to say of something that stands written, or why that is not known."""
    try:
        with mistakes_told():
            return work(), ""
    except BaseException as error:
        return None, _why(error)


def _why(error: BaseException) -> str:
    """An exception in words; those that nobody foresaw with their trace."""
    if isinstance(error, CouldNotRun):
        return error.format_message()
    if isinstance(error, KeyboardInterrupt | EOFError | click.Abort):
        return STOPPED
    if isinstance(error, OSError | MemoryError):
        return str(error) or type(error).__name__
    if not isinstance(error, Exception):
        raise error
    import traceback

    say_beside("".join(traceback.format_exception(error)).rstrip("\n"))
    return A_FAULT
