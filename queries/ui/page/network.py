"""The page for a phone in the same network: an address with a key that works once, read-only unless told otherwise."""

from __future__ import annotations

import secrets
import socket
from collections.abc import Callable
from http.cookies import SimpleCookie
from urllib.parse import parse_qs

from starlette.datastructures import Headers
from starlette.responses import RedirectResponse
from starlette.types import ASGIApp, Receive, Scope, Send

from knockon.queries.ui.page.guard import COOKIE
from knockon.queries.ui.page.plain_page import plain_page
from knockon.queries.ui.sentences import page as say

LOOPBACK = "127.0.0.1"
ENTER = "/enter"
NOWHERE = ("192.0.2.1", 9)  # RFC 5737: an address that is nobody's; nothing is sent there
READ_ONLY = "knockon.read-only"
"""What the door says in the scope of a request that may not write."""


class NoNetwork(Exception):
    """This machine has no address that others could reach."""


def own_address() -> str:
    """The address of this machine in its network. Raises NoNetwork."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as asked:
        try:
            asked.connect(NOWHERE)  # only asks which of its addresses the machine would use
        except OSError as error:
            raise NoNetwork from error
        return str(asked.getsockname()[0])


def qr_code(text: str) -> str:
    """A QR code (ISO/IEC 18004) in half blocks, two rows a line; what is light is drawn, since terminals are dark."""
    import segno

    rows = [list(row) for row in segno.make(text, micro=False).matrix_iter(border=2)]
    if len(rows) % 2:
        rows.append([0] * len(rows[0]))
    blocks = {(0, 0): "█", (0, 1): "▀", (1, 0): "▄", (1, 1): " "}
    pairs = zip(rows[::2], rows[1::2], strict=True)
    return "\n".join("".join(blocks[(int(a), int(b))] for a, b in zip(x, y, strict=True)) for x, y in pairs)


class Door:
    """An ASGI layer: who sits at this machine comes in; others need the key once, and are known by their cookie then.

    Each key works once: the next one is told as soon as one is used. ``may_write``: whether those others may write.
    """

    def __init__(self, app: ASGIApp, base: str, may_write: bool, tell: Callable[[str], None]) -> None:
        self._app, self._base, self._may_write, self._tell = app, base, may_write, tell
        self._known: set[str] = set()
        self._key = ""
        self.new_key()

    def new_key(self) -> None:
        """Make a key, and tell the address with it."""
        self._key = secrets.token_urlsafe(16)
        address = f"{self._base}{ENTER}?key={self._key}"
        self._tell(say.FOR_A_PHONE.format(address=address, code=qr_code(address)))

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Let in, or ask for the key."""
        if scope["type"] != "http" or (scope.get("client") or ("",))[0] == LOOPBACK:
            await self._app(scope, receive, send)
            return
        if scope["path"] == ENTER and scope["method"] == "GET":
            await self._enter(scope, receive, send)
        elif _visit(scope) in self._known:
            await self._app(scope if self._may_write else {**scope, READ_ONLY: True}, receive, send)
        else:
            await plain_page(say.NOT_ANSWERED, say.NEEDS_KEY, 403)(scope, receive, send)

    async def _enter(self, scope: Scope, receive: Receive, send: Send) -> None:
        given = parse_qs(scope["query_string"].decode("latin-1")).get("key", [""])[0]
        if not secrets.compare_digest(given.encode(), self._key.encode()):
            await plain_page(say.NOT_ANSWERED, say.NEEDS_KEY, 403)(scope, receive, send)
            return
        visit = secrets.token_urlsafe(24)
        self._known.add(visit)
        self.new_key()
        answer = RedirectResponse("/", 303)
        answer.set_cookie(COOKIE, visit, httponly=True, samesite="strict", path="/")
        await answer(scope, receive, send)


def _visit(scope: Scope) -> str:
    cookie = SimpleCookie(Headers(scope=scope).get("cookie", "")).get(COOKIE)
    return cookie.value if cookie is not None else ""
