"""A phone whose disk is full: scenario 14."""

import random

from tests.faults.browser_phone import BrowserPhone
from tests.faults.checker import judge
from tests.faults.chromium import chromium, driver
from tests.faults.farm import plant
from tests.faults.scenario import Scenario
from tests.faults.verdict import Verdict
from tests.faults.world import World

NOT_SAVED = "Not saved."
MOST = 40
"""No save writes more often than this."""


async def full_disk(world: World, chance: random.Random) -> Verdict:
    """The disk is full from the first write of a save on, from the second, and so on to the last.

    Then again while a round writes down what the server said. A write throws, or the browser gives
    up the transaction after it: by chance, a note one way and a check the other.
    """
    desk = await world.phone()
    [piece] = await plant(desk, 1)
    phone, verdict = BrowserPhone(world), Verdict()
    async with driver() as playwright, chromium(playwright, phone.profile) as browser:
        await phone.sign_in(browser)
        world.gateway.set(up=False)
        late = chance.random() < 0.5
        writes = await _notes(phone, piece, late, verdict)
        verdict.facts["writes of a note"] = float(writes)
        verdict.facts["writes of a check"] = float(await _checks(phone, piece, not late, verdict))
        world.gateway.set(up=True)
        await _rounds(phone, late, verdict)
        verdict.add(await phone.recall())
        verdict.add(await judge(world))
    verdict.expect(writes > 2, "the disk was never full in a save")
    return verdict


async def _notes(phone: BrowserPhone, piece: str, late: bool, verdict: Verdict) -> int:
    """One note, tried again and again with the disk a little less full; how often it failed."""
    await phone.page.goto(f"{phone.world.gateway.base}/piece/{piece}")
    text = "written on a full disk"
    await phone.page.evaluate("(text) => person.draft(text)", text)
    for at in range(1, MOST):
        said = await phone.page.evaluate(
            "([at, late]) => { person.fill(at, late); return person.save() }", [at, late]
        )
        if said == "saved":
            await phone.page.evaluate("person.fill(0)")
            phone.told.append(text)
            return at - 1
        there = await phone.page.evaluate("document.querySelector('dialog[open] textarea').value")
        await _failed(phone, said, there == text, f"a note, write {at}", verdict)
    verdict.wrong.append(f"a note was not saved with {MOST} writes free")
    return MOST


async def _checks(phone: BrowserPhone, piece: str, late: bool, verdict: Verdict) -> int:
    """The same with a check, whose answers must stay chosen."""
    await phone.page.goto(f"{phone.world.gateway.base}/check/{piece}")
    await phone.page.evaluate("person.known()")
    await phone.page.get_by_role("radio", name="Open").click()
    before = len(await phone.rows("records"))
    for at in range(1, MOST):
        said = await phone.page.evaluate(
            "([at, late]) => { person.fill(at, late); return person.press('Save', 'Saved') }",
            [at, late],
        )
        if said == "saved":
            await phone.page.evaluate("person.fill(0)")
            made = len(await phone.rows("records")) - before
            verdict.expect(made == 1, f"{made} records of one check")
            return at - 1
        chosen = await phone.page.get_by_role("radio", name="Open").is_checked()
        await _failed(phone, said, chosen, f"a check, write {at}", verdict)
    verdict.wrong.append(f"a check was not saved with {MOST} writes free")
    return MOST


async def _failed(phone: BrowserPhone, said: str, kept: bool, where: str, verdict: Verdict) -> None:
    verdict.expect(said.startswith(NOT_SAVED), f"{where}: the page says '{said}'")
    verdict.expect(kept, f"{where}: what was entered is gone")
    rows = await phone.rows("outbox")
    texts = [row for row in rows if row["record"] not in {one["id"] for one in phone.shown}]
    verdict.expect(len(texts) == len(phone.told), f"{where}: {len(texts)} wait after all")


async def _rounds(phone: BrowserPhone, late: bool, verdict: Verdict) -> None:
    """A full disk in a round: what the server has taken stays in the line until that is written."""
    for at in range(1, MOST):
        await phone.page.evaluate("([at, late]) => person.fill(at, late)", [at, late])
        await phone.drain()
        met = await phone.page.evaluate("person.full.met")
        await phone.page.evaluate("person.fill(0)")
        verdict.add(await phone.recall())
        if not met:
            return
    verdict.wrong.append(f"a round writes more than {MOST} times")


SCENARIOS = (
    Scenario(14, "a full disk at every write", "a note, a check, a round", full_disk,
             short=1, whole=10, each=0.04),
)  # fmt: skip
