"""A new version of the app arrives: scenario 16."""

import random
import shutil
from pathlib import Path

from playwright.async_api import Page, expect

from tests.app.node import PWA
from tests.faults.browser_phone import BrowserPhone
from tests.faults.checker import judge
from tests.faults.chromium import chromium, driver
from tests.faults.farm import plant
from tests.faults.next_app import next_version
from tests.faults.scenario import Scenario
from tests.faults.verdict import Verdict
from tests.faults.world import World
from tests.sync.gateway import LOSE_REQUEST, PASS

UNSENT, BY_HAND = 50, 5
"""Records that wait; so many of them are notes written on the screen."""
DRAFT = "half a note, not saved yet"
SCREENS = ("/stock", "/cuts", "/healing", "/labels", "/setup", "/waiting", "/more", "/scan")
OFFER = "Use it now"


async def new_version(world: World, _chance: random.Random) -> Verdict:
    """The server gets a new version while one tab holds a draft and 50 records wait.

    Until a person agrees everything is of the old version, from the phone alone; then all is of the
    new one. No address is answered 404, and what waited is sent by the new version.
    """
    old = Path(shutil.copytree(PWA / "dist", world.folder / f"app-{world.turn}"))
    await _serve(world, old)
    desk = await world.phone()
    [piece] = await plant(desk, 1)
    phone, verdict = BrowserPhone(world), Verdict()
    async with driver() as playwright, chromium(playwright, phone.profile) as browser:
        await phone.sign_in(browser)
        world.gateway.missing.clear()
        world.gateway.plan = lambda one: LOSE_REQUEST if "/api/" in one.path else PASS
        await phone.page.goto(f"{world.gateway.base}/piece/{piece}")
        before = await _script(phone.page)
        await phone.page.evaluate("(count) => person.notes('waits', count)", BY_HAND)
        await phone.page.evaluate(
            "([piece, count]) => person.queue([piece], count)", [piece, UNSENT - BY_HAND]
        )
        await phone.page.evaluate("(text) => person.draft(text)", DRAFT)
        await _serve(world, next_version(old, world.folder / f"next-{world.turn}"))
        await _worker_waits(phone.page)
        await _draft_holds(phone, verdict)
        await _old_screens(phone, await phone.open(browser, f"/piece/{piece}"), verdict)
        said = await phone.page.evaluate("person.save()")
        verdict.expect(said == "saved", f"the draft's save says '{said}'")
        phone.told.append(DRAFT)
        await phone.page.get_by_role("button", name=OFFER).click()
        await phone.page.wait_for_function(
            "(old) => document.scripts[0]?.src !== old && document.readyState === 'complete'",
            arg=before,
        )
        await phone.page.evaluate("person.known()")
        left = len(await phone.outbox())
        verdict.expect(left == UNSENT + 1, f"{left} wait in the new version")
        verdict.add(await phone.recall())
        verdict.add(await judge(world))
        verdict.expect(not world.gateway.missing, f"answered 404: {world.gateway.missing}")
    return verdict


async def _serve(world: World, dist: Path) -> None:
    await world.kill()
    world.dist = dist
    await world.start()


async def _script(page: Page) -> str:
    return str(await page.evaluate("document.scripts[0].src"))


async def _worker_waits(page: Page) -> None:
    """Look for a new version, as the browser does at times, until its worker waits."""
    await page.evaluate("""navigator.serviceWorker.ready.then(async (one) => {
        await one.update()
        await person.until(() => one.waiting, 'the new worker to wait')
    })""")


async def _draft_holds(phone: BrowserPhone, verdict: Verdict) -> None:
    """The draft stands as it was, and nothing offers to reload the page from under it."""
    text = await phone.page.evaluate("document.querySelector('dialog[open] textarea')?.value")
    verdict.expect(text == DRAFT, f"the draft is now '{text}'")
    offered = await phone.page.get_by_role("button", name=OFFER).count()
    verdict.expect(offered == 0, "a reload is offered while a draft is open")


async def _old_screens(phone: BrowserPhone, tab: Page, verdict: Verdict) -> None:
    """In another tab of the old version every screen still opens, though its files are gone."""
    await tab.evaluate("person.known()")
    for path in SCREENS:
        await tab.goto(phone.world.gateway.base + path)
        await expect(tab.locator("main :is(h1, h2)").first).to_be_visible(timeout=20_000)
        broken = await tab.get_by_text("This screen could not be opened").count()
        verdict.expect(broken == 0, f"{path} could not be opened")
    await tab.close()


SCENARIOS = (
    Scenario(16, "a new version with a draft open", f"{UNSENT} unsent", new_version,
             short=1, whole=10, each=0.04),
)  # fmt: skip
