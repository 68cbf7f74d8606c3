"""The database: SQLite in the data folder, or PostgreSQL by one setting; `write()` is the way in.

Every write takes the counter row first and keeps it to the commit, so that `seq` is in commit
order: a reader that remembers the last `seq` it saw can never miss a row that was slower to commit.
On SQLite one process holds one writing connection (WAL, synchronous FULL) behind a lock.
"""

import asyncio
import contextlib
import re
import sqlite3
from collections.abc import AsyncIterator, Awaitable, Callable
from contextvars import ContextVar
from pathlib import Path
from typing import Any, cast

import aiosqlite
import asyncpg
from piccolo.apps.migrations.tables import Migration
from piccolo.engine.base import Engine
from piccolo.engine.postgres import PostgresEngine
from piccolo.engine.sqlite import SQLiteEngine
from piccolo.table import Table

from api.database_errors import DatabaseCorrupt, DatabaseUnreachable
from api.migrating import migrate
from api.piccolo_app import APP_CONFIG
from api.transactions import CHUNK as CHUNK
from api.transactions import Row as Row
from api.transactions import Rows as Rows
from api.transactions import Snapshot as Snapshot
from api.transactions import Write as Write
from api.transactions import as_dict, numbered

LOOK: ContextVar[Callable[[Write], Awaitable[None]] | None] = ContextVar("look", default=None)
"""What a request looks at again in each write of its own before anything is written; it raises
where what the request was let in for holds no more."""


class Database(Rows):
    """One facility's database. Open with `open_database`, close with `close`."""

    def __init__(self, engine: Engine[Any]) -> None:
        self.engine: Any = engine  # Piccolo types neither engine's own attributes
        self.epoch = ""
        self._lock = asyncio.Lock()
        self._writer: aiosqlite.Connection | None = None

    @property
    def is_sqlite(self) -> bool:
        """Whether this is the file in the data folder rather than a PostgreSQL server."""
        return isinstance(self.engine, SQLiteEngine)

    @contextlib.asynccontextmanager
    async def write(self) -> AsyncIterator[Write]:
        """A write transaction: committed on leaving, rolled back on any exception.

        It begins with the counter row, so that on PostgreSQL too there is one writer at a time:
        what is read inside stays true to the commit, and no two can wait for each other.
        """
        async with self._before_counter() as write:
            await write.take_counter()
            if look := LOOK.get():
                await look(write)
            yield write

    @contextlib.asynccontextmanager
    async def _before_counter(self) -> AsyncIterator[Write]:
        """A write transaction for when there may be no counter row yet."""
        async with self._begun() as write:
            # Piccolo's own transaction, cancelled, would keep its pooled connection for ever.
            token = self.engine.current_transaction.set(write)
            try:
                yield write
            finally:
                self.engine.current_transaction.reset(token)

    @contextlib.asynccontextmanager
    async def _begun(self) -> AsyncIterator[Write]:
        if not self.is_sqlite:
            async with self._pool.acquire() as pooled, pooled.transaction():
                yield Write(pooled, sqlite=False)
            return
        async with self._lock:
            connection = await self._sqlite_writer()
            try:
                await connection.execute("BEGIN IMMEDIATE")
                yield Write(connection, sqlite=True)
                await connection.execute("COMMIT")
            except BaseException:
                await asyncio.shield(self._roll_back(connection))
                raise

    async def rows(self, sql: str, *args: Any) -> list[Row]:
        """Read outside a transaction, with ? placeholders."""
        if self.is_sqlite:
            async with aiosqlite.connect(**self.engine.connection_kwargs) as connection:
                connection.row_factory = as_dict  # type: ignore[assignment]
                return cast(list[Row], await connection.execute_fetchall(sql, args))
        return [dict(row) for row in await self._pool.fetch(numbered(sql), *args)]

    @contextlib.asynccontextmanager
    async def snapshot(self) -> AsyncIterator[Snapshot]:
        """Several reads of one state of the database, whatever is written meanwhile."""
        if not self.is_sqlite:
            async with (
                self._pool.acquire() as pooled,
                pooled.transaction(isolation="repeatable_read", readonly=True),
            ):
                yield Snapshot(pooled, sqlite=False)
            return
        async with aiosqlite.connect(**self.engine.connection_kwargs) as connection:
            connection.row_factory = as_dict  # type: ignore[assignment]
            await connection.execute("BEGIN")
            yield Snapshot(connection, sqlite=True)

    async def close(self) -> None:
        """Close the writer or the pool. A connection left open would hold the process at exit."""
        if self._writer is not None:
            await self._writer.close()
            self._writer = None
        if isinstance(self.engine, PostgresEngine):
            await self.engine.close_connection_pool()

    @property
    def _pool(self) -> Any:
        assert self.engine.pool is not None, "the database is closed"
        return self.engine.pool

    async def _sqlite_writer(self) -> aiosqlite.Connection:
        if self._writer is None:
            connection = await aiosqlite.connect(**self.engine.connection_kwargs)
            connection.row_factory = as_dict  # type: ignore[assignment]
            for pragma in ("foreign_keys = 1", "synchronous = FULL", "busy_timeout = 10000"):
                await connection.execute(f"PRAGMA {pragma}")
            self._writer = connection
        return self._writer

    async def _roll_back(self, connection: aiosqlite.Connection) -> None:
        """Undo what was begun, a BEGIN still in the queue of a cancelled caller included.

        A connection that cannot even roll back is dropped, never used again.
        """
        try:
            await connection.rollback()
        except sqlite3.Error:
            self._writer = None
            await connection.close()


async def open_database(target: str | Path) -> Database:
    """Open `target` (a SQLite file's path, or a postgresql:// address), migrated to the newest.

    Raises DatabaseCorrupt or DatabaseUnreachable, each with what to do.
    """
    database = Database(_engine(target))
    for table in cast(list[type[Table]], [*APP_CONFIG.table_classes, Migration]):
        table._meta.db = database.engine
    try:
        await _prepare(database)
        async with database._before_counter() as tx:
            database.epoch = await migrate(tx)
    except sqlite3.DatabaseError as error:
        await database.close()
        raise DatabaseCorrupt(str(target), str(error)) from error
    except (OSError, asyncpg.PostgresError) as error:
        raise DatabaseUnreachable(_without_password(str(target)), str(error)) from error
    return database


def _engine(target: str | Path) -> Engine[Any]:
    if str(target).startswith(("postgresql://", "postgres://")):
        return PostgresEngine(config={"dsn": str(target)})
    return SQLiteEngine(path=str(target), timeout=10)


async def _prepare(database: Database) -> None:
    engine: Any = database.engine
    if isinstance(engine, PostgresEngine):
        await engine.start_connection_pool(min_size=1, max_size=10)
        return
    with sqlite3.connect(engine.path) as connection:
        connection.execute("PRAGMA journal_mode = WAL")
        [(verdict,)] = connection.execute("PRAGMA quick_check(1)").fetchall()
    connection.close()
    if verdict != "ok":
        raise DatabaseCorrupt(engine.path, verdict)


def _without_password(address: str) -> str:
    return re.sub(r"(://[^:/@]+):[^@]*@", r"\1:…@", address)
