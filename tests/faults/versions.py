"""Phones left behind by earlier versions of the app: scenario 15."""

import random
from pathlib import Path

from tests.faults.checker import judge
from tests.faults.farm import Draft, check, note, plant
from tests.faults.scenario import Scenario
from tests.faults.verdict import Verdict
from tests.faults.world import World

EARLIER = Path(__file__).parent / "earlier"
NEWER = EARLIER / "newer.mjs"


async def earlier_versions(world: World, chance: random.Random) -> Verdict:
    """The outbox of each earlier version of the database meets this app and this server.

    The last is met twice: the second time after an app newer than this one has opened it. The
    version that the app makes is the newest; a frozen copy must stand for each before it.
    """
    today = await world.phone()
    pieces = await plant(today, 5)
    frozen = {int(path.stem.removeprefix("version")): path for path in EARLIER.glob("version*.mjs")}
    newest = (await today.use(NEWER, "version"))["version"]
    verdict = Verdict(facts={"newest version of the phone's database": float(newest)})
    missing = sorted(set(range(1, newest)) - set(frozen))
    verdict.expect(not missing, f"there is no frozen copy of versions {missing}")
    scripts = [*frozen.values(), frozen[max(frozen)]]
    sessions = await world.call("sessions", staff=None, count=len(scripts))
    phones = [today]
    for place, (session, script) in enumerate(zip(sessions, scripts, strict=True)):
        drafts = [_draft(pieces, chance) for _ in range(chance.randint(1, 700))]
        phone = await world.left_behind(session, script, drafts)
        phones.append(phone)
        if place == len(scripts) - 1:
            await phone.outbox()
            await phone.use(NEWER, "raise")
        verdict.expect(await phone.drain() is None, f"{script.stem} ({place}) was stopped")
        left = len(await phone.outbox())
        verdict.expect(left == 0, f"{script.stem} ({place}) still holds {left} records")
    verdict.add(await judge(world, phones))
    return verdict


def _draft(pieces: list[str], chance: random.Random) -> Draft:
    piece = chance.choice(pieces)
    return note(piece, "seen before") if chance.random() < 0.2 else check(piece, chance)


SCENARIOS = (
    Scenario(15, "outboxes of earlier versions", "each version, and a newer one",
             earlier_versions, short=1, whole=20, each=0.2),
)  # fmt: skip
