"""A photo over a line that keeps breaking: scenario 17."""

import io
import random
from pathlib import Path

import numpy as np
from PIL import Image

from tests.faults.checker import judge
from tests.faults.farm import plant
from tests.faults.scenario import Scenario
from tests.faults.verdict import Verdict
from tests.faults.world import World
from tests.sync.gateway import LOSE_ANSWER, PASS, Fault
from tests.sync.gateway_wire import Request

SCRIPT = Path(__file__).parent / "photo.mjs"
BYTES, BREAKS = 5_000_000, 20
AGAIN = 0.10
"""The part of a photo that may be sent more than once."""
IN_FLIGHT = 16 * 1024
"""Bytes that a phone has sent and the server has not got when a line breaks."""
ROUNDS = 2 * BREAKS


class Line:
    """Breaks as the bytes at `BREAKS` places by chance are sent; counts what a phone sent.

    The server gets the bytes up to there but for those in flight; at one break in five it gets the
    whole chunk, and its answer is lost.
    """

    def __init__(self, chance: random.Random, size: int) -> None:
        self.chance, self.sent = chance, 0
        self.places = sorted(chance.sample(range(size), BREAKS))

    def plan(self, request: Request) -> Fault:
        if request.method != "PATCH":
            return PASS
        start, length = int(request.header("upload-offset") or 0), len(request.body)
        if not self.places or self.places[0] >= start + length:
            self.sent += length
            return PASS
        stop = max(0, self.places.pop(0) - start)
        if self.chance.random() < 0.2:
            self.sent += length
            return LOSE_ANSWER
        self.sent += stop
        return Fault(answer="lost", stop=max(0, stop - self.chance.randrange(IN_FLIGHT)))


async def breaking_line(world: World, chance: random.Random) -> Verdict:
    """5 MB in chunks; twenty breaks; the phone and the server are restarted now and then."""
    phone = await world.phone()
    [piece] = await plant(phone, 1)
    me = (await phone.do("sign-in"))["me"]
    file = world.folder / f"photo-{world.turn}.jpg"
    file.write_bytes(_jpeg(chance, BYTES))
    made = await phone.use(SCRIPT, "take", me=me, piece=piece, file=str(file))
    phone.shown += made["records"]
    line, verdict = Line(chance, made["size"]), Verdict()
    world.gateway.plan = line.plan
    for _ in range(ROUNDS):
        if await phone.drain() is None:
            break
        if chance.random() < 0.2:
            await phone.do("restart")
        if chance.random() < 0.1:
            await world.kill()
            await world.start()
    verdict.expect(not line.places, f"the line broke only {BREAKS - len(line.places)} times")
    again = line.sent / made["size"] - 1
    verdict.facts = {"per cent sent again": 100 * again, "bytes": float(made["size"])}
    verdict.expect(again <= AGAIN, f"{again:.1%} were sent again")
    rows = await world.rows("SELECT state FROM photo WHERE sha256 = ?", made["sha256"])
    verdict.expect([row["state"] for row in rows] == ["kept"], f"the server has it as {rows}")
    [held] = (await phone.use(SCRIPT, "held"))["photos"]
    verdict.expect((held["state"], held["here"]) == ("kept", 0), f"the phone has it as {held}")
    verdict.add(await judge(world))
    return verdict


def _jpeg(chance: random.Random, size: int) -> bytes:
    """A picture of noise, which no packing makes smaller, of at least so many bytes."""
    noise = np.random.default_rng(chance.getrandbits(64))
    picture = Image.fromarray(noise.integers(0, 256, (2048, 2048, 3), dtype=np.uint8))
    for quality in range(70, 100, 2):
        out = io.BytesIO()
        picture.save(out, "JPEG", quality=quality)
        if out.tell() >= size:
            return out.getvalue()
    raise AssertionError("noise packs better than it can")


SCENARIOS = (
    Scenario(17, "a photo over a breaking line", f"5 MB, {BREAKS} breaks", breaking_line,
             short=1, whole=20, each=0.1),
)  # fmt: skip
