"""Signed out midway, and somebody else signs in: scenario 8."""

import random

from tests.faults.checker import Verdict, judge
from tests.faults.farm import check, plant
from tests.faults.handsets import Phone
from tests.faults.scenario import Scenario
from tests.faults.world import World
from tests.sync.gateway import LOSE_REQUEST, PASS

BATCH = 500
"""As many as go into one request: of twice as many the second half is left midway."""


async def signed_out_midway(world: World, chance: random.Random) -> Verdict:
    """A session ends with 500 unsent: its person comes back, then another one, then the first.

    Nothing may go or be sent in the wrong name.
    """
    one = await world.call("person", name="Ines", role="lead")
    other = await world.call("person", name="Rui", role="lead")
    phone = await world.phone(one)
    [piece] = await plant(phone, 1)
    verdict = Verdict()
    for back in (one, other):
        await _until_midway(world, phone, piece, chance, verdict)
        await _sign_in(world, phone, back)
        if back == other:
            await _somebody_else(phone, piece, other, chance, verdict)
            await _sign_in(world, phone, one)
        verdict.expect(await phone.drain() is None, "its own person's round was stopped")
        left = len(await phone.outbox())
        verdict.expect(left == 0, f"{left} are still in the line of their own author")
    await _sign_in(world, phone, other)
    verdict.add(await judge(world))
    return verdict


async def _until_midway(world: World, phone: Phone, piece: str, chance: random.Random,
                        verdict: Verdict) -> None:  # fmt: skip
    for _ in range(2 * BATCH // 50):
        await phone.save(*(check(piece, chance) for _ in range(50)))
    world.gateway.script("/sync/push", PASS, LOSE_REQUEST)
    verdict.expect(await phone.drain() == "offline", "the round went to its end")
    await world.call("end_sessions", device=phone.device)
    before = await phone.outbox()
    verdict.expect(len(before) == BATCH, f"{len(before)} unsent midway")
    for _ in range(chance.randint(1, 3)):
        said = await phone.drain()
        verdict.expect(said == "signed-out", f"the phone says {said}, not signed out")
        if chance.random() < 0.5:
            await phone.do("restart")
    after = await phone.outbox()
    verdict.expect(
        [row["record"] for row in after] == [row["record"] for row in before],
        f"{len(before)} were unsent before the 401 and {len(after)} after it",
    )


async def _somebody_else(phone: Phone, piece: str, other: str, chance: random.Random,
                         verdict: Verdict) -> None:  # fmt: skip
    await phone.save(*(check(piece, chance) for _ in range(10)))
    verdict.expect(await phone.drain() == "other-person", "it is not said whose records wait")
    waits = {row["record"]["staff"] for row in await phone.outbox()}
    verdict.expect(other not in waits, "what the other person recorded was not sent")
    verdict.expect(len(await phone.outbox()) == BATCH, "another's sign-in changed the line")


async def _sign_in(world: World, phone: Phone, staff: str) -> None:
    token = await world.call("link", staff=staff)
    await phone.do("claim", token=token, device=phone.device)


SCENARIOS = (
    Scenario(8, "401 midway, then somebody else", "500 unsent, twice", signed_out_midway,
             short=1, whole=20, each=0.2),
)  # fmt: skip
