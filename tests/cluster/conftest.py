"""These need the extra "cluster". ``make test-cluster`` has it, and fails where a library or Java is missing; a run
without it leaves them out."""

from __future__ import annotations

import os
from importlib.util import find_spec

import pytest

collect_ignore_glob: list[str] = []
if find_spec("ibis") is None or find_spec("pyarrow") is None:
    if os.environ.get("KNOCKON_CLUSTER"):
        pytest.exit("the extra 'cluster' is not installed: make test-cluster", returncode=2)
    collect_ignore_glob.append("test_*.py")
