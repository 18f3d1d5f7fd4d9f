"""Export in columns, where the extra that writes them is not installed, and beside what it cannot be asked with."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

from tests.commands.running import run


def test_without_pyarrow_the_extra_is_named(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "pyarrow.parquet", None)
    monkeypatch.setitem(sys.modules, "pyarrow", None)
    done = run("export", "--parquet", str(tmp_path / "out"))
    assert done.status == 2 and 'pip install "knockon[cluster]"' in done.err
    assert not (tmp_path / "out").exists()


@pytest.mark.parametrize(
    "arguments", [(), ("a.nq", "--parquet", "out"), ("--parquet", "out", "--for-queries")], ids=str
)
def test_either_a_file_or_a_folder_of_columns(arguments: tuple[str, ...]) -> None:
    done = run("export", *arguments)
    assert done.status == 2 and "Name one" in done.err


def test_a_folder_in_a_folder_that_is_not_there_is_no_place(tmp_path: Path) -> None:
    done = run("export", "--parquet", str(tmp_path / "no" / "out"))
    assert done.status == 2 and str(tmp_path / "no") in done.err
