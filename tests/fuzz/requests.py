"""Questions as people mistype them: whole command lines, asked of a small world that is read once."""

from __future__ import annotations

import contextlib
import io
import json
import os
import random
import re
import shlex
import socket
import sys
import tempfile
from collections.abc import Callable
from functools import cache
from pathlib import Path
from typing import Any, NoReturn
from unittest import mock

from knockon.graph import records
from knockon.graph.files.rdf_files import note_files
from knockon.graph.records import Records
from knockon.queries.ui.command_line import main
from knockon.queries.ui.sentences.shell import A_FAULT
from tests.fuzz.kinds import Input, Kind
from tests.fuzz.mutate import NASTY, broken
from tests.unit.small import TABLES

DOCS = Path(__file__).parents[2] / "docs"
ASKED = (
    "swap cart --want hub=HUB-25L --keep stud",
    "swap my-cart --want axle=AXLE-25 --renew stud --avoid Mill --prefer price",
    "swap cart --want 'axle.diameter>=24 mm' --plans 2",
    "swap cart --want 'hub.bore.diameter>=25 mm'",
    "fits HUB-20L AXLE-20 --at 'hub on axle'",
    "fits HUB-25L AXLE-20 STUD-1 --empty cap",
    "fits HUB-20L --on my-cart",
    "part HUB-20L",
    "part odd-axle",
    "partners AXLE-20",
    "tell-apart HUB-20L HUB-25L",
    "tell-apart PAIR-25 HUB-25L",
    "combinations 'cart axle' --with hub=HUB-25L --first 2",
    "combinations 'cart axle' --avoid AXLE-20",
    "kit box --for cart --want hub=HUB-25L",
    "check",
    "disputes --wishes 3 --plans 1",
    "note list --vehicle cart --outcome failed",
    "note list --part HUB-20L --member m2",
    "note add --member m1 --text seen --outcome measured --vehicle my-cart --size 'left hub, bore: diameter = 20.1 mm'",
    "note add --member m1 --text t --outcome worked --part HUB-20L --size 'HUB-20L, bore: diameter = 20 mm'",
    "note add --member m1 --text t --outcome 'made to fit' --work-done bored --joint 'hub on axle' --standing worn",
    "note withdraw N1 --member m2 --why misread",
)
LIKE = (
    ("HUB-20L", "HUB-20R", "HUB-25L", "HUB-25R", "AXLE-20", "AXLE-25", "CAP-1", "STUD-1", "PAIR-25", "HUB-?", "GREASE"),
    ("my-cart", "big-cart", "cart axle", "cart"),
    ("left hub", "hub right", "axle", "hub", "stud", "cap"),
    ("odd-axle", "box", "Mill", "Forge", "N1", "book"),
    ("bore", "seat", "diameter", "length", "hub on axle", "stud in hub"),
    ("price", "changes", "unproven", "unoffered"),
    ("failed", "measured", "worked", "made to fit", "told"),
    ("worn", "hearsay", "drawing", "on the item"),
    (" mm", " in", " cm", " m", " ft", " N m", " lbf ft", " bar", " psi", " deg"),
    ("H7", "g6", "k6", "h9", "zc8"),
    (">=", "<=", "="),
)
"""Words that may stand for each other: a question made of them may be answered."""
WAYS = (*("another name",) * 8, *("characters",) * 3, "word", "left out", "repeated", "swapped", "option")
SIGNS = re.compile(r"[\x00-\x08\x0b-\x1f\x7f-\x9f]")
OPTIONS = (
    "--json", "--without", "--want", "--keep", "--avoid", "--prefer", "--at", "--on", "--empty", "--size", "--help",
    "-h", "--", "-", "--alternatives", "--version", "--outcome", "--part",
)  # fmt: skip


class _World:
    """The small world in a folder, read once; a folder of no files, where relative names lead."""

    def __init__(self) -> None:
        self.root = Path(tempfile.mkdtemp(prefix="knockon-fuzz-"))
        self.folder = self.root / "ours"
        for name, text in TABLES.items():
            path = self.folder / name
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_text(text, encoding="utf-8")
        (self.root / "nowhere").mkdir()
        self.records = records.load(self.folder)
        self.lines = (*ASKED, *_calculations())

    def loaded(self, real: Callable[..., Records]) -> Callable[..., Records]:
        """What reads records: those read before, unless sources are left out or notes have been written."""

        def load(folder: Path, without: Any = ()) -> Records:
            if folder == self.folder and not without and not note_files(folder):
                return self.records
            return real(folder, without)

        return load


@cache
def _world() -> _World:
    return _World()


