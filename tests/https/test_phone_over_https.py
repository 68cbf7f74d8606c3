"""A phone's whole life over the farm's own HTTPS: paired, offline, signed out, paired again."""

import asyncio
import json
import re
import sqlite3
from pathlib import Path
from typing import Any

from playwright.sync_api import Page, expect, sync_playwright

from api.database import open_database
from api.records.clock import now_ms
from api.settings import Settings
from tests.browser.farm import fill
from tests.https.browsers import chromium, make_home
from tests.https.served import Served, serving
from tests.labels.camera import write_camera

PHONE = {"width": 390, "height": 844}
MOUTHS = ("Bud", "Open", "Feeding")


def test_paired_offline_signed_out_and_paired_again_all_is_delivered(tmp_path: Path) -> None:
    piece = asyncio.run(filled(tmp_path))
    write_camera(tmp_path / "camera.mjpeg", None)
    with serving(tmp_path, "--host", "0.0.0.0", "--name", "nubbin.local") as farm:
        (tmp_path / "ca.crt").write_bytes(farm.http().get("/ca.crt").content)
        home = make_home(tmp_path / "home", tmp_path / "ca.crt")
        with (
            sync_playwright() as playwright,
            chromium(playwright, home, tmp_path / "camera.mjpeg") as browser,
        ):
            desk = browser.new_context(viewport={"width": 1280, "height": 800}).new_page()
            desk.goto(f"{farm.base}/sign-in#{farm.token}")
            desk.wait_for_url("**/scan", timeout=30_000)
            keeper = asked(desk, "/api/people", {"name": "Tove Reed", "role": "keeper"})["id"]
            phone = browser.new_context(viewport=PHONE, permissions=["camera"])  # type: ignore
            page = phone.new_page()
            first = pair(desk, page, farm, keeper)

            phone.set_offline(True)
            check(page, farm, piece, MOUTHS[0])
            check(page, farm, piece, MOUTHS[1])
            asked(desk, f"/api/devices/{first}/revoke")
            phone.set_offline(False)
            page.goto(f"{farm.base}/waiting")
            expect(page.get_by_text(re.compile("signed out", re.I)).first).to_be_visible()
            desk.goto(f"{farm.base}/held")
            expect(desk.get_by_text(re.compile("2 ")).first).to_be_visible(timeout=30_000)
            assert checks(tmp_path) == [], "nothing of it counts before a lead says so"

            second = pair(desk, page, farm, keeper)
            assert second != first, "signed out for good, it is a new device"
            phone.set_offline(True)
            check(page, farm, piece, MOUTHS[2])
            phone.set_offline(False)
            delivered(page, farm)
            admit(desk, farm)
            assert checks(tmp_path) == [
                (keeper, second, 1, "feeding"), (keeper, first, 1, "bud"),
                (keeper, first, 2, "open"),
            ]  # fmt: skip


async def filled(folder: Path) -> str:
    """A small farm's records; the piece to look at. Its owner is made by the server's start."""
    db = await open_database(Settings(data=folder).target)
    _, piece, _, _ = await fill(db, now_ms())
    await db.close()
    return piece


def asked(desk: Page, path: str, body: Any = None) -> Any:
    """Post as the owner's page would."""
    return desk.evaluate(
        """([path, body]) => fetch(path, {method: 'POST', headers: body ?
           {'Content-Type': 'application/json'} : {}, body: body ? JSON.stringify(body) : null})
           .then((answer) => answer.json())""",
        [path, body],
    )


def pair(desk: Page, page: Page, farm: Served, staff: str) -> str:
    """Pair the phone by a code: the key the server knows it by. It has the app and the farm."""
    code = asked(desk, "/api/devices/pair", {"staff": staff})["address"]
    assert code.startswith(f"{farm.base}/sign-in#")
    page.goto("about:blank")
    page.goto(code)
    page.wait_for_url("**/scan", timeout=30_000)
    page.evaluate("navigator.serviceWorker.ready.then(() => true)")
    delivered(page, farm)
    device: str = page.evaluate("fetch('/api/me').then((a) => a.json()).then((me) => me.device.id)")
    return device


def check(page: Page, farm: Served, piece: str, mouth: str) -> None:
    page.goto(f"{farm.base}/check/{piece}")
    page.get_by_role("radio", name=re.compile(f"^{mouth}")).click()
    page.get_by_role("button", name="Save").click()
    page.wait_for_url("**/scan")


def delivered(page: Page, farm: Served) -> None:
    page.goto(f"{farm.base}/waiting")
    expect(page.get_by_text("waits on this phone")).to_be_visible(timeout=30_000)


def admit(desk: Page, farm: Served) -> None:
    desk.goto(f"{farm.base}/held")
    desk.get_by_role("button", name="Admit").click()
    desk.get_by_role("dialog").get_by_role("button", name="Admit").click()
    expect(desk.get_by_text("Nothing is held")).to_be_visible(timeout=30_000)


def checks(folder: Path) -> list[tuple[str, str, int, str]]:
    """Author, device, its number and mouth of every check in the log, in the log's order."""
    connection = sqlite3.connect(folder / "nubbin.sqlite")
    rows = connection.execute("SELECT record FROM log WHERE kind = 'check' ORDER BY seq").fetchall()
    connection.close()
    found = [json.loads(record) for (record,) in rows]
    return [(one["staff"], one["device"], one["device_seq"], one["body"]["mouth"]) for one in found]
