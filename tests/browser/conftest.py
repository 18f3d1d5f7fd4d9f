"""A real Chromium that visits the real page, and axe-core that looks at each room for hindrances.

``make test-browser`` brings both; without them these tests are skipped, but not where KNOCKON_BROWSER says that they
must run. The browser is the system's own (Debian's ``chromium``); KNOCKON_CHROMIUM names another one.
"""

from __future__ import annotations

import os
import shutil
from collections.abc import Callable, Iterator
from contextlib import suppress
from importlib.resources import files
from pathlib import Path
from typing import Any

import pytest

from tests.page.conftest import DEMO, Served, demo_page, serving

MUST = bool(os.environ.get("KNOCKON_BROWSER"))
CHROMIUM = os.environ.get("KNOCKON_CHROMIUM") or shutil.which("chromium") or ""
OPTIONS = [
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
PHONE, DESK = (360, 740), (1280, 900)

__all__ = ["demo_page", "serving"]


@pytest.fixture(scope="session")
def chromium() -> Iterator[Any]:
    """The browser, driven by playwright."""
    try:
        from playwright.sync_api import sync_playwright
    except ImportError:
        if MUST:
            raise
        pytest.skip("playwright is not installed: make test-browser")
    if not CHROMIUM:
        assert not MUST, "there is no chromium"
        pytest.skip("there is no chromium")
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=OPTIONS)
        yield browser
        browser.close()


@pytest.fixture(scope="session")
def axe() -> str:
    """axe-core as a script to evaluate."""
    return (files("axe_playwright_python") / "axe.min.js").read_text(encoding="utf-8")


@pytest.fixture
def own_page(serving: Callable[..., Served], tmp_path: Path) -> Served:
    """The page about a copy of the demo world that may be written."""
    folder = tmp_path / "records"
    shutil.copytree(DEMO, folder)
    return serving(folder)


class Visitor:
    """A browser window that keeps what is wrong: errors on the console, requests to anywhere else."""

    def __init__(self, browser: Any, page: Served, size: tuple[int, int], *, dark: bool = False, script: bool = True):
        width, height = size
        self._context = browser.new_context(
            viewport={"width": width, "height": height},
            color_scheme="dark" if dark else "light",
            java_script_enabled=script,
            base_url=page.address,
        )
        self.window = self._context.new_page()
        self.window.set_default_timeout(60_000)
        self.wrong: list[str] = []
        self._address = page.address
        self.window.on("console", self._said)
        self.window.on("pageerror", lambda error: self.wrong.append(str(error)))
        self.window.on("request", self._asked)

    def _said(self, message: Any) -> None:
        if message.type in ("error", "warning") and "status of 4" not in message.text:  # a refusal has a status
            self.wrong.append(message.text)

    def _asked(self, request: Any) -> None:
        if not request.url.startswith((self._address + "/", "data:")):
            self.wrong.append(f"asked {request.url}")

    def go(self, path: str) -> None:
        """Open a room, and wait until its answer is there."""
        self.window.goto(path)
        self.settle()

    def press(self, control: Any) -> None:
        """Press what leads to another room, or to the same one anew."""
        with self.window.expect_navigation():
            control.click()
        self.settle()

    def settle(self) -> None:
        """Wait while the page says that it is still working; it looks again by itself."""
        for _ in range(400):
            with suppress(Exception):  # asked between two pages
                state, title = self.window.evaluate("[document.readyState, document.title]")
                if state == "complete" and not title.startswith("Still working"):
                    return
            self.window.wait_for_timeout(150)
        raise AssertionError("the answer does not come")

    @property
    def text(self) -> str:
        """All that can be read in the room."""
        return " ".join(str(self.window.inner_text("body")).split())

    def close(self) -> None:
        """Close the window. Raises AssertionError for what went wrong in it."""
        self._context.close()
        assert not self.wrong, self.wrong
