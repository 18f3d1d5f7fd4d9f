"""What is handed out lands where it was told to, and never on the records themselves."""

import os
import stat
import threading
from pathlib import Path

import pytest

from knockon.graph.exchange.handed_out import hand_out
from knockon.graph.files.atomic import NotWritten
from tests.commands.running import Ran, run
from tests.exchange.world import write_world


@pytest.fixture
def ours(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("KNOCKON_CACHE", "off")
    return write_world(tmp_path / "ours")


def contents(folder: Path) -> dict[str, bytes]:
    return {p.relative_to(folder).as_posix(): p.read_bytes() for p in folder.rglob("*") if p.is_file()}


def handed(folder: Path, way: str, file: Path | str) -> Ran:
    words = ("export", str(file), "--format", "nq") if way == "export" else ("share", str(file), "--club", "us")
    return run(*words, "--records", str(folder))


@pytest.mark.parametrize("way", ["export", "share"])
@pytest.mark.parametrize("name", ["parts.csv", "features/spacer.csv", "new.csv", "own.ttl", ".knockon.lock"])
def test_no_table_of_the_records_is_written_over(way: str, name: str, ours: Path) -> None:
    before = contents(ours)
    ran = handed(ours, way, ours / name)
    assert ran.status == 2
    assert "are read from there" in " ".join(ran.err.split())
    assert contents(ours) == before


@pytest.mark.parametrize("way", ["export", "share"])
def test_a_file_that_is_no_table_may_stand_beside_them_and_be_renewed(way: str, ours: Path) -> None:
    for _ in range(2):
        assert handed(ours, way, ours / "all.nq").status == 0


def test_a_link_is_written_through(tmp_path: Path) -> None:
    real, link = tmp_path / "real.nq", tmp_path / "link.nq"
    real.write_bytes(b"old")
    link.symlink_to(real)
    hand_out(link, b"new", None)
    assert link.is_symlink()
    assert real.read_bytes() == b"new"


def test_a_pipe_stays_a_pipe(tmp_path: Path) -> None:
    pipe, read = tmp_path / "pipe", []
    os.mkfifo(pipe)
    reader = threading.Thread(target=lambda: read.append(pipe.read_bytes()), daemon=True)
    reader.start()
    hand_out(pipe, b"n" * 200_000, None)
    reader.join(10)
    assert read == [b"n" * 200_000]
    assert stat.S_ISFIFO(pipe.stat().st_mode)


@pytest.mark.skipif(not Path("/dev/full").is_char_device(), reason="no device that is always full")
def test_a_full_device_is_said_and_stays(tmp_path: Path) -> None:
    link = tmp_path / "full"
    link.symlink_to("/dev/full")
    with pytest.raises(NotWritten, match="the disk is full"):
        hand_out(link, b"x", None)
    assert Path("/dev/full").is_char_device()
