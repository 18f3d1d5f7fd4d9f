"""The real page: ``knockon page`` in a process of its own, asked over HTTP."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

import httpx
import pytest

from knockon.graph.files.shipped import shipped

DEMO = shipped("data_demo")
SECONDS = 90.0


@dataclass(frozen=True)
class Served:
    """A page that is served, and a browser without JavaScript that visits it."""

    address: str
    client: httpx.Client
    folder: Path | None

    def get(self, path: str) -> httpx.Response:
        """A room, once its answer is there."""
        until = time.monotonic() + SECONDS
        while (answer := self.client.get(path)).status_code == 202 and time.monotonic() < until:
            time.sleep(0.2)
        return answer

    def post(self, path: str, **fields: str) -> httpx.Response:
        """A form of a room, sent as the room's own."""
        token = self.token(path)
        headers = {"origin": self.address}
        return self.client.post(path, data={"token": token, **fields}, headers=headers)

    def token(self, path: str) -> str:
        """The token of the forms of a room."""
        found = re.search(r'name="token" value="(\w+)"', self.get(path).text)
        return found[1] if found else ""


@pytest.fixture(scope="session")
def serving(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Callable[..., Served]]:
    """Starts pages; they end with the tests."""
    running: list[subprocess.Popen[str]] = []
    cache = str(tmp_path_factory.mktemp("page-cache"))

    def serve(folder: Path | None = None, *options: str) -> Served:
        words = [*(["--records", str(folder)] if folder else []), "page", "--port", "0", *options]
        process = subprocess.Popen(
            [sys.executable, "-m", "knockon", *words],
            stderr=subprocess.PIPE,
            text=True,
            env={**os.environ, "KNOCKON_CACHE": cache},
        )
        running.append(process)
        assert process.stderr is not None
        line = process.stderr.readline()
        found = re.search(r"http://\S+[^/\s]", line)
        assert found, line
        return Served(found[0], httpx.Client(base_url=found[0], timeout=SECONDS), folder)

    yield serve
    for process in running:
        process.terminate()
        process.wait(20)


@pytest.fixture(scope="session")
def demo_page(serving: Callable[..., Served]) -> Served:
    """The page about the demo world."""
    return serving()


@pytest.fixture(scope="session")
def own_page(serving: Callable[..., Served], tmp_path_factory: pytest.TempPathFactory) -> Served:
    """The page about a copy of the demo world that may be written."""
    folder = tmp_path_factory.mktemp("own") / "records"
    shutil.copytree(DEMO, folder)
    return serving(folder)
