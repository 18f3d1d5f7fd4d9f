"""The server around the page: which addresses it listens on, and what it says when it does."""

from __future__ import annotations

import asyncio
import socket
from collections.abc import Callable
from pathlib import Path

import uvicorn

from knockon.queries.ui.page.guard import Guard
from knockon.queries.ui.page.server import page_at
from knockon.queries.ui.page.showing import Site
from knockon.queries.ui.sentences import page as say

LOOPBACK = "127.0.0.1"


class PortTaken(Exception):
    """Somebody else listens there."""


def serve(records: Path | None, named: str, port: int, tell: Callable[[str], None]) -> None:
    """Serve until the process is interrupted. Raises PortTaken."""
    with socket.socket(socket.AF_INET, socket.SOCK_STREAM) as listening:
        listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            listening.bind((LOOPBACK, port))
        except OSError as error:
            raise PortTaken from error
        port = listening.getsockname()[1]
        site = Site(named, say.INVENTED if records is None else "")
        app = Guard(page_at(records.resolve() if records is not None else None, site), hosts_of(port))
        settings = uvicorn.Config(
            app,
            log_level="warning",
            access_log=False,
            server_header=False,
            date_header=False,
            timeout_graceful_shutdown=2,
            limit_concurrency=200,
            h11_max_incomplete_event_size=16 * 1024,
        )
        server = uvicorn.Server(settings)
        tell(say.SERVING.format(address=f"http://{LOOPBACK}:{port}/"))
        asyncio.run(server.serve([listening]))


def hosts_of(port: int) -> list[str]:
    """The names under which the page answers on this machine."""
    return [f"{name}:{port}" for name in (LOOPBACK, "localhost")]
