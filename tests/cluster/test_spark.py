"""The same expressions on Spark: the same noes, and the same short records. One session, in local mode."""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest

from knockon.graph.model.layouts.layout import Places
from knockon.graph.records import load
from knockon.queries.shortlist.asked import swap_asked
from knockon.queries.shortlist.engines import DUCKDB, SPARK
from knockon.queries.shortlist.shortlist import Way, shortlist_of
from tests.cluster.alike import noes
from tests.oracle.engine import request_for_engine
from tests.oracle.generate import case_from_seed
from tests.oracle.records import write_records

pytestmark = pytest.mark.skipif(
    shutil.which("java") is None and not os.environ.get("KNOCKON_CLUSTER"), reason="Spark needs Java"
)
SEED = 6
"""A world with noes and with sources that contradict each other."""


@pytest.fixture(scope="module")
def session() -> Iterator[None]:
    """One small session; the program takes the one that is there, as it takes that of spark-submit."""
    from pyspark.sql import SparkSession

    builder = SparkSession.builder.master("local[1]").config("spark.ui.enabled", "false")
    made = builder.config("spark.sql.shuffle.partitions", "1").config("spark.driver.host", "127.0.0.1").getOrCreate()
    yield
    made.stop()


@pytest.mark.usefixtures("session")
def test_spark_has_the_same_noes_and_writes_the_same_short_records(tmp_path: Path) -> None:
    case = case_from_seed(SEED)
    folder = tmp_path / "records"
    folder.mkdir()
    write_records(folder, case.world)
    ours, theirs = noes(folder, case.vehicle.name, tmp_path / "columns", SPARK)
    assert ours == theirs and ours
    catalogue = load(folder).catalogue
    vehicle = catalogue.vehicles[case.vehicle.name]
    request = request_for_engine(case.world, case.request)
    swap = swap_asked(catalogue, Places(catalogue.layouts[vehicle.layout]), vehicle, request)
    made = {}
    for engine in (DUCKDB, SPARK):
        into = tmp_path / engine
        answer = shortlist_of(swap, vehicle, folder, into, Way((tmp_path / "columns",), engine))
        files = {p.relative_to(into).as_posix(): p.read_bytes() for p in sorted(into.rglob("*")) if p.is_file()}
        made[engine] = (files, answer.positions, answer.joints, answer.kept, answer.equal, answer.rounds)
    assert made[DUCKDB] == made[SPARK]
