"""A process that answers the questions of the page, one after the other, so that one that takes long can be stopped.

``python -m knockon.queries.ui.page.worker [RECORDS]``. Each message is its length (four bytes) and MessagePack: in come
``Question``; out go ``Step`` while work takes long, then one ``Outcome``. It ends where its input does.
"""

from __future__ import annotations

import os
import struct
import sys
import time
from pathlib import Path
from typing import BinaryIO

import msgspec

from knockon.queries.answers import as_text
from knockon.queries.ui.page.pieces import Outcome

LENGTH = struct.Struct(">I")
AGAIN = 0.2
"""Seconds between two steps that are told."""


class Question(msgspec.Struct, frozen=True, tag=True):
    """The words of a command, and whether its document is asked."""

    words: tuple[str, ...]
    as_json: bool = False


class Step(msgspec.Struct, frozen=True, tag=True):
    """What is being done now; of what is done one by one how much is done, and how much there is (else 0)."""

    step: str
    done: int = 0
    whole: int = 0


class Finished(msgspec.Struct, frozen=True, tag=True):
    """The last message about a question."""

    outcome: Outcome


def packed(message: msgspec.Struct) -> bytes:
    """A message as it is sent."""
    body = msgspec.msgpack.encode(message, enc_hook=as_text)
    return LENGTH.pack(len(body)) + body


def main() -> None:
    """Answer until the input ends."""
    given, out = os.fdopen(os.dup(0), "rb"), os.fdopen(os.dup(1), "wb")
    nothing = os.open(os.devnull, os.O_RDWR)  # what a library prints or reads must not meet the messages
    for stream in (0, 1):
        os.dup2(nothing, stream)
    from knockon.queries.ui.page.answering import Asker

    asker = Asker(Path(sys.argv[1]) if sys.argv[1:] else None)
    decoder = msgspec.msgpack.Decoder(Question)
    while head := given.read(LENGTH.size):
        question = decoder.decode(given.read(LENGTH.unpack(head)[0]))
        outcome = asker.ask(question.words, question.as_json, _teller(out))
        out.write(packed(Finished(outcome)))
        out.flush()


class _teller:  # noqa: N801 - it is called like a function
    """Tells steps, not more than a few a second."""

    def __init__(self, out: BinaryIO) -> None:
        self._out, self._last, self._said = out, 0.0, ""

    def __call__(self, step: str, done: int, whole: int) -> None:
        now = time.monotonic()
        if step == self._said and now - self._last < AGAIN:
            return
        self._said, self._last = step, now
        self._out.write(packed(Step(step, done, whole)))
        self._out.flush()


if __name__ == "__main__":
    main()
