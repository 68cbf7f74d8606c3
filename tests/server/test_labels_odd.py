"""What no form lets anybody write, asked about labels all the same: told in a sentence, on both
databases, of which one takes a NUL and the other does not."""

import asyncio
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from litestar.testing import TestClient

from api.app import create_app
from api.settings import Settings
from tests.server.labels_farm import A4_24
from tests.server.server_farm import BASE, SAME_ORIGIN, Farm, prepare, small_app


@pytest.fixture
def client(target: str | Path, tmp_path: Path) -> Iterator[TestClient[Any]]:
    settings = Settings(data=tmp_path, database="" if isinstance(target, Path) else target)
    tokens = asyncio.run(prepare(settings))
    app = create_app(settings, dist=small_app(tmp_path / "dist"))
    with TestClient(app, base_url=BASE, raise_server_exceptions=False) as opened:
        opened.headers.update(SAME_ORIGIN)
        assert Farm(opened, settings, tokens).claim().status_code == 200
        yield opened


@pytest.mark.parametrize(
    ("path", "body", "told"),
    [
        ("prints", {"geometry": "a\0", "count": 1}, (400, "bad-body")),
        ("verdict", {"geometry": "a\0", "count": 1}, (400, "bad-body")),
        ("sheet", {"geometry": "a\0", "count": 1}, (400, "bad-body")),
        ("void", {"why": "lost", "print": "a\0"}, (400, "bad-body")),
        ("prints/a%00/sheet", {"geometry": A4_24}, (404, "not-found")),
        ("prints/a%00", None, (404, "not-found")),
    ],
)
def test_a_name_with_a_nul_is_told_and_breaks_nothing(
    client: TestClient[Any], path: str, body: dict[str, Any] | None, told: tuple[int, str]
):
    address = f"/api/labels/{path}"
    answer = client.get(address) if body is None else client.post(address, json=body)
    assert (answer.status_code, answer.json()["code"]) == told
