"""The first snapshot: what is needed first comes first, and what moves meanwhile is not missed."""

import json
import random
from typing import Any

import pytest

from api.database import Database
from api.problems import WrongCursor
from api.sync.pull import Cursor, page, read_cursor
from tests.sync.phone import DAY, NOW, Phone, begin

pytestmark = pytest.mark.anyio
OLD = NOW - 300 * DAY


async def farm(db: Database) -> tuple[Phone, list[str]]:
    """Pieces lost long ago, lost of late, and open ones, each looked at often."""
    pieces = await begin(db, pieces=9, at=OLD)
    phone = Phone("p1")
    records = [phone.check(piece, OLD + DAY + n) for piece in pieces for n in range(5)]
    for place, piece in enumerate(pieces[:6]):
        at = NOW - (200 if place < 3 else 20) * DAY
        records.append(phone.make("loss", ("piece", piece), {"how": "dead"}, at))
    await phone.push(db, records)
    return phone, pieces


async def pages(db: Database, limit: int, between: Any = None) -> list[dict[str, Any]]:
    found: list[dict[str, Any]] = []
    while not found or found[-1]["more"]:
        found.append(await page(db, found[-1]["cursor"] if found else None, limit, NOW))
        if between and found[-1]["more"]:
            await between(len(found))
    return found


def records(found: list[dict[str, Any]]) -> list[dict[str, Any]]:
    return [json.loads(bytes(entry["record"])) for one in found for entry in one["entries"]]


async def test_lists_then_open_pieces_then_those_closed_of_late_then_states(db: Database) -> None:
    _, pieces = await farm(db)
    sent = records(await pages(db, 7))
    told = [(one["kind"], one["subject"]["id"]) for one in sent]
    first = [kind for kind, _ in told]
    assert first[:4] == ["define"] * 4
    assert sorted(first[4:9]) == ["arrival", "cut", "glue", "glue", "glue"]
    assert {piece for kind, piece in told[4:9] if kind == "glue"} == set(pieces[6:])
    assert {piece for _, piece in told[9:24]} == set(pieces[6:])
    assert {piece for _, piece in told[24:]} == set(pieces[3:6])
    states = {piece for one in await pages(db, 7) for piece in pieces
              if any(piece.encode() in bytes(raw) for raw in one["pieces"])}  # fmt: skip
    assert states == set(pieces[:3])


@pytest.mark.parametrize("limit", [1, 3, 2000])
async def test_each_record_comes_once_and_the_end_is_the_log_s_own(
    db: Database, limit: int
) -> None:
    _, pieces = await farm(db)
    found = await pages(db, limit)
    ids = [one["id"] for one in records(found)]
    wanted = await db.rows_in("SELECT id, kind, piece FROM log WHERE kind IN (?)",
                              ["define", "arrival", "cut", "glue", "check", "loss"])  # fmt: skip
    assert sorted(ids) == sorted(row["id"] for row in wanted if row["piece"] not in pieces[:3])
    [last] = await db.rows("SELECT MAX(seq) AS seq FROM log")
    assert found[-1]["cursor"] == f"{db.epoch}.{last['seq']}"


async def test_what_happens_between_two_pages_is_not_missed(db: Database) -> None:
    """Pieces are lost, come back and are looked at while the snapshot is under way."""
    phone, pieces = await farm(db)
    chance = random.Random(11)

    async def work(turn: int) -> None:
        if turn > 30:
            return
        piece = chance.choice(pieces)
        lose = phone.make("loss", ("piece", piece), {"how": "missing"}, NOW - DAY + turn)
        await phone.push(db, [chance.choice([lose, phone.check(piece, NOW - DAY + turn)])])

    sent = {one["id"] for one in records(await pages(db, 4, work))}
    rows = await db.rows("SELECT l.id, l.piece, p.closed_at FROM log l "
                         "LEFT JOIN piece p ON p.id = l.piece")  # fmt: skip
    missed = [row for row in rows if row["id"] not in sent]
    long_closed = NOW - 90 * DAY
    assert [
        row for row in missed if row["closed_at"] is None or row["closed_at"] >= long_closed
    ] == []


@pytest.mark.parametrize("rest", ["1.2", "9.5.1", "9.-1.1", "9.1.x", "1.2.3.4", "9..1"])
async def test_a_cursor_of_no_snapshot_is_said(rest: str) -> None:
    with pytest.raises(WrongCursor):
        read_cursor(f"{'f' * 32}.{rest}", "f" * 32)


async def test_cursors() -> None:
    assert read_cursor(None, "f" * 32) is None
    assert read_cursor("f" * 32 + ".9", "f" * 32) == Cursor(9)
    assert read_cursor("f" * 32 + ".9.2.4", "f" * 32) == Cursor(4, 2, 9)
