"""Forms that write: read with care, handed to the command, answered by a redirect; a mistake goes back to its field."""

from __future__ import annotations

import secrets
import shutil
import tempfile
from collections import OrderedDict
from pathlib import Path

import msgspec
from starlette.datastructures import FormData, UploadFile
from starlette.requests import Request

from knockon.queries.ui.page.asked import Questions
from knockon.queries.ui.page.guard import MEGABYTE, MOST_MEGABYTES
from knockon.queries.ui.page.pieces import Outcome, Piece, Text
from knockon.queries.ui.page.rooms.measure import AS_READ_FIELD
from knockon.queries.ui.page.showing import Sent
from knockon.queries.ui.page.writing import Writing, words_to_write
from knockon.queries.ui.terminal.blocks import GOOD

MOST_FILES, MOST_FIELDS = 12, 200
MOST_KEPT = 200
ASKED_BACK = "measured"
"""The answer that asks back what looks wrong instead of writing it, with exit status 1."""
REMEMBERED = {"by": ("by", "member"), "member": ("by", "member")}
"""Who writes is typed once a visit."""


class Read(msgspec.Struct, frozen=True):
    """A form as it came: its fields, and by field the files that are kept for the command."""

    fields: dict[str, list[str]]
    files: dict[str, list[str]]

    def one(self, name: str) -> str:
        """The first value of a field."""
        return next(iter(self.fields.get(name, ())), "")


class Posts:
    """Writes for visits; remembers a while what was done, and who did it."""

    def __init__(self, questions: Questions) -> None:
        self._questions = questions
        self._done: OrderedDict[str, tuple[str, tuple[Piece, ...]]] = OrderedDict()
        self._known: OrderedDict[str, dict[str, str]] = OrderedDict()
        self.folder = Path(tempfile.mkdtemp(prefix="knockon-page-"))

    def close(self) -> None:
        """Remove the files that were sent."""
        shutil.rmtree(self.folder, ignore_errors=True)

    async def read(self, request: Request) -> Read:
        """The form of a request."""
        form = await request.form(max_files=MOST_FILES, max_fields=MOST_FIELDS, max_part_size=MOST_MEGABYTES * MEGABYTE)
        fields = {n: [str(v) for v in form.getlist(n) if not isinstance(v, UploadFile)] for n in form}
        files = {n: await self._kept(form, n) for n in form}
        return Read({n: v for n, v in fields.items() if v}, {n: paths for n, paths in files.items() if paths})

    async def _kept(self, form: FormData, name: str) -> list[str]:
        found = []
        for sent in form.getlist(name):
            if isinstance(sent, UploadFile) and sent.filename:
                folder = self.folder / secrets.token_hex(8)
                folder.mkdir()
                path = folder / plain_name(sent.filename)
                path.write_bytes(await sent.read())
                found.append(str(path))
        return found

    async def write(self, one: Writing, places: dict[str, str], read: Read, asked: dict[str, list[str]]) -> Outcome:
        """Have the command write. What the address asks counts only where the writing says so."""
        form = {**(asked if one.asked else {}), **read.fields}
        lines = {n: [line for v in values for line in v.splitlines()] for n, values in form.items() if n in MANY}
        return await self._questions.write(words_to_write(one, places, {**form, **lines}, read.files))

    def remember(self, visit: str, read: Read, outcome: Outcome) -> str:
        """Keep what was done for the room that is shown next; its name there."""
        for name, others in REMEMBERED.items():
            if value := read.one(name).strip():
                self._known[visit] = dict.fromkeys(others, value)
        name = secrets.token_hex(8)
        self._done[name] = (visit, told(outcome))
        for kept in (self._done, self._known):
            while len(kept) > MOST_KEPT:
                kept.popitem(last=False)
        return name

    def done(self, visit: str, name: str) -> tuple[Piece, ...]:
        """What was done, if it is this visit's and not forgotten."""
        whose, pieces = self._done.get(name, ("", ()))
        return pieces if whose == visit else ()

    def known(self, visit: str) -> dict[str, str]:
        """What a visit typed before and will type again."""
        return self._known.get(visit, {})


TOLD_WHOLE = frozenset({"import", "measured", "merge", "quarantine"})
"""Answers that say what was done, and nothing else."""
MANY = frozenset({"reading", "part", "size", "want", "keep", "avoid", "renew"})
"""Fields of several lines, each a value of its own."""


def told(outcome: Outcome) -> tuple[Piece, ...]:
    """What a command said once it had written."""
    written = outcome.written.decode("utf-8", "replace").split("\n")
    lines = [*written, *outcome.said, *outcome.beside]
    pieces = outcome.pieces if outcome.answer in TOLD_WHOLE else ()
    return (*(Text(line.strip(), tone=GOOD) for line in lines if line.strip()), *pieces)


def refused(read: Read, outcome: Outcome, one: Writing) -> Sent | None:
    """What goes back to the form where nothing was written; None where it was."""
    typed = {name: "\n".join(values) for name, values in read.fields.items()}
    about = {option: name for name, option in one.renamed}.get(outcome.about, outcome.about.replace("_", "-"))
    if outcome.mistake:
        return Sent(read.one("form"), one.do, typed, (about or "", outcome.mistake))
    if one.do == ASKED_BACK and outcome.status == 1:
        said = [p.text for p in outcome.pieces if isinstance(p, Text)]
        return Sent(read.one("form"), one.do, typed, ("value", " ".join(said)), (AS_READ_FIELD,))
    return None


def plain_name(name: str) -> str:
    """A file's own name without folders, in plain letters, at most 80, so that no name leads out of a folder."""
    bare = name.replace("\\", "/").rpartition("/")[2]
    kept = "".join(c if c.isalnum() or c in " ._-" else "_" for c in bare).strip(" .")[-80:]
    return kept or "file"
