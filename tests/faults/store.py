"""A world's database, looked at from outside the server: rows, copies, another one instead."""

import abc
import asyncio
import re
import shutil
import sqlite3
from pathlib import Path
from typing import Any

import asyncpg

from tests.cluster import Cluster

Row = dict[str, Any]


class Store(abc.ABC):
    """`database` is the server's setting, `target` what the product opens it with."""

    database: str
    target: str

    @abc.abstractmethod
    async def rows(self, sql: str, *args: Any) -> list[Row]:
        """Read with ? placeholders what is committed now."""

    @abc.abstractmethod
    async def copy(self) -> Any:
        """Keep the database as it is now. No server may run on it."""

    @abc.abstractmethod
    async def put_back(self, copy: Any) -> None:
        """Make the database what it was at `copy`. No server may run on it."""

    @abc.abstractmethod
    async def close(self) -> None:
        """Let go of it, and of its place on the disk."""


class SqliteStore(Store):
    def __init__(self, folder: Path) -> None:
        self.path = folder / "nubbin.sqlite"
        self.database, self.target = "", str(self.path)

    async def rows(self, sql: str, *args: Any) -> list[Row]:
        return await asyncio.to_thread(self._rows, sql, *args)

    def _rows(self, sql: str, *args: Any) -> list[Row]:
        connection = sqlite3.connect(self.path, timeout=20)
        try:
            connection.row_factory = sqlite3.Row
            return [dict(row) for row in connection.execute(sql, args)]
        finally:
            connection.close()

    async def copy(self) -> Path:
        to = self.path.with_suffix(".kept")
        source, target = sqlite3.connect(self.path), sqlite3.connect(to)
        with target:
            source.backup(target, pages=-1)
        source.close()
        target.close()
        return to

    async def put_back(self, copy: Path) -> None:
        for suffix in ("-wal", "-shm"):
            self.path.with_name(self.path.name + suffix).unlink(missing_ok=True)
        shutil.copyfile(copy, self.path)

    async def close(self) -> None:
        for path in self.path.parent.glob("nubbin.*"):
            path.unlink()


class PostgresStore(Store):
    def __init__(self, cluster: Cluster) -> None:
        self.cluster = cluster
        self.database = self.target = cluster.new_database()
        self._open: asyncpg.Connection | None = None
        self._one_at_a_time = asyncio.Lock()

    async def rows(self, sql: str, *args: Any) -> list[Row]:
        count = iter(range(1, 100))
        numbered = re.sub(r"\?", lambda _: f"${next(count)}", sql)
        async with self._one_at_a_time:
            if self._open is None:
                self._open = await asyncpg.connect(self.target)
            return [dict(row) for row in await self._open.fetch(numbered, *args)]

    async def copy(self) -> str:
        await self._let_go()
        kept = f"{self._name}_kept"
        await self._admin(f"CREATE DATABASE {kept} TEMPLATE {self._name}")
        return kept

    async def put_back(self, copy: str) -> None:
        await self._let_go()
        await self._admin(f"DROP DATABASE {self._name} WITH (FORCE)")
        await self._admin(f"CREATE DATABASE {self._name} TEMPLATE {copy}")

    async def close(self) -> None:
        await self._let_go()
        await self._admin(f"DROP DATABASE IF EXISTS {self._name}_kept WITH (FORCE)")
        await self._admin(f"DROP DATABASE {self._name} WITH (FORCE)")

    @property
    def _name(self) -> str:
        return self.target.rpartition("/")[2]

    async def _let_go(self) -> None:
        if self._open is not None:
            await self._open.close()
            self._open = None

    async def _admin(self, sql: str) -> None:
        admin = await asyncpg.connect(self.target.rpartition("/")[0] + "/postgres")
        try:
            await admin.execute(sql)
        finally:
            await admin.close()
