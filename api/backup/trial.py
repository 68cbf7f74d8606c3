"""Starting the application in this process, on no port, and asking it one thing."""

from typing import Any, cast

import msgspec
from litestar import Litestar
from litestar.types import Message, Scope

_SCOPE = {
    "type": "http",
    "asgi": {"version": "3.0", "spec_version": "2.3"},
    "http_version": "1.1",
    "method": "GET",
    "scheme": "http",
    "path": "/api/health",
    "raw_path": b"/api/health",
    "root_path": "",
    "query_string": b"",
    "headers": [(b"host", b"localhost")],
    "client": ("127.0.0.1", 0),
    "server": ("127.0.0.1", 0),
    "extensions": {},
}


async def health(app: Litestar) -> dict[str, Any]:
    """What GET /api/health answers once the application has started; empty if that is no JSON."""
    body = bytearray()

    async def receive() -> Any:
        return {"type": "http.request", "body": b"", "more_body": False}

    async def send(message: Message) -> None:
        if message["type"] == "http.response.body":
            body.extend(message["body"])

    async with app.lifespan():
        await app(cast(Scope, dict(_SCOPE) | {"state": {}}), receive, send)
    try:
        return msgspec.json.decode(bytes(body), type=dict[str, Any])
    except msgspec.MsgspecError:
        return {}
