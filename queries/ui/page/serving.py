"""The server around the page: which addresses it listens on, and what it says when it does."""

from __future__ import annotations

import asyncio
import socket
from collections.abc import Callable
from contextlib import ExitStack
from pathlib import Path

import uvicorn
from starlette.types import ASGIApp

from knockon.queries.ui.page.guard import Guard
from knockon.queries.ui.page.network import LOOPBACK, Door
from knockon.queries.ui.page.server import page_at
from knockon.queries.ui.page.showing import Site
from knockon.queries.ui.sentences import page as say


class PortTaken(Exception):
    """Somebody else listens there."""


def serve(
    records: Path | None, named: str, port: int, tell: Callable[[str], None], network: str = "", may_write: bool = False
) -> None:
    """Serve until the process is interrupted, on this machine and, where ``network`` is its address there, for others
    too; ``may_write``: these too. Raises PortTaken."""
    with ExitStack() as closing:
        listening = [closing.enter_context(listening_at(LOOPBACK, port))]
        port = listening[0].getsockname()[1]
        if network:
            listening.append(closing.enter_context(listening_at(network, port)))
        site = Site(named, say.INVENTED if records is None else "")
        app: ASGIApp = page_at(records.resolve() if records is not None else None, site)
        tell(say.SERVING.format(address=f"http://{LOOPBACK}:{port}/"))
        if network:
            app = Door(app, f"http://{network}:{port}", may_write, tell)
        names = [LOOPBACK, "localhost", *([network] if network else [])]
        settings = uvicorn.Config(
            Guard(app, [f"{name}:{port}" for name in names]),
            log_level="warning",
            access_log=False,
            server_header=False,
            date_header=False,
            proxy_headers=False,
            timeout_graceful_shutdown=2,
            limit_concurrency=200,
            h11_max_incomplete_event_size=16 * 1024,
        )
        asyncio.run(uvicorn.Server(settings).serve(listening))


WAITING = 128
"""So many connections may wait until the page takes them."""


def listening_at(address: str, port: int) -> socket.socket:
    """A socket that browsers can reach from now on, so that its address may be said. Raises PortTaken."""
    found = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    found.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        found.bind((address, port))
        found.listen(WAITING)
    except OSError as error:
        found.close()
        raise PortTaken from error
    return found
