"""How long a question may search, who hears what it does meanwhile, and how the solver is waited for."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager
from typing import TYPE_CHECKING, TypeVar

if TYPE_CHECKING:
    import clingo

T = TypeVar("T")
Heard = Callable[[str, int, int], None]
"""Called with what begins now, and of what is done one by one with how much is done and how much there is (else 0)."""
JUDGING, GROUNDING, BEST_PLAN, MAY_STAY = "judging", "grounding", "best plan", "may stay"
REASONS, OPENING, OTHER_PLANS, PLANS = "reasons", "opening", "other plans", "plans"
COUNTING = "counting"
"""The steps of a question that are heard."""
SECONDS = 60.0
SHORT = 0.2
"""Seconds of one wait: the solver's own code hears neither a clock nor Ctrl-C."""


class TimeUp(Exception):
    """The time is over and nothing is proved: neither that there is what was sought, nor that there is none."""


class Found(frozenset[T]):
    """What was found. Only where it is ``whole`` is it all there is: else the time was up before."""

    whole: bool

    def __new__(cls, found: Iterable[T], whole: bool = True) -> Found[T]:
        """Of what was found."""
        one = super().__new__(cls, found)
        one.whole = whole
        return one


def unheard(step: str, done: int, whole: int) -> None:
    """What nobody hears."""


class Patience:
    """The time that a question has for its search: so many ``seconds`` for the best plan and, from ``again`` on, as
    long again for what is said about it. The first begins with the first search, so that reading and grounding do not
    count. ``heard`` is called as each step begins."""

    def __init__(
        self, seconds: float = SECONDS, heard: Heard = unheard, clock: Callable[[], float] = time.monotonic
    ) -> None:
        self.seconds, self.heard, self._clock = seconds, heard, clock
        self._end: float | None = None

    def anew(self) -> Patience:
        """As much time for another question."""
        return Patience(self.seconds, self.heard, self._clock)

    def again(self) -> None:
        """From now on the whole time anew."""
        self._end = self._clock() + self.seconds

    @property
    def left(self) -> float:
        """Seconds that are left; the first time that it is asked they begin to run."""
        now = self._clock()
        if self._end is None:
            self._end = now + self.seconds
        return self._end - now

    @contextmanager
    def a_share(self, share: float) -> Iterator[None]:
        """Within this block no more than a share of the time that is left."""
        whole = self.left
        end = self._end
        assert end is not None
        self._end = end - (1.0 - share) * max(0.0, whole)
        try:
            yield
        finally:
            self._end = end

    def check(self) -> None:
        """Raise TimeUp where no time is left."""
        if self.left <= 0:
            raise TimeUp

    def wait(self, handle: clingo.SolveHandle) -> None:
        """Until the solver has an answer, in short waits so that Ctrl-C is heard. Raises TimeUp; it is cancelled."""
        while not handle.wait(max(0.0, min(SHORT, self.left))):
            if self.left <= 0:
                handle.cancel()
                raise TimeUp


class Solving:
    """One search on the way."""

    def __init__(self, handle: clingo.SolveHandle, patience: Patience) -> None:
        self.handle, self.patience = handle, patience

    def models(self) -> Iterator[clingo.Model]:
        """The models as they are found. Raises TimeUp; ``last`` has then what was found so far."""
        while True:
            self.handle.resume()
            self.patience.wait(self.handle)
            model = self.handle.model()
            if model is None:
                return
            yield model
            if self.patience.left <= 0:
                self.handle.cancel()
                raise TimeUp

    def all(self) -> bool:
        """Go through all models, each of which holds or betters the one before; whether the search came to its end."""
        try:
            for _ in self.models():
                pass
        except TimeUp:
            return False
        return True

    @property
    def last(self) -> clingo.Model | None:
        """The last model that was found."""
        return self.handle.last()


@contextmanager
def solving(control: clingo.Control, assumptions: Sequence[int], patience: Patience) -> Iterator[Solving]:
    """A search under assumptions; it ends with the block, whatever ends that. Raises TimeUp where no time is left."""
    patience.check()
    with control.solve(assumptions=assumptions, yield_=True, async_=True) as handle:
        yield Solving(handle, patience)


# ---- grounding

_grounding: set[threading.Thread] = set()


def ground(control: clingo.Control, parts: Sequence[tuple[str, Sequence[clingo.Symbol]]]) -> None:
    """Ground, in a thread of its own: nothing stops it, but so Ctrl-C is heard and ends the question."""
    failed: list[BaseException] = []

    def work() -> None:
        try:
            control.ground(parts)
        except BaseException as error:  # handed to the one who waits
            failed.append(error)
        finally:
            _grounding.discard(thread)

    thread = threading.Thread(target=work, daemon=True)
    _grounding.add(thread)
    thread.start()
    while thread.is_alive():
        thread.join(SHORT)
    if failed:
        raise failed[0]


def is_grounding() -> bool:
    """Whether something still grounds that nobody waits for any more: the process must then end without tidying up,
    since that would take from the thread what it works on."""
    return any(thread.is_alive() for thread in _grounding)
