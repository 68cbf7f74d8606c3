"""Clocks that are off: scenario 11.

A shift is played in the past: phone and truth both live so long before this machine, and draw
nearer with each record; the clock's error comes on top.
"""

import random
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

from api.records.clock import milliseconds, now_ms
from tests.faults.checker import judge
from tests.faults.farm import check, plant
from tests.faults.handsets import Phone
from tests.faults.scenario import Scenario
from tests.faults.verdict import Verdict
from tests.faults.world import World

MINUTE_MS, HOUR_MS, DAY_MS = 60_000, 3_600_000, 24 * 3_600_000
ZONE = "Europe/Lisbon"
STEPS = 16
NEAR_MS = 30_000
"""What the server takes for the network's noise."""


async def clocks(world: World, chance: random.Random) -> Verdict:
    """Two days off either way; the night the clocks change; a clock that jumps in a shift."""
    verdict = Verdict()
    off = chance.choice((-2, 2)) * DAY_MS
    await _shift(world, chance, verdict, "two days off", [off] * STEPS, exact=True)
    await _shift(world, chance, verdict, "the clocks change", [0] * STEPS, exact=True,
                 end=_last_change() + 4 * HOUR_MS)  # fmt: skip
    jump = chance.choice((-3 * HOUR_MS, 3 * HOUR_MS, -HOUR_MS, HOUR_MS, -2 * DAY_MS, 2 * DAY_MS))
    at = chance.randint(1, STEPS - 1)
    errors = [0] * at + [jump] * (STEPS - at)
    await _shift(world, chance, verdict, f"a jump of {jump} ms", errors, exact=jump < 0)
    verdict.add(await judge(world))
    return verdict


async def _shift(world: World, chance: random.Random, verdict: Verdict, name: str,
                 errors: list[int], *, exact: bool, end: int | None = None) -> None:  # fmt: skip
    """A record each half hour under the clock's error of that time; all are sent at the end.

    `exact`: the server can find the true times, not only the order. `end` is when the shift ended.
    """
    phone = await world.phone()
    [piece] = await plant(phone, 1)
    truths: dict[str, int] = {}
    sent_late = now_ms() - (end if end is not None else now_ms())
    for step, error in enumerate(errors):
        past = sent_late + (len(errors) - step) * HOUR_MS // 2
        await phone.do("clock", ahead_ms=error, past_ms=past, zone=ZONE)
        [record] = await phone.save(check(piece, chance))
        truths[record["id"]] = now_ms() - past
    await phone.do("clock", ahead_ms=errors[-1], past_ms=0, zone=ZONE)
    told = await phone.do("drain")
    verdict.expect(told["paused"] is None, f"{name}: not delivered, {told}")
    if errors[-1]:
        flagged = [note for note in told["notes"] if "clock" in note]
        verdict.expect(len(flagged) == len(errors), f"{name}: {len(flagged)} were flagged")
    await _compare(world, phone, truths, verdict, name, exact)


async def _compare(world: World, phone: Phone, truths: dict[str, int], verdict: Verdict,
                   name: str, exact: bool) -> None:  # fmt: skip
    rows = await world.rows("SELECT id, at FROM log WHERE device = ? AND kind = 'check' "
                            "ORDER BY at, id", phone.device)  # fmt: skip
    verdict.expect([row["id"] for row in rows] == list(truths), f"{name}: the order is wrong")
    if exact:
        worst = max((abs(row["at"] - truths[row["id"]]) for row in rows), default=0)
        verdict.expect(worst <= NEAR_MS, f"{name}: a time is off by {worst} ms")
    for record in phone.shown:
        here, offset = record["observed"]["at"], record["observed"]["offset"]
        if record["kind"] == "check":
            moment = datetime.fromtimestamp(milliseconds(here) / 1000, ZoneInfo(ZONE))
            there = (moment.utcoffset() or timedelta()) // timedelta(minutes=1)
            verdict.expect(offset == there, f"{name}: offset {offset} at {here} is {there}")


def _last_change() -> int:
    """When the clocks of ZONE last changed, UTC milliseconds, at least two days ago."""
    moment = datetime.now(UTC).replace(minute=0, second=0, microsecond=0) - timedelta(days=2)
    zone = ZoneInfo(ZONE)
    while (moment.astimezone(zone).utcoffset()
           == (moment - timedelta(hours=1)).astimezone(zone).utcoffset()):  # fmt: skip
        moment -= timedelta(hours=1)
    return round(moment.timestamp() * 1000)


SCENARIOS = (
    Scenario(11, "clocks that are off", "three shifts", clocks, short=2, whole=50, each=0.5),
)  # fmt: skip
