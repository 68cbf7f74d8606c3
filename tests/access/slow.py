"""A request whose body does not come at once: something happens between its two halves."""

import json
from collections.abc import Awaitable, Callable
from typing import Any

from litestar.types import Message

from tests.server.server_farm import SAME_ORIGIN

Between = Callable[[], Awaitable[bool | None]]
"""False where the phone hangs up then."""
JSON = {"content-type": "application/json"}


def post_slowly(client: Any, path: str, body: bytes, between: Between) -> tuple[int, Any]:
    """Status and answer of a POST by this browser's client."""
    return send_slowly(client, "POST", path, body, between, JSON)


def send_slowly(
    client: Any, method: str, path: str, body: bytes, between: Between, headers: dict[str, str]
) -> tuple[int, Any]:
    """The same for any method and kind of body."""
    found: tuple[int, Any] = client.blocking_portal.call(
        _send, client, method, path, body, between, headers
    )
    return found


async def _send(
    client: Any, method: str, path: str, body: bytes, between: Between, headers: dict[str, str]
) -> tuple[int, Any]:
    cookie = "; ".join(f"{name}={value}" for name, value in client.cookies.items())
    named = {"cookie": cookie, **SAME_ORIGIN, **headers}
    scope = {
        "type": "http", "asgi": {"version": "3.0"}, "http_version": "1.1", "method": method,
        "scheme": "http", "path": path, "raw_path": path.encode(), "root_path": "",
        "query_string": b"", "client": ("127.0.0.1", 1), "server": ("farm.example", 80),
        "headers": [(n.lower().encode(), v.encode()) for n, v in named.items()],
    }  # fmt: skip
    half = len(body) // 2
    parts = [body[:half], body[half:]]
    sent: list[Any] = []

    async def receive() -> Any:
        if len(parts) == 1 and await between() is False:
            parts.clear()
        if not parts:
            return {"type": "http.disconnect"}
        part = parts.pop(0)
        return {"type": "http.request", "body": part, "more_body": bool(parts)}

    async def send(message: Message) -> None:
        sent.append(message)

    await client.app(scope, receive, send)
    answer = b"".join(m.get("body", b"") for m in sent[1:])
    return sent[0]["status"], json.loads(answer) if answer else None
