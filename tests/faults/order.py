"""Commit order, and devices that come together late: scenarios 6 and 12."""

import asyncio
import hashlib
import json
import random

import httpx

from tests.faults.checker import judge
from tests.faults.farm import check, draft, plant
from tests.faults.handsets import Phone
from tests.faults.killing import Trap
from tests.faults.scenario import Run, Scenario
from tests.faults.verdict import Verdict
from tests.faults.world import World
from tests.sync.phone import NOW
from tests.sync.phone import Phone as Writer

WRITERS, BATCHES, SIZE = 16, 30, 10
BATCHES_FEW = 10
"""Batches that each writer pushes in pytest."""
SLOW_MS = 4.0
WEEK_MS = 7 * 24 * 3600 * 1000
APART, FEW = 1000, 200
"""Checks that each of two devices makes on its own; in pytest."""


def writers_and_a_puller(batches: int, writers: int = WRITERS) -> Run:
    """16 devices push while a phone pulls; a wait by chance before each commit.

    The control is a reader that remembers the time of the last row it saw: it must miss some.
    """

    async def run(world: World, chance: random.Random) -> Verdict:
        puller = await world.phone()
        pieces = await plant(puller, 40)
        await world.kill()
        await world.start(Trap(slow_ms=SLOW_MS))
        devices = await world.call("sessions", staff=None, count=writers)
        async with asyncio.TaskGroup() as group:
            writing = [
                group.create_task(_write(world, device, pieces, batches, chance.random(), number))
                for number, device in enumerate(devices)
            ]
            pulling = group.create_task(_pull(puller, writing))
            naive = group.create_task(_read_by_time(world, writing))
        verdict = await _nothing_missed(world, puller)
        seen = {row["id"] for row in await world.rows("SELECT id FROM log")} & naive.result()
        missed = writers * batches * SIZE - len(seen)
        verdict.expect(missed > 0, "the naive reader missed nothing, so this run shows nothing")
        verdict.facts["rounds of the puller"] = float(pulling.result())
        verdict.facts["rows the naive reader missed"] = float(missed)
        verdict.add(await judge(world))
        return verdict

    return run


async def _nothing_missed(world: World, puller: Phone) -> Verdict:
    rows = await world.rows("SELECT id, seq FROM log ORDER BY seq")
    await puller.do("pull")
    have = {row["id"] for row in (await puller.do("records"))["records"]}
    places = [row["seq"] for row in rows]
    verdict = Verdict(lost=sum(row["id"] not in have for row in rows))
    verdict.expect(places == list(range(1, len(rows) + 1)), "the log has a hole")
    return verdict


async def _write(
    world: World,
    device: dict[str, str],
    pieces: list[str],
    batches: int,
    seed: float,
    number: int,
) -> None:
    chance, made = random.Random(seed), Writer(device["device"], number + 1)
    own = {"cookie": device["cookie"], "sec-fetch-site": "same-origin"}
    base = f"http://127.0.0.1:{world.port}"
    staff = (await world.rows("SELECT id FROM staff"))[0]["id"]
    async with httpx.AsyncClient(base_url=base, headers=own, timeout=60) as client:
        for _ in range(batches):
            await asyncio.sleep(chance.random() * 0.01)
            records = [made.check(chance.choice(pieces)) | {"staff": staff} for _ in range(SIZE)]
            answer = await client.post("/api/sync/push", content=made.batch(records, NOW),
                                       headers={"content-type": "application/json"})  # fmt: skip
            answer.raise_for_status()


async def _pull(puller: Phone, writing: list[asyncio.Task[None]]) -> int:
    rounds = 0
    while not all(task.done() for task in writing):
        await puller.do("pull")
        rounds += 1
    return rounds


async def _read_by_time(world: World, writing: list[asyncio.Task[None]]) -> set[str]:
    last, seen = 0, set[str]()
    while True:
        over = all(task.done() for task in writing)
        rows = await world.rows("SELECT id, received FROM log WHERE received > ?", last)
        seen |= {row["id"] for row in rows}
        last = max([last, *(row["received"] for row in rows)])
        if over:
            return seen
        await asyncio.sleep(0.005)


def a_week_apart(checks: int) -> Run:
    """Two devices, each alone for a week, on the same pieces. `checks` each."""

    async def run(world: World, chance: random.Random) -> Verdict:
        here, away = await world.some_phones(2)
        pieces = await plant(here, 40)
        await away.drain()
        await away.do("clock", ahead_ms=0, past_ms=WEEK_MS)
        for left in range(checks, 0, -20):
            for phone in (here, away):
                some = [check(chance.choice(pieces), chance) for _ in range(min(20, left))]
                await phone.save(*some)
            if chance.random() < 0.3:
                await here.drain()
        for phone in (here, away):
            await phone.save(draft("loss", ("piece", chance.choice(pieces)), how="dead"))
        await away.do("clock", ahead_ms=0)
        verdict = await judge(world)
        hashes = {await _hash(await phone.states()) for phone in (here, away)}
        rows = await world.rows("SELECT id, state FROM piece")
        hashes.add(await _hash({row["id"]: json.loads(row["state"]) for row in rows}))
        verdict.expect(len(hashes) == 1, f"{len(hashes)} different hashes of the states")
        return verdict

    return run


async def _hash(states: dict[str, object]) -> str:
    whole = json.dumps(states, sort_keys=True).encode()
    return hashlib.sha256(whole).hexdigest()


SCENARIOS = (
    Scenario(6, "16 writers and a live puller", f"{WRITERS * BATCHES * SIZE:,} rows",
             writers_and_a_puller(BATCHES), short=1, whole=5, each=0.06,
             brief=(f"{WRITERS * BATCHES_FEW * SIZE:,} rows", writers_and_a_puller(BATCHES_FEW))),
    Scenario(12, "two devices 7 days apart", f"{APART:,} checks each", a_week_apart(APART),
             short=1, whole=20, each=0.1, brief=(f"{FEW} checks each", a_week_apart(FEW))),
)  # fmt: skip
