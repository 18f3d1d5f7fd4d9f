"""The commands that write, each with the records that it starts from and what it leaves when nobody kills it."""

from __future__ import annotations

import contextlib
import io
import re
import shutil
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from unittest import mock

from knockon.graph.files.rdf_files import note_files
from knockon.graph.model.catalogue import Catalogue
from knockon.graph.model.findings import RecordsError
from knockon.graph.quarantine import book_bytes, kept_bytes, read_book, read_kept
from knockon.graph.records import load
from knockon.graph.tables.files import read_folder
from knockon.queries.intake.sheets.entry_names import names_of
from knockon.queries.ui.command_line import main
from tests.exchange.world import write_world

WHEN = "2024-05-05T12:00:00Z"
NOTE: tuple[str, ...] = (
    "note",
    "add",
    "--member",
    "m3",
    "--text",
    "did it",
    "--outcome",
    "measured",
    "--part",
    "S-1",
    "--vehicle",
    "van",
)
NOTE += ("--size", "S-1, spacer: length = 12.5 mm")
SHEET = "Part,Length (mm)\nS-1,12.7\nS-2,1x\nS-1,12.8\n"
BOOK = "Part,Teeth,Pitch\nJ-1,25,24/48\nF-9,25,24/48\n"
Files = tuple[tuple[str, bytes], ...]


@dataclass(frozen=True)
class State:
    """What a reader sees: the tables, what imports keep beside them, the notes and clubs by their files, the files that
    are handed out, and the catalogue that all of it makes."""

    tables: tuple[object, ...]
    kept: bytes
    waiting: bytes
    notes: Files
    clubs: Files
    handed: tuple[bytes | None, ...]
    catalogue: Catalogue

    @property
    def records(self) -> tuple[object, ...]:
        """All but the files that are handed out and the catalogue, which is made of the rest."""
        return self.tables, self.kept, self.waiting, self.notes, self.clubs

    def undated(self) -> State:
        """The same without the moment at which notes were written, which their files hold."""
        return replace(self, notes=tuple((name, b"") for name, _ in self.notes))


@dataclass(frozen=True)
class Scenario:
    """A writing command: ``words``, run in ``start`` (a folder that holds ``ours`` and the files that it is given).

    ``again``: the same words bring it to ``new`` from wherever it was killed; otherwise each run adds something.
    ``edits``: the table that a hand may edit while an import of it is cut short.
    """

    name: str
    start: Path
    words: tuple[str, ...]
    old: State
    new: State
    again: bool = True
    edits: str = ""
    given: tuple[str, ...] = field(default=())
    """Files beside the records that the command writes."""


def run(place: Path, words: Sequence[str]) -> int:
    """Run a command in a place, its time of writing always the same."""
    out = io.TextIOWrapper(io.BytesIO(), encoding="utf-8")
    told = [w.replace("@", str(place)) for w in words]
    with timeless(), contextlib.redirect_stdout(out), contextlib.redirect_stderr(out):
        status = main([*told, "--records", str(place / "ours")])
    assert status in (0, 1), out.buffer.getvalue().decode()
    return status


@contextlib.contextmanager
def timeless() -> Iterator[None]:
    """Within it notes are written at one moment, so that two runs write the same bytes."""
    with mock.patch("knockon.graph.notes.write.now", lambda: WHEN):
        yield


def state(place: Path, given: Sequence[str] = ()) -> State:
    """What a reader sees of the records, what imports keep beside them, the notes, and the files that are handed out.

    Raises RecordsError where they cannot be read.
    """
    ours = place / "ours"
    tables = tuple(sorted((t.file, t.header, t.rows) for t in read_folder(ours, [])))
    records = load(ours)
    assert records.findings == (), records.findings
    notes = tuple((p.name, p.read_bytes()) for p in note_files(ours))
    clubs = tuple(sorted((p.name, p.read_bytes()) for p in (ours / "clubs").glob("*.nq")))
    handed = tuple(_content(place / name) for name in given)
    kept, waiting = kept_bytes(read_kept(ours)), book_bytes(read_book(ours))
    return State(tables, kept, waiting, notes, clubs, handed, records.catalogue)


def _content(path: Path) -> bytes | None:
    return path.read_bytes() if path.exists() else None


