"""The gate before the page: names that are ours, paired windows, no frames; asked without a server."""

from __future__ import annotations

import asyncio
from typing import Any

import pytest

from capacity.page.server.gate import Gate

CODE = "a-code-of-9"


def ask(gate: Gate, kind: str = "http", host: str = "127.0.0.1:8501", query: str = "", cookie: str = "") -> list[Any]:
    """What a request is answered with."""
    sent: list[Any] = []
    headers = [(b"host", host.encode()), *([(b"cookie", cookie.encode())] if cookie else [])]
    scope = {"type": kind, "path": "/count", "query_string": query.encode(), "headers": headers}

    async def receive() -> dict[str, Any]:
        return {"type": f"{kind}.connect"}

    async def send(message: Any) -> None:
        sent.append(message)

    asyncio.run(gate(scope, receive, send))
    return sent


async def page(scope: Any, receive: Any, send: Any) -> None:
    """What stands behind the gate."""
    if scope["type"] == "websocket":
        await send({"type": "websocket.accept"})
        return
    await send({"type": "http.response.start", "status": 200, "headers": [(b"x-own", b"1")]})
    await send({"type": "http.response.body", "body": b"the page"})


def gate(code: str = "") -> Gate:
    return Gate(page, ("127.0.0.1", "localhost", "192.0.2.7"), code)


def test_this_machine_is_let_in_and_no_other_site_may_frame_the_page() -> None:
    start, body = ask(gate())
    assert (start["status"], body["body"]) == (200, b"the page")
    assert dict(start["headers"]) == {
        b"x-own": b"1",
        b"x-frame-options": b"DENY",
        b"content-security-policy": b"frame-ancestors 'none'",
    }


@pytest.mark.parametrize("host", ["evil.example:8501", "127.0.0.1.evil.example:8501", "192.0.2.8:8501", ""])
@pytest.mark.parametrize("code", ["", CODE])
def test_another_name_for_us_is_refused(host: str, code: str) -> None:
    assert ask(gate(code), host=host, cookie=f"capacity={code}")[0]["status"] == 403
    assert ask(gate(code), "websocket", host=host, cookie=f"capacity={code}") == [
        {"type": "websocket.close", "code": 1008}
    ]


@pytest.mark.parametrize("cookie", ["", "capacity=", "capacity=another", "other=a-code-of-9", "capacity", "\x01=;;"])
def test_a_shared_page_is_closed_to_a_window_that_is_not_paired(cookie: str) -> None:
    assert ask(gate(CODE), cookie=cookie)[0]["status"] == 403
    assert ask(gate(CODE), "websocket", cookie=cookie)[0]["type"] == "websocket.close"
    assert ask(gate(CODE), query=f"pair={CODE}x", cookie=cookie)[0]["status"] == 403


def test_the_code_pairs_a_window_and_goes_out_of_its_address() -> None:
    start = ask(gate(CODE), host="192.0.2.7:8501", query=f"pair={CODE}&closet=0123")[0]
    headers = dict(start["headers"])
    assert start["status"] == 303
    assert headers[b"location"] == b"/count?closet=0123"
    assert headers[b"set-cookie"] == f"capacity={CODE}; HttpOnly; SameSite=Strict; Path=/".encode()
    assert ask(gate(CODE), cookie=f"capacity={CODE}")[0]["status"] == 200
    assert ask(gate(CODE), "websocket", cookie=f"a=b; capacity={CODE}") == [{"type": "websocket.accept"}]


def test_a_path_that_looks_like_another_machine_leads_nowhere_else() -> None:
    sent: list[Any] = []
    scope = {
        "type": "http",
        "path": "//evil.example/x",
        "query_string": f"pair={CODE}".encode(),
        "headers": [(b"host", b"127.0.0.1:1")],
    }

    async def nothing() -> dict[str, Any]:
        return {}

    async def send(message: Any) -> None:
        sent.append(message)

    asyncio.run(gate(CODE)(scope, nothing, send))
    assert dict(sent[0]["headers"])[b"location"] == b"/evil.example/x"
