"""Walks from position to position, and orders in which each stands behind what it follows from.

By hand, not by networkx: to load that takes longer than the whole search for the best plan of the demo world.
"""

from __future__ import annotations

import heapq
from collections import deque
from collections.abc import Callable, Iterable, Mapping, Sequence
from graphlib import TopologicalSorter
from typing import Any, TypeVar

T = TypeVar("T")


def steps_from(sources: Iterable[T], beside: Mapping[T, Iterable[T]]) -> dict[T, int]:
    """How many steps away each thing is that can be reached, from the nearest of the sources."""
    found = dict.fromkeys(sources, 0)
    waiting = deque(found)
    while waiting:
        here = waiting.popleft()
        for there in beside.get(here, ()):
            if there not in found:
                found[there] = found[here] + 1
                waiting.append(there)
    return found


def reached_from(start: int, after: Sequence[Iterable[int]]) -> set[int]:
    """What comes after something, at once or later; without itself."""
    return set(steps_from((start,), dict(enumerate(after)))) - {start}


def first_order(after: Sequence[Iterable[int]], key: Callable[[int], Any]) -> list[int]:
    """The numbers from 0, each behind those that it comes after; of those that are free the one with the least key.
    ``after``: for each what comes after it. Raises graphlib.CycleError."""
    sorter: TopologicalSorter[int] = TopologicalSorter(dict.fromkeys(range(len(after)), ()))
    for before, later in enumerate(after):
        for one in later:
            sorter.add(one, before)
    sorter.prepare()
    order: list[int] = []
    free: list[tuple[Any, int]] = []
    while sorter.is_active():
        for one in sorter.get_ready():
            heapq.heappush(free, (key(one), one))
        order.append(heapq.heappop(free)[1])
        sorter.done(order[-1])
    return order
