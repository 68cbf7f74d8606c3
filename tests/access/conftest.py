"""A farm with an owner signed in at a desk, and as many other browsers as a test wants."""

import asyncio
from collections.abc import Callable, Iterator
from contextlib import ExitStack
from pathlib import Path
from typing import Any

import httpx
import pytest
from litestar import Litestar
from litestar.testing import TestClient

from api.app import create_app
from api.records.clock import now_ms
from api.settings import Settings
from tests.server.server_farm import BASE, SAME_ORIGIN, prepare
from tests.sync.phone import Phone


class Browser:
    """One browser: its cookies, and short ways to ask."""

    def __init__(self, client: httpx.Client) -> None:
        self.client = client

    def get(self, path: str) -> tuple[int, Any]:
        return _read(self.client.get(path))

    def post(self, path: str, body: Any = None) -> tuple[int, Any]:
        return _read(self.client.post(path, json=body))

    def done(self, path: str, body: Any = None) -> Any:
        """Post something that must go well."""
        status, answer = self.post(path, body)
        assert status in (200, 204), answer
        return answer

    def claim(self, token: str, name: str = "phone", **more: str) -> Any:
        return self.done("/api/access/claim", {"token": token, "device_name": name, **more})

    @property
    def me(self) -> Any:
        return self.get("/api/me")[1]

    def recorder(self, number: int = 7) -> Phone:
        """Makes records as this browser's person and device."""
        phone = Phone(self.me["device"]["id"], number)
        phone.staff = (self.me["staff"] or {"id": "staff.nobody"})["id"]
        return phone

    def push(self, phone: Phone, records: list[Any]) -> Any:
        return self.client.post(
            "/api/sync/push", content=phone.batch(records, now_ms()),
            headers={"Content-Type": "application/json"},
        ).json()  # fmt: skip


def _read(answer: httpx.Response) -> tuple[int, Any]:
    return answer.status_code, answer.json() if answer.content else None


@pytest.fixture
def browse(tmp_path: Path) -> Iterator[Callable[[], Browser]]:
    """Opens another browser on one farm's server. The first claim is for `owner`."""
    settings = Settings(data=tmp_path)
    [token] = asyncio.run(prepare(settings, links=1))
    app: Litestar = create_app(settings)
    with ExitStack() as stack, TestClient(app, base_url=BASE) as first:
        first.headers.update(SAME_ORIGIN)
        first.token = token  # type: ignore[attr-defined]
        opened = [first]

        def browser() -> Browser:
            if opened:
                return Browser(opened.pop())
            more = TestClient(app, base_url=BASE)
            more.blocking_portal = first.blocking_portal
            more.headers.update(SAME_ORIGIN)
            stack.callback(more.cookies.clear)
            return Browser(more)

        yield browser


@pytest.fixture
def owner(browse: Callable[[], Browser]) -> Browser:
    desk = browse()
    desk.claim(desk.client.token, "Desk")  # type: ignore[attr-defined]
    return desk
