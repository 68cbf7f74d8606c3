"""Pull: pages in commit order, cursors, closed pieces, pieces that come back."""

import pytest

from api.database import Database
from api.problems import OtherEpoch, WrongCursor
from api.sync.pull import page, read_cursor
from tests.sync.phone import DAY, NOW, Phone, begin

pytestmark = pytest.mark.anyio


async def everything(db: Database, limit: int, now: int = NOW) -> list[dict]:  # type: ignore[type-arg]
    pages, cursor = [], None
    while True:
        pages.append(await page(db, cursor, limit, now))
        cursor = pages[-1]["cursor"]
        if not pages[-1]["more"]:
            return pages


async def test_pages_of_any_size_give_every_record_once_in_order(db: Database) -> None:
    [piece] = await begin(db)
    phone = Phone("p1")
    await phone.push(db, [phone.check(piece, NOW + n) for n in range(40)])
    [row] = await db.rows("SELECT count(*) AS n FROM log")
    for limit in (1, 7, 2000):
        seqs = [e["seq"] for found in await everything(db, limit) for e in found["entries"]]
        assert seqs == list(range(1, row["n"] + 1))


async def test_a_cursor_moves_past_rows_that_were_left_out(db: Database) -> None:
    gone, here = await begin(db, pieces=2, at=NOW - 300 * DAY)
    phone = Phone("p1")
    old = [phone.check(gone, NOW - 200 * DAY + n) for n in range(20)]
    old.append(phone.make("loss", ("piece", gone), {"how": "dead"}, NOW - 190 * DAY))
    await phone.push(db, old)
    await phone.push(db, [phone.check(here)])
    pages = await everything(db, 5)
    kinds = [e["record"] for found in pages for e in found["entries"]]
    assert sum(b'"kind":"check"' in bytes(raw) for raw in kinds) == 1
    states = [bytes(raw) for found in pages for raw in found["pieces"]]
    assert all(b'"stage":"lost"' in raw and gone.encode() in raw for raw in states)
    assert states
    [row] = await db.rows("SELECT max(seq) AS seq FROM log")
    assert pages[-1]["cursor"] == f"{db.epoch}.{row['seq']}"


async def test_cuts_of_a_mother_closed_long_ago_are_still_sent(db: Database) -> None:
    await begin(db, at=NOW - 300 * DAY)
    [mother] = await db.rows("SELECT mother, id FROM cut")
    phone = Phone("p1")
    end = phone.make("cut_end", ("cut", mother["id"]), {"remains": "used-up"}, NOW - 299 * DAY)
    await phone.push(db, [end])
    [found] = await everything(db, 2000)
    kinds = [bytes(entry["record"]) for entry in found["entries"]]
    assert sum(raw.startswith(b'{"kind":"cut",') for raw in kinds) == 1
    assert sum(b'"kind":"arrival"' in raw for raw in kinds) == 0
    assert len(found["pieces"]) == 1


async def test_a_piece_that_was_closed_and_is_open_again_is_sent_whole(db: Database) -> None:
    [piece] = await begin(db, at=NOW - 300 * DAY)
    phone = Phone("p1")
    loss = phone.make("loss", ("piece", piece), {"how": "missing"}, NOW - 200 * DAY)
    await phone.push(db, [phone.check(piece, NOW - 201 * DAY), loss])
    cursor = (await everything(db, 2000))[-1]["cursor"]
    await phone.push(db, [phone.check(piece, NOW)])
    found = await page(db, cursor, 2000, NOW)
    kinds = sorted(bytes(e["record"]).split(b'"')[3].decode() for e in found["entries"])
    assert kinds == ["check", "check", "glue", "loss"]


@pytest.mark.parametrize("cursor", ["", "12", "x.1", "f" * 32 + ".", "f" * 32 + ".-1",
                                    "f" * 32 + ".1e3", "f" * 32 + "." + "9" * 40])  # fmt: skip
async def test_a_wrong_cursor_is_said(cursor: str) -> None:
    with pytest.raises(WrongCursor):
        read_cursor(cursor, "f" * 32)


async def test_a_cursor_of_another_database_is_said() -> None:
    with pytest.raises(OtherEpoch):
        read_cursor("a" * 32 + ".12", "f" * 32)
