"""Where tables in columns are asked: DuckDB in this process, or Spark. Ibis says the same expressions to both.

Ibis and the engines belong to the extras ``knockon[cluster]`` and ``knockon[spark]``; nothing else imports them.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any
from uuid import uuid4

import msgspec

from knockon.graph.columns.parquet import ENDING, extra_missing
from knockon.graph.columns.tables import TABLES
from knockon.graph.model.findings import RecordsError

DUCKDB, SPARK = "duckdb", "spark"
ENGINES = (DUCKDB, SPARK)
NUMBERED = frozenset({"end", "n", "joint", "arc", "other_end"})
"""Columns of small tables that hold whole numbers."""


class Columns(msgspec.Struct, frozen=True):
    """The tables of one export or several, as expressions of Ibis; ``layer``: Ibis itself; ``session``: that of
    Spark, if it is asked."""

    layer: Any
    connection: Any
    session: Any

    parts: Any
    things: Any
    features: Any
    sizes: Any
    claims: Any
    offers: Any
    rows: Any
    shared: Any
    """Things (``thing``) of which several exports say something: each says which of its own sizes compute, nobody which
    of all. None of their features and sizes are in the tables, so that nothing is ruled out on account of them."""

    def table(self, **columns: Sequence[Any]) -> Any:
        """A small table made here: whole numbers in the columns of NUMBERED, else texts."""
        if self.session is None:
            return self.layer.memtable(columns, schema={n: "int64" if n in NUMBERED else "string" for n in columns})
        # Ibis shows Spark a table of its own only where a result is fetched, and not in cache()
        types = ", ".join(f"`{n}` {'bigint' if n in NUMBERED else 'string'}" for n in columns)
        name = f"knockon_{uuid4().hex}"
        self.session.createDataFrame(list(zip(*columns.values(), strict=True)), types).createTempView(name)
        return self.connection.table(name)

    def settled(self, table: Any) -> Any:
        """A table worked out once. Spark's cache keeps how it came about, and plans of plans grow without end: there it
        is a checkpoint, on the machines that work."""
        if self.session is None:
            return table.cache()
        name = f"knockon_{uuid4().hex}"
        self.session.sql(str(self.connection.compile(table))).localCheckpoint().createTempView(name)
        return self.connection.table(name)


def opened(exports: Sequence[Path], engine: str = DUCKDB) -> Columns:
    """The tables of some exports, those of the same name put together.

    Raises ExtraMissing where the engine is not installed, RecordsError where a folder is no export.
    """
    for folder in exports:
        lacking = [t.name for t in TABLES if not (folder / f"{t.name}{ENDING}").is_file()]
        if lacking:
            raise RecordsError(
                f"{folder} has no {lacking[0]}{ENDING}. Make it with knockon export --parquet, or name another folder"
            )
    layer, connection, session = _connected(engine)
    tables = {name: _together(layer, connection, exports, name) for name in Columns.__struct_fields__[3:-1]}
    said = tables["features"].group_by("thing").agg(exports=lambda t: t.export.nunique())
    shared = said.filter(said.exports > 1).select("thing")
    if len(exports) > 1:
        tables |= {name: tables[name].anti_join(shared, "thing") for name in ("features", "sizes")}
    return Columns(layer, connection, session, **tables, shared=shared)


def _connected(engine: str) -> tuple[Any, Any, Any]:
    try:
        import ibis
    except ImportError as error:
        raise extra_missing("cluster", error) from error
    if engine == DUCKDB:
        return ibis, ibis.duckdb.connect(), None
    try:
        from pyspark.sql import SparkSession
    except ImportError as error:
        raise extra_missing("spark", error) from error
    # what spark-submit or the user's own session has set stays: only what is not set is filled in
    session = SparkSession.builder.appName("knockon shortlist").getOrCreate()
    return ibis, ibis.pyspark.connect(session), session


def _together(layer: Any, connection: Any, exports: Sequence[Path], name: str) -> Any:
    """The table of this name of all exports, with the number of the export that a row is of (``export``)."""
    first, *others = (
        connection.read_parquet(str(folder / f"{name}{ENDING}")).mutate(export=layer.literal(n))
        for n, folder in enumerate(exports)
    )
    return first.union(*others) if others else first
