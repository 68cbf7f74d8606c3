"""Queries with ? placeholders on either engine, and the transactions in which they are run."""

import abc
import re
import sqlite3
from collections.abc import Iterable, Sequence
from typing import Any

Row = dict[str, Any]
CHUNK = 500
"""Rows a statement: PostgreSQL refuses more than 32,767 arguments."""


class Rows(abc.ABC):
    """Something that answers queries with ? placeholders."""

    @abc.abstractmethod
    async def rows(self, sql: str, *args: Any) -> list[Row]:
        """Run one statement and return its rows."""

    async def rows_in(self, sql: str, keys: Iterable[str], *args: Any) -> list[Row]:
        """Run `sql` with its `IN (?)` filled by `keys`, in chunks; `args` follow the keys."""
        found: list[Row] = []
        wanted = list(keys)
        for start in range(0, len(wanted), CHUNK):
            part = wanted[start : start + CHUNK]
            marks = ",".join("?" * len(part))
            found += await self.rows(sql.replace("IN (?)", f"IN ({marks})", 1), *part, *args)
        return found


class Snapshot(Rows):
    """An open transaction: all its queries see the database as it stood at the first."""

    def __init__(self, connection: Any, sqlite: bool) -> None:
        self.connection, self.sqlite = connection, sqlite

    async def rows(self, sql: str, *args: Any) -> list[Row]:
        """Run one statement with ? placeholders and return its rows."""
        if self.sqlite:
            return list(await self.connection.execute_fetchall(sql, args))
        return [dict(row) for row in await self.connection.fetch(numbered(sql), *args)]


class Write(Snapshot):
    """An open write transaction. Piccolo queries inside it run on its connection as well.

    `seq` is the last one given out, as it stood when the counter row was taken.
    """

    seq = 0

    async def many(self, sql: str, rows: Sequence[Sequence[Any]]) -> None:
        """Run one statement for each row."""
        if not rows:
            return
        if self.sqlite:
            await self.connection.executemany(sql, rows)
        else:
            await self.connection.executemany(numbered(sql), rows)

    async def take_counter(self) -> int:
        """Lock the counter row to the commit and return the last `seq` given out.

        `Database.write` has done so before anybody else sees this transaction.
        """
        [row] = await self.rows("UPDATE counter SET seq = seq WHERE id = 1 RETURNING seq")
        self.seq = int(row["seq"])
        return self.seq

    async def set_counter(self, seq: int) -> None:
        """Remember the last `seq` given out in this transaction."""
        await self.rows("UPDATE counter SET seq = ? WHERE id = 1 RETURNING seq", seq)


def as_dict(cursor: sqlite3.Cursor, row: tuple[Any, ...]) -> Row:
    """A row of SQLite's by the names of its columns."""
    return {column[0]: value for column, value in zip(cursor.description, row, strict=True)}


def numbered(sql: str) -> str:
    """PostgreSQL's $1, $2 in place of ?."""
    count = iter(range(1, 100_000))
    return re.sub(r"\?", lambda _: f"${next(count)}", sql)
