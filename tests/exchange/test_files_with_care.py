"""What lies in a records folder and is no plain file, or cannot be looked into: said at once, never waited for."""

from __future__ import annotations

import os
import re
import stat
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from knockon.graph.exchange.handed_out import hand_out
from knockon.graph.files.atomic import AlreadyThere, NotWritten, clear_left_overs, new_beside, sole_writer, write_whole
from knockon.graph.files.errors import RecordsError
from knockon.graph.model.schema import VocabularyError
from knockon.graph.notes.write import Draft, add_note
from knockon.graph.records import load, load_records
from tests.exchange.world import write_world

DRAFT = Draft(member="m3", text="did it", parts=("S-1",), outcome="worked", date="May 2011")


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("KNOCKON_CACHE", "off")
    return write_world(tmp_path / "records")


def knockon(*arguments: str) -> subprocess.CompletedProcess[bytes]:
    command = [sys.executable, "-m", "knockon", *arguments]
    return subprocess.run(command, capture_output=True, check=False, timeout=60, stdin=subprocess.DEVNULL)


def no_looking_into(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """As another user finds it; root may look everywhere."""
    folder.chmod(0)
    real = os.scandir

    def scandir(path: str | Path) -> object:
        if Path(path) == folder:
            raise PermissionError(13, "Permission denied", str(path))
        return real(path)

    monkeypatch.setattr(os, "scandir", scandir)


@pytest.mark.parametrize("name", ["features", "notes", "clubs"])
def test_a_folder_that_cannot_be_looked_into_is_not_empty(
    folder: Path, name: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    add_note(folder, DRAFT, lambda: load_records(folder))
    (folder / "clubs").mkdir()
    with monkeypatch.context() as patch:
        no_looking_into(folder / name, patch)
        with pytest.raises(RecordsError, match=f"{name} cannot be opened"):
            load(folder)
        with pytest.raises(RecordsError, match="cannot be opened"):
            add_note(folder, DRAFT, lambda: load_records(folder))
    (folder / name).chmod(0o755)
    assert load(folder).findings == ()


@pytest.mark.parametrize("name", ["features", "notes", "clubs"])
def test_a_file_where_a_folder_belongs_is_said(folder: Path, name: str) -> None:
    if name == "features":
        (folder / name).rename(folder / "elsewhere")
    (folder / name).write_text("", encoding="utf-8")
    done = knockon("check", "--records", str(folder))
    assert done.returncode == 2 and f"{name} cannot be opened".encode() in b" ".join(done.stderr.split())


def make_pipe(path: Path) -> None:
    os.mkfifo(path)


def make_link_to_device(path: Path) -> None:
    path.symlink_to("/dev/zero")


def make_folder(path: Path) -> None:
    path.mkdir()


@pytest.mark.parametrize(
    ("make", "sort"), [(make_pipe, b"pipe"), (make_link_to_device, b"device"), (make_folder, b"folder")]
)
@pytest.mark.parametrize("name", ["extra.csv", "features/extra.csv", "own.ttl", "notes/N9.nq", "clubs/other.nq"])
def test_what_is_no_file_is_named_and_not_waited_for(
    folder: Path, make: Callable[[Path], None], sort: bytes, name: str
) -> None:
    path = folder / name
    path.parent.mkdir(exist_ok=True)
    make(path)
    done = knockon("check", "--json", "--records", str(folder))
    said = b" ".join((done.stdout + done.stderr).split())
    assert done.returncode in (1, 2) and b"Traceback" not in said
    assert Path(name).name.encode() in said and b"it is a " + sort in said


def test_a_folder_named_like_a_vocabulary_is_no_stack_trace(folder: Path) -> None:
    (folder / "own.ttl").mkdir()
    with pytest.raises(VocabularyError, match=r"own\.ttl cannot be read: it is a folder"):
        load(folder)


def test_a_sheet_or_query_that_is_a_pipe_is_refused(folder: Path, tmp_path: Path) -> None:
    for name, command in (("s.csv", "import"), ("q.rq", "ask"), ("c.trig", "merge")):
        os.mkfifo(tmp_path / name)
        done = knockon(command, str(tmp_path / name), "--records", str(folder))
        assert done.returncode == 2 and b"it is a pipe" in b" ".join(done.stderr.split())


def test_a_link_is_not_replaced(folder: Path, tmp_path: Path) -> None:
    target = tmp_path / "elsewhere.nq"
    target.write_text("theirs", encoding="utf-8")
    link = folder / "linked.nq"
    link.symlink_to(target)
    with pytest.raises(NotWritten, match=r"linked\.nq is a link\. Put a plain file there\. Nothing was changed$"):
        write_whole(link, b"ours")
    assert link.is_symlink() and target.read_text(encoding="utf-8") == "theirs"


def test_a_linked_table_is_not_replaced_by_an_import(folder: Path, tmp_path: Path) -> None:
    target = tmp_path / "spacer.csv"
    table = folder / "features" / "spacer.csv"
    target.write_bytes(table.read_bytes())
    table.unlink()
    table.symlink_to(target)
    before = target.read_bytes()
    sheet = tmp_path / "s.csv"
    sheet.write_text("Part,Length (mm)\nS-1,12.5\n", encoding="utf-8")
    options = ("--table", "features/spacer", "--feature", "spacer", "--source", "N1", "--accept-mapping")
    done = knockon("import", str(sheet), *options, "--records", str(folder))
    assert done.returncode == 2 and b"spacer.csv is a link." in b" ".join(done.stderr.split())
    assert table.is_symlink() and target.read_bytes() == before


def test_the_lock_is_no_way_to_empty_a_file(folder: Path, tmp_path: Path) -> None:
    target = tmp_path / "precious"
    target.write_text("kept", encoding="utf-8")
    (folder / ".knockon.lock").symlink_to(target)
    try:
        with sole_writer(folder, patience=1.0):
            pass
    except NotWritten:
        pass
    assert target.read_text(encoding="utf-8") == "kept"


def test_files_get_the_rights_that_their_user_gives_new_ones(folder: Path, tmp_path: Path) -> None:
    mask = os.umask(0o002)
    try:
        add_note(folder, DRAFT, lambda: load_records(folder))
        hand_out(tmp_path / "out.nq", b"x", folder)
    finally:
        os.umask(mask)
    made = [*(folder / "notes").iterdir(), folder / ".knockon.lock", tmp_path / "out.nq"]
    assert {stat.S_IMODE(p.stat().st_mode) for p in made} == {0o664}


def test_a_name_that_is_taken_is_not_written_over(tmp_path: Path) -> None:
    path = tmp_path / "N03.nq"
    path.write_text("theirs", encoding="utf-8")
    with pytest.raises(AlreadyThere):
        write_whole(path, b"ours", only_new=True)
    assert path.read_text(encoding="utf-8") == "theirs"
    write_whole(tmp_path / "N04.nq", b"ours", only_new=True)
    assert (tmp_path / "N04.nq").read_bytes() == b"ours"
    assert sorted(p.name for p in tmp_path.iterdir()) == ["N03.nq", "N04.nq"]


def test_left_overs_of_a_killed_export_go_with_the_next_one(folder: Path, tmp_path: Path) -> None:
    (tmp_path / ".out.nq.0a1b2c3d.part").write_text("half", encoding="utf-8")
    (tmp_path / ".other.nq.0a1b2c3d.part").write_text("not ours to judge", encoding="utf-8")
    hand_out(tmp_path / "out.nq", b"x", folder)
    assert sorted(p.name for p in tmp_path.glob(".*")) == [".other.nq.0a1b2c3d.part"]


def test_a_left_over_goes_but_not_what_a_living_writer_has_in_hand(tmp_path: Path) -> None:
    handle, in_hand = new_beside(tmp_path / "out.nq")
    try:
        left_over, other = tmp_path / ".out.nq.0a1b2c3d.part", tmp_path / "out.nq.part"
        for path in (left_over, other):
            path.write_text("half", encoding="utf-8")
        clear_left_overs(tmp_path, re.compile(r"\.out\.nq\.[0-9a-f]{8}\.part"))
        assert set(tmp_path.iterdir()) == {in_hand, other}
    finally:
        os.close(handle)
