"""What the tests of trials have in common: a farm with choices, a plan, a cut made for it."""

import asyncio
import json
from typing import Any

from playwright.sync_api import Locator, Page, expect

from api.records.clock import now_ms
from labels import display
from tests.browser.farm import WIDE, Farm, ago
from tests.sync.phone import Phone, fates

MORE = [
    ("base.disc", "base", {"name": "Disc 30 mm", "shape": "disc"}),
    ("base.old", "base", {"name": "Old plug", "shape": "block"}),
    ("method.tile", "method", {"name": "Tile saw"}),
]
NAMES = {"base.hex-40": "Hexagonal tile 40 mm", "base.disc": "Disc 30 mm",
         "method.band-saw": "Band saw", "method.tile": "Tile saw"}  # fmt: skip


def with_choices(page: Page, farm: Farm) -> Page:
    """The owner's phone on a farm with two methods and three base kinds."""
    lab = Phone("lab", 7)
    now = now_ms()
    records = [
        lab.make("define", ("item", key), {"list": name, "fields": fields}, ago(now, 50))
        for key, name, fields in MORE
    ]
    pushed = asyncio.run_coroutine_threadsafe(lab.push(farm.db, records, now), farm.loop)
    assert set(fates(pushed.result(20))) == {"stored"}
    page.reload()
    return page


def bare(farm: Farm, base: str) -> None:
    """Bases of this kind carry no label of their own."""
    lab, now = Phone("bare", 8), now_ms()
    fields = {"list": "base", "fields": {"label_sits": "tray"}}
    made = [lab.make("define", ("item", base), fields, ago(now, 40))]
    pushed = asyncio.run_coroutine_threadsafe(lab.push(farm.db, made, now), farm.loop)
    assert fates(pushed.result(20)) == ["stored"]


def plan(page: Page, farm: Farm, name: str, varies: str, arms: tuple[str, ...]) -> Locator:
    """The form filled in, all but saved."""
    page.goto(f"{farm.base}/trials")
    main = page.locator("main")
    main.get_by_role("button", name="Plan a trial").click()
    main.get_by_role("textbox", name="What it is called").fill(name)
    main.get_by_role("combobox", name="What differs").select_option(label=varies)
    for arm in arms:
        main.get_by_role("checkbox", name=arm).check()
    main.get_by_role("textbox", name="Difference worth knowing").fill("14")
    main.get_by_role("textbox", name="How many cuts").fill("24")
    return main


def saved(page: Page) -> str:
    page.locator("main").get_by_role("button", name="Save the plan").click()
    page.wait_for_url("**/trial/*")
    return page.url.rsplit("/", 1)[1]


def to_how(page: Page, farm: Farm, trial: str) -> Locator:
    page.goto(f"{farm.base}/cuts")
    main = page.locator("main")
    if main.get_by_role("button", name="Start at the saw").count():
        main.get_by_role("button", name="Start at the saw").click()
        main.get_by_role("button", name="Open the sitting").click()
    main.get_by_text(display(WIDE[0])).click()
    main.get_by_role("combobox", name="For a trial").select_option(label=trial)
    return main


def drawn(main: Locator) -> str:
    """The arm as it is shown, in the words of the farm."""
    shown = main.locator("section", has_text="Trial:").locator("p.arm strong")
    expect(shown).to_be_visible()
    return shown.inner_text()


def records(page: Page, farm: Farm, kind: str) -> list[dict[str, Any]]:
    """The farm's own records of a kind, once all is sent."""
    page.goto(f"{farm.base}/waiting")
    expect(page.get_by_text("Everything is sent")).to_be_visible(timeout=30_000)
    rows = farm.ask("SELECT record FROM log WHERE kind = ? ORDER BY seq", kind)
    return [json.loads(row["record"]) for row in rows]
