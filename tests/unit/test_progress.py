"""The bar beside long work: on a terminal only, and only once the work is long."""

from __future__ import annotations

import io

import pytest

from knockon.queries.ui.terminal.progress import progress_bar


class Terminal(io.StringIO):
    def isatty(self) -> bool:
        return True


def drawn(stream: io.StringIO, monkeypatch: pytest.MonkeyPatch, after: float) -> str:
    monkeypatch.setattr("sys.stderr", stream)
    with progress_bar("reading s.csv", after) as progress:
        for done in range(0, 400, 100):
            progress(done, 400)
    return stream.getvalue()


def test_long_work_shows_how_far_it_is(monkeypatch: pytest.MonkeyPatch) -> None:
    said = drawn(Terminal(), monkeypatch, after=0.0)
    assert "reading s.csv" in said and "75%" in said and said.endswith("\n")


def test_short_work_and_what_is_no_terminal_show_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    assert drawn(Terminal(), monkeypatch, after=60.0) == ""
    assert drawn(io.StringIO(), monkeypatch, after=0.0) == ""
