"""Running the command line: in this process for speed, or the real command in a process of its own."""

from __future__ import annotations

import contextlib
import functools
import io
import json
import os
import subprocess
import sys
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from knockon.queries.ui.command_line import main
from knockon.queries.ui.document import in_full
from knockon.queries.ui.published import answer_types

SWAP = ("swap", "tansy-m080", "--want", "rotor=LARCH-201")
FULL = (*SWAP, "--full")


@dataclass(frozen=True)
class Ran:
    """What a command left behind."""

    status: int
    out: str
    err: str

    @property
    def lines(self) -> list[str]:
        return self.out.splitlines()

    def section(self, heading: str) -> list[str]:
        """The lines under a heading, up to the next blank line."""
        start = self.lines.index(heading) + 1
        rest = self.lines[start:]
        return rest[: rest.index("")] if "" in rest else rest

    @property
    def flowing(self) -> str:
        """The text without line breaks, for sentences that are wrapped."""
        return " ".join(self.out.split())


def pasted(ran: Ran) -> list[str]:
    """The commands that end a page, as a shell reads them; none where the page names none."""
    lines = ran.out.partition("\nnext: ")[2].replace("\\\n", " ").splitlines()
    return [" ".join(line.split()) for line in lines]


def run(*arguments: str) -> Ran:
    """Run a command in this process."""
    out, err = (io.TextIOWrapper(io.BytesIO(), encoding="utf-8", newline="\n") for _ in range(2))
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        status = main(arguments)
    texts = []
    for stream in (out, err):
        stream.flush()
        texts.append(stream.buffer.getvalue().decode("utf-8"))
    return Ran(status, *texts)


@functools.cache
def demo(*arguments: str) -> Ran:
    """Ask the demo world, each question once."""
    return run(*arguments)


def real(*arguments: str, environment: Mapping[str, str] | None = None) -> Ran:
    """Run the real command, ``python -m knockon``, in a process of its own."""
    done = subprocess.run(
        [sys.executable, "-m", "knockon", *arguments],
        capture_output=True,
        env={**os.environ, **(environment or {})},
        timeout=120,
        check=False,
    )
    encoding = (environment or {}).get("PYTHONIOENCODING", "utf-8")
    return Ran(done.returncode, done.stdout.decode(encoding), done.stderr.decode("utf-8", "replace"))


def full(text: str) -> dict[str, Any]:
    """A JSON document with everything that it refers to in place, and all keys there."""
    document = json.loads(text)
    return in_full(document, answer_types()[document["answer"].replace(" ", "-")])
