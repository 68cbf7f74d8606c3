"""The first fetching, cut at each page: scenario 20."""

import random
import re
import time

from tests.faults.browser_phone import BrowserPhone
from tests.faults.checker import judge
from tests.faults.chromium import chromium, driver
from tests.faults.farm import check
from tests.faults.handsets import Phone
from tests.faults.scenario import Run, Scenario
from tests.faults.verdict import Verdict
from tests.faults.world import World
from tests.sync.gateway import LOSE_REQUEST, PASS, Fault
from tests.sync.gateway_wire import Request

SHORT, WHOLE = 4_000, 50_000
"""Pieces of the farm in pytest, and in the long form."""
PULL = "/sync/pull"


class Cutter:
    """Every page is cut the first time that it is asked for, and whole the second time."""

    def __init__(self) -> None:
        self.asked: dict[str, int] = {}

    def plan(self, request: Request) -> Fault:
        if PULL not in request.path:
            return PASS
        found = re.search(r"after=([^&]*)", request.path)
        cursor = found[1] if found else ""
        self.asked[cursor] = self.asked.get(cursor, 0) + 1
        if self.asked[cursor] > 1:
            return PASS
        return Fault(answer="cut") if len(self.asked) % 2 else LOSE_REQUEST


def first_fetching(pieces: int, *, in_chromium: bool = False) -> Run:
    """A new phone fetches a farm of so many pieces over a line that goes dead at each page.

    in_chromium  then once more by the app in Chromium, whose times are the ones that say something
    """

    async def run(world: World, chance: random.Random) -> Verdict:
        rows = await world.call("fill", pieces=pieces)
        [phone] = await world.some_phones(1, knowing=False)
        cutter, verdict, start = Cutter(), Verdict(), time.perf_counter()
        world.gateway.plan = cutter.plan
        rounds, usable = 0, None
        while await phone.drain() is not None:
            rounds += 1
            # A server that answers none of its own cursors must end in a verdict, not never.
            if rounds > 10 + rows // 100:
                break
            if usable is None and len(cutter.asked) == 2:
                usable = time.perf_counter() - start
                await _use(phone, chance, verdict)
        verdict.expect(rounds == len(cutter.asked), f"{rounds} cuts of {len(cutter.asked)} pages")
        verdict.expect(set(cutter.asked.values()) == {2}, "a page was fetched more than once")
        verdict.expect(len(cutter.asked) >= rows // 2000, f"only {len(cutter.asked)} pages")
        verdict.facts = {
            "pages": float(len(cutter.asked)),
            "seconds to the first page": usable or 0.0,
            "seconds to the last page": time.perf_counter() - start,
        }
        have = len((await phone.do("records"))["records"])
        verdict.expect(have >= rows, f"{have} records of {rows}")
        verdict.add(await judge(world))
        if in_chromium:
            verdict.add(await _in_chromium(world, chance))
        return verdict

    return run


async def _in_chromium(world: World, chance: random.Random) -> Verdict:
    cutter, phone, verdict = Cutter(), BrowserPhone(world), Verdict()
    async with driver() as playwright, chromium(playwright, phone.profile) as browser:
        world.gateway.plan = cutter.plan
        start = time.perf_counter()
        await phone.sign_in(browser)
        while len(cutter.asked) < 2:
            await phone.drain()
        known = await phone.page.evaluate("person.keys('pieces')")
        verdict.facts["seconds to the first page in Chromium"] = time.perf_counter() - start
        await phone.page.goto(f"{world.gateway.base}/piece/{chance.choice(known)}")
        said = await phone.page.evaluate("(text) => person.note(text)", "on the first page")
        verdict.expect(said == "saved", f"after the first page a note's save says '{said}'")
        for _ in range(200):
            if await phone.drain() is None:
                break
        verdict.facts["seconds to the last page in Chromium"] = time.perf_counter() - start
        [row] = await world.rows("SELECT count(*) AS n FROM piece")
        have = len(await phone.page.evaluate("person.keys('pieces')"))
        verdict.expect(have == row["n"], f"{have} pieces of {row['n']} are on the phone")
        [row] = await world.rows("SELECT count(*) AS n FROM log WHERE kind = 'note'")
        verdict.expect(row["n"] == 1, f"{row['n']} notes arrived")
    return verdict


async def _use(phone: Phone, chance: random.Random, verdict: Verdict) -> None:
    """After page one: a piece is found, and what is recorded of it is kept."""
    known = list(await phone.states())
    verdict.expect(len(known) > 0, "no piece is known after the first page")
    piece = chance.choice(known)
    await phone.save(check(piece, chance))
    found = (await phone.do("state", piece=piece))["records"]
    verdict.expect([one["kind"] for one in found][-1:] == ["check"], "the check is not shown")


SCENARIOS = (
    Scenario(20, "first fetching, cut at each page", f"{WHOLE:,} pieces",
             first_fetching(WHOLE, in_chromium=True), short=1, whole=1, each=0.02,
             brief=(f"{SHORT:,} pieces", first_fetching(SHORT))),
)  # fmt: skip
