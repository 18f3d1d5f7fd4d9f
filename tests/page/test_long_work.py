"""Work that takes long: what it is doing is said, it can be stopped, and it holds up nobody else; answers are kept for
as long as the records stand, and no longer."""

from __future__ import annotations

import asyncio
import os
import shutil
import time
from pathlib import Path

import pytest

from knockon.queries.ui.page import asked
from knockon.queries.ui.page.asked import Questions, Stopped, TooMany
from tests.page.conftest import DEMO

SWAP = ["swap", "--want=rotor=LARCH-201", "--", "tansy-m080"]


def test_a_question_is_stopped_and_its_process_with_it() -> None:
    async def walk() -> None:
        questions = Questions(None, workers=1)
        asking = questions.asking(SWAP)
        while asking.worker is None or asking.step.step == "":
            await asyncio.sleep(0.02)
        process = asking.worker
        questions.stop(asking)
        with pytest.raises(Stopped):
            await asyncio.shield(asking.outcome)
        assert process.returncode is not None
        assert (await questions.ask(["part", "--", "LARCH-201"])).status == 0  # the next one is answered
        await questions.close()

    asyncio.run(walk())


def test_what_is_being_done_is_told() -> None:
    async def walk() -> None:
        questions, heard = Questions(None), set[str]()
        asking = questions.asking(SWAP)
        while not asking.outcome.done():
            heard.add(asking.step.step)
            await asyncio.sleep(0.005)
        assert "reading the records" in heard
        assert len(heard) > 3
        await questions.close()

    asyncio.run(walk())


def test_a_long_question_holds_up_no_other() -> None:
    async def walk() -> None:
        questions = Questions(None, workers=2)
        await questions.ask(["part", "--", "LARCH-202"])
        long = questions.asking(SWAP)
        assert (await questions.ask(["part", "--", "LARCH-201"])).status == 0
        assert not long.outcome.done()
        questions.stop(long)
        await questions.close()

    asyncio.run(walk())


def test_the_same_question_is_asked_once_and_its_answer_kept(tmp_path: Path) -> None:
    async def walk() -> None:
        folder = tmp_path / "records"
        shutil.copytree(DEMO, folder)
        questions = Questions(folder)
        first, second = questions.asking(SWAP), questions.asking(SWAP)
        assert first is second
        await asyncio.shield(first.outcome)
        began = time.monotonic()
        again = await questions.ask(SWAP)
        assert again is first.outcome.result()
        assert time.monotonic() - began < 0.5
        note = folder / "notes.csv"
        os.utime(note, ns=(note.stat().st_atime_ns, note.stat().st_mtime_ns + 1))
        assert not questions.asking(SWAP).outcome.done()  # the records are others now
        await questions.close()

    asyncio.run(walk())


def test_what_is_kept_is_bounded(monkeypatch: pytest.MonkeyPatch) -> None:
    async def walk() -> None:
        questions = Questions(None)
        for number in ("LARCH-201", "LARCH-202", "LARCH-203L", "LARCH-204"):
            await questions.ask(["part", "--full", "--", number])
            await asyncio.sleep(0)
        kept = questions._kept
        assert 0 < sum(outcome.size for outcome in kept.values()) <= 12_000
        await questions.close()

    monkeypatch.setattr(asked, "MOST_BYTES", 12_000)
    asyncio.run(walk())


def test_not_more_wait_than_can_be_answered(monkeypatch: pytest.MonkeyPatch) -> None:
    async def walk() -> None:
        questions = Questions(None, workers=1)
        for number in range(3):
            questions.asking(["part", "--", f"X-{number}"])
        with pytest.raises(TooMany):
            questions.asking(["part", "--", "X-9"])
        await questions.close()

    monkeypatch.setattr(asked, "MOST_WAITING", 3)
    asyncio.run(walk())


def test_a_process_that_ends_by_itself_is_replaced() -> None:
    async def walk() -> None:
        questions = Questions(None, workers=1)
        await questions.ask(["part", "--", "LARCH-201"])
        process, _ = questions._idle[0]
        process.kill()
        await process.wait()
        assert (await questions.ask(["part", "--", "LARCH-202"])).status == 0
        await questions.close()

    asyncio.run(walk())
