"""A phone whose round ends midway, with half of what it had still to send."""

import random
from pathlib import Path
from typing import Any

from tests.faults.farm import check
from tests.faults.handsets import Phone
from tests.faults.verdict import Verdict
from tests.faults.world import World
from tests.sync.gateway import LOSE_REQUEST, PASS

ASKING = Path(__file__).parent / "asking.mjs"
BATCH, FEW = 500, 100
"""As many as go into one request; and as many as make up the rest of a line that was cut."""


async def until_midway(world: World, phone: Phone, piece: str, chance: random.Random,
                       verdict: Verdict, left: int = BATCH) -> None:  # fmt: skip
    """A batch and `left` more are saved; the batch is sent, and then the line ends."""
    for _ in range((BATCH + left) // 100):
        await phone.save(*(check(piece, chance) for _ in range(100)))
    world.gateway.script("/sync/push", PASS, LOSE_REQUEST)
    verdict.expect(await phone.drain() == "offline", "the round went to its end")
    waits = len(await phone.outbox())
    verdict.expect(waits == left, f"{waits} unsent midway")


async def somebody_else(phone: Phone, piece: str, other: str, chance: random.Random,
                        verdict: Verdict, left: int = BATCH) -> None:  # fmt: skip
    """Another person records something; only that is sent, and `left` wait for their author."""
    await phone.save(*(check(piece, chance) for _ in range(10)))
    said = await phone.drain()
    verdict.expect(said == "other-person", f"the phone says {said}, not whose records wait")
    waits = [row["record"]["staff"] for row in await phone.outbox()]
    verdict.expect(other not in waits, "what the other person recorded was not sent")
    verdict.expect(len(waits) == left, f"{len(waits)} wait under another's sign-in")


async def post(phone: Phone, path: str, body: Any = None) -> Any:
    """A request of one of the app's screens, which must go well."""
    told = await phone.use(ASKING, "post", path=path, body=body)
    assert told["status"] in (200, 204), told
    return told["answer"]
