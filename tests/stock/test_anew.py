"""A farm whose states were folded by an earlier version is folded again as it is opened."""

from pathlib import Path

import pytest

from api.database import Database, open_database
from api.stock.projection import decode_state, encode
from api.stock.replay import replay
from tests.sync.phone import DAY, NOW, Phone, begin

pytestmark = pytest.mark.anyio


async def flags(db: Database, piece: str) -> list[str]:
    [row] = await db.rows("SELECT state FROM piece WHERE id = ?", piece)
    return [flag.what for flag in decode_state(row["state"]).flags]


async def cut_after_loss(db: Database) -> str:
    [piece] = await begin(db)
    phone = Phone("p1")
    cut = {"sitting": phone.id(), "mother": piece, "method": "method.band-saw"}
    records = [
        phone.make("loss", ("piece", piece), {"how": "dead"}, NOW - 3 * DAY),
        phone.make("cut", ("cut", phone.id()), cut, NOW - DAY),
    ]
    await phone.push(db, records)
    return piece


async def as_before(db: Database, piece: str) -> None:
    """The state as the version wrote it that had no word for such a cut."""
    [row] = await db.rows("SELECT state FROM piece WHERE id = ?", piece)
    state = decode_state(row["state"])
    state.flags = []
    async with db.write() as tx:
        await tx.many("UPDATE piece SET state = ? WHERE id = ?", [(encode(state).decode(), piece)])
        await tx.rows("UPDATE counter SET fold = NULL RETURNING id")


async def test_what_the_fold_has_come_to_say_is_said_of_old_records_too(target: str | Path) -> None:
    db = await open_database(target)
    piece = await cut_after_loss(db)
    assert await flags(db, piece) == ["cut-after-loss"]
    [before] = await db.rows("SELECT * FROM piece WHERE id = ?", piece)
    await as_before(db, piece)
    assert len((await replay(db)).differences) == 1
    await as_before(db, piece)
    await db.close()
    db = await open_database(target)
    assert await db.rows("SELECT * FROM piece WHERE id = ?", piece) == [before]
    assert (await replay(db)).differences == []
    await db.close()
