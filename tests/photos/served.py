"""A farm's whole server in the process, its owner signed in, on either database."""

import asyncio
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

import httpx
from litestar import Litestar
from litestar.testing import TestClient

from api.app import create_app
from api.database import open_database
from api.settings import Settings
from tests.photos.farm import name_photo
from tests.server.server_farm import BASE, SAME_ORIGIN, prepare, small_app

MEDIA = "application/offset+octet-stream"


@dataclass
class Served:
    """`name` lays the record of a photo in the log; `part` sends some of its bytes."""

    client: TestClient[Litestar]
    settings: Settings
    epoch: str = ""
    records: int = 0

    def name(self, content: bytes) -> str:
        self.records += 1
        return asyncio.run(self._name(content))

    async def _name(self, content: bytes) -> str:
        db = await open_database(self.settings.target)
        found = await name_photo(db, content, number=self.records)
        await db.close()
        return found

    def part(self, name: str, offset: int | str, body: bytes, **headers: str) -> httpx.Response:
        wanted = {"Upload-Offset": str(offset), "Content-Type": MEDIA} | headers
        return self.client.patch(f"/api/photos/{name}", content=body, headers=wanted)

    def send(self, content: bytes) -> str:
        name = self.name(content)
        for at in range(0, len(content), 256 * 1024):
            answer = self.part(name, at, content[at : at + 256 * 1024])
            assert answer.status_code == 200, answer.text
        assert answer.json()["state"] == "kept"
        return name


@contextmanager
def serve(folder: Path, target: str | Path) -> Iterator[Served]:
    """The server on a database that `prepare` filled."""
    settings = Settings(data=folder, database=target if isinstance(target, str) else "")
    tokens = asyncio.run(prepare(settings, 1))
    app = create_app(settings, dist=small_app(folder / "dist"))
    with TestClient(app, base_url=BASE) as client:
        client.headers.update(SAME_ORIGIN)
        claimed = client.post(
            "/api/access/claim", json={"token": tokens[0], "device_name": "phone"}
        )
        assert claimed.status_code == 200
        yield Served(client, settings, claimed.json()["epoch"])
