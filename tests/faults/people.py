"""Signed out midway, and somebody else at the phone: scenario 8."""

import random

from tests.faults.checker import judge, kept, on_server
from tests.faults.farm import plant
from tests.faults.handsets import Phone
from tests.faults.midway import FEW, post, somebody_else, until_midway
from tests.faults.scenario import Scenario
from tests.faults.verdict import Verdict
from tests.faults.world import World

PINS = ("4826", "9173")


async def signed_out_midway(world: World, chance: random.Random) -> Verdict:
    """With 500 unsent a phone's session ends; a shared phone changes hands; a phone is revoked.

    All is kept until its author is back, or a lead decides. Nothing goes in the wrong name.
    """
    desk = await world.phone()
    [piece] = await plant(desk, 1)
    verdict = Verdict()
    await _own_phone(world, piece, chance, verdict)
    await _shared_phone(world, desk, piece, chance, verdict)
    revoked = await _revoked_phone(world, desk, piece, chance, verdict)
    verdict.add(await judge(world, [one for one in world.phones if one is not revoked]))
    verdict.add(await kept(revoked, await on_server(world)))
    return verdict


async def _own_phone(world: World, piece: str, chance: random.Random, verdict: Verdict) -> None:
    """A 401; its person comes back, then another one, then the first."""
    one = await world.call("person", name="Ines", role="lead")
    other = await world.call("person", name="Rui", role="keeper")
    phone = await world.phone(one)
    for back in (one, other):
        await until_midway(world, phone, piece, chance, verdict)
        await _signed_out(world, phone, chance, verdict)
        await _sign_in(world, phone, back)
        if back == other:
            await somebody_else(phone, piece, other, chance, verdict)
            await _sign_in(world, phone, one)
        await _all_sent(phone, verdict)


async def _shared_phone(world: World, desk: Phone, piece: str, chance: random.Random,
                        verdict: Verdict) -> None:  # fmt: skip
    """One keeper's round ends midway; another takes the phone by PIN; then the first again."""
    people = [await post(desk, "/api/people", {"name": name, "role": "keeper", "pin": pin})
              for name, pin in zip(("Ana", "Luis"), PINS, strict=True)]  # fmt: skip
    pairing = await post(desk, "/api/devices/pair", {"staff": None})
    phone = Phone(world.handsets, f"{len(world.phones)}", "")
    phone.device = (await phone.do("claim", token=pairing["token"]))["me"]["device"]["id"]
    world.phones.append(phone)
    ana, luis = (person["id"] for person in people)
    await _hold(phone, ana, PINS[0])
    await phone.drain()
    await until_midway(world, phone, piece, chance, verdict, FEW)
    await _hold(phone, luis, PINS[1])
    await somebody_else(phone, piece, luis, chance, verdict, FEW)
    await _hold(phone, ana, PINS[0])
    await _all_sent(phone, verdict)


async def _revoked_phone(world: World, desk: Phone, piece: str, chance: random.Random,
                         verdict: Verdict) -> Phone:  # fmt: skip
    """A phone is signed out for good: what it had goes to quarantine, and a lead admits it."""
    keeper = await world.call("person", name="Marta", role="keeper")
    phone = await world.phone(keeper)
    await until_midway(world, phone, piece, chance, verdict, FEW)
    await post(desk, f"/api/devices/{phone.device}/revoke")
    said = await phone.drain()
    verdict.expect(said == "revoked", f"the revoked phone says {said}")
    left = len(await phone.outbox())
    verdict.expect(left == 0, f"the revoked phone still holds {left}")
    group = {"device": phone.device, "staff": keeper, "why": "device-revoked"}
    admitted = await post(desk, "/api/quarantine/admit", group)
    verdict.expect(admitted["stored"] == FEW, f"a lead admitted {admitted}")
    return phone


async def _signed_out(world: World, phone: Phone, chance: random.Random,
                      verdict: Verdict) -> None:  # fmt: skip
    before = await phone.outbox()
    await world.call("end_sessions", device=phone.device)
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


async def _all_sent(phone: Phone, verdict: Verdict) -> None:
    said = await phone.drain()
    verdict.expect(said is None, f"its own person's round was stopped: {said}")
    left = len(await phone.outbox())
    verdict.expect(left == 0, f"{left} are still in the line of their own author")


async def _hold(phone: Phone, staff: str, pin: str) -> None:
    me = await post(phone, "/api/access/hold", {"staff": staff, "pin": pin})
    await phone.do("sign-in", me=me)


async def _sign_in(world: World, phone: Phone, staff: str) -> None:
    token = await world.call("link", staff=staff)
    await phone.do("claim", token=token, device=phone.device)


SCENARIOS = (
    Scenario(8, "401 midway, then somebody else", "500 unsent twice, 100 twice", signed_out_midway,
             short=1, whole=20, each=0.1),
)  # fmt: skip
