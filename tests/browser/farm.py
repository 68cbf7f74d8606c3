"""A small farm on a real server in this process: a mother, a cut, a label that is not yet bound."""

import asyncio
import socket
import threading
from collections.abc import Awaitable, Callable
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import uvicorn

from api.access.links import make_link, owner_of
from api.app import create_app
from api.database import Database, open_database
from api.labelling.tables import LabelCode
from api.records.clock import now_ms
from api.settings import Settings
from labels import check_character, make_code
from tests.sync.phone import Phone, fates

WIDE = [seven + check_character(seven) for seven in ("MWMWMWM", "WWWWWWW")]
"""The codes that take the most room on a screen."""
LISTS: list[tuple[str, str, dict[str, Any]]] = [
    ("settings", "settings", {"name": "Low Wall Farm", "zone": "Europe/Lisbon",
                              "label_host": "LABELS.EXAMPLE", "wild_number": 0}),
    ("species.lobo", "species", {"name": "Lobophyllia hemprichii", "form": "massive"}),
    ("method.band-saw", "method", {"name": "Band saw"}),
    ("base.hex-40", "base", {"name": "Hexagonal tile 40 mm", "shape": "hexagon",
                             "across_mm": 40}),
    ("cause.unknown", "cause", {"name": "Unknown"}),
    ("tray.a1", "tray", {"name": "A1", "columns": 20, "rows": 20}),
]  # fmt: skip


@dataclass
class Farm:
    """What a test needs to know of the farm. `db` may be used only through `ask`."""

    base: str
    db: Database
    loop: asyncio.AbstractEventLoop
    mother: str
    piece: str
    code: str
    spare: str

    def ask(self, sql: str, *args: Any) -> list[dict[str, Any]]:
        """Query the server's database from the test's thread."""
        return asyncio.run_coroutine_threadsafe(self.db.rows(sql, *args), self.loop).result(20)

    def link(self) -> str:
        """A fresh sign-in link for the owner."""

        async def make() -> str:
            return await make_link(self.db, await owner_of(self.db))

        token = asyncio.run_coroutine_threadsafe(make(), self.loop).result(20)
        return f"{self.base}/sign-in#{token}"


def ago(now: int, days: int) -> int:
    """The same hour so many days earlier on the farm, whose clocks change in between."""
    local = datetime.fromtimestamp(now / 1000, ZoneInfo("Europe/Lisbon"))
    return round((local - timedelta(days=days)).timestamp() * 1000)


async def fill(db: Database, now: int) -> tuple[str, str, str, str]:
    """A mother that arrived 60 days ago, cut 40 days ago, one piece glued: mother, piece, codes."""
    desk, code, spare = Phone("desk"), WIDE[1], make_code()
    records = [
        desk.make("define", ("item", key), {"list": name, "fields": fields}, ago(now, 61))
        for key, name, fields in LISTS
    ]
    mother, cut, piece, sitting = (desk.id() for _ in range(4))
    records += [
        desk.make("arrival", ("piece", mother), {
            "line": "Amber", "species": "species.lobo", "origin": "wild", "code": WIDE[0],
        }, ago(now, 60)),
        desk.make("cut", ("cut", cut), {
            "sitting": sitting, "mother": mother, "method": "method.band-saw",
        }, ago(now, 40)),
        desk.make("glue", ("piece", piece), {
            "cut": cut, "base": "base.hex-40", "purpose": "sale", "code": code, "size_mm": 25,
            "encrustation": 0, "mouths_kept": "part", "tray": "tray.a1", "place": "B7",
        }, ago(now, 40)),
    ]  # fmt: skip
    assert set(fates(await desk.push(db, records, now))) == {"stored"}
    async with db.write():
        await LabelCode.insert(*(
            LabelCode(code=c, minted_at=now, batch="test", staff="owner") for c in (code, spare)
        ))  # fmt: skip
    return mother, piece, code, spare


Begin = Callable[[Database, int], Awaitable[tuple[str, str, str, str]]]
"""What a farm begins with; gives back a mother, a piece, its code and a spare one."""


async def nothing(db: Database, now: int) -> tuple[str, str, str, str]:
    """A farm on its first day: a name and no more."""
    desk = Phone("desk")
    name = {"list": "settings", "fields": {"name": "High Wall Farm", "zone": "Europe/Lisbon"}}
    assert fates(await desk.push(db, [desk.make("define", ("item", "settings"), name)], now))
    return "", "", "", ""


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


class Served:
    """The server in a thread of its own; `stop` and `start` play a network that goes and comes."""

    def __init__(self, folder: Path, begin: Begin = fill) -> None:
        self.folder, self.port, self.begin = folder, free_port(), begin
        self.farm: Farm | None = None

    def start(self) -> Farm:
        ready = threading.Event()
        self.thread = threading.Thread(target=lambda: asyncio.run(self._run(ready)), daemon=True)
        self.thread.start()
        assert ready.wait(60), "the server did not start"
        assert self.farm is not None
        return self.farm

    def stop(self) -> None:
        self.server.should_exit = True
        self.thread.join(20)

    def app(self, settings: Settings, db: Database) -> Any:
        """What is served."""
        return create_app(settings, db)

    async def _run(self, ready: threading.Event) -> None:
        settings = Settings(data=self.folder, port=self.port)
        db = await open_database(settings.target)
        known = await self.begin(db, now_ms())
        config = uvicorn.Config(self.app(settings, db), port=self.port, log_level="warning",
                                timeout_graceful_shutdown=1)  # fmt: skip
        self.server = uvicorn.Server(config)
        loop = asyncio.get_running_loop()
        self.farm = Farm(f"http://127.0.0.1:{self.port}", db, loop, *known)
        task = asyncio.create_task(self.server.serve())
        while not self.server.started:
            await asyncio.sleep(0.02)
        ready.set()
        await task
