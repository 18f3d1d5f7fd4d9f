"""A network of seats and factors, and its contraction: an exact count of all ways to fill the seats.

A *seat* takes one of its values. A *factor* is a condition on some seats, which sees of a value only its *state*. A
*table* says of a group of seats in how many ways they can be filled, by the states of the factors that reach beyond the
group. Two tables become one: states of shared factors are joined, and a factor all of whose seats are in the group is
decided and forgotten. The last table has no open factor, and one number.

Exact: each filling of the group is counted in one row, since the states of its values decide its row; and two fillings
in one row are told apart by no factor that is still open, so that whatever the other seats hold, both count or neither
does. Numbers are Python integers, without limit. Cost: the rows of the tables, not the number of fillings; on a layout
that is nearly a tree, small.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Hashable, Iterable, Iterator, Mapping, Sequence
from functools import reduce
from operator import or_
from typing import Protocol

import msgspec

State = Hashable
Join = Callable[[State, State], State | None]
"""The state of two groups' seats together, from the state of each; None: no such filling."""
Told = Callable[[int, int], None]
"""Called with how many joins are made and how many there are."""
Rows = dict[tuple[State, ...], int]
_Keys = Sequence[tuple[State, ...]]
SMALL, SAMPLE = 2_000, 32
"""A join of more rows than this is guessed at more closely, by so many rows of one of its tables."""
WORD = 10_000
"""Bits that are as quickly looked at as one row."""

MOST_WORK = 6_000_000
"""Rows looked at or made in one contraction, at most: some ten seconds."""
MOST_ROWS = 1_500_000
"""Rows of one table, at most: some hundred megabytes."""


class TooLargeError(Exception):
    """A table would be larger, or the contraction longer, than is allowed."""


class Group(msgspec.Struct, frozen=True):
    """The seats of a table, and the states that a factor has in it."""

    seats: frozenset[int]
    states: Collection[State]


class Factor(Protocol):
    """A condition on some seats."""

    @property
    def seats(self) -> frozenset[int]:
        """The seats on which it depends."""

    def joining(self, one: Group, other: Group, others: Sequence[Collection[State]]) -> Join:
        """How states of two groups are joined, beside the states of each other table; where all its seats are there,
        any state is as good as another."""

    def partners(self, one: Group, other: Group, where: Mapping[State, int]) -> Mapping[State, int]:
        """For each state of one group the bits of those of the other that may go with it: ``where[state]`` has the bits
        of each. Where the factor is decided, exactly those that do."""


class Network(msgspec.Struct, frozen=True):
    """Seats with the number of values (weight) of each combination of states, in the order of the seat's factors.

    ``factors_of[seat]`` are the numbers of the factors of a seat. A weight may be negative: see ``choices``.
    """

    factors: tuple[Factor, ...]
    factors_of: tuple[tuple[int, ...], ...]
    seats: tuple[Rows, ...]

    def thinned(self, most: int, but: frozenset[int]) -> Network:
        """The network with the most frequent rows of each seat, at most so many, but for some seats: all that it counts
        the whole one counts too."""
        return msgspec.structs.replace(
            self,
            seats=tuple(rows if s in but else dict(_heaviest(rows, most)) for s, rows in enumerate(self.seats)),
        )


def _heaviest(rows: Rows, most: int) -> list[tuple[tuple[State, ...], int]]:
    return sorted(rows.items(), key=lambda kv: -kv[1])[:most]  # equal ones in their order


class _Table:
    """The number of fillings of a group of seats, by the states of its open factors."""

    def __init__(self, seats: frozenset[int], factors: tuple[int, ...], rows: Rows) -> None:
        self.seats, self.factors, self.rows = seats, factors, rows
        self._distinct: dict[tuple[int, ...], int] = {}
        self._states: dict[int, Collection[State]] = {}

    def states(self, factor: int) -> Collection[State]:
        """The different states of a factor."""
        if factor not in self._states:
            i = self.factors.index(factor)
            self._states[factor] = dict.fromkeys(key[i] for key in self.rows)
        return self._states[factor]

    def distinct(self, kept: tuple[int, ...]) -> int:
        """How many rows differ in the states of some of its factors."""
        if kept not in self._distinct:
            where = [i for i, f in enumerate(self.factors) if f in kept]
            whole = len(where) == len(self.factors)
            self._distinct[kept] = len(self.rows) if whole else len({tuple(k[i] for i in where) for k in self.rows})
        return self._distinct[kept]

    def by(self, shared: Sequence[int]) -> dict[tuple[State, ...], Rows]:
        """Its rows by the states of some factors: those of the others, with their number."""
        here = [self.factors.index(f) for f in shared]
        rest = [i for i in range(len(self.factors)) if i not in here]
        found: dict[tuple[State, ...], Rows] = {}
        for key, weight in self.rows.items():
            rows = found.setdefault(tuple(key[i] for i in here), {})
            left = tuple(key[i] for i in rest)
            rows[left] = rows.get(left, 0) + weight
        return found


