"""What keeps others out: names under which the page answers, where a form comes from, how much may be sent at once.

A page of another site that a browser shows beside this one can send requests here. It can neither read an answer (no
other origin is allowed) nor have something written: that needs the page's own origin and a token that only it knows.
"""

from __future__ import annotations

import hashlib
import hmac
import secrets
from collections.abc import Iterable

import msgspec
from starlette.datastructures import Headers
from starlette.requests import Request
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from knockon.queries.ui.page.plain_page import plain_page
from knockon.queries.ui.sentences import page as say

MEGABYTE = 1024 * 1024
MOST_MEGABYTES = 24
COOKIE = "knockon-visit"
OWN, NONE = "'self'", "'none'"
POLICY = {
    "default-src": NONE,
    "style-src": OWN,
    "script-src": OWN,
    "img-src": f"{OWN} data:",
    "connect-src": OWN,
    "form-action": OWN,
    "base-uri": NONE,
    "frame-ancestors": NONE,
}
HEADERS = {
    "content-security-policy": ";".join(f"{what} {source}" for what, source in POLICY.items()),
    "x-content-type-options": "nosniff",
    "x-frame-options": "DENY",
    "referrer-policy": "same-origin",
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
    "cache-control": "no-store",
}


class Visits:
    """Who visits: each browser has a name of its own in a cookie, from which the token of its forms is made."""

    def __init__(self) -> None:
        self._secret = secrets.token_bytes(32)

    def token(self, visit: str) -> str:
        """The token that the forms of a visit carry."""
        return hmac.new(self._secret, visit.encode(), hashlib.sha256).hexdigest()

    def is_token(self, visit: str, token: str) -> bool:
        """Whether a token is the visit's."""
        return bool(visit) and hmac.compare_digest(self.token(visit), token)


class Guarded(msgspec.Struct, frozen=True):
    """What a request shows of itself."""

    host: str
    origin: str
    site: str


class Guard:
    """An ASGI layer around the page: ``hosts`` are the names with ports under which it answers."""

    def __init__(self, app: ASGIApp, hosts: Iterable[str]) -> None:
        self._app, self._hosts = app, frozenset(h.casefold() for h in hosts)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Let a request through, bounded and with all headers on its answer, or refuse it."""
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return
        headers = Headers(scope=scope)

        async def with_headers(message: Message) -> None:
            if message["type"] == "http.response.start":
                own = {name for name, _ in message["headers"]}
                added = [(n.encode(), v.encode()) for n, v in HEADERS.items() if n.encode() not in own]
                message = {**message, "headers": [*message["headers"], *added]}
            await send(message)

        why, status = self._refused(scope, headers)
        if why:
            await plain_page(say.NOT_ANSWERED, why, status)(scope, receive, with_headers)
            return
        await self._app(scope, _bounded(receive), with_headers)

    def _refused(self, scope: Scope, headers: Headers) -> tuple[str, int]:
        if headers.get("host", "").casefold() not in self._hosts or len(headers.getlist("host")) != 1:
            return say.WRONG_HOST, 421
        if scope["method"] not in ("GET", "HEAD") and not self._own(headers):
            return say.NOT_ALLOWED, 403
        length = headers.get("content-length", "0")
        if not length.isascii() or not length.isdigit() or int(length) > MOST_MEGABYTES * MEGABYTE:
            return say.TOO_LARGE.format(megabytes=MOST_MEGABYTES), 413
        return "", 0

    def _own(self, headers: Headers) -> bool:
        """Whether a form comes from the page itself: its origin is one under which the page answers."""
        if headers.get("sec-fetch-site", "same-origin") not in ("same-origin", "none"):
            return False
        scheme, _, host = headers.get("origin", "").partition("://")
        return scheme in ("http", "https") and host.casefold() == headers.get("host", "").casefold()


class SentTooMuch(Exception):
    """More came than was announced or is taken."""


def _bounded(receive: Receive) -> Receive:
    taken = 0

    async def bounded() -> Message:
        nonlocal taken
        message = await receive()
        taken += len(message.get("body", b""))
        if taken > MOST_MEGABYTES * MEGABYTE:
            raise SentTooMuch
        return message

    return bounded


def visit_of(request: Request) -> str:
    """The visit that a request belongs to; blank for a new one."""
    return request.cookies.get(COOKIE, "")
