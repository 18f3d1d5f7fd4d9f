"""Photographs as evidence of a note: kept by content, once, beside the records; missed when lost or changed."""

from __future__ import annotations

import hashlib
import json
import struct
import zlib
from pathlib import Path

import pytest

from knockon.graph.notes import photographs
from knockon.graph.notes.photographs import ending_of, problem_of, read_photographs
from knockon.graph.notes.readings import NoteRefused
from knockon.graph.records import load_records
from knockon.queries.intake.check import check_records
from tests.commands.running import Ran, run
from tests.unit.small import folder_of

JPEG = b"\xff\xd8\xff\xe0\x00\x10JFIF\x00" + bytes(40)
PLACE = b"\xff\xd8\xff\xe1\x00\x20Exif\x00\x00GPS 52.1 N" + bytes(20)


def _png() -> bytes:
    def chunk(kind: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    head = struct.pack(">IIBBBBB", 1, 1, 8, 0, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", zlib.compress(b"\0\0")) + chunk(b"IEND", b"")


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return folder_of(tmp_path / "records")


def photo(tmp_path: Path, name: str = "a.jpg", content: bytes = JPEG) -> str:
    path = tmp_path / name
    path.write_bytes(content)
    return str(path)


def add(folder: Path, *photos: str) -> tuple[int, str]:
    asked = [word for p in photos for word in ("--photo", p)]
    said = ("--member", "m1", "--text", "look", "--outcome", "told")
    ran = run("--records", str(folder), "note", "add", *said, *asked)
    return ran.status, ran.out + ran.err


@pytest.mark.parametrize(
    ("content", "ending"),
    [
        (JPEG, "jpg"),
        (_png(), "png"),
        (b"RIFF\x24\0\0\0WEBPVP8 ", "webp"),
        (b"\0\0\0\x18ftypheic\0\0\0\0", "heic"),
        (b"\0\0\0\x18ftypmif1\0\0\0\0", "heic"),
        (b"\0\0\0\x18ftypmp42\0\0\0\0", ""),  # a film
        (b"RIFF\x24\0\0\0WAVEfmt ", ""),
        (b"%PDF-1.7", ""),
        (b"", ""),
    ],
)
def test_a_picture_is_told_by_its_first_bytes(content: bytes, ending: str) -> None:
    assert ending_of(content) == ending


def test_a_photograph_is_kept_by_its_content_and_no_byte_is_changed(folder: Path, tmp_path: Path) -> None:
    status, said = add(folder, photo(tmp_path, "IMG 1.PNG", PLACE))
    assert status == 0 and "goes along when you share" in said
    name = f"{hashlib.sha256(PLACE).hexdigest()}.jpg"
    assert (folder / "photographs" / name).read_bytes() == PLACE
    (note,) = [n for n in load_records(folder).notes.values() if n.text == "look"]
    assert note.photographs == (name,)


def test_the_same_photograph_is_kept_once(folder: Path, tmp_path: Path) -> None:
    add(folder, photo(tmp_path), photo(tmp_path, "b.jpeg"))
    add(folder, photo(tmp_path))
    assert len(list((folder / "photographs").iterdir())) == 1
    notes = [n for n in load_records(folder).notes.values() if n.text == "look"]
    assert [len(n.photographs) for n in notes] == [1, 1]


@pytest.mark.parametrize("content", [b"hello", b"\xff\xd8"])
def test_what_is_no_photograph_is_refused_and_nothing_is_written(folder: Path, tmp_path: Path, content: bytes) -> None:
    status, said = add(folder, photo(tmp_path), photo(tmp_path, "b.jpg", content))
    assert status == 2 and "b.jpg is no photograph" in " ".join(said.split())
    assert not (folder / "photographs").exists() and not (folder / "notes").exists()


def test_what_is_not_there_or_too_large_is_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    with pytest.raises(NoteRefused, match="cannot be read"):
        read_photographs([tmp_path / "none.jpg"])
    with pytest.raises(NoteRefused, match="folder"):
        read_photographs([tmp_path])
    monkeypatch.setattr(photographs, "MOST_BYTES", 10)
    with pytest.raises(NoteRefused, match="10 bytes"):
        read_photographs([Path(photo(tmp_path))])


def test_a_note_that_is_refused_leaves_no_photograph(folder: Path, tmp_path: Path) -> None:
    said = ("--member", "m1", "--text", "look", "--outcome", "told", "--part", "NO-SUCH")
    ran = run("--records", str(folder), "note", "add", *said, "--photo", photo(tmp_path))
    assert ran.status == 2 and not (folder / "photographs").exists()


def test_check_names_photographs_that_are_gone_or_changed(folder: Path, tmp_path: Path) -> None:
    add(folder, photo(tmp_path), photo(tmp_path, "b.png", _png()))
    assert not [f for f in check_records(folder).findings if f.file.startswith("photographs/")]
    first, second = sorted((folder / "photographs").iterdir())
    first.write_bytes(first.read_bytes() + b"x")
    second.unlink()
    found = [f for f in check_records(folder).findings if f.file.startswith("photographs/")]
    assert {(f.written, f.problem) for f in found} == {
        (first.name, "the bytes of its file are others"),
        (second.name, "its file is not there"),
    }
    add(folder, photo(tmp_path), photo(tmp_path, "b.png", _png()))
    assert not [f for f in check_records(folder).findings if f.file.startswith("photographs/")], "mended"


def test_a_name_that_is_no_digest_leads_to_no_file(folder: Path) -> None:
    (folder / "secret.jpg").write_bytes(JPEG)
    assert problem_of(folder, "../secret.jpg") == "is not named by its content"
    assert problem_of(folder, "a" * 64 + ".jpg") == "its file is not there"


def test_a_withdrawn_note_keeps_its_photograph(folder: Path, tmp_path: Path) -> None:
    add(folder, photo(tmp_path))
    (name,) = [n.note for n in load_records(folder).notes.values() if n.text == "look"]
    assert run("--records", str(folder), "note", "withdraw", name, "--member", "m1").status == 0
    assert len(list((folder / "photographs").iterdir())) == 1
    ran = run("--records", str(folder), "note", "list", "--withdrawn", "--full", "--member", "m1")
    assert f"photographs/{hashlib.sha256(JPEG).hexdigest()}.jpg" in ran.out


def test_a_list_counts_them_and_a_full_one_names_them(folder: Path, tmp_path: Path) -> None:
    add(folder, photo(tmp_path))
    asked = ("--records", str(folder), "note", "list", "--member", "m1")
    assert "1 photograph with it" in run(*asked).flowing
    assert f"Photographs: photographs/{hashlib.sha256(JPEG).hexdigest()}.jpg" in run(*asked, "--full").flowing
    (note,) = json.loads(run(*asked, "--json").out)["notes"]
    assert note["photographs"] == [f"{hashlib.sha256(JPEG).hexdigest()}.jpg"]


def test_a_shared_file_names_them_and_does_not_contain_them(folder: Path, tmp_path: Path) -> None:
    add(folder, photo(tmp_path))
    shared = tmp_path / "club.trig"
    ran = run("--records", str(folder), "share", str(shared), "--club", "mine", "--no-photographs")
    assert ran.status == 0 and "does not contain the photographs of its notes (1 photograph)" in " ".join(
        ran.err.split()
    )
    assert hashlib.sha256(JPEG).hexdigest() in shared.read_text(encoding="utf-8")
    other = folder_of(tmp_path / "other")
    assert run("--records", str(other), "merge", str(shared)).status == 0
    (note,) = [n for n in load_records(other).notes.values() if n.text == "look"]
    assert note.photographs == (f"{hashlib.sha256(JPEG).hexdigest()}.jpg",)
    missing = [f for f in check_records(other).findings if f.file.startswith("photographs/")]
    assert [f.problem for f in missing] == ["its file is not there"]
    (other / "photographs").mkdir()
    (other / "photographs" / note.photographs[0]).write_bytes(JPEG)
    assert not [f for f in check_records(other).findings if f.file.startswith("photographs/")]


def test_a_reading_has_its_photograph_and_hands_it_on_when_it_is_corrected(folder: Path, tmp_path: Path) -> None:
    asked = ("--records", str(folder), "measured", "my-cart", "--by", "m1")
    ran = run(*asked, "axle, seat: diameter", "20.1 mm", "--photo", photo(tmp_path))
    assert ran.status == 0, ran.out + ran.err
    (note,) = [n for n in load_records(folder).notes.values() if n.photographs]
    assert note.outcome == "measured"
    again = run(*asked, "axle, seat: diameter", "20.2 mm", "--correct", "--photo", photo(tmp_path, "b.png", _png()))
    assert again.status == 0, again.out + again.err
    (note,) = [n for n in load_records(folder).notes.values() if n.photographs]
    assert note.photographs == (f"{hashlib.sha256(_png()).hexdigest()}.png",)
    assert run(*asked, "axle, seat: diameter", "--withdraw", "--photo", photo(tmp_path)).status == 2


def shared(folder: Path, out: Path, *more: str) -> Ran:
    out.parent.mkdir(exist_ok=True)
    return run("share", "--records", str(folder), str(out), "--club", "north", "--member", "m1", *more)


def test_share_writes_them_beside_the_file_and_merge_takes_them_in(folder: Path, tmp_path: Path) -> None:
    add(folder, photo(tmp_path, "a.jpg", PLACE), photo(tmp_path, "b.png", _png()))
    out, other = tmp_path / "out" / "north.trig", folder_of(tmp_path / "other")
    ran = shared(folder, out)
    assert ran.status == 0 and "2 photographs of its notes in" in " ".join(ran.err.split())
    names = sorted(p.name for p in (folder / "photographs").iterdir())
    assert sorted(p.name for p in (out.parent / "photographs").iterdir()) == names
    assert (out.parent / "photographs" / names[0]).read_bytes() == (folder / "photographs" / names[0]).read_bytes()
    ran = run("merge", "--records", str(other), str(out))
    assert "Photographs of its notes: 2, 2 of them new." in ran.flowing
    assert sorted(p.name for p in (other / "photographs").iterdir()) == names
    assert "2, 0 of them new." in run("merge", "--records", str(other), str(out)).flowing
    assert not [f for f in check_records(other).findings if f.file.startswith("photographs/")]


def test_share_leaves_them_out_when_asked_and_says_what_is_lost(folder: Path, tmp_path: Path) -> None:
    add(folder, photo(tmp_path), photo(tmp_path, "b.png", _png()))
    out, other = tmp_path / "out" / "north.trig", folder_of(tmp_path / "other")
    ran = shared(folder, out, "--no-photographs")
    assert not (out.parent / "photographs").exists() and "does not contain the photographs" in " ".join(ran.err.split())
    assert "did not come with the file: 2." in run("merge", "--records", str(other), str(out)).flowing
    assert not (other / "photographs").exists()
    next((folder / "photographs").iterdir()).write_bytes(b"other bytes")
    assert "1 photograph missing or changed" in " ".join(shared(folder, out).err.split())
    assert len(list((out.parent / "photographs").iterdir())) == 1


def test_a_changed_photograph_beside_a_file_is_not_taken_in_and_a_trial_takes_none(
    folder: Path, tmp_path: Path
) -> None:
    add(folder, photo(tmp_path))
    out, other = tmp_path / "out" / "north.trig", folder_of(tmp_path / "other")
    shared(folder, out)
    run("merge", "--records", str(other), str(out), "--dry-run")
    assert not (other / "photographs").exists()
    next((out.parent / "photographs").iterdir()).write_bytes(JPEG + b"more")
    assert "did not come with the file: 1." in run("merge", "--records", str(other), str(out)).flowing
    assert not (other / "photographs").exists()


def test_measured_says_under_what_name_a_photograph_is_kept(folder: Path, tmp_path: Path) -> None:
    words = ("my-cart", "left hub, diameter", "20.03 mm", "--by", "m1", "--photo", photo(tmp_path))
    name = f"photographs/{hashlib.sha256(JPEG).hexdigest()}.jpg"
    ran = run("measured", "--records", str(folder), *words)
    assert ran.status == 0 and f"Photograph kept: {name}" in ran.out and (folder / name).exists()
    ran = run("--json", "measured", "--records", str(folder), *words[:2], "20.05 mm", "--correct", *words[5:])
    assert json.loads(ran.out)["result"]["photographs"] == [name]
