"""Chromium dies, or one of its tabs: scenarios 5 and 13."""

import asyncio
import contextlib
import random

from playwright.async_api import Error, Page

from tests.faults.browser_phone import BrowserPhone
from tests.faults.checker import judge
from tests.faults.chromium import Chromium, chromium, driver
from tests.faults.farm import plant
from tests.faults.scenario import Run, Scenario
from tests.faults.verdict import Verdict
from tests.faults.world import World
from tests.sync.gateway import Fault

KILLS, KILLS_FEW = 5, 3
"""Kills in a run of scenario 5; in pytest."""
TABS, EACH, FEW = 6, 100, 10
"""Tabs of scenario 13; notes that each saves; in pytest."""


def killed_in_a_save(kills: int) -> Run:
    """kill -9 of the whole browser while notes are saved; it is opened again on its profile."""

    async def run(world: World, chance: random.Random) -> Verdict:
        desk = await world.phone()
        [piece] = await plant(desk, 1)
        phone, verdict = BrowserPhone(world), Verdict()
        async with driver() as playwright:
            async with chromium(playwright, phone.profile) as browser:
                await phone.sign_in(browser)
                await browser.leave()
            for number in range(kills + 1):
                world.gateway.set(up=chance.random() < 0.5 or number == kills)
                async with chromium(playwright, phone.profile) as browser:
                    await phone.prepare(browser)
                    phone.page = await phone.open(browser, f"/piece/{piece}")
                    verdict.add(await phone.recall())
                    if number < kills:
                        await _save_and_kill(phone, browser, number, chance)
                    else:
                        verdict.add(await judge(world))
        verdict.expect(len(phone.told) >= kills, f"only {len(phone.told)} notes were told")
        return verdict

    return run


async def _save_and_kill(
    phone: BrowserPhone, browser: Chromium, number: int, chance: random.Random
) -> None:
    before = len(phone.told)
    saving = asyncio.ensure_future(_notes(phone.page, f"kill {number}", 10_000))
    while len(phone.told) == before and not saving.done():
        await asyncio.sleep(0.005)
    await asyncio.sleep(chance.random() * 0.4)
    await browser.kill()
    await saving


async def _notes(page: Page, prefix: str, count: int) -> None:
    """Saves notes until all are saved or the page is no more."""
    try:
        await page.evaluate("([prefix, count]) => person.notes(prefix, count)", [prefix, count])
    except Error as error:
        if "closed" not in str(error) and "crash" not in str(error):
            raise


def six_tabs(each: int) -> Run:
    """Six tabs save at once; the one that sends is killed, and opened again."""

    async def run(world: World, chance: random.Random) -> Verdict:
        desk = await world.phone()
        pieces = await plant(desk, TABS)
        phone, verdict = BrowserPhone(world), Verdict()
        async with driver() as playwright, chromium(playwright, phone.profile) as browser:
            await phone.sign_in(browser)
            world.gateway.always(Fault(delay=0.05))
            tabs = [await _tab(phone, browser, pieces, number) for number in range(TABS)]
            saving = [asyncio.ensure_future(_notes(page, f"tab {number}", each))
                      for number, page in enumerate(tabs)]  # fmt: skip
            await asyncio.sleep(chance.uniform(0.5, 1.5))
            killed = await _kill_the_sender(tabs)
            await asyncio.gather(*saving)
            verdict.expect(killed is not None, "no tab was sending")
            verdict.add(await phone.recall())
            if killed is not None:
                tabs[killed] = await _tab(phone, browser, pieces, killed)
                have = {record["body"].get("text") for record in phone.shown}
                for number in range(each):
                    if (text := f"tab {killed} {number}") not in have:
                        said = await tabs[killed].evaluate("(text) => person.note(text)", text)
                        verdict.expect(said == "saved", f"{text}: {said}")
            verdict.add(await phone.recall())
            verdict.add(await judge(world))
            [row] = await world.rows("SELECT count(*) AS n FROM log WHERE kind = 'note'")
            verdict.expect(row["n"] == TABS * each, f"{row['n']} rows of {TABS * each}")
        return verdict

    return run


async def _tab(phone: BrowserPhone, browser: Chromium, pieces: list[str], number: int) -> Page:
    """A tab that holds a lock of its own, by which it is known among those that hold locks."""
    page = await phone.open(browser, f"/piece/{pieces[number]}")
    await page.evaluate(
        "(name) => void navigator.locks.request(name, () => new Promise(() => {}))", f"tab {number}"
    )
    return page


async def _kill_the_sender(tabs: list[Page]) -> int | None:
    """Crash the tab that holds the lock of sending, in the middle of it."""
    for _ in range(150):
        held = {one["name"]: one["clientId"] for one in await tabs[0].evaluate(
            "navigator.locks.query().then((found) => found.held)")}  # fmt: skip
        sender = [n for n in range(1, TABS) if held.get(f"tab {n}") == held.get("nubbin-drain")]
        if sender:
            session = await tabs[sender[0]].context.new_cdp_session(tabs[sender[0]])
            with contextlib.suppress(Error, TimeoutError):  # nobody is left to answer
                await asyncio.wait_for(session.send("Page.crash"), 1)
            return sender[0]
        await asyncio.sleep(0.01)
    return None


SCENARIOS = (
    Scenario(5, "kill -9 of Chromium in a save", f"{KILLS} kills", killed_in_a_save(KILLS),
             short=1, whole=40, each=0.12,
             brief=(f"{KILLS_FEW} kills", killed_in_a_save(KILLS_FEW))),
    Scenario(13, "six tabs, the sending one killed", f"{TABS} x {EACH} notes", six_tabs(EACH),
             short=1, whole=10, each=0.02, brief=(f"{TABS} x {FEW} notes", six_tabs(FEW))),
)  # fmt: skip
