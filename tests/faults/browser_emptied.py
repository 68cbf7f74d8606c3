"""A phone's storage that goes away under the app: scenario 19."""

import random

from tests.faults.browser_phone import BrowserPhone
from tests.faults.checker import judge, on_server
from tests.faults.chromium import Chromium, chromium, driver
from tests.faults.farm import plant
from tests.faults.scenario import Scenario
from tests.faults.verdict import Verdict
from tests.faults.world import World


async def emptied_under_a_tab(world: World, chance: random.Random) -> Verdict:
    """Everything that the browser keeps of the app is deleted while a tab is open, some unsent.

    Those records are gone. That must be said: on the phone, and by the gap in its numbers.
    """
    desk = await world.phone()
    [piece] = await plant(desk, 1)
    phone, verdict = BrowserPhone(world), Verdict()
    async with driver() as playwright, chromium(playwright, phone.profile) as browser:
        await phone.sign_in(browser)
        await phone.page.goto(f"{world.gateway.base}/piece/{piece}")
        await _save(phone, "sent", chance.randint(1, 4))
        verdict.expect(await phone.drain() is None, "the first notes were not sent")
        world.gateway.set(up=False)
        lost = await _save(phone, "lost", chance.randint(1, 4))
        verdict.add(await phone.recall())
        unsent = [record for record in phone.shown if record["body"].get("text") in lost]
        await _empty(phone, browser, chance)
        world.gateway.set(up=True)
        await phone.drain()
        # A round that had begun may still have sent them.
        there = (await on_server(world)).records
        gone = [record for record in unsent if record["id"] not in there]
        phone.told = [text for text in phone.told if text not in lost]
        phone.shown = [record for record in phone.shown if record not in gone]
        after = await _save(phone, "after", chance.randint(1, 4))
        verdict.add(await phone.recall())
        verdict.add(await judge(world, gone=gone))
        verdict.expect(len(unsent) == len(lost), f"{len(unsent)} of {len(lost)} were here")
        verdict.expect(len(after) > 0, "nothing could be saved any more")
        loss = await phone.page.evaluate("person.phone().then((one) => one.loss)")
        verdict.expect(loss is not None, "the phone knows nothing of the loss")
        said = " ".join(await phone.page.get_by_role("alert").all_inner_texts())
        verdict.expect("Records may be gone" in said, f"the page says only '{said}'")
        missing = sorted(record["device_seq"] for record in gone)
        told = (loss or {}).get("missing")
        verdict.expect(told == missing, f"{told} are told of {missing}")
    return verdict


async def _save(phone: BrowserPhone, prefix: str, count: int) -> list[str]:
    await phone.page.evaluate("([prefix, count]) => person.notes(prefix, count)", [prefix, count])
    return [text for text in phone.told if text.startswith(prefix)]


async def _empty(phone: BrowserPhone, browser: Chromium, chance: random.Random) -> None:
    """By the page itself, or as a browser does it that runs short of room: all but the cookie."""
    if chance.random() < 0.5:
        await phone.page.evaluate("""new Promise((done, failed) => {
            const asked = indexedDB.deleteDatabase('nubbin')
            asked.onsuccess = done
            asked.onerror = () => failed(asked.error)
        })""")
        return
    session = await browser.context.new_cdp_session(phone.page)
    await session.send("Storage.clearDataForOrigin", {
        "origin": phone.world.gateway.base, "storageTypes": "indexeddb,local_storage"})  # fmt: skip


SCENARIOS = (
    Scenario(19, "storage deleted under a live tab", "a deletion", emptied_under_a_tab,
             short=1, whole=20, each=0.1),
)  # fmt: skip
