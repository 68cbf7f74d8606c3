"""The end of a shift: 20 phones send what they have, 100 records each, to a real server at once."""

import asyncio
import tempfile
import time
from pathlib import Path

import httpx

from api.access.cookies import SECURE_NAME
from api.access.links import add_staff, make_link
from api.access.sessions import claim
from api.database import open_database
from api.records.clock import now_ms
from tests.bench.measure import Measure
from tests.cluster import Cluster, find_binaries
from tests.server.running import address, started
from tests.server.server_farm import SAME_ORIGIN
from tests.sync.phone import Phone, begin

PHONES, RECORDS = 20, 100
GOAL_S = 3.0


async def _prepare(target: str | Path) -> tuple[list[str], list[Phone], list[str]]:
    """A farm with pieces, and phones that are paired: tokens, phones, pieces."""
    db = await open_database(target)
    pieces = await begin(db, 50)
    tokens, phones = [], []
    for number in range(PHONES):
        staff = await add_staff(db, f"Keeper {number}", "keeper")
        token, caller = await claim(db, await make_link(db, staff), f"phone {number}", now_ms())
        phone = Phone(caller.device, number + 1)
        phone.staff = staff
        tokens.append(token)
        phones.append(phone)
    await db.close()
    return tokens, phones, pieces


async def _send(base: str, token: str, body: bytes) -> list[str]:
    headers = SAME_ORIGIN | {"Cookie": f"{SECURE_NAME}={token}", "Content-Type": "application/json"}
    async with httpx.AsyncClient(base_url=base, headers=headers, timeout=60) as client:
        answer = await client.post("/api/sync/push", content=body)
    return [one["answer"] for one in answer.json()["answers"]]


async def _all_send(base: str, tokens: list[str], bodies: list[bytes]) -> float:
    start = time.perf_counter()
    told = await asyncio.gather(*(_send(base, *one) for one in zip(tokens, bodies, strict=True)))
    spent = time.perf_counter() - start
    assert told == [["stored"] * RECORDS] * PHONES, "not all were taken"
    return spent


def _measure(target: str | Path, data: Path) -> float:
    tokens, phones, pieces = asyncio.run(_prepare(target))
    more = {"NUBBIN_DATABASE": str(target)} if str(target).startswith("postgresql") else {}
    with started("serve", "--data", data, "--port", "0", **more) as (_, line):
        base, _ = address(line)
        spent = []
        for _ in range(3):
            now = now_ms()
            bodies = [
                phone.batch([phone.check(pieces[n % 50], now + n, mouth="bud")
                             for n in range(RECORDS)], now)
                for phone in phones
            ]  # fmt: skip
            spent.append(asyncio.run(_all_send(base, tokens, bodies)))
    return min(spent)


def measures() -> list[Measure]:
    """Seconds until the last phone has its answer, the best of three, on each database."""
    name = f"{PHONES} phones x {RECORDS} records acknowledged"
    with tempfile.TemporaryDirectory() as folder:
        data = Path(folder)
        found = [Measure(f"{name}, SQLite", _measure(data / "nubbin.sqlite", data), GOAL_S, "s",
                         "lower")]  # fmt: skip
    binaries = find_binaries()
    if binaries is not None:
        cluster = Cluster(binaries)
        try:
            with tempfile.TemporaryDirectory() as folder:
                spent = _measure(cluster.new_database(), Path(folder))
        finally:
            cluster.stop()
        found.append(Measure(f"{name}, PostgreSQL", spent, GOAL_S, "s", "lower"))
    return found
