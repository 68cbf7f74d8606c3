"""A world: a server process that can be killed, its database, a gateway, and phones behind it."""

import os
import signal
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from pathlib import Path
from typing import Any

import msgspec

from tests.faults.farm import Draft
from tests.faults.handsets import Handsets, Phone
from tests.faults.killing import Sabotage, Trap
from tests.faults.site import Broken, Site
from tests.faults.store import Row, Store
from tests.server.running import free_port
from tests.sync.gateway import Gateway
from tests.sync.gateway_wire import Request, ask

HEALTH = Request("GET", "/api/health", b"GET /api/health HTTP/1.1\r\nHost: 127.0.0.1\r\n", b"")
SABOTAGE = Path(__file__).parent / "sabotage.mjs"


class World:
    """Open with `open_world`; `renew` makes everything but the processes' homes new.

    `turn` is which run this is, `dist` another built app for the server than the usual one.
    """

    def __init__(self, site: Site, database: str, gateway: Gateway, handsets: Handsets) -> None:
        self.site, self.database = site, database
        self.gateway, self.handsets = gateway, handsets
        self.folder = site.new_folder()
        self.store: Store
        self.phones: list[Phone] = []
        self.turn = 0
        self.sabotage = Sabotage()
        self.dist: Path | None = None
        self._pid: int | None = None

    @property
    def port(self) -> int:
        return self.gateway.behind

    async def renew(self) -> None:
        """A new database with a server on it; the phones of before are gone."""
        await self.clear()
        self.store = self.site.new_store(self.database, self.folder)
        await self.start()

    async def clear(self) -> None:
        """End the server, and forget the phones and the database."""
        self.gateway.clear()
        self.gateway.set(up=True)
        self.dist = None
        for phone in self.phones if self.handsets.alive else ():
            await phone.do("forget")
        self.phones = []
        if self._pid is not None:
            await self.kill()
        if hasattr(self, "store"):
            await self.store.close()
            del self.store

    async def start(self, trap: Trap | None = None) -> None:
        """Start a server on the database as it is."""
        if self.sabotage.server is not None:
            trap = msgspec.structs.replace(trap or Trap(), sabotage=self.sabotage.server)
        told = await self.site.order(
            do="serve", data=str(self.folder), database=self.store.database, port=self.port,
            log=str(self.folder / "server.log"), dist=str(self.dist) if self.dist else None,
            trap=msgspec.structs.asdict(trap) if trap else None,
        )  # fmt: skip
        self._pid = told["pid"]
        if await ask(self.port, HEALTH) is None:
            raise Broken((self.folder / "server.log").read_text("utf-8"))

    async def kill(self) -> None:
        """kill -9, at once."""
        assert self._pid is not None
        os.kill(self._pid, signal.SIGKILL)
        await self.ended()

    async def ended(self) -> int:
        """Wait until the server is no more; the signal that ended it."""
        told = await self.site.order(do="wait", pid=self._pid)
        self._pid = None
        return int(told["signal"])

    async def call(self, name: str, /, **args: Any) -> Any:
        """Do something to the database through the product's own functions (`inside.py`)."""
        order = {"do": "call", "name": name, "args": args, "database": self.store.target}
        return (await self.site.order(**order, log=str(self.folder / "call.log")))["result"]

    async def phone(self, staff: str | None = None) -> Phone:
        """A signed-in phone that knows the farm so far."""
        return (await self.some_phones(1, staff))[0]

    async def some_phones(
        self, count: int, staff: str | None = None, *, knowing: bool = True
    ) -> list[Phone]:
        """Signed-in phones; those that are to know nothing have not fetched anything yet."""
        made = []
        for session in await self.call("sessions", staff=staff, count=count):
            phone = Phone(self.handsets, f"{len(self.phones)}", session["device"])
            await phone.do("sign-in", cookie=session["cookie"])
            self.phones.append(phone)
            if self.sabotage.phone is not None:
                await phone.use(SABOTAGE, self.sabotage.phone)
            if knowing and (paused := await phone.drain()):
                raise Broken(f"A new phone was stopped: {paused}")
            made.append(phone)
        return made

    async def left_behind(
        self, session: dict[str, str], script: Path, drafts: list[Draft]
    ) -> Phone:
        """A phone whose storage another app wrote: `script` fills it before this app opens it."""
        asking = Phone(self.handsets, f"{len(self.phones)}-asking", session["device"])
        cookie = session["cookie"]
        me = (await asking.do("sign-in", cookie=cookie))["me"]
        phone = Phone(self.handsets, f"{len(self.phones)}", session["device"])
        self.phones += [asking, phone]
        made = await phone.use(script, "seed", me=me, cookie=cookie, drafts=drafts)
        phone.shown += made["records"]
        if self.sabotage.phone is not None:
            await phone.use(SABOTAGE, self.sabotage.phone)
        return phone

    async def rows(self, sql: str, *args: Any) -> list[Row]:
        return await self.store.rows(sql, *args)


@asynccontextmanager
async def open_world(site: Site, database: str) -> AsyncIterator[World]:
    gateway = Gateway(free_port())
    handsets = await Handsets.begin(gateway.base)
    world = World(site, database, gateway, handsets)
    try:
        yield world
    finally:
        await world.clear()
        await handsets.close()
        gateway.stop()
