"""Trays, tanks and pieces to be moved: what the tests of moving begin with."""

import asyncio
import json
from typing import Any

from playwright.sync_api import Locator, Page, expect

from api.records.clock import now_ms
from labels import make_code
from tests.browser.farm import Farm, ago
from tests.sync.phone import Phone, fates

PLACES = ("A1", "B1", "C3")


class Moving:
    """Tray A2 of 3 x 3 places with three labelled pieces, tray A3 of 2 x 2, and two tanks."""

    def __init__(self, farm: Farm) -> None:
        self.farm, self.lab, self.now = farm, Phone("movers", 11), now_ms()
        self.codes = [make_code() for _ in PLACES]
        self.tray_code, self.tank_code = make_code(), make_code()
        self.pieces = [self.lab.id() for _ in PLACES]
        self.push([*self._lists(), *self._pieces()])

    def push(self, records: list[Any]) -> None:
        """Recorded elsewhere, and on the server."""
        pushed = self.lab.push(self.farm.db, records, self.now)
        answer = asyncio.run_coroutine_threadsafe(pushed, self.farm.loop).result(20)
        assert set(fates(answer)) == {"stored"}, answer

    def _lists(self) -> list[Any]:
        items = [
            ("tray.a2", "tray", {"name": "A2", "columns": 3, "rows": 3}),
            ("tray.a3", "tray", {"name": "A3", "columns": 2, "rows": 2}),
            ("tank.one", "tank", {"name": "Grow-out 1", "litres": 600}),
            ("tank.two", "tank", {"name": "Grow-out 2", "litres": 800}),
        ]
        day = ago(self.now, 50)
        return [
            *(
                self.lab.make("define", ("item", key), {"list": name, "fields": fields}, day)
                for key, name, fields in items
            ),
            self.lab.make("move", ("tray", "tray.a2"), {"tank": "tank.one"}, ago(self.now, 9)),
            self.lab.make("bind", ("tray", "tray.a2"), {"code": self.tray_code}, day),
            self.lab.make("bind", ("tank", "tank.two"), {"code": self.tank_code}, day),
        ]

    def _pieces(self) -> list[Any]:
        [row] = self.farm.ask("SELECT id FROM cut")
        glue = {"cut": row["id"], "base": "base.hex-40", "purpose": "sale", "tray": "tray.a2"}
        return [
            self.lab.make("glue", ("piece", piece), {**glue, "code": code, "place": place},
                          ago(self.now, 39))
            for piece, code, place in zip(self.pieces, self.codes, PLACES, strict=True)
        ]  # fmt: skip

    def moves(self, subject: str) -> list[dict[str, Any]]:
        """Bodies of the moves of a piece or tray that stand on the server, oldest first."""
        rows = self.farm.ask(
            "SELECT id, record FROM log WHERE kind = 'move' AND subject = ? ORDER BY seq", subject
        )
        gone = {row["subject"] for row in
                self.farm.ask("SELECT subject FROM log WHERE kind = 'retract'")}  # fmt: skip
        return [json.loads(row["record"])["body"] for row in rows if row["id"] not in gone]


def read(page: Page, code: str) -> None:
    """A label whose code is typed: what the camera or a hand-held reader would give."""
    within: Locator = page.locator("dialog[open]")
    if within.count() == 0:
        within = page.locator("main")
    field = within.get_by_label("Code on the label")
    field.fill(code)
    field.press("Enter")


def all_sent(page: Page, farm: Farm) -> None:
    page.goto(f"{farm.base}/waiting")
    expect(page.get_by_text("Everything is sent")).to_be_visible(timeout=30_000)
