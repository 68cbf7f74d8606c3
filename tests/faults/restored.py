"""A server put back from yesterday's backup: scenario 18."""

import random

from tests.faults.checker import judge
from tests.faults.farm import check, note, plant
from tests.faults.handsets import Phone
from tests.faults.scenario import Scenario
from tests.faults.verdict import Verdict
from tests.faults.world import World

DAY_MS = 24 * 3_600_000


async def put_back(world: World, chance: random.Random) -> Verdict:
    """Phones send for a day after the backup; the server dies and is put back to the backup.

    Putting back gives the database another name. Everything that the phones ever recorded must
    return, the records that the backup lacks and those that were still waiting.
    """
    phones = await world.some_phones(3)
    pieces = await plant(phones[0], 8)
    for phone in phones:
        await phone.do("clock", ahead_ms=0, past_ms=DAY_MS + 3_600_000)
    await _work(phones, pieces, chance)
    await world.kill()
    backup = await world.store.copy()
    await world.start()
    for phone in phones:
        await phone.do("clock", ahead_ms=0)
    await _work(phones, pieces, chance)
    for phone in phones:
        await phone.save(check(chance.choice(pieces), chance))
    [before] = await world.rows("SELECT count(*) AS n FROM log")
    await world.kill()
    await world.store.put_back(backup)
    if world.sabotage.server != "same name":
        await world.call("new_epoch")
    [after] = await world.rows("SELECT count(*) AS n FROM log")
    await world.start()
    for phone in chance.sample(phones, len(phones)):
        if chance.random() < 0.5:
            await phone.do("restart")
        await phone.drain()
    verdict = await judge(world)
    verdict.expect(after["n"] < before["n"], "the backup lacked nothing, so this shows nothing")
    return verdict


async def _work(phones: list[Phone], pieces: list[str], chance: random.Random) -> None:
    for _ in range(6):
        for phone in phones:
            some = [check(chance.choice(pieces), chance) for _ in range(chance.randint(1, 20))]
            await phone.save(*some, note(chance.choice(pieces), "seen that day"))
            if chance.random() < 0.2:
                await phone.retract(chance.choice(phone.shown)["id"])
        await chance.choice(phones).drain()
    for phone in phones:
        await phone.drain()


SCENARIOS = (
    Scenario(18, "put back from yesterday's backup", "three phones, two days", put_back,
             short=1, whole=50, each=0.2),
)  # fmt: skip
