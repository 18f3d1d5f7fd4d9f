"""The bar beside long work: on a terminal only, and only once the work is long."""

from __future__ import annotations

import io
import time

import pytest

from knockon.queries.ui.terminal.progress import _Line, progress_bar, steps_shown


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


def test_a_line_says_which_step_is_done_and_goes_without_a_trace() -> None:
    stream = Terminal()
    line = _Line(stream, "judging parts")
    line.write()
    assert stream.getvalue() == "\rjudging parts, 0 s"
    line.begin("finding reasons", 3, 17)
    line.write()
    assert stream.getvalue().endswith("\rfinding reasons, 3 of 17, 0 s")
    line.begin("done", 0, 0)
    line.write()
    line.erase()
    shown = stream.getvalue().split("\r")
    assert shown[-3].rstrip() == "done, 0 s" and len(shown[-3]) == len("finding reasons, 3 of 17, 0 s")
    assert shown[-2].isspace() and not shown[-1]


def test_the_line_is_written_while_nobody_calls(monkeypatch: pytest.MonkeyPatch) -> None:
    stream = Terminal()
    monkeypatch.setattr("sys.stderr", stream)
    with steps_shown("judging parts", after=0.0) as begin:
        begin("preparing the search", 0, 0)
        while "preparing the search" not in stream.getvalue():
            time.sleep(0.01)
    assert stream.getvalue().endswith("\r")


def test_short_steps_and_what_is_no_terminal_show_no_line(monkeypatch: pytest.MonkeyPatch) -> None:
    for stream, after in ((Terminal(), 60.0), (io.StringIO(), 0.0)):
        monkeypatch.setattr("sys.stderr", stream)
        with steps_shown("judging parts", after) as begin:
            begin("preparing the search", 0, 0)
        assert stream.getvalue() == ""


def test_steps_within_steps_write_one_line(monkeypatch: pytest.MonkeyPatch) -> None:
    stream = Terminal()
    monkeypatch.setattr("sys.stderr", stream)
    with steps_shown("comparing", after=0.0):
        with steps_shown("reading", after=0.0) as begin:
            begin("planning", 0, 0)
            while "planning" not in stream.getvalue():
                time.sleep(0.01)
        assert not stream.getvalue().endswith("\r")
    assert stream.getvalue().endswith("\r")
