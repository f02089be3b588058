"""Who may reach the page: names that are ours, windows that are paired, and no frame of another site.

Stands before Streamlit's own server for every request and websocket. There is no encryption: whoever listens in on the
network can read the pairing code.
"""

from __future__ import annotations

import hmac
import os
from collections.abc import Iterable
from http.cookies import SimpleCookie
from typing import TYPE_CHECKING
from urllib.parse import parse_qsl, urlencode

if TYPE_CHECKING:
    from starlette.types import ASGIApp, Message, Receive, Scope, Send

COOKIE, PAIR = "capacity", "pair"
"""The cookie of a paired window, and what an address calls the code that pairs one."""

HOSTS_IN, CODE_IN = "CAPACITY_PAGE_HOSTS", "CAPACITY_PAGE_CODE"
"""Where the server's process finds the names that it answers to, and the pairing code of a page that is shared."""

OWN_HOSTS = "127.0.0.1 localhost"
NO_FRAME = ((b"x-frame-options", b"DENY"), (b"content-security-policy", b"frame-ancestors 'none'"))


class Gate:
    """Answers 403 to whoever may not see the page, and lets no other site show it in a frame.

    Parameters
    ----------
    app
        What stands behind it.
    hosts
        The names and addresses under which the page may be asked for.
    code
        What a window must have shown once, by an address with `pair=`; empty for a page of this machine only.
    """

    def __init__(self, app: ASGIApp, hosts: Iterable[str], code: str = "") -> None:
        self._app, self._hosts, self._code = app, frozenset(hosts), code

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Let a request through, pair its window, or refuse it."""
        if scope["type"] not in ("http", "websocket"):
            await self._app(scope, receive, send)
            return
        headers = {name.decode("latin-1"): text.decode("latin-1") for name, text in scope["headers"]}
        query = parse_qsl(scope["query_string"].decode("latin-1"), keep_blank_values=True)
        if headers.get("host", "").rpartition(":")[0] not in self._hosts:
            await _refuse(scope, receive, send)
        elif scope["type"] == "http" and self._is_code(dict(query).get(PAIR, "")):
            await self._pair(scope["path"], query, send)
        elif self._code and not self._is_code(_cookie(headers.get("cookie", ""))):
            await _refuse(scope, receive, send)
        else:
            await self._app(scope, receive, _unframed(send))

    def _is_code(self, text: str) -> bool:
        return bool(self._code) and hmac.compare_digest(text.encode(), self._code.encode())

    async def _pair(self, path: str, query: list[tuple[str, str]], send: Send) -> None:
        """Give a window the cookie, and send it to the same address without the code."""
        rest = urlencode([(name, text) for name, text in query if name != PAIR])
        cookie = f"{COOKIE}={self._code}; HttpOnly; SameSite=Strict; Path=/"
        place = f"/{path.lstrip('/')}" + (f"?{rest}" if rest else "")
        more = [(b"location", place.encode("latin-1")), (b"set-cookie", cookie.encode()), *NO_FRAME]
        await send({"type": "http.response.start", "status": 303, "headers": more})
        await send({"type": "http.response.body", "body": b""})


def gate_of_environment() -> tuple[tuple[str, ...], str]:
    """The names and the code that this process was started with."""
    return tuple(os.environ.get(HOSTS_IN, OWN_HOSTS).split()), os.environ.get(CODE_IN, "")


def _cookie(text: str) -> str:
    try:
        found = SimpleCookie(text).get(COOKIE)
    except ValueError:
        return ""
    return found.value if found is not None else ""


async def _refuse(scope: Scope, receive: Receive, send: Send) -> None:
    if scope["type"] == "websocket":
        await receive()  # a socket may be refused once it has asked
        await send({"type": "websocket.close", "code": 1008})
        return
    kind = (b"content-type", b"text/plain; charset=utf-8")
    await send({"type": "http.response.start", "status": 403, "headers": [kind, *NO_FRAME]})
    await send({"type": "http.response.body", "body": b"Scan the code that `capacity page --lan` shows.\n"})


def _unframed(send: Send) -> Send:
    async def with_headers(message: Message) -> None:
        if message["type"] == "http.response.start":
            message = {**message, "headers": [*message.get("headers", ()), *NO_FRAME]}
        await send(message)

    return with_headers
