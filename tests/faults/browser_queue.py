"""A long line over a bad network: scenario 10."""

import random
import time

from tests.faults.browser_phone import BrowserPhone
from tests.faults.checker import judge
from tests.faults.chromium import chromium, driver
from tests.faults.farm import plant
from tests.faults.scenario import Run, Scenario
from tests.faults.verdict import Verdict
from tests.faults.world import World
from tests.sync.gateway import LOSE_ANSWER, LOSE_REQUEST, Fault
from tests.sync.gateway_wire import Request

QUEUED, FEW, PIECES = 10_000, 500, 100
ROUND_TRIP_S, LOSS = 0.2, 0.05
PATIENCE_MS = 600_000


def long_line(count: int) -> Run:
    """So many records wait; each round trip takes 200 ms and one in twenty is lost, either way."""

    async def run(world: World, chance: random.Random) -> Verdict:
        desk = await world.phone()
        pieces = await plant(desk, PIECES)
        phone = BrowserPhone(world)
        async with driver() as playwright, chromium(playwright, phone.profile) as browser:
            await phone.sign_in(browser)
            await phone.page.goto(f"{world.gateway.base}/more")
            await phone.drain()
            world.gateway.set(up=False)
            await phone.page.evaluate(
                "([pieces, count]) => person.queue(pieces, count)", [pieces, count]
            )
            verdict = await phone.recall()
            waits = len(await phone.rows("outbox"))
            verdict.expect(waits == count, f"{waits} wait of {count}")
            await phone.page.goto(f"{world.gateway.base}/waiting")
            lost = _bad_network(world, chance)
            start = time.perf_counter()
            longest = await phone.page.evaluate("(ms) => person.drained(ms)", PATIENCE_MS)
            verdict.facts = {
                "seconds to drain": time.perf_counter() - start,
                "longest task of the page, ms": longest,
                "requests or answers lost": float(len(lost)),
            }
            verdict.add(await judge(world))
        return verdict

    return run


def _bad_network(world: World, chance: random.Random) -> list[str]:
    """The first answer is lost for certain, so that every run meets a loss."""
    lost: list[str] = []

    def plan(request: Request) -> Fault:
        certain = not lost and request.path.startswith("/api/sync/push")
        if not certain and chance.random() >= LOSS:
            return Fault(delay=ROUND_TRIP_S)
        lost.append(request.path)
        kind = LOSE_ANSWER if certain or chance.random() < 0.5 else LOSE_REQUEST
        return kind._replace(delay=ROUND_TRIP_S)

    world.gateway.plan = plan
    world.gateway.set(up=True)
    return lost


SCENARIOS = (
    Scenario(10, "a long line over a bad network", f"{QUEUED:,} queued", long_line(QUEUED),
             short=1, whole=3, each=0.02, brief=(f"{FEW} queued", long_line(FEW))),
)  # fmt: skip
