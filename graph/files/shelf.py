"""A file of named pieces, mapped into memory: what nobody asks for is never read.

A file begins with what it is and how long; then an index of its pieces, then the pieces. It is written whole by
``graph/files/copies.py``, and never changed: a reader keeps what it has mapped, even after the file is deleted.
"""

from __future__ import annotations

import mmap
import sys
from bisect import bisect_left, bisect_right
from collections.abc import Callable, ItemsView, Iterable, Iterator, Mapping, Sequence, ValuesView
from typing import BinaryIO, Generic, TypeVar

import msgspec

from knockon.graph.files.copies import folder_of_copies
from knockon.graph.files.errors import RecordsError

WHAT = b"knockon shelf 1 " + sys.byteorder.encode().ljust(8)
_HEAD = len(WHAT) + 16
V = TypeVar("V")
Pieces = Mapping[str, memoryview]


class BrokenShelf(RecordsError):
    """A file that is no whole shelf, or a piece in it that cannot be read."""

    def __init__(self, why: object) -> None:
        super().__init__(f"the prepared copy of the records is damaged ({why}). Delete the folder {folder_of_copies()}")


Piece = bytes | bytearray | memoryview


def shelved(pieces: Mapping[str, Piece]) -> list[Piece]:
    """A shelf of these pieces, as the parts of a file."""
    index: dict[str, tuple[int, int]] = {}
    at = 0
    for name, piece in pieces.items():
        index[name] = (at, len(piece))
        at += -(-len(piece) // 8) * 8  # numbers stand on whole words
    told = msgspec.msgpack.encode(index)
    told += b"\0" * (-(_HEAD + len(told)) % 8)
    start = _HEAD + len(told)
    found: list[Piece] = [WHAT, start.to_bytes(8, "little"), (start + at).to_bytes(8, "little"), told]
    for piece in pieces.values():
        found += [piece, b"\0" * (-len(piece) % 8)]
    return found


def opened(file: BinaryIO) -> Pieces:
    """The pieces of a shelf. Raises BrokenShelf, OSError."""
    try:
        return pieces_of(memoryview(mmap.mmap(file.fileno(), 0, access=mmap.ACCESS_READ)))
    except ValueError as error:  # an empty file
        raise BrokenShelf(error) from error


def pieces_of(whole: memoryview) -> Pieces:
    """The pieces of a shelf that is in memory. Raises BrokenShelf."""
    if len(whole) < _HEAD or whole[: len(WHAT)] != WHAT:
        raise BrokenShelf("it is something else")
    start, end = (int.from_bytes(whole[len(WHAT) + i : len(WHAT) + i + 8], "little") for i in (0, 8))
    if end != len(whole) or not _HEAD <= start <= end:
        raise BrokenShelf("it is not whole")
    try:
        index = msgspec.msgpack.decode(bytes(whole[_HEAD:start]).rstrip(b"\0"), type=dict[str, tuple[int, int]])
    except msgspec.MsgspecError as error:
        raise BrokenShelf(error) from error
    return {name: whole[start + at : start + at + size] for name, (at, size) in index.items()}


class Blobs:
    """Pieces of data one behind the other; where they are ``shared``, each of the same bytes once."""

    def __init__(self, shared: bool = False) -> None:
        self.written = bytearray()
        self._at: dict[bytes, int] | None = {} if shared else None

    def add(self, blob: bytes) -> int:
        """Where a piece stands now."""
        at = len(self.written)
        if self._at is not None and (there := self._at.setdefault(blob, at)) != at:
            return there
        self.written += len(blob).to_bytes(4, "little") + blob
        return at


def blob_at(blobs: memoryview, at: int) -> memoryview:
    """The piece that stands there."""
    start = at + 4
    return blobs[start : start + int.from_bytes(blobs[at:start], "little")]


def keyed(name: str, entries: Iterable[tuple[str, bytes]], shared: bool = False) -> dict[str, bytes | bytearray]:
    """The pieces of a mapping from texts to data, read back by ``Keyed``; it keeps the order of the entries."""
    blobs = Blobs(shared)
    found = [(key.encode("utf-8", "surrogatepass"), blobs.add(blob)) for key, blob in entries]
    by_key = sorted(range(len(found)), key=lambda i: found[i][0])
    pieces: dict[str, bytes | bytearray] = {f"{name} data": blobs.written}
    pieces[f"{name} keys"] = b"".join(found[i][0] for i in by_key)
    end, ends = 0, []
    for i in by_key:
        end += len(found[i][0])
        ends.append(end)
    pieces[f"{name} ends"] = numbers(ends)
    pieces[f"{name} at"] = numbers(found[i][1] for i in by_key)
    if by_key != list(range(len(found))):
        places = {i: rank for rank, i in enumerate(by_key)}
        pieces[f"{name} order"] = numbers(places[i] for i in range(len(found)))
    return pieces


def edited(
    pieces: Pieces, name: str, changes: Mapping[str, bytes | None], place: Callable[[str], str] | None = None
) -> tuple[dict[str, bytes], list[int]]:
    """The pieces of a mapping in which these keys have these values (None: are not there), and before which ranks keys
    were put in. What keys had stays behind in the data. ``place``: by what the keys stand in order, if not by
    themselves."""
    mapping, data = Keyed(pieces, name, bytes), bytearray(pieces[f"{name} data"])
    at = pieces[f"{name} at"].cast("Q").tolist()
    new: list[tuple[int, str, int]] = []
    gone: list[int] = []
    for key, blob in sorted(changes.items()):
        rank, is_there = mapping.searched(key)
        if blob is None:
            gone += [rank] if is_there else []
            continue
        if is_there:
            at[rank] = len(data)
        else:
            new.append((rank, key, len(data)))
        data += len(blob).to_bytes(4, "little") + blob
    found = {f"{name} data": bytes(data)}
    if new or gone:
        found |= _put_in(pieces, name, at, new, gone)
        found |= _order_now(pieces, name, new, gone, place)
    else:
        found[f"{name} at"] = numbers(at)
    return found, [rank for rank, _, _ in new]


def _put_in(
    pieces: Pieces, name: str, at: list[int], new: list[tuple[int, str, int]], gone: list[int]
) -> dict[str, bytes]:
    keys, ends = pieces[f"{name} keys"], pieces[f"{name} ends"].cast("Q").tolist()
    texts: list[bytes | memoryview] = []
    now_ends: list[int] = []
    now_at: list[int] = []
    done = length = 0

    def take(upto: int) -> None:
        nonlocal done, length
        start, end = (ends[i - 1] if i else 0 for i in (done, upto))
        texts.append(keys[start:end])
        now_ends.extend([e + length - start for e in ends[done:upto]])
        now_at.extend(at[done:upto])
        done, length = upto, length + end - start

    for rank, key, where in sorted([*new, *((rank, "", -1) for rank in gone)], key=lambda one: (one[0], one[2] < 0)):
        take(rank)
        if where < 0:
            done = rank + 1
            continue
        text = key.encode("utf-8", "surrogatepass")
        length += len(text)
        texts.append(text)
        now_ends.append(length)
        now_at.append(where)
    take(len(ends))
    return {f"{name} keys": b"".join(texts), f"{name} ends": numbers(now_ends), f"{name} at": numbers(now_at)}


def _order_now(
    pieces: Pieces,
    name: str,
    new: list[tuple[int, str, int]],
    gone: list[int],
    place: Callable[[str], str] | None,
) -> dict[str, bytes]:
    """The order of the keys, where it is not that of their ranks."""
    if place is None and f"{name} order" not in pieces:
        return {}
    assert place is not None, f"nobody says where new keys of {name} stand"
    mapping, inserted, left = Keyed(pieces, name, bytes), [rank for rank, _, _ in new], set(gone)
    before = list(mapping.order)
    at = [bisect_left(before, place(key), key=lambda rank: place(mapping.key_of(rank))) for _, key, _ in new]
    ranks = {i: rank + i - bisect_left(gone, rank) for i, (rank, _, _) in enumerate(new)}
    coming = sorted(range(len(new)), key=lambda i: (at[i], place(new[i][1])))
    now: list[int] = []
    done = 0
    for upto, rank in (*((at[i], ranks[i]) for i in coming), (len(before), -1)):
        now += [moved(r, inserted, gone) for r in before[done:upto] if r not in left]
        now += [rank] if rank >= 0 else []
        done = upto
    return {f"{name} order": numbers(now)}


def moved(rank: int, inserted: list[int], gone: Sequence[int] = ()) -> int:
    """The rank of a key after others were put in before these ranks and taken away at those; both are sorted."""
    return rank + bisect_right(inserted, rank) - bisect_left(gone, rank)


def all_moved(ranks: Iterable[int], inserted: list[int]) -> list[int]:
    """The same of many ranks, where none was taken away."""
    first = inserted[0] if inserted else sys.maxsize
    return [rank if rank < first else rank + bisect_right(inserted, rank) for rank in ranks]


def numbers(values: Iterable[int]) -> bytes:
    """Whole numbers, eight bytes each."""
    from array import array

    return array("Q", values).tobytes()


class Keyed(Mapping[str, V], Generic[V]):
    """A mapping of a shelf: a key is searched for, its value (never None) read when it is asked for, and remembered."""

    def __init__(self, pieces: Pieces, name: str, read: Callable[[memoryview], V]) -> None:
        self._keys, self._data, self._read = pieces[f"{name} keys"], pieces[f"{name} data"], read
        self._ends, self._at = (pieces[f"{name} {what}"].cast("Q") for what in ("ends", "at"))
        order = pieces.get(f"{name} order")
        self.order = range(len(self._ends)) if order is None else order.cast("Q")
        """The ranks of the keys, in the order in which the mapping holds them."""
        self._found: dict[str, V] = {}

    def _key(self, rank: int) -> bytes:
        return bytes(self._keys[self._ends[rank - 1] if rank else 0 : self._ends[rank]])

    def rank_of(self, key: str) -> int:
        """Where a key stands among all, sorted. Raises KeyError."""
        rank = self._rank(key)
        if rank is None:
            raise KeyError(key)
        return rank

    def key_of(self, rank: int) -> str:
        """The key that stands there."""
        return str(self._key(rank), "utf-8", "surrogatepass")

    def searched(self, key: str) -> tuple[int, bool]:
        """Where a key stands among all, sorted, or would stand; and whether it is there."""
        wanted = key.encode("utf-8", "surrogatepass")
        rank = bisect_left(range(len(self._ends)), wanted, key=self._key)
        return rank, rank < len(self._ends) and self._key(rank) == wanted

    def _rank(self, key: object) -> int | None:
        if not isinstance(key, str):
            return None
        rank, is_there = self.searched(key)
        return rank if is_there else None

    def __getitem__(self, key: str) -> V:
        found = self.get(key)
        if found is None:
            raise KeyError(key)
        return found

    def get(self, key: str, default: V | None = None) -> V | None:  # type: ignore[override]
        """As of a dict, without an error on the way."""
        found = self._found.get(key)
        if found is None and (rank := self._rank(key)) is not None:
            found = self._found[key] = self._value(rank)
        return default if found is None else found

    def __contains__(self, key: object) -> bool:
        return key in self._found or self._rank(key) is not None

    def __iter__(self) -> Iterator[str]:
        keys, ends = self._keys, self._ends
        return (str(keys[ends[i - 1] if i else 0 : ends[i]], "utf-8", "surrogatepass") for i in self.order)

    def values(self) -> ValuesView[V]:
        """As of a dict; nothing is searched for on the way."""
        return _Values(self)

    def items(self) -> ItemsView[str, V]:
        """As of a dict; nothing is searched for on the way."""
        return _Items(self)

    def each(self) -> Iterator[tuple[str, V]]:
        """Each key with its value, in their order."""
        found = self._found
        for key, rank in zip(self, self.order, strict=True):
            value = found.get(key)
            if value is None:
                value = found[key] = self._value(rank)
            yield key, value

    def _value(self, rank: int) -> V:
        try:
            return self._read(blob_at(self._data, self._at[rank]))
        except (msgspec.MsgspecError, TypeError) as error:
            raise BrokenShelf(error) from error

    def __len__(self) -> int:
        return len(self._ends)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Mapping) and len(self) == len(other) and dict(self.items()) == dict(other.items())

    __hash__ = None  # type: ignore[assignment]

    def __repr__(self) -> str:
        return repr(dict(self))


class _Values(ValuesView[V]):
    _mapping: Keyed[V]

    def __iter__(self) -> Iterator[V]:
        return (value for _, value in self._mapping.each())


class _Items(ItemsView[str, V]):
    _mapping: Keyed[V]

    def __iter__(self) -> Iterator[tuple[str, V]]:
        return self._mapping.each()