def hidden(place: Path) -> list[str]:
    """What a killed writer left half-written."""
    return sorted(p.name for p in place.rglob(".*") if p.is_file() and p.name != ".knockon.lock")


def scenarios(root: Path) -> tuple[Scenario, ...]:
    """All writing commands, each tried once to its end."""
    return tuple(_built(root))


def _built(root: Path) -> Iterator[Scenario]:
    start = _start(root / "start")
    take = ("--accept-mapping", "--table", "features/spacer", "--feature", "spacer", "--source", "N1")
    spline = ("--accept-mapping", "--feature", "spline", "--source", "N1", "--table", "features/internal_spline")
    yield _scenario(root, "note add", start, NOTE, again=False)
    yield _scenario(
        root, "note withdraw", start, ("note", "withdraw", "N2", "--member", "m2", "--why", "misread"), again=False
    )
    yield _scenario(
        root,
        "import",
        start,
        ("import", "@/mine.csv", *take),
        edits="features/spacer.csv",
        given=("mine.csv-metadata.json",),
    )
    yield _scenario(
        root,
        "import of a new table",
        start,
        ("import", "@/book.csv", *spline),
        edits="features/internal_spline.csv",
        given=("book.csv-metadata.json",),
    )
    taken = _after(root, "taken", start, ("import", "@/mine.csv", *take))
    (taken / "mine.csv").write_text(SHEET.replace("12.7", "12.9").replace("S-1,12.8\n", ""), encoding="utf-8")
    yield _scenario(root, "import of a changed sheet", taken, ("import", "@/mine.csv"), edits="features/spacer.csv")
    entry = names_of(read_book(taken / "ours"))[0]
    yield _scenario(
        root,
        "quarantine --accept",
        taken,
        ("quarantine", "--accept", f"{entry}=0"),
        again=False,
        edits="features/spacer.csv",
    )
    yield _scenario(root, "merge", start, ("merge", "@/north-1.trig"))
    merged = _after(root, "merged", start, ("merge", "@/north-1.trig"))
    yield _scenario(root, "merge of a newer file", merged, ("merge", "@/north-2.trig"))
    yield _scenario(root, "merge --remove", merged, ("merge", "--remove", "north"), again=False)
    sharing = ("share", "@/us.trig", "--club", "us", "--date", WHEN)
    yield _scenario(root, "share", start, sharing, given=("us.trig",))
    yield _scenario(root, "export", start, ("export", "@/all.nq"), given=("all.nq",))
    shared = _after(root, "shared", _after(root, "exported", start, ("export", "@/all.nq")), NOTE)
    yield _scenario(root, "export over an older one", shared, ("export", "@/all.nq"), given=("all.nq",))


def _start(place: Path) -> Path:
    write_world(place / "ours")
    (place / "mine.csv").write_text(SHEET, encoding="utf-8")
    (place / "book.csv").write_text(BOOK, encoding="utf-8")
    for number, length in (("1", "12.2 mm"), ("2", "12.4 mm")):
        other = place / f"north-{number}"
        write_world(other / "ours", features__spacer=f"part,feature,length,source\nS-2,spacer,{length},drawings\n")
        run(
            other,
            ("share", f"{place}/north-{number}.trig", "--club", "north", "--date", f"2024-0{number}-01T00:00:00Z"),
        )
        shutil.rmtree(other)
    return place


def _after(root: Path, name: str, start: Path, words: tuple[str, ...]) -> Path:
    place = root / name
    shutil.copytree(start, place)
    run(place, words)
    return place


def _scenario(
    root: Path,
    name: str,
    start: Path,
    words: tuple[str, ...],
    again: bool = True,
    edits: str = "",
    given: tuple[str, ...] = (),
) -> Scenario:
    place = _after(root, re.sub(r"\W", "-", f"to the end {name}"), start, words)
    old, new = state(start, given), state(place, given)
    assert old != new and hidden(place) == [], name
    return Scenario(name, start, words, old, new, again, edits, given)


def readable(place: Path, given: Sequence[str]) -> State | str:
    """The state, or why it cannot be read."""
    try:
        return state(place, given)
    except RecordsError as error:
        return str(error)
