"""A cut of eight pieces without a network, the browser killed (kill -9) in the middle of it."""

import asyncio
import json
from pathlib import Path
from typing import Any

import pytest
from playwright.async_api import Locator, Page, expect

from labels import display, make_code
from tests.browser.farm import WIDE, Served
from tests.faults.chromium import Chromium, chromium, driver
from tests.labels.camera import chromium_arguments, write_camera

pytestmark = pytest.mark.anyio
SLOW = 30_000


class Saw:
    """The person at the saw: shows each base's label to the camera of the phone."""

    def __init__(self, base: str, camera: Path) -> None:
        self.base, self.camera = base, camera
        self.page: Page
        self.main: Locator

    async def start(self, browser: Chromium, path: str) -> None:
        await browser.context.grant_permissions(["camera"], origin=self.base)
        await browser.context.set_offline(path == "/cuts")
        self.page = await browser.context.new_page()
        await self.page.set_viewport_size({"width": 390, "height": 844})
        await self.page.goto(self.base + path)
        self.main = self.page.locator("main")

    async def open_the_cut(self) -> None:
        main = self.main
        await main.get_by_role("button", name="Start at the saw").click()
        await main.get_by_role("button", name="Open the sitting").click()
        await main.get_by_text(display(WIDE[0])).click()
        await main.get_by_role("radio", name="Band saw").click()
        await main.get_by_role("radio", name="Hexagonal tile 40 mm").click()
        await main.get_by_role("button", name="Start gluing").click()
        await main.get_by_role("radio", name="Sale").click()

    async def glue(self, code: str, number: int) -> None:
        """The label is before the camera when it is asked for a picture; nobody taps anything."""
        write_camera(self.camera, code)
        await self.page.reload()
        await self.glued(number)

    async def glued(self, number: int) -> None:
        said = f"{number} piece{'s' if number > 1 else ''} glued"
        await expect(self.main.get_by_role("heading", name=said, exact=True)).to_be_visible(
            timeout=SLOW
        )


async def test_eight_bases_are_glued_offline_and_a_kill_in_the_middle_loses_none(
    served: Served, tmp_path: Path
) -> None:
    farm = await asyncio.to_thread(served.start)
    camera, codes = tmp_path / "camera.mjpeg", [make_code() for _ in range(8)]
    write_camera(camera, None)
    film = [one for one in chromium_arguments(camera) if "video-capture" in one]
    saw = Saw(farm.base, camera)
    async with driver() as playwright:
        async with chromium(playwright, tmp_path / "profile", *film) as browser:
            await saw.start(browser, farm.link().removeprefix(farm.base))
            await saw.page.wait_for_url("**/scan", timeout=SLOW)
            await saw.page.evaluate("navigator.serviceWorker.ready.then(() => true)")
            await expect(saw.page.get_by_text("Not everything is here yet")).to_have_count(0)
            await browser.leave()
        before = await asyncio.to_thread(farm.ask, "SELECT COUNT(*) AS n FROM log")

        async with chromium(playwright, tmp_path / "profile", *film) as browser:
            await saw.start(browser, "/cuts")
            await saw.open_the_cut()
            for number, code in enumerate(codes[:4], 1):
                await saw.glue(code, number)
            await browser.kill()

        write_camera(camera, None)
        async with chromium(playwright, tmp_path / "profile", *film) as browser:
            await saw.start(browser, "/cuts")
            go_on = saw.main.get_by_role("button", name="Go on")
            heading = saw.main.get_by_role("heading", name="4 pieces glued")
            await expect(go_on.or_(heading).first).to_be_visible(timeout=SLOW)
            if await go_on.count():
                await go_on.first.click()
            await saw.glued(4)
            sale = saw.main.get_by_role("radio", name="Sale")
            if not await sale.is_checked():
                await sale.click()
            # A base of before the kill is known: it is not glued twice.
            write_camera(camera, codes[0])
            await saw.page.reload()
            twice = saw.main.get_by_text("was scanned in this cut already").first
            await expect(twice).to_be_visible(timeout=SLOW)
            for number, code in enumerate(codes[4:], 5):
                await saw.glue(code, number)
            await saw.main.get_by_role("button", name="Done with this mother").click()
            sheet = saw.page.get_by_role("dialog")
            await sheet.get_by_role("radio", name="Stays on her base").click()
            await sheet.get_by_role("button", name="Save and finish").click()
            await expect(saw.page.get_by_text("Saved: 8 pieces from")).to_be_visible()

            assert await asyncio.to_thread(farm.ask, "SELECT COUNT(*) AS n FROM log") == before
            await browser.context.set_offline(False)
            await saw.page.goto(f"{farm.base}/waiting")
            await expect(saw.page.get_by_text("Everything is sent")).to_be_visible(timeout=SLOW)
    await _judge(farm.ask, codes, farm.mother)


async def _judge(ask: Any, codes: list[str], mother: str) -> None:
    """The server has one cut, eight pieces by their codes in order, and what remains of her."""
    sql = "SELECT record FROM log WHERE kind IN ('cut', 'glue', 'cut_end') ORDER BY at, id"
    rows = await asyncio.to_thread(ask, sql)
    cut, *glues, end = [json.loads(row["record"]) for row in rows][2:]
    assert (cut["kind"], cut["body"]["mother"]) == ("cut", mother)
    assert [one["body"] for one in glues] == [
        {"cut": cut["subject"]["id"], "base": "base.hex-40", "purpose": "sale", "code": code}
        for code in codes
    ]
    assert (end["subject"]["id"], end["body"]) == (cut["subject"]["id"], {"remains": "same-base"})
