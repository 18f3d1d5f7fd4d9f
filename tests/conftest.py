"""What all tests share: how long and how repeatably generated cases run."""

import os
from datetime import UTC, datetime

import pytest
from hypothesis import settings

settings.register_profile("default", deadline=None)
settings.register_profile("ci", deadline=None, derandomize=True, print_blob=True)
settings.load_profile(os.environ.get("HYPOTHESIS_PROFILE", "default"))


@pytest.fixture(autouse=True)
def same_day(monkeypatch: pytest.MonkeyPatch) -> None:
    """The day on which clubs' times of sharing are looked at: tests hold whatever the machine's clock says."""
    monkeypatch.setattr("knockon.graph.exchange.versions.today", lambda: datetime(2030, 1, 1, tzinfo=UTC))
