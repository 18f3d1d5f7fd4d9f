"""The sorts of condition between seats: what a joint, a set, a choice or a dependent place asks of their values.

Sums stand in ``sums``. Each factor says what the states of one seat's values are, and how states are joined; the proof
of each that equal states are told apart by nothing stands with its states.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Hashable, Mapping, Sequence
from functools import cached_property

import msgspec

from knockon.queries.plan.counting.network import Group, Join, State, by_trying

ACTIVE, IDLE = "active", "idle"
SETTLED = "settled"


class Joint(msgspec.Struct, frozen=True, dict=True):
    """Two seats whose values go together or not: ``allowed[row]`` has a bit for each column that goes with the row.

    The state of a value is its row or column; equal rows, and equal columns, are one, so that values between which the
    joint makes no difference are one. With a ``switch``, a seat of a choice, the joint is made in some of its values
    only (state ``ACTIVE``).
    """

    first: int
    second: int
    allowed: tuple[int, ...]
    switch: int | None = None

    @cached_property
    def seats(self) -> frozenset[int]:
        """The seats on which it depends."""
        return frozenset({self.first, self.second} if self.switch is None else {self.first, self.second, self.switch})

    def joining(self, one: Group, other: Group, others: Sequence[Collection[State]] = ()) -> Join:
        """A pair is looked up where both are there; a switch is waited for."""
        if self.switch is None:
            if self.first in one.seats:
                return lambda row, column: SETTLED if self._goes(row, column) else None
            return lambda column, row: SETTLED if self._goes(row, column) else None
        return self._with_switch(whole=self.seats <= one.seats | other.seats)

    def partners(self, one: Group, other: Group, where: Mapping[State, int]) -> Mapping[State, int]:
        """Each pair is tried."""
        return by_trying(self.joining(one, other), one.states, where)

    def _goes(self, row: State, column: State) -> bool:
        assert isinstance(row, int) and isinstance(column, int)
        return bool(self.allowed[row] >> column & 1)

    def _with_switch(self, whole: bool) -> Join:
        def join(one: State, other: State) -> State | None:
            known = {**dict(_pairs(one)), **dict(_pairs(other))}
            if known.get("is") == IDLE:
                return ()
            if "row" in known and "column" in known:
                if self._goes(known["row"], known["column"]):
                    return ()
                return None if whole or "is" in known else (("no", True),)
            if "no" in known and "is" in known:
                return None
            return tuple(sorted(known.items()))

        return join


def _pairs(state: State) -> Sequence[tuple[str, State]]:
    assert isinstance(state, tuple)
    return state


class AllHold(msgspec.Struct, frozen=True):
    """Seats that leave some of several things possible, bit for bit, of which one must be left: a choice and the places
    of its arrangements. Of a group only what it leaves matters."""

    seats: frozenset[int]

    def joining(self, one: Group, other: Group, others: Sequence[Collection[State]] = ()) -> Join:
        """What both leave."""

        def join(left: State, right: State) -> State | None:
            assert isinstance(left, int) and isinstance(right, int)
            return left & right or None

        return join

    def partners(self, one: Group, other: Group, where: Mapping[State, int]) -> Mapping[State, int]:
        """Each pair is tried."""
        return by_trying(self.joining(one, other), one.states, where)


class Alike(msgspec.Struct, frozen=True):
    """Seats whose states must be equal: the members of sets, where a set is used whole or not at all."""

    seats: frozenset[int]

    def joining(self, one: Group, other: Group, others: Sequence[Collection[State]] = ()) -> Join:
        """The same on both."""
        return lambda left, right: left if left == right else None

    def partners(self, one: Group, other: Group, where: Mapping[State, int]) -> Mapping[State, int]:
        """Each pair is tried."""
        return by_trying(self.joining(one, other), one.states, where)


class CalledFor(msgspec.Struct, frozen=True):
    """A place that is filled where another calls for it, if it is open, and else is empty.

    States are tuples of (called for, filled, open), each None until it is known; called for by any is called for.
    """

    seats: frozenset[int]

    def joining(self, one: Group, other: Group, others: Sequence[Collection[State]] = ()) -> Join:
        """What is known of both; judged when all is known."""
        whole = self.seats <= one.seats | other.seats

        def join(left: State, right: State) -> State | None:
            assert isinstance(left, tuple) and isinstance(right, tuple)
            called = left[0] or right[0]
            filled, is_open = (b if a is None else a for a, b in zip(left[1:], right[1:], strict=True))
            return (called, filled, is_open) if not whole or holds(called, filled, is_open) else None

        return join

    def partners(self, one: Group, other: Group, where: Mapping[State, int]) -> Mapping[State, int]:
        """Each pair is tried."""
        return by_trying(self.joining(one, other), one.states, where)


def holds(called: bool, filled: bool | None, is_open: bool | None) -> bool:
    """Whether a place that is needed with another is filled, or empty, as it should be."""
    return bool(filled) or not is_open if called else not filled


class Tabulated(msgspec.Struct, frozen=True, dict=True):
    """A figure by formula: what each seat adds to it, by number (None: not known yet), decided when all is known.

    ``rules_out`` says of a whole tuple whether it is a no; each is asked once. With a ``switch``, in some values of
    that seat only.
    """

    order: tuple[int, ...]
    rules_out: Callable[[tuple[Hashable, ...]], bool]
    switch: int | None = None

    @cached_property
    def seats(self) -> frozenset[int]:
        """The seats on which it depends."""
        return frozenset(self.order) if self.switch is None else frozenset((*self.order, self.switch))

    @cached_property
    def _known(self) -> dict[tuple[Hashable, ...], bool]:
        return {}

    def is_no(self, values: tuple[Hashable, ...]) -> bool:
        """Whether a whole tuple is ruled out."""
        if values not in self._known:
            self._known[values] = self.rules_out(values)
        return self._known[values]

    def joining(self, one: Group, other: Group, others: Sequence[Collection[State]] = ()) -> Join:
        """What is known of both; judged when all is known."""
        whole = self.seats <= one.seats | other.seats

        def join(left: State, right: State) -> State | None:
            if IDLE in (left, right):
                return IDLE
            if ACTIVE in (left, right):
                state = right if left == ACTIVE else left
            else:
                assert isinstance(left, tuple) and isinstance(right, tuple)
                state = tuple(b if a is None else a for a, b in zip(left, right, strict=True))
            return None if whole and isinstance(state, tuple) and self.is_no(state) else state

        return join

    def partners(self, one: Group, other: Group, where: Mapping[State, int]) -> Mapping[State, int]:
        """Each pair is tried."""
        return by_trying(self.joining(one, other), one.states, where)


def rows_and_columns(
    firsts: Sequence[Hashable],
    seconds: Sequence[Hashable],
    allowed: Callable[[list[Hashable], list[Hashable]], list[int]],
) -> tuple[list[int], list[int], tuple[int, ...]]:
    """The row of each first value, the column of each second, and the bits allowed to each row.

    ``allowed`` gives for distinct first and second keys the bits of the seconds that go with each first. Equal rows are
    made one, then equal columns.
    """
    ones, others = list(dict.fromkeys(firsts)), list(dict.fromkeys(seconds))
    masks = allowed(ones, others)
    rows = {mask: i for i, mask in enumerate(dict.fromkeys(masks))}
    turned: list[int] = [0] * len(others)
    for row, mask in enumerate(rows):
        for column, bit in enumerate(reversed(bin(mask)[2:])):
            if bit == "1":
                turned[column] |= 1 << row
    columns = {mask: i for i, mask in enumerate(dict.fromkeys(turned))}
    bits = [0] * len(rows)
    for mask, column in columns.items():
        for row in range(len(rows)):
            if mask >> row & 1:
                bits[row] |= 1 << column
    row_of = {key: rows[mask] for key, mask in zip(ones, masks, strict=True)}
    column_of = {key: columns[mask] for key, mask in zip(others, turned, strict=True)}
    return [row_of[k] for k in firsts], [column_of[k] for k in seconds], tuple(bits)


def as_known(name: str, states: Sequence[int]) -> list[State]:
    """States of a joint with a switch: named by what they are of."""
    return [((name, state),) for state in states]
