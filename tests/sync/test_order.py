"""Commit order, and two devices that come together after a week."""

import asyncio
import hashlib
import random
from typing import Any

import pytest

from api.database import Database, open_database
from api.stock.replay import replay
from api.sync import push as pushing
from api.sync.pull import page
from api.sync.push import push
from api.sync.wire import read_batch
from tests.sync.phone import DAY, NOW, Phone, begin

pytestmark = pytest.mark.anyio
WRITERS, BATCHES, SIZE = 16, 30, 10


async def test_sixteen_writers_and_a_live_puller_miss_nothing(
    db: Database, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Each batch waits a little between its rows and its commit, when a plain serial is lost."""
    pieces = await begin(db, pieces=40)
    start = (await page(db, None, 2000, NOW))["cursor"]
    seen: list[int] = []
    writing = True
    save, wait = pushing._save_device, random.Random(6)

    async def save_slowly(*args: Any) -> None:
        await asyncio.sleep(wait.random() * 0.004)
        await save(*args)

    monkeypatch.setattr(pushing, "_save_device", save_slowly)

    async def write(number: int) -> None:
        phone, chance = Phone(f"p{number}", number + 1), random.Random(number)
        for _ in range(BATCHES):
            await asyncio.sleep(chance.random() * 0.01)
            records = [phone.check(chance.choice(pieces), NOW + phone.made) for _ in range(SIZE)]
            await phone.push(db, records)

    async def follow() -> None:
        cursor = start
        while True:
            last_round = not writing
            found = await page(db, cursor, 500, NOW)
            cursor = found["cursor"]
            seen.extend(entry["seq"] for entry in found["entries"])
            if last_round and not found["more"]:
                return
            await asyncio.sleep(0.001)

    follower = asyncio.create_task(follow())
    await asyncio.gather(*(write(number) for number in range(WRITERS)))
    writing = False
    await follower
    first = int(start.split(".")[1]) + 1
    assert seen == list(range(first, first + WRITERS * BATCHES * SIZE))


async def test_the_control_a_plain_serial_does_miss_rows(cluster: object) -> None:
    """The same race with a sequence taken outside the lock: the pitfall is real."""
    import asyncpg

    pool = await asyncpg.create_pool(cluster.new_database(), min_size=WRITERS, max_size=WRITERS)  # type: ignore[attr-defined]
    await pool.execute("CREATE TABLE naive (seq BIGSERIAL PRIMARY KEY, who INT)")
    seen: set[int] = set()
    writing = True

    async def write(number: int) -> None:
        chance = random.Random(number)
        async with pool.acquire() as connection:
            for _ in range(20):
                async with connection.transaction():
                    await connection.execute("INSERT INTO naive (who) VALUES ($1)", number)
                    await asyncio.sleep(chance.random() * 0.01)

    async def follow() -> None:
        last = 0
        while True:
            last_round = not writing
            rows = await pool.fetch("SELECT seq FROM naive WHERE seq > $1 ORDER BY seq", last)
            seen.update(row["seq"] for row in rows)
            last = max([last, *(row["seq"] for row in rows)])
            if last_round:
                return
            await asyncio.sleep(0.001)

    follower = asyncio.create_task(follow())
    await asyncio.gather(*(write(number) for number in range(WRITERS - 1)))
    writing = False
    await follower
    assert len(seen) < (WRITERS - 1) * 20
    await pool.close()


async def fingerprint(db: Database) -> str:
    rows = await db.rows("SELECT id, state FROM piece ORDER BY id")
    return hashlib.sha256("".join(row["state"] for row in rows).encode()).hexdigest()


async def test_two_devices_a_week_apart_come_to_one_state(db: Database, target: object) -> None:
    pieces = await begin(db, pieces=40)
    chance = random.Random(12)
    here, away = Phone("here", 1), Phone("away", 2, skew=-90_000)
    near = [here.check(chance.choice(pieces), NOW + n * 1000, mouth=chance.choice(
        ["none", "bud", "open"]), encrustation=n % 5) for n in range(1000)]  # fmt: skip
    far = [away.check(chance.choice(pieces), NOW + n * 1000 + 7, recession=chance.choice(
        ["none", "rim", "quarter"])) for n in range(1000)]  # fmt: skip
    far.append(away.make("loss", ("piece", pieces[0]), {"how": "dead"}, NOW + 500))
    later = NOW + 7 * DAY
    for start in range(0, 1000, 250):
        await here.push(db, near[start : start + 250], NOW + DAY)
    for start in range(0, 1001, 250):
        await away.push(db, far[start : start + 250], later)
    first = await fingerprint(db)
    assert (await replay(db)).differences == []
    assert await fingerprint(db) == first
    assert await _other_way_round(target, near, far, later) == first


async def _other_way_round(target: object, near: list, far: list, later: int) -> str:  # type: ignore[type-arg]
    """The same records in a new database: the late phone first, each record by itself, shuffled."""
    path = str(target).replace("nubbin.sqlite", "second.sqlite")
    if path.startswith("postgresql"):
        import asyncpg

        admin = await asyncpg.connect(path)
        await admin.execute("CREATE DATABASE second")
        await admin.close()
        path = path.rsplit("/", 1)[0] + "/second"
    other = await open_database(path)
    await begin(other, pieces=40)
    chance = random.Random(3)
    for records, device, skew, now in ((far, "away", -90_000, later), (near, "here", 0, NOW + DAY)):
        shuffled = chance.sample(records, len(records))
        for start in range(0, len(shuffled), 200):
            phone = Phone(device, skew=skew)
            body = phone.batch(shuffled[start : start + 200], now)
            await push(other, read_batch(body), now)
    found = await fingerprint(other)
    await other.close()
    if path.startswith("postgresql"):
        admin = await asyncpg.connect(path.rsplit("/", 1)[0] + "/postgres")
        await admin.execute("DROP DATABASE second")
        await admin.close()
    return found
