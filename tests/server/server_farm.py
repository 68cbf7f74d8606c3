"""A farm's server in the process, on a real SQLite file made by the migrations."""

import sqlite3
from dataclasses import dataclass
from pathlib import Path

import httpx
from litestar import Litestar
from litestar.testing import TestClient

from api.access.links import make_link, owner_of
from api.database import open_database
from api.settings import Settings

SAME_ORIGIN = {"Sec-Fetch-Site": "same-origin"}
BASE = "http://farm.example"


@dataclass
class Farm:
    """A running server, links for its owner, and its file for looking behind the scenes."""

    client: TestClient[Litestar]
    settings: Settings
    tokens: list[str]

    def claim(self, token: str | None = None, name: str = "phone", **more: str) -> httpx.Response:
        body = {"token": token or self.tokens.pop(), "device_name": name, **more}
        return self.client.post("/api/access/claim", json=body)

    def sql(self, statement: str, *values: object) -> list[tuple[object, ...]]:
        connection = sqlite3.connect(self.settings.data / "nubbin.sqlite", timeout=10)
        with connection:
            rows = connection.execute(statement, values).fetchall()
        connection.close()
        return rows


async def prepare(settings: Settings, links: int = 4, reusable: bool = False) -> list[str]:
    """Make the database, its owner, and links; return their tokens."""
    db = await open_database(settings.target)
    owner = await owner_of(db)
    tokens = [await make_link(db, owner, reusable=reusable) for _ in range(links)]
    await db.close()
    return tokens


def small_app(folder: Path) -> Path:
    """A stand-in for the built phone app."""
    (folder / "assets").mkdir(parents=True)
    (folder / "index.html").write_text("<!doctype html><title>Nubbin</title>" + " " * 2000)
    (folder / "sw.js").write_text("// service worker\n" * 100)
    (folder / "assets" / "main-4f3a9c.js").write_text("console.log('nubbin')\n" * 200)
    (folder / "icon-192.png").write_bytes(b"\x89PNG" + bytes(range(256)))
    return folder
