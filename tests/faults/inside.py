"""What is done to a world's database through the product's own functions, in a forked process."""

import uuid
from typing import Any

from api.access.cookies import SECURE_NAME
from api.access.links import add_staff, make_link, owner_of
from api.access.sessions import claim
from api.access.tables import Session
from api.database import Database, open_database
from api.records.clock import now_ms
from api.stock.replay import replay
from api.sync.push import push
from api.sync.wire import read_batch
from tests.sync.phone import NOW, Phone, begin, fates

PART = 500


async def call(target: str, name: str, args: dict[str, Any]) -> Any:
    """Open the database, do what is asked, close it."""
    db = await open_database(target)
    try:
        return await CALLS[name](db, **args)
    finally:
        await db.close()


async def _sessions(db: Database, staff: str | None, count: int) -> list[dict[str, str]]:
    """Signed-in devices of a person (the owner where nobody is named)."""
    who = staff or await owner_of(db)
    made = []
    for number in range(count):
        link = await make_link(db, who)
        token, found = await claim(db, link, f"phone {number}", now_ms())
        made.append({"cookie": f"{SECURE_NAME}={token}", "device": found.device})
    return made


async def _link(db: Database, staff: str | None) -> str:
    return await make_link(db, staff or await owner_of(db))


async def _person(db: Database, name: str, role: Any) -> str:
    return await add_staff(db, name, role)


async def _end_sessions(db: Database, device: str) -> None:
    async with db.write():
        await Session.update({Session.ended_at: now_ms()}).where(
            Session.device == device, Session.ended_at.is_null()
        )


async def _differences(db: Database) -> list[str]:
    """Where the live tables differ from what the log adds up to."""
    return (await replay(db)).differences


async def _fill(db: Database, pieces: int) -> int:
    """A farm of so many glued pieces; the log's length."""
    await begin(db, 1)
    [row] = await db.rows("SELECT id FROM cut")
    glue = {"cut": row["id"], "base": "base.hex-40", "purpose": "sale"}
    desk = Phone("desk-two", 0xFFFE)
    for start in range(1, pieces, PART):
        many = range(min(PART, pieces - start))
        records = [desk.make("glue", ("piece", desk.id()), glue, NOW - 1000) for _ in many]
        answers = await push(db, read_batch(desk.batch(records)), NOW)
        assert set(fates(answers)) == {"stored"}
    [row] = await db.rows("SELECT count(*) AS n FROM log")
    return int(row["n"])


async def _new_epoch(db: Database) -> str:
    """What putting a backup back must do: the database gets another name."""
    epoch = uuid.uuid4().hex
    async with db.write() as tx:
        await tx.rows("UPDATE counter SET epoch = ? WHERE id = 1 RETURNING id", epoch)
    return epoch


CALLS = {
    "sessions": _sessions,
    "link": _link,
    "person": _person,
    "end_sessions": _end_sessions,
    "differences": _differences,
    "fill": _fill,
    "new_epoch": _new_epoch,
}
