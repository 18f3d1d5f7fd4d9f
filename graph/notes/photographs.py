"""Photographs that show what a note says: kept beside the records by their content, and named in the note by it.

A file is named by the SHA-256 of its bytes (FIPS 180-4) and by what its first bytes are, whatever it was called before:
``photographs/9f86...08.jpg``. So the same photograph is kept once, and a changed one is noticed. No byte of it is
changed: what a camera wrote into it, such as the place, stays in it.
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Iterable, Iterator
from pathlib import Path

import msgspec

from knockon.graph.files.atomic import PHOTOGRAPHS, write_whole
from knockon.graph.files.plain import content_of, why_not
from knockon.graph.notes.readings import NoteRefused

MOST_BYTES, MOST_OF_A_NOTE = 32 * 1024 * 1024, 20
_NAME = re.compile(r"[0-9a-f]{64}\.(?:jpg|png|webp|heic)")
_BRANDS = frozenset((b"heic", b"heix", b"heim", b"heis", b"hevc", b"hevx", b"mif1", b"msf1", b"heif"))
"""Brands of a HEIF file (ISO/IEC 23008-12) as cameras write them."""


class Photograph(msgspec.Struct, frozen=True):
    """A photograph that was read: the name under which it is kept, and its bytes."""

    name: str
    content: bytes


class Carried(msgspec.Struct, frozen=True):
    """Photographs that notes name: how many stand where they belong now (``there``), how many of these were copied just
    now, and how many could not be (``missing``: not there, or other bytes)."""

    folder: str
    there: int
    copied: int
    missing: int


def ending_of(content: bytes) -> str:
    """What sort of picture this is, by its first bytes: ``jpg``, ``png``, ``webp`` or ``heic``; blank for any other.

    The signatures are those of ISO/IEC 10918-1 (JPEG), ISO/IEC 15948 (PNG), RFC 9649 (WebP) and ISO/IEC 14496-12.
    """
    if content.startswith(b"\xff\xd8\xff"):
        return "jpg"
    if content.startswith(b"\x89PNG\r\n\x1a\n"):
        return "png"
    if content[:4] == b"RIFF" and content[8:12] == b"WEBP":
        return "webp"
    return "heic" if content[4:8] == b"ftyp" and content[8:12] in _BRANDS else ""


def read_photographs(paths: Iterable[Path]) -> tuple[Photograph, ...]:
    """Photographs from their files, each once. Raises NoteRefused for what is none, is too large, or cannot be read."""
    found: dict[str, Photograph] = {}
    for path in paths:
        try:
            content = content_of(path, MOST_BYTES)
        except OSError as error:
            raise NoteRefused(f"{path} cannot be read: {why_not(error)}. Nothing was written") from error
        ending = ending_of(content)
        if not ending:
            raise NoteRefused(
                f"{path} is no photograph: its first bytes are not those of JPEG, PNG, WebP or HEIC. Nothing was"
                " written"
            )
        name = f"{hashlib.sha256(content).hexdigest()}.{ending}"
        found.setdefault(name, Photograph(name, content))
    if len(found) > MOST_OF_A_NOTE:
        raise NoteRefused(f"{len(found)} photographs. Give at most {MOST_OF_A_NOTE} with a note")
    return tuple(found.values())


def keep(folder: Path, photographs: Iterable[Photograph]) -> None:
    """Put photographs beside the records, each whole or not at all; one that is there already is left. Raises
    NotWritten. Call it while other writers are held off."""
    for photograph in photographs:
        path = folder / PHOTOGRAPHS / photograph.name
        if problem_of(folder, photograph.name):
            write_whole(path, photograph.content)


def problem_of(folder: Path, name: str) -> str:
    """Why a photograph that a note names cannot be shown; blank where it can.

    A name that is no digest leads to no file: what another club shared must not name files of one's own.
    """
    if not _NAME.fullmatch(name):
        return "is not named by its content"
    try:
        content = content_of(folder / PHOTOGRAPHS / name, MOST_BYTES)
    except FileNotFoundError:
        return "its file is not there"
    except OSError as error:
        return f"its file cannot be read: {why_not(error)}"
    return "" if hashlib.sha256(content).hexdigest() == name.partition(".")[0] else "the bytes of its file are others"


def problems_of(folder: Path, names: Iterable[str]) -> Iterator[tuple[str, str]]:
    """Those of some photographs that cannot be shown, with why."""
    for name in names:
        problem = problem_of(folder, name)
        if problem:
            yield name, problem
