"""GET /api/sync/pull: what has changed since a cursor, in commit order.

The cursor is the epoch and the `seq` of the last row scanned, rows that were filtered out
included, so that nothing can slip between two pages. Records of pieces closed long ago are left
out; their states stand in for them.

Without a cursor it is the first snapshot, by the same call: all that was in the log at its first
page, what is needed first coming first, so that a phone is of use after page one. Its cursors
name that last row, the part and the row of the part; its last one is a plain cursor. A piece that
changes parts meanwhile is sent twice, or comes whole later, since it is open again.
"""

from typing import Annotated, Any, NamedTuple

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


_FIRST = "'arrival', 'glue', 'bind', 'move', 'purpose', 'ready', 'retract'"
_KIN = "'cut', 'cut_end'"
_OF_PIECE = f"l.piece IS NOT NULL AND l.kind NOT IN ({_KIN})"
PARTS = (
    f"l.piece IS NULL AND l.kind NOT IN ({_KIN})",
    f"l.kind IN ({_KIN}) OR ({_OF_PIECE} AND p.closed_at IS NULL AND l.kind IN ({_FIRST}))",
    f"{_OF_PIECE} AND p.closed_at IS NULL AND l.kind NOT IN ({_FIRST})",
    f"{_OF_PIECE} AND p.closed_at >= :recent",
    f"{_OF_PIECE} AND p.closed_at < :recent",
)
"""Of the first snapshot, in order: lists and what concerns no piece; all lineage, and what open
pieces are found and known by; the rest of them; pieces closed of late; those of which only the
state is sent."""


class Cursor(NamedTuple):
    """`part` is None in commit order, else the part of a snapshot that ends at the row `high`."""

    seq: int
    part: int | None = None
    high: int = 0


async def page(db: Database, after: str | None, limit: int, now: int) -> dict[str, Any]:
    """A Page, with records and states still the JSON text that the database holds."""
    start = read_cursor(after, db.epoch)
    if start is None:
        start = Cursor(0, 0, await _newest(db))
    if start.part is None:
        rows = await db.rows(
            "SELECT seq, at, kind, piece, record FROM log WHERE seq > ? ORDER BY seq LIMIT ?",
            start.seq,
            limit,
        )
        last, more = Cursor(rows[-1]["seq"] if rows else start.seq), len(rows) == limit
    else:
        rows, last = await _snapshot(db, start, limit, now)
        more = last.part is not None or await _newest(db) > last.seq
    pieces = await _pieces(db, {row["piece"] for row in rows if row["piece"] is not None})
    old = {key for key, row in pieces.items() if _long_closed(row, now)}
    entries = [row for row in rows if row["piece"] not in old or row["kind"] in LINEAGE]
    if start.part is None:
        back = [key for key, row in pieces.items() if row["reopened"] and key not in old]
        entries += await _earlier(db, back, start.seq)
    return {
        "epoch": db.epoch,
        "cursor": _write_cursor(db.epoch, last),
        "more": more,
        "entries": [_entry(row) for row in entries],
        "pieces": [msgspec.Raw(pieces[key]["state"].encode()) for key in sorted(old)],
    }


async def _newest(db: Database) -> int:
    [row] = await db.rows("SELECT COALESCE(MAX(seq), 0) AS seq FROM log")
    return int(row["seq"])


async def _snapshot(db: Database, start: Cursor, limit: int, now: int) -> tuple[list[Row], Cursor]:
    """The next rows of a snapshot and where to go on; plain commit order after its last part."""
    rows: list[Row] = []
    recent, seq = str(now - KEEP_CLOSED_MS), start.seq
    for part in range(start.part or 0, len(PARTS)):
        rows += await db.rows(
            "SELECT l.seq, l.at, l.kind, l.piece, l.record FROM log l "
            "LEFT JOIN piece p ON p.id = l.piece WHERE l.seq > ? AND l.seq <= ? "
            f"AND ({PARTS[part].replace(':recent', recent)}) ORDER BY l.seq LIMIT ?",
            seq, start.high, limit - len(rows),
        )  # fmt: skip
        if len(rows) == limit:
            return rows, Cursor(rows[-1]["seq"], part, start.high)
        seq = 0
    return rows, Cursor(start.high)


def read_cursor(after: str | None, epoch: str) -> Cursor | None:
    """Where a cursor stands; None for none. Raises WrongCursor, or OtherEpoch."""
    if after is None:
        return None
    known, _, rest = after.partition(".")
    numbers = rest.split(".")
    sound = all(n.isascii() and n.isdigit() and len(n) <= 18 for n in numbers)
    if not sound or len(numbers) not in (1, 3) or len(known) != 32:
        raise WrongCursor
    if known != epoch:
        raise OtherEpoch
    if len(numbers) == 1:
        return Cursor(int(numbers[0]))
    high, part, seq = (int(number) for number in numbers)
    if part >= len(PARTS):
        raise WrongCursor
    return Cursor(seq, part, high)


def _write_cursor(epoch: str, cursor: Cursor) -> str:
    if cursor.part is None:
        return f"{epoch}.{cursor.seq}"
    return f"{epoch}.{cursor.high}.{cursor.part}.{cursor.seq}"


async def _pieces(db: Database, keys: set[str]) -> dict[str, Row]:
    sql = "SELECT id, closed_at, reopened, state FROM piece WHERE id IN (?)"
    rows = await db.rows_in(sql, keys)
    return {row["id"]: row for row in rows}


async def _earlier(db: Database, pieces: list[str], start: int) -> list[Row]:
    """All that went before of pieces that were closed once and are open again."""
    return await db.rows_in(
        "SELECT seq, at, record FROM log WHERE piece IN (?) AND seq <= ? ORDER BY seq",
        pieces, start,
    )  # fmt: skip


def _long_closed(row: Row, now: int) -> bool:
    return row["closed_at"] is not None and row["closed_at"] < now - KEEP_CLOSED_MS


def _entry(row: Row) -> dict[str, Any]:
    return {"seq": row["seq"], "at": row["at"], "record": msgspec.Raw(row["record"].encode())}


routes = [pull_route]
