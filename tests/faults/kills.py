"""The server dies: scenario 2."""

import random
import signal

from tests.faults.checker import judge
from tests.faults.farm import check, plant
from tests.faults.handsets import Phone, together
from tests.faults.killing import POINTS, Trap
from tests.faults.scenario import Scenario
from tests.faults.verdict import Verdict
from tests.faults.world import World


async def killed_in_a_batch(world: World, chance: random.Random) -> Verdict:
    """At each of the eight points of a batch in turn: kill -9, start again, go on.

    Two phones send at once. Which of them meets the trap, and how many batches go well before,
    is left to chance.
    """
    phones = await world.some_phones(2)
    pieces = await plant(phones[0], 5)
    await phones[1].drain()
    verdict = Verdict()
    await world.kill()
    for point in chance.sample(POINTS, len(POINTS)):
        spare = chance.randint(0, 2)
        await world.start(Trap(point=point, spare=spare))
        for _ in range(spare + 1):
            await _both_send(phones, pieces, chance)
        verdict.expect(await world.ended() == signal.SIGKILL, f"it did not die {point}")
    await world.start()
    verdict.add(await judge(world))
    return verdict


async def _both_send(phones: list[Phone], pieces: list[str], chance: random.Random) -> None:
    for phone in phones:
        await phone.save(*(check(chance.choice(pieces), chance)
                           for _ in range(chance.randint(1, 5))))  # fmt: skip
        if chance.random() < 0.2:
            await phone.do("restart")
    await together(*((phone, "drain") for phone in phones))


SCENARIOS = (
    Scenario(2, "kill -9 of the server in a batch", f"a kill at each of {len(POINTS)} points",
             killed_in_a_batch, short=2, whole=50),
)  # fmt: skip