def _calculations() -> tuple[str, ...]:
    """The calculations that the docs show."""
    texts = [p.read_text(encoding="utf-8") for p in sorted(DOCS.glob("calculations/*.md"))]
    found = {m[1].rstrip("`") for text in texts for m in re.finditer(r"knockon (calculate [a-z-]+ [^\n]*)", text)}
    return tuple(
        sorted(line for line in found if "[OPTIONS]" not in line and line.count('"') % 2 == 0 and "\\" not in line)
    )


def _another(rng: random.Random, word: str) -> str:
    """The word with another of its sort in it: another part, place, unit or number."""
    there = [(name, group) for group in LIKE for name in group if name in word]
    numbers = re.findall(r"\d+(?:\.\d+)?", word)
    if numbers and (not there or rng.random() < 0.5):
        number = rng.choice(numbers)
        factor = rng.choice((0, 0.5, 0.9, 0.99, 1.01, 1.1, 2, 10, 25.4))
        return word.replace(number, f"{float(number) * factor:g}", 1)
    if there:
        name, group = rng.choice(there)
        return word.replace(name, rng.choice(group), 1)
    return rng.choice(rng.choice(LIKE))


def make(rng: random.Random) -> Input:
    """A command line with words left out, repeated, swapped, mistyped or strange."""
    lines = _world().lines
    asked = len(ASKED)
    words = shlex.split(lines[rng.randrange(asked) if rng.random() < 0.6 else rng.randrange(asked, len(lines))])
    changes: list[str] = []
    for _ in range(rng.choice((1, 1, 1, 2, 3))):
        what = rng.choice(WAYS)
        told = 2 if words[0] in ("calculate", "note") else 1  # the command's own words
        values = [n for n, word in enumerate(words) if n >= told and not word.startswith("--")]
        at = rng.choice(values) if values and rng.random() < 0.9 else rng.randrange(len(words))
        if what == "characters":
            words[at] = broken(rng, words[at].encode(), most=2)[0].decode("utf-8", "replace")
        elif what == "another name":
            words[at] = _another(rng, words[at])
        elif what == "word":
            words[at] = rng.choice(NASTY)
        elif what == "left out" and len(words) > 1:
            del words[at]
        elif what == "repeated":
            words.insert(at, words[at])
        elif what == "swapped":
            other = rng.randrange(len(words))
            words[at], words[other] = words[other], words[at]
        elif what == "option":
            words.insert(rng.randrange(1, len(words) + 1), rng.choice(OPTIONS))
        changes.append(what)
    if rng.random() < 0.3:
        words.append("--json")
    return Input(json.dumps(words).encode(), "it.json", tuple(changes))


def _asks_a_stranger(*_: object) -> NoReturn:
    raise AssertionError("a request was sent")


def take(given: Input) -> str:
    """Ask it; the exit status is 0, 1 or 2, and nothing but words comes out."""
    world = _world()
    words = [w.replace("\0", " ") for w in json.loads(given.content)]  # no program can be given a NUL
    words = [w.encode("utf-8", "replace").decode() for w in words]
    if {"export", "share", "import", "merge", "template"} & set(words[:3]):
        return "not asked: it would write"
    if words and words[0] not in ("calculate",):
        words += ["--records", str(world.folder)]
    out, err = (io.TextIOWrapper(io.BytesIO(), encoding="utf-8", newline="\n") for _ in range(2))
    before = Path.cwd()
    real = records.load
    try:
        os.chdir(world.root / "nowhere")
        with (
            mock.patch.object(records, "load", world.loaded(real)),
            mock.patch.object(socket.socket, "connect", _asks_a_stranger),
            mock.patch.object(sys, "stdin", io.StringIO()),
            contextlib.redirect_stdout(out),
            contextlib.redirect_stderr(err),
        ):
            status = main(words)
    finally:
        os.chdir(before)
        for path in note_files(world.folder):
            path.unlink()
    told, said = (_text(stream) for stream in (out, err))
    assert A_FAULT not in " ".join(said.split()) and "Traceback" not in said, said
    assert status in (0, 1, 2), status
    assert status != 2 or said, "it failed without a word"
    assert not SIGNS.search(told + said), f"a sign that steers the terminal: {told!r}{said!r}"
    if status < 2 and "--json" in words and told.startswith("{"):
        json.loads(told)
    assert not list((world.root / "nowhere").iterdir()), "a question wrote a file"
    return f"status {status}"


def _text(stream: io.TextIOWrapper) -> str:
    stream.flush()
    return stream.buffer.getvalue().decode("utf-8")  # type: ignore[attr-defined, no-any-return]


KIND = Kind("requests", make, take, _world)
