"""The short list of a swap: records with only the parts that may stand in some plan, small enough for one machine."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Unpack

import msgspec

from knockon.graph.columns.parquet import write_parquet
from knockon.graph.columns.tables import Catalogued
from knockon.graph.model.catalogue import Catalogue
from knockon.graph.model.things import Vehicle
from knockon.queries.answers import Answer
from knockon.queries.plan.solving.asked import Asked
from knockon.queries.plan.solving.request import TypedRequest, asked_of
from knockon.queries.shortlist.asked import Swap, swap_asked
from knockon.queries.shortlist.conditions import unsaid
from knockon.queries.shortlist.counts import JointCounted, PositionCounted, joints_counted, positions_counted
from knockon.queries.shortlist.engines import DUCKDB, opened
from knockon.queries.shortlist.folder import refuse, write_folder
from knockon.queries.shortlist.kept import kept_parts
from knockon.queries.shortlist.outward import Left, left_by

Steps = Callable[[str, int, int], None]


class Unsaid(msgspec.Struct, frozen=True):
    """A condition of a rule that ruled nothing out here: it is a formula."""

    rule: str
    condition: str


class ShortlistAnswer(Answer, frozen=True):
    """What was left of a catalogue for one swap, and written to ``folder``. ``parts``: how many are recorded, ``kept``:
    how many were written, ``equal``: how many more one of those stands for. ``rounds``: how often candidates were
    struck out. ``empty``: positions that must be filled and have nothing left, so that there is no plan. ``unsaid``:
    conditions that were not looked at."""

    vehicle: str
    title: str
    asked: tuple[Asked, ...]
    folder: str
    engine: str
    parts: int
    kept: int
    equal: int
    rounds: int
    positions: tuple[PositionCounted, ...]
    joints: tuple[JointCounted, ...]
    empty: tuple[str, ...] = ()
    unsaid: tuple[Unsaid, ...] = ()


class Way(msgspec.Struct, frozen=True):
    """How a short list is made: ``exports`` are folders that ``knockon export --parquet`` wrote, in which the parts
    stand (none: those of the records themselves); ``with_equals`` keeps parts that another one stands for."""

    exports: tuple[Path, ...] = ()
    engine: str = DUCKDB
    with_equals: bool = False


def shortlist(
    catalogue: Catalogue,
    records: Path,
    vehicle_name: str,
    into: Path,
    way: Way | None = None,
    heard: Steps | None = None,
    **typed: Unpack[TypedRequest],
) -> ShortlistAnswer:
    """Write records to a new folder that have only the parts which may stand in a best plan of a swap.

    ``records``: the folder of the catalogue, which has the vehicle and its layout. The best plan and the other plans
    are the same from both; reasons are sought among the parts that are left. Raises RequestError, UnknownNameError,
    ExtraMissing, RecordsError, NotWritten.
    """
    vehicle, places, request = asked_of(catalogue, vehicle_name, typed)
    return shortlist_of(swap_asked(catalogue, places, vehicle, request), vehicle, records, into, way, heard)


def shortlist_of(
    swap: Swap, vehicle: Vehicle, records: Path, into: Path, way: Way | None = None, heard: Steps | None = None
) -> ShortlistAnswer:
    """The same of a request that has been read."""
    way, told = way or Way(), heard or _unheard
    refuse(into)
    with TemporaryDirectory(prefix="knockon-") as own:
        if not way.exports:
            write_parquet(Catalogued(swap.catalogue, records), Path(own), told)
        columns = opened(way.exports or (Path(own),), way.engine)
        left = left_by(columns, swap, told)
        told("choosing among equal parts", 0, 0)
        kept = kept_parts(columns, swap, left, way.with_equals)
        told("writing the short records", 0, 0)
        write_folder(columns, records, kept, into)
        positions = positions_counted(swap, left)
        return ShortlistAnswer(
            vehicle=vehicle.vehicle,
            title=vehicle.title,
            asked=swap.request.in_words,
            folder=str(into),
            engine=way.engine,
            parts=int(columns.parts.select("part").distinct().count().execute()),
            kept=len(kept.numbers),
            equal=len(kept.stood_for),
            rounds=left.rounds,
            positions=positions,
            joints=joints_counted(columns, swap, left),
            empty=tuple(_empty(swap, left, positions)),
            unsaid=tuple(
                Unsaid(name, label)
                for name in dict.fromkeys(j.rule for j in swap.joints)
                for label in unsaid(swap.catalogue.vocabulary.rules[name])
            ),
        )


def _unheard(step: str, done: int, whole: int) -> None:
    """Nobody listens."""


def _empty(swap: Swap, left: Left, positions: Sequence[PositionCounted]) -> Iterator[str]:
    """The positions that each plan fills, and for which nothing is left."""
    staying = left.alive.filter(left.alive.stays).select("position").distinct().to_pyarrow()
    there = frozenset(staying["position"].to_pylist())
    for counted in positions:
        is_needed = swap.positions[counted.position].need == "needed" and swap.holds_always(counted.position)
        if is_needed and counted.narrowed and not counted.left and counted.position not in there:
            yield counted.position
