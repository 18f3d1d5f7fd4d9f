"""A club's newer file replaces what it no longer says; an older one puts nothing back; nothing of it is silent."""

from datetime import UTC, datetime
from pathlib import Path

import pytest

from knockon.graph.exchange import versions
from knockon.graph.exchange.versions import moment
from knockon.graph.files.rdf_files import club_files
from knockon.graph.records import load_records
from tests.commands.running import Ran, full, run
from tests.exchange.world import write_world

OLD, NEW = "2026-01-02T03:04:05Z", "2026-03-02T03:04:05Z"


@pytest.fixture
def ours(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("KNOCKON_CACHE", "off")
    return write_world(tmp_path / "ours", features__spacer="part,feature,length,source\n")


def file_of(folder: Path, length: str, at: str, **changed: str) -> Path:
    """What the north shares: its own length of S-2."""
    sizes = f"part,feature,length,source\nS-2,spacer,{length},drawings\n"
    theirs = write_world(folder / f"{length}-{at}", features__spacer=sizes, **changed)
    file = folder / f"{length}-{at}.trig".replace(":", "").replace(" ", "")
    ran = run("share", str(file), "--club", "north", "--date", at, "--records", str(theirs))
    assert ran.status == 0, ran.err
    return file


def merge(ours: Path, *arguments: str | Path) -> Ran:
    return run("merge", *map(str, arguments), "--records", str(ours))


def lengths(ours: Path) -> set[str]:
    return {s.written for s in load_records(ours).features_of("S-2")["spacer"].dimensions["length"]}


def test_a_corrected_file_replaces_its_old_value_and_says_what_that_was(ours: Path, tmp_path: Path) -> None:
    old, new = (file_of(tmp_path, *of) for of in (("12.2 mm", OLD), ("12.9 mm", NEW)))
    assert merge(ours, old).status == 0
    looked = merge(ours, new, "--dry-run")
    assert "12.2 mm before, 12.9 mm now" in " ".join(looked.out.split())
    assert lengths(ours) == {"12.2 mm"}
    ran = merge(ours, new, "--json")
    assert ran.status == 0, ran.out
    (taken,) = full(ran.out)["result"]["taken"]
    assert (taken["how"], taken["taken"], taken["before"], taken["shared_at"]) == ("newer", True, OLD, NEW)
    assert taken["replaced"] == 1
    assert taken["no_longer"] == [
        {"club": "north", "thing": "features/S-2/spacer", "column": "length", "before": "12.2 mm", "now": "12.9 mm",
         "source": "north: drawings"},
    ]  # fmt: skip
    assert lengths(ours) == {"12.9 mm"}


def test_the_text_names_the_old_value(ours: Path, tmp_path: Path) -> None:
    merge(ours, file_of(tmp_path, "12.2 mm", OLD))
    said = " ".join(merge(ours, file_of(tmp_path, "12.9 mm", NEW)).out.split())
    assert f"shared on {NEW}, replaces the one shared on {OLD}. It no longer states 1 earlier statement" in said
    assert "features/S-2/spacer, length: 12.2 mm before, 12.9 mm now (north: drawings)." in said


def test_an_older_file_puts_no_old_value_back_and_says_so(ours: Path, tmp_path: Path) -> None:
    old, new = (file_of(tmp_path, *of) for of in (("12.2 mm", OLD), ("12.9 mm", NEW)))
    merge(ours, new)
    before = club_files(ours)[0].read_bytes()
    ran = merge(ours, old)
    assert ran.status == 1
    assert "is older than the one in your records" in " ".join(ran.out.split())
    assert "Nothing imported" in " ".join(ran.out.split())
    assert club_files(ours)[0].read_bytes() == before


def test_both_stay_if_asked_and_contradict_each_other(ours: Path, tmp_path: Path) -> None:
    old, new = (file_of(tmp_path, *of) for of in (("12.2 mm", OLD), ("12.9 mm", NEW)))
    merge(ours, old)
    ran = merge(ours, new, "--keep-old", "--json")
    answer = full(ran.out)["result"]
    assert ran.status == 1
    assert answer["taken"][0]["how"] == "old kept"
    assert [d["things"] for d in answer["size_disputes"]] == [["S-2"]]
    assert lengths(ours) == {"12.2 mm", "12.9 mm"}
    assert full(merge(ours, old, "--keep-old", "--json").out)["result"]["taken"][0]["how"] == "there already"


def test_a_row_that_is_gone_is_listed_cell_by_cell(ours: Path, tmp_path: Path) -> None:
    merge(ours, file_of(tmp_path, "12.2 mm", OLD))
    notes = "note,date,member,vehicle,text,parts,joint,outcome,source\n"
    ran = merge(ours, file_of(tmp_path, "12.2 mm", NEW, notes=notes), "--json")
    (taken,) = full(ran.out)["result"]["taken"]
    gone = {(n["thing"], n["column"], n["before"], n["now"]) for n in taken["no_longer"]}
    assert ("notes/N2", "outcome", "failed", "") in gone
    assert ("notes/N1", "text", "went on", "") in gone
    assert {t for t, *_ in gone} == {"notes/N1", "notes/N2"}
    assert set(load_records(ours).notes) == {"N1", "N2"}


def undated(folder: Path, length: str) -> Path:
    file = folder / f"undated-{length.replace(' ', '')}.nq"
    theirs = write_world(
        folder / length, features__spacer=f"part,feature,length,source\nS-2,spacer,{length},drawings\n"
    )
    assert run("export", str(file), "--records", str(theirs)).status == 0
    return file


def test_an_undated_file_puts_nothing_beside_a_dated_one_unless_asked(ours: Path, tmp_path: Path) -> None:
    merge(ours, file_of(tmp_path, "12.2 mm", OLD))
    file = undated(tmp_path, "12.9 mm")
    ran = merge(ours, file, "--club", "north")
    said = " ".join(ran.out.split())
    assert ran.status == 1
    assert "does not say when it was shared" in said and "--date" in said and "--keep-old" in said
    assert lengths(ours) == {"12.2 mm"}
    assert merge(ours, file, "--club", "north", "--keep-old", "--dry-run").status == 1  # they contradict each other
    dated = merge(ours, file, "--club", "north", "--date", NEW)
    assert dated.status == 0
    assert lengths(ours) == {"12.9 mm"}


def test_two_undated_files_are_united_and_the_text_says_what_to_do(ours: Path, tmp_path: Path) -> None:
    first, second = undated(tmp_path, "12.2 mm"), undated(tmp_path, "12.9 mm")
    assert merge(ours, first, "--club", "north").status == 0
    ran = merge(ours, second, "--club", "north")
    assert ran.status == 1
    assert "neither this file nor the earlier one says when" in " ".join(ran.out.split())
    assert lengths(ours) == {"12.2 mm", "12.9 mm"}
    merge(ours, second, "--club", "north", "--date", NEW)
    assert lengths(ours) == {"12.9 mm"}


def test_a_day_that_is_none_is_refused(ours: Path, tmp_path: Path) -> None:
    ran = merge(ours, undated(tmp_path, "12.2 mm"), "--club", "north", "--date", "last spring")
    assert ran.status == 2
    assert "enter a day and time" in ran.err


@pytest.mark.parametrize(
    ("earlier", "later"),
    [
        ("2026-01-02T03:04:05Z", "2026-01-02T03:04:05.5Z"),
        ("2026-01-02T03:04:05+02:00", "2026-01-02T03:04:05Z"),  # the zone counts, not the letters
        ("2026-01-02", "2026-01-02T00:00:01Z"),
    ],
)
def test_times_are_compared_as_times(earlier: str, later: str) -> None:
    first, second = moment(earlier), moment(later)
    assert first is not None and second is not None and first < second


@pytest.mark.parametrize("written", ["", "yesterday", "0000-01-01T00:00:00Z", "0001-01-01T00:00:00+10:00"])
def test_what_is_no_time_is_none(written: str) -> None:
    assert moment(written) is None


FUTURE = "2062-01-02T03:04:05Z"


def shared_in_the_future(folder: Path, length: str, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A file of a club whose clock is wrong."""
    with monkeypatch.context() as patch:
        patch.setattr(versions, "today", lambda: datetime(2062, 1, 3, tzinfo=UTC))
        return file_of(folder, length, FUTURE)


def test_a_file_dated_in_the_future_keeps_no_correction_out(
    ours: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    wrong, right = shared_in_the_future(tmp_path, "12.2 mm", monkeypatch), file_of(tmp_path, "12.9 mm", NEW)
    ran = merge(ours, wrong, "--json")
    (taken,) = full(ran.out)["result"]["taken"]
    assert ran.status == 1 and (taken["in_future"], taken["shared_at"], taken["how"]) == (FUTURE, "", "first")
    said = " ".join(merge(ours, wrong).out.split())
    assert f"says that it was shared on {FUTURE}, which is in the future. It counts as undated" in said
    assert lengths(ours) == {"12.2 mm"}
    assert merge(ours, right).status == 0
    assert lengths(ours) == {"12.9 mm"}
    late = merge(ours, wrong)  # as any undated file: nothing of it stands beside a dated one
    assert late.status == 1 and "does not say when it was shared" in " ".join(late.out.split())
    assert lengths(ours) == {"12.9 mm"}
    assert merge(ours, wrong, "--date", "2026-04-02T03:04:05Z").status == 1  # it still tells the other time too
    assert lengths(ours) == {"12.2 mm"}


def test_a_clock_that_is_a_little_ahead_is_believed(
    ours: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    file = file_of(tmp_path, "12.2 mm", NEW)
    monkeypatch.setattr(versions, "today", lambda: datetime(2026, 3, 2, 0, 0, tzinfo=UTC))
    assert merge(ours, file).status == 0


def test_nobody_says_that_a_file_was_shared_in_the_future(ours: Path, tmp_path: Path) -> None:
    file = undated(tmp_path, "12.2 mm")
    for words in (("merge", str(file), "--club", "north"), ("share", str(tmp_path / "us.trig"), "--club", "us")):
        ran = run(*words, "--date", FUTURE, "--records", str(ours))
        assert ran.status == 2 and "is in the future" in " ".join(ran.err.split())
    assert club_files(ours) == [] and not (tmp_path / "us.trig").exists()
