"""GET /api/sync/pull: what has changed since a cursor, in commit order.

The cursor is the epoch and the `seq` of the last row scanned, rows that were filtered out
included, so that nothing can slip between two pages. Without a cursor it is the first snapshot,
by the same call. Records of pieces closed long ago are left out; their states stand in for them.
"""

from typing import Annotated, Any

import msgspec
from litestar import Response, get
from litestar.di import NamedDependency
from litestar.params import Parameter

from api.access.problems import NotHeld
from api.database import Database, Row
from api.problems import OtherEpoch, SignedOut, WrongCursor, raises
from api.records.clock import now_ms
from api.sync.wire import Page

PAGE = 2000
KEEP_CLOSED_MS = 90 * 24 * 3600 * 1000
"""A closed piece's records are sent for so long after its last one; then its state alone."""
LINEAGE = frozenset({"cut", "cut_end", "retract"})
"""Sent even of a mother closed long ago: her pieces' species, line and number follow from them."""


@get("/api/sync/pull", operation_id="pull", rule="keeper",
     responses=raises(WrongCursor, SignedOut, NotHeld, OtherEpoch))  # fmt: skip
async def pull_route(
    db: NamedDependency[Database],
    after: Annotated[str | None, Parameter(description="the last page's cursor")] = None,
    limit: Annotated[int, Parameter(ge=1, le=PAGE)] = PAGE,
) -> Page:
    """Everything that changed after a cursor, a page at a time."""
    body = await page(db, after, limit, now_ms())
    return Response(body, media_type="application/json")  # type: ignore[return-value]


async def page(db: Database, after: str | None, limit: int, now: int) -> dict[str, Any]:
    """A Page, with records and states still the JSON text that the database holds."""
    start = read_cursor(after, db.epoch)
    rows = await db.rows(
        "SELECT seq, at, kind, piece, record FROM log WHERE seq > ? ORDER BY seq LIMIT ?",
        start,
        limit,
    )
    pieces = await _pieces(db, {row["piece"] for row in rows if row["piece"] is not None})
    old = {key for key, row in pieces.items() if _long_closed(row, now)}
    entries = [row for row in rows if row["piece"] not in old or row["kind"] in LINEAGE]
    back = [key for key, row in pieces.items() if row["reopened"] and key not in old]
    entries += await _earlier(db, back, start)
    last = rows[-1]["seq"] if rows else start
    return {
        "epoch": db.epoch,
        "cursor": f"{db.epoch}.{last}",
        "more": len(rows) == limit,
        "entries": [_entry(row) for row in entries],
        "pieces": [msgspec.Raw(pieces[key]["state"].encode()) for key in sorted(old)],
    }


def read_cursor(after: str | None, epoch: str) -> int:
    """The `seq` in a cursor; 0 for none. Raises WrongCursor, or OtherEpoch for another database."""
    if after is None:
        return 0
    known, dot, seq = after.partition(".")
    if not dot or not seq.isascii() or not seq.isdigit() or len(seq) > 18 or len(known) != 32:
        raise WrongCursor
    if known != epoch:
        raise OtherEpoch
    return int(seq)


async def _pieces(db: Database, keys: set[str]) -> dict[str, Row]:
    sql = "SELECT id, closed_at, reopened, state FROM piece WHERE id IN (?)"
    rows = await db.rows_in(sql, keys)
    return {row["id"]: row for row in rows}


async def _earlier(db: Database, pieces: list[str], start: int) -> list[Row]:
    """All that went before of pieces that were closed once and are open again."""
    if not start:
        return []
    return await db.rows_in(
        "SELECT seq, at, record FROM log WHERE piece IN (?) AND seq <= ? ORDER BY seq",
        pieces, start,
    )  # fmt: skip


def _long_closed(row: Row, now: int) -> bool:
    return row["closed_at"] is not None and row["closed_at"] < now - KEEP_CLOSED_MS


def _entry(row: Row) -> dict[str, Any]:
    return {"seq": row["seq"], "at": row["at"], "record": msgspec.Raw(row["record"].encode())}


routes = [pull_route]
