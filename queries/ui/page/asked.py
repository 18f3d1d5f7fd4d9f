"""Questions on the way: worker processes that answer them, who waits for which, and answers that are kept.

The same question about the same state of the records is asked once, however many wait for it. Answers are kept, the
newest ``MOST_BYTES`` of them. A question that nobody wants any more is stopped with the process that works on it.
"""

from __future__ import annotations

import asyncio
import sys
from collections import OrderedDict
from collections.abc import Coroutine, Sequence
from pathlib import Path

import msgspec

from knockon.graph.files.shipped import shipped
from knockon.queries.ui.page.pieces import Outcome
from knockon.queries.ui.page.state import State, state_of
from knockon.queries.ui.page.worker import LENGTH, Finished, Question, Step, packed
from knockon.queries.ui.sentences import page as say

WORKERS = 2
MOST_BYTES = 32 * 1024 * 1024
MOST_WAITING = 40
MOST_ANSWERS = 400
"""Questions after which a process is replaced by a new one, so that what libraries keep cannot grow."""
Key = tuple[Question, State]


class Asking:
    """One question on the way: what is being done (``step``), since when, and its outcome when it is there."""

    def __init__(self, question: Question) -> None:
        self.question = question
        self.began_at = asyncio.get_running_loop().time()
        self.step = Step(say.WAITS)
        self.outcome: asyncio.Future[Outcome] = asyncio.get_running_loop().create_future()
        self.worker: asyncio.subprocess.Process | None = None
        self.stopped = False


class Questions:
    """Asks about one records folder (None: the demo world)."""

    def __init__(self, records: Path | None, workers: int = WORKERS) -> None:
        self.records = records
        self._folder = shipped("data_demo") if records is None else records
        self._free = asyncio.Semaphore(workers)
        self._idle: list[tuple[asyncio.subprocess.Process, int]] = []
        self._kept: OrderedDict[Key, Outcome] = OrderedDict()
        self._bytes = 0
        self.on_the_way: dict[Key, Asking] = {}
        self._tasks: set[asyncio.Task[None]] = set()

    def asking(self, words: Sequence[str], as_json: bool = False) -> Asking:
        """A question, on the way or answered. Raises TooMany."""
        question = Question(tuple(words), as_json)
        key = (question, state_of(self._folder))
        if key in self.on_the_way:
            return self.on_the_way[key]
        asking = Asking(question)
        if key in self._kept:
            self._kept.move_to_end(key)
            asking.outcome.set_result(self._kept[key])
            return asking
        if len(self.on_the_way) >= MOST_WAITING:
            raise TooMany
        self.on_the_way[key] = asking
        self._begin(self._answer(asking, key))
        return asking

    async def ask(self, words: Sequence[str], as_json: bool = False) -> Outcome:
        """The outcome of a question. Raises TooMany, Stopped."""
        return await asyncio.shield(self.asking(words, as_json).outcome)

    async def write(self, words: Sequence[str]) -> Outcome:
        """The outcome of a command that writes: it is never kept, and asked as often as it is said."""
        asking = Asking(Question(tuple(words)))
        await self._work(asking)
        return await asking.outcome

    def stop(self, asking: Asking) -> None:
        """Stop a question."""
        asking.stopped = True
        if asking.worker is not None and not asking.outcome.done():
            asking.worker.kill()

    async def close(self) -> None:
        """End all processes."""
        for asking in list(self.on_the_way.values()):
            self.stop(asking)
        for process, _ in self._idle:
            process.kill()
            await process.wait()
        self._idle.clear()
        for task in list(self._tasks):
            task.cancel()

    def _begin(self, work: Coroutine[object, object, None]) -> None:
        task = asyncio.create_task(work)
        self._tasks.add(task)
        task.add_done_callback(self._tasks.discard)

    async def _answer(self, asking: Asking, key: Key) -> None:
        try:
            await self._work(asking)
        finally:
            self.on_the_way.pop(key, None)
            if not asking.outcome.done():
                asking.outcome.cancel()
        if not asking.outcome.cancelled() and asking.outcome.exception() is None:
            self._keep(key, asking.outcome.result())

    async def _work(self, asking: Asking) -> None:
        async with self._free:
            if asking.stopped:
                asking.outcome.set_exception(Stopped())
                asking.outcome.exception()  # who waits hears it; that nobody does is no fault
                return
            self._idle = [(process, answers) for process, answers in self._idle if process.returncode is None]
            process, answers = self._idle.pop() if self._idle else (await self._new(), 0)
            asking.worker = process
            try:
                found = await _asked(process, asking)
            except (asyncio.IncompleteReadError, ConnectionError):
                await _ended(process)
                asking.outcome.set_exception(Stopped())
                asking.outcome.exception()
                return
            except BaseException:
                await _ended(process)
                raise
            if answers + 1 < MOST_ANSWERS:
                self._idle.append((process, answers + 1))
            else:
                await _ended(process)
            asking.outcome.set_result(found)

    async def _new(self) -> asyncio.subprocess.Process:
        where = [str(self.records)] if self.records is not None else []
        return await asyncio.create_subprocess_exec(
            sys.executable, "-m", "knockon.queries.ui.page.worker", *where,
            stdin=asyncio.subprocess.PIPE, stdout=asyncio.subprocess.PIPE, start_new_session=True,
        )  # fmt: skip

    def _keep(self, key: Key, outcome: Outcome) -> None:
        self._kept[key] = outcome
        self._bytes += outcome.size
        while self._bytes > MOST_BYTES and self._kept:
            self._bytes -= self._kept.popitem(last=False)[1].size


class TooMany(Exception):
    """More questions are on the way than anybody can wait for."""


class Stopped(Exception):
    """The question was stopped, or what worked on it ended."""


async def _asked(process: asyncio.subprocess.Process, asking: Asking) -> Outcome:
    assert process.stdin is not None and process.stdout is not None
    process.stdin.write(packed(asking.question))
    await process.stdin.drain()
    while True:
        length = LENGTH.unpack(await process.stdout.readexactly(LENGTH.size))[0]
        message = _decoder.decode(await process.stdout.readexactly(length))
        if isinstance(message, Finished):
            return message.outcome
        asking.step = message


async def _ended(process: asyncio.subprocess.Process) -> None:
    if process.returncode is None:
        process.kill()
    await process.wait()


_decoder = msgspec.msgpack.Decoder(Step | Finished)
