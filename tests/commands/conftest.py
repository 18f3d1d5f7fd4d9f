"""The commands of one run share one cache of prepared records, away from the user's own."""

from __future__ import annotations

from collections.abc import Iterator

import pytest


@pytest.fixture(scope="session", autouse=True)
def cache_of_its_own(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("KNOCKON_CACHE", str(tmp_path_factory.mktemp("cache")))
        patch.delenv("KNOCKON_RECORDS", raising=False)
        yield