class _Contraction:
    def __init__(self, network: Network, told: Told) -> None:
        self.network, self.told = network, told
        self.work = 0
        self.tables: dict[int, _Table] = {
            s: _Table(frozenset((s,)), network.factors_of[s], rows) for s, rows in enumerate(network.seats)
        }
        self._costs: dict[tuple[int, int], float] = {}

    def spend(self, work: int) -> None:
        self.work += work
        if self.work > MOST_WORK:
            raise TooLargeError

    def number(self) -> int:
        """The number of all fillings. Raises TooLargeError."""
        whole = len(self.tables)
        new = whole
        while all(table.rows for table in self.tables.values()) and (pair := self._next()):
            one, other = (self.tables.pop(t) for t in pair)
            self._costs = {p: c for p, c in self._costs.items() if not {*p} & {*pair}}
            self.tables[new] = self._joined(one, other)
            new += 1
            self.told(whole - len(self.tables), whole)
        number = 1
        for table in self.tables.values():
            number *= sum(table.rows.values())
        return number

    # ---- which tables next: those whose join is the smallest beside them

    def _next(self) -> tuple[int, int] | None:
        holders: dict[int, list[int]] = {}
        for t, table in self.tables.items():
            for f in table.factors:
                holders.setdefault(f, []).append(t)
        for tables in holders.values():
            for i, one in enumerate(tables):
                for other in tables[i + 1 :]:
                    if (one, other) not in self._costs:
                        self._costs[(one, other)] = self._cost(self.tables[one], self.tables[other])
        return min(self._costs, key=lambda pair: (self._costs[pair], pair)) if self._costs else None

    def _cost(self, one: _Table, other: _Table) -> float:
        """The rows of the join at most, less those that it replaces."""
        still = self._still_open(one, other)
        rows = one.distinct(tuple(f for f in one.factors if f in still)) * other.distinct(
            tuple(f for f in other.factors if f in still)
        )
        if rows > SMALL:
            rows = round(rows * self._selectivity(one, other))
        return rows - len(one.rows) - len(other.rows)

    def _selectivity(self, one: _Table, other: _Table) -> float:
        """The share of pairs of rows that go together, by some rows of the first table."""
        shared = [f for f in one.factors if f in set(other.factors)]
        first, second = [*one.by(shared)], [*other.by(shared)]
        some = first[:: -(-len(first) // SAMPLE)]
        join = self._joining(shared, (one, other), (some, second))
        self.spend(len(one.rows) + len(other.rows) + join.take_work())
        return sum(join.bits(key).bit_count() for key in some) / (len(some) * len(second) or 1)

    def _still_open(self, one: _Table, other: _Table) -> frozenset[int]:
        seats = one.seats | other.seats
        return frozenset(f for f in {*one.factors, *other.factors} if not self.network.factors[f].seats <= seats)

    # ---- one join

    def _joining(self, shared: Sequence[int], tables: tuple[_Table, _Table], keys: tuple[_Keys, _Keys]) -> _Joining:
        rest = [[t.states(f) for t in self.tables.values() if t not in tables and f in t.factors] for f in shared]
        return _Joining([self.network.factors[f] for f in shared], rest, tables, keys)

    def _joined(self, one: _Table, other: _Table) -> _Table:
        still = self._still_open(one, other)
        shared = [f for f in one.factors if f in set(other.factors)]
        merged = [i for i, f in enumerate(shared) if f in still]
        first, second = one.by(shared), other.by(shared)
        keys = list(first), list(second)
        join = self._joining(shared, (one, other), keys)
        joins = [join.joins[m] for m in merged]
        heads, lefts, rights = _Numbering(), _Numbering(), _Numbering()
        numbered = [{lefts.of(left): weight for left, weight in rest.items()} for rest in first.values()]
        seconds = [(tuple(key[m] for m in merged), {rights.of(r): w for r, w in rest.items()}) for key, rest in
                   second.items()]  # fmt: skip
        self.spend(len(one.rows) + len(other.rows))
        found: dict[int, int] = {}
        for key, there in zip(first, numbered, strict=True):
            together: dict[int, dict[int, int]] = {}
            here, work = [key[m] for m in merged], 0
            for i in join.partners(key):
                theirs, rest = seconds[i]
                states = tuple([joined(a, b) for joined, a, b in zip(joins, here, theirs)])  # noqa: B905 (many)
                work += 1 + len(rest)
                if None not in states:
                    added = together.setdefault(heads.of(states), {})
                    for right, weight in rest.items():
                        added[right] = added.get(right, 0) + weight
            self.spend(work + join.take_work())
            for head, added in together.items():
                self.spend(len(there) * len(added))
                for left, weight in there.items():
                    row = (head * len(lefts) + left) * len(rights)
                    for right, more in added.items():
                        found[row + right] = found.get(row + right, 0) + weight * more
            if len(found) > MOST_ROWS:
                raise TooLargeError
        rows: Rows = {}
        for number, weight in found.items():
            rest_of_it, right = divmod(number, len(rights))
            head, left = divmod(rest_of_it, len(lefts))
            rows[heads.all[head] + lefts.all[left] + rights.all[right]] = weight
        open_ones = tuple(
            [shared[i] for i in merged]
            + [f for f in one.factors if f not in shared]
            + [f for f in other.factors if f not in shared]
        )
        return _Table(one.seats | other.seats, open_ones, rows)


class _Numbering:
    """Tuples of states by number: numbers are quicker to look up."""

    def __init__(self) -> None:
        self.all: list[tuple[State, ...]] = []
        self._number: dict[tuple[State, ...], int] = {}

    def __len__(self) -> int:
        return len(self.all)

    def of(self, states: tuple[State, ...]) -> int:
        """Its number."""
        number = self._number.setdefault(states, len(self.all))
        if number == len(self.all):
            self.all.append(states)
        return number


class _Joining:
    """Which rows of the second table go with a row of the first, as bits of an integer, and their joined states."""

    def __init__(
        self,
        factors: Sequence[Factor],
        others: Sequence[Sequence[Collection[State]]],
        tables: tuple[_Table, _Table],
        keys: tuple[_Keys, _Keys],
    ) -> None:
        self.seconds = keys[1]
        self.work = 0
        self.joins: list[Join] = []
        self._partners: list[Mapping[State, int]] = []
        for i, (factor, rest) in enumerate(zip(factors, others, strict=True)):
            where: dict[State, int] = {}
            for bit, key in enumerate(self.seconds):
                where[key[i]] = where.get(key[i], 0) | 1 << bit
            one = Group(tables[0].seats, dict.fromkeys(key[i] for key in keys[0]))
            other = Group(tables[1].seats, where)
            self.work += len(one.states) + len(where) + len(self.seconds)
            self.joins.append(factor.joining(one, other, rest))
            self._partners.append(factor.partners(one, other, where))

    def bits(self, key: tuple[State, ...]) -> int:
        """The rows of the second table that may go with these states of the first, each a bit."""
        bits = (1 << len(self.seconds)) - 1
        self.work += 1 + len(key) * len(self.seconds) // WORD
        for partners, state in zip(self._partners, key, strict=True):
            bits &= partners[state]
            if not bits:
                break
        return bits

    def partners(self, key: tuple[State, ...]) -> Iterator[int]:
        """The numbers of these rows."""
        text = bin(self.bits(key))[:1:-1]
        bit = text.find("1")
        while bit >= 0:
            yield bit
            bit = text.find("1", bit + 1)

    def take_work(self) -> int:
        """The work done since it was asked last."""
        work, self.work = self.work, 0
        return work


def by_trying(join: Join, ones: Iterable[State], where: Mapping[State, int]) -> dict[State, int]:
    """The bits of the states that can be joined with each of some states, each pair tried."""
    return {one: reduce(or_, (bits for s, bits in where.items() if join(one, s) is not None), 0) for one in ones}


def number_of_fillings(network: Network, told: Told = lambda done, whole: None) -> int:
    """In how many ways the seats can be filled so that every factor holds. Raises TooLargeError."""
    return _Contraction(network, told).number()


def network_of(
    factors: Sequence[Factor], states: Sequence[Mapping[int, Sequence[State | None]]], weights: Sequence[Sequence[int]]
) -> Network:
    """A network from the states of every value: ``states[seat][factor][value]``, None where that alone rules the value
    out; ``weights[seat][value]``."""
    seats = []
    shared = [frozenset(f for f in by_factor if len(factors[f].seats) > 1) for by_factor in states]
    for by_factor, kept, counts in zip(states, shared, weights, strict=True):
        rows: Rows = {}
        for value, weight in enumerate(counts):
            if all(column[value] is not None for column in by_factor.values()):
                key = tuple(column[value] for f, column in by_factor.items() if f in kept)
                rows[key] = rows.get(key, 0) + weight
        seats.append(rows)
    factors_of = tuple(tuple(f for f in by_factor if f in kept) for by_factor, kept in zip(states, shared, strict=True))
    return Network(tuple(factors), factors_of, tuple(seats))
