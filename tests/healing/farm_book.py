"""A farm's records written day by day, pushed through the real log into a real database."""

import asyncio
import re
from collections.abc import Awaitable, Callable
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import msgspec

from api.database import Database, open_database
from api.healing.asked import Asked
from api.healing.only import EVERYTHING, Only
from api.healing.report import report
from api.healing.shapes import Group, Report
from api.healing.stock import Stock, read_stock
from api.records.clock import moment
from api.sync.push import push
from api.sync.wire import PushBody, SentAt
from tests.stock.records import entry, ms, record_id

FIRST = date(2026, 1, 1)
LISTS = {
    "settings": ("settings", {"name": "Farm", "zone": "Indian/Maldives"}),
    "method.band": ("method", {"name": "Band saw"}),
    "method.disc": ("method", {"name": "Disc saw"}),
    "base.hex": ("base", {"name": "Hexagon 40"}),
    "base.disc": ("base", {"name": "Disc 25"}),
    "blade.one": ("blade", {"name": "Blade one"}),
    "species.one": ("species", {"name": "Lobophyllia hemprichii"}),
    "species.two": ("species", {"name": "Acanthastrea echinata"}),
    "tray.a": ("tray", {"name": "A"}),
    "tray.b": ("tray", {"name": "B"}),
}


class Book:
    """Records in the order written; every method that begins something returns its id."""

    def __init__(self) -> None:
        self.records: list[dict[str, Any]] = []
        self.last_day = 0
        for key, (name, fields) in LISTS.items():
            self.write(-30, "define", {"list": name, "fields": fields}, ("item", key))

    def write(self, day: int, kind: str, body: dict[str, Any], subject: tuple[str, str]) -> str:
        """A record at 10:00 farm time on `day` since the first of January; returns its id."""
        number = len(self.records) + 1
        self.last_day = max(self.last_day, day)
        made = entry(number, f"{FIRST + timedelta(days=day)} 05:00", kind, body, subject)
        self.records.append(made["record"])
        return str(made["record"]["id"])

    def key(self) -> str:
        """A fresh id for a piece, a cut or a sitting."""
        return record_id(0x10_0000 + len(self.records))

    def colony(self, species: str = "species.one") -> str:
        body = {"line": "Amber", "species": species, "origin": "wild"}
        piece = self.key()
        self.write(-20, "arrival", body, ("piece", piece))
        return piece

    def cut(self, mother: str | None = None, method: str = "method.band", day: int = 0,
            sitting: str | None = None, **more: str) -> str:  # fmt: skip
        """A cut of a colony of its own in a sitting of its own, where none is named."""
        mother = mother or self.colony()
        cut = self.key()
        body = {"sitting": sitting or cut, "mother": mother, "method": method, **more}
        self.write(day, "cut", body, ("cut", cut))
        return cut

    def glue(self, cut: str, day: int = 0, base: str = "base.hex", purpose: str = "sale",
             **more: Any) -> str:  # fmt: skip
        piece = self.key()
        body = {"cut": cut, "base": base, "purpose": purpose, **more}
        self.write(day, "glue", body, ("piece", piece))
        return piece

    def see(self, piece: str, story: str, start: int = 0) -> str:
        """'l7 s14 r21' on days since `start`: look, sweep, ready, again, x lost, missing, out."""
        for code, day in re.findall(r"([lsraxmo])(\d+)", story):
            kind, body = STORY[code]
            self.write(start + int(day), kind, body, ("piece", piece))
        return piece

    def pieces(self, cut: str, *stories: str, start: int = 0, **more: Any) -> list[str]:
        """One piece for each story."""
        return [self.see(self.glue(cut, start, **more), story, start) for story in stories]

    def retract(self, record: str, day: int = 0) -> None:
        self.write(day, "retract", {"why": "a mistake"}, ("record", record))


STORY: dict[str, tuple[str, dict[str, Any]]] = {
    "l": ("check", {"mouth": "bud"}),
    "s": ("check", {"swept": True}),
    "r": ("ready", {"for": "sale"}),
    "a": ("ready", {"for": "cut"}),
    "x": ("loss", {"how": "dead"}),
    "m": ("loss", {"how": "missing"}),
    "o": ("exit", {"how": "dispatched"}),
}


def on_day(day: int) -> int:
    """20:00 farm time on a day since the first of January, in UTC milliseconds."""
    return ms(f"{FIRST + timedelta(days=day)} 15:00")


def run(folder: Path, work: Callable[[Database], Awaitable[Any]]) -> Any:
    """Do `work` on the database in `folder`."""

    async def inner() -> Any:
        db = await open_database(folder / "farm.sqlite")
        try:
            return await work(db)
        finally:
            await db.close()

    return asyncio.run(inner())


async def fill(db: Database, book: Book, now: int) -> None:
    """Push the book's records; every one must be stored."""
    raw = [msgspec.Raw(msgspec.json.encode(record)) for record in book.records]
    answers = await push(db, PushBody("device.one", SentAt(moment(now)), raw), now)
    assert {one.answer for one in answers.answers} == {"stored"}


def stock_of(folder: Path, book: Book, day: int) -> Stock:
    """The stock on the evening of `day`, tanks and all."""
    now = on_day(day)

    async def work(db: Database) -> Stock:
        await fill(db, book, now)
        return await read_stock(db, now, tanks=True, ids=True)

    found: Stock = run(folder, work)
    return found


def report_of(folder: Path, book: Book, by: str = "method", endpoint: str = "sale",
              day: int | None = None, only: Only = EVERYTHING) -> Report:  # fmt: skip
    """The report on the evening of `day`, by default that of the newest record."""
    now = on_day(book.last_day if day is None else day)

    async def work(db: Database) -> Report:
        await fill(db, book, now)
        return await report(db, Asked(by, endpoint, only=only), now)  # type: ignore[arg-type]

    found: Report = run(folder, work)
    return found


def only(found: Report) -> Group:
    """The one group of a report."""
    [group] = found.groups
    return group
