"""The one judge of every run: nothing lost, nothing doubled, everybody agrees.

Promised to whoever records something: what a phone has shown as saved is on the server exactly
once (in the log, or durably held or set aside there), or is still to be seen in the phone's
outbox. Whatever else happened, in the end all phones and the server fold to the same states, no
number of a device's run is missing, and every record says what it said when it was made.
"""

import json
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from tests.faults.handsets import Phone
from tests.faults.verdict import Verdict
from tests.faults.world import World

ROUNDS = 8
"""Enough for the last faults to be used up and for everybody to hear of everything."""


async def settle(world: World, phones: list[Phone]) -> Verdict:
    """The network is back: everything is sent, and everybody hears of everything."""
    world.gateway.clear()
    for _ in range(ROUNDS):
        stopped = [await phone.drain() for phone in phones]
        waits = [row for phone in phones for row in await phone.outbox()
                 if row["state"] == "waiting"]  # fmt: skip
        if not waits and not any(stopped):
            break
    verdict = Verdict()
    for phone in phones:
        paused = await phone.drain()
        verdict.expect(paused is None, f"phone {phone.name} is stopped at the end: {paused}")
        waits = sum(row["state"] == "waiting" for row in await phone.outbox())
        verdict.expect(waits == 0, f"phone {phone.name} still has {waits} waiting at the end")
    return verdict


async def judge(
    world: World, phones: list[Phone] | None = None, gone: Sequence[dict[str, Any]] = ()
) -> Verdict:
    """Let everything settle, then hold what the phones showed against what there is.

    `gone` are records that the run itself destroyed: their numbers must be missing, and no others.
    """
    mine = world.phones if phones is None else phones
    verdict = await settle(world, mine)
    server = await on_server(world)
    for phone in mine:
        verdict.add(await kept(phone, server))
        _gaps(server, phone.device, gone, verdict)
    verdict.doubled += server.doubled
    await _agree(world, mine, verdict)
    return verdict


@dataclass
class OnServer:
    """All that the server holds in any form: records, their copies, each device's numbers."""

    records: dict[str, dict[str, Any]]
    copies: Counter[str]
    numbers: dict[str, list[int]]
    doubled: int


HELD = """
SELECT id, device, device_seq, record FROM log
UNION ALL SELECT id, device, device_seq, record FROM held
UNION ALL SELECT record_id, device, device_seq, record FROM quarantine
WHERE fate IS NULL OR fate <> 'admitted'
"""
REFUSED = "SELECT record_id, device, device_seq FROM refused"


async def on_server(world: World) -> OnServer:
    """What is in the log, held until something arrives, in quarantine, or refused and kept."""
    found = OnServer({}, Counter(), {}, 0)
    places: Counter[tuple[str, int]] = Counter()
    for row in await world.rows(HELD):
        found.records[row["id"]] = json.loads(row["record"])
        found.copies[row["id"]] += 1
        places[row["device"], row["device_seq"]] += 1
    for (device, number), times in places.items():
        found.numbers.setdefault(device, []).append(number)
        found.doubled += times - 1
    for row in await world.rows(REFUSED):
        found.copies[row["record_id"]] += row["record_id"] not in found.records
        if row["device_seq"] is not None:
            found.numbers.setdefault(row["device"], []).append(row["device_seq"])
    return found


async def kept(phone: Phone, server: OnServer) -> Verdict:
    """What a phone showed is on the server once, or still in its outbox, and says what it said."""
    verdict = Verdict()
    visible = {row["record"]["id"]: row["record"] for row in await phone.outbox()}
    for record in phone.shown:
        copies = server.copies[record["id"]]
        verdict.lost += copies == 0 and record["id"] not in visible
        verdict.doubled += max(0, copies - 1)
        there = server.records.get(record["id"]) or visible.get(record["id"])
        if there is not None and there != record:
            verdict.wrong.append(f"{record['id']} was {record} and is {there}")
    shown = {record["id"] for record in phone.shown}
    verdict.doubled += sum(record["device"] == phone.device and key not in shown
                           for key, record in server.records.items())  # fmt: skip
    return verdict


def _gaps(server: OnServer, device: str, gone: Sequence[dict[str, Any]], verdict: Verdict) -> None:
    numbers = server.numbers.get(device, [0])
    missing = sorted(set(range(1, max(numbers) + 1)) - set(numbers))
    known = sorted(record["device_seq"] for record in gone if record["device"] == device)
    if missing != known:
        verdict.wrong.append(f"{device} lacks the numbers {missing[:10]}, not {known[:10]}")


async def _agree(world: World, phones: list[Phone], verdict: Verdict) -> None:
    rows = await world.rows("SELECT id, state FROM piece")
    server = {row["id"]: json.loads(row["state"]) for row in rows}
    for phone in phones:
        states = await phone.states()
        other = [key for key in server.keys() | states.keys()
                 if server.get(key) != states.get(key)]  # fmt: skip
        if other:
            where = f"phone {phone.name} and the server differ on {len(other)} pieces, such as"
            told = _difference(states.get(other[0]) or {}, server.get(other[0]) or {})
            verdict.wrong.append(f"{where} {other[0]}: {told}")
    verdict.wrong += await world.call("differences")


def _difference(one: dict[str, Any], other: dict[str, Any]) -> dict[str, Any]:
    names = one.keys() | other.keys()
    return {n: (one.get(n), other.get(n)) for n in names if one.get(n) != other.get(n)}
