"""Who was signed out for good since a backup was made stays signed out when it is put back, and a
sign-in link that was used since stays used.

A copy knows people and phones as they were on its day. Where the farm's later database still lies
there and can be read, what it ended is ended in the copy as well; all else stays the copy's.
"""

import sqlite3
from contextlib import closing
from pathlib import Path

from msgspec import Struct

from api.access.audit import What, note
from api.database import Database, Write

Ended = dict[str, int]
"""Keys, each with the time at which it was ended, UTC ms."""

_ENDED: dict[str, tuple[str, str, What | None]] = {
    "staff": ("id", "left_at", "person-revoked"),
    "device": ("id", "removed_at", "device-revoked"),
    "session": ("digest", "ended_at", None),
    "link": ("digest", "used_at", None),
}
"""By table: its key, when a row of it was ended, and what the audit calls that, if it tells."""


class LaterFarm(Struct, frozen=True):
    """What a database had ended; nothing at all where it could not be read."""

    readable: bool
    ended: dict[str, Ended]


def read_ended(database: Path) -> LaterFarm:
    """What was ended in a database that may be missing, damaged or of an older form."""
    if not database.exists():
        return LaterFarm(False, {})
    try:
        address = f"{database.absolute().as_uri()}?mode=ro"
        with closing(sqlite3.connect(address, uri=True)) as connection:
            return LaterFarm(True, {table: _read(connection, table) for table in _ENDED})
    except sqlite3.Error:
        return LaterFarm(False, {})


async def carry_over(db: Database, later: LaterFarm, now: int) -> int:
    """End in `db` what had been ended later: how many people and phones that are."""
    count = 0
    async with db.write() as tx:
        for table in later.ended:
            changed = await _end(tx, table, later.ended[table])
            if what := _ENDED[table][2]:
                for key in changed:
                    await note(tx, now, what, about=key)
                count += len(changed)
    return count


def _read(connection: sqlite3.Connection, table: str) -> Ended:
    key, column, _ = _ENDED[table]
    return dict(
        connection.execute(f"SELECT {key}, {column} FROM {table} WHERE {column} IS NOT NULL")
    )


async def _end(tx: Write, table: str, ended: Ended) -> list[str]:
    key, column, _ = _ENDED[table]
    live = await tx.rows_in(
        f"SELECT {key} AS name FROM {table} WHERE {key} IN (?) AND {column} IS NULL", ended
    )
    changed = sorted(row["name"] for row in live)
    await tx.many(
        f"UPDATE {table} SET {column} = ? WHERE {key} = ?",
        [(ended[name], name) for name in changed],
    )
    return changed
