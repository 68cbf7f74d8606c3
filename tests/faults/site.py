"""What all worlds of a session share: the process that forks servers, and the cluster."""

import asyncio
import json
import subprocess
import sys
import tempfile
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from tests.cluster import Cluster
from tests.faults.store import PostgresStore, SqliteStore, Store

ROOT = Path(__file__).parents[2]


class Broken(Exception):
    """The suite itself, or what it drives, did what no scenario allows for."""


class Site:
    """`cluster` is None where there is no PostgreSQL."""

    def __init__(self, folder: Path, cluster: Cluster | None) -> None:
        self.folder, self.cluster = folder, cluster
        self._count = 0
        self._lock = threading.Lock()
        self._forks = subprocess.Popen(
            [sys.executable, "-m", "tests.faults.forks"], cwd=ROOT, text=True,
            stdin=subprocess.PIPE, stdout=subprocess.PIPE,
        )  # fmt: skip

    def new_folder(self) -> Path:
        self._count += 1
        made = self.folder / f"world-{self._count}"
        made.mkdir()
        return made

    def new_store(self, database: str, folder: Path) -> Store:
        """A new, empty database of a kind."""
        if database == "sqlite":
            return SqliteStore(folder)
        assert self.cluster is not None
        return PostgresStore(self.cluster)

    async def order(self, **order: Any) -> dict[str, Any]:
        """Have the forking process do something."""
        answer = await asyncio.to_thread(self._order, json.dumps(order))
        if "failed" in answer:
            raise Broken(answer["failed"])
        return answer

    def _order(self, line: str) -> dict[str, Any]:
        assert self._forks.stdin is not None
        assert self._forks.stdout is not None
        with self._lock:
            self._forks.stdin.write(line + "\n")
            self._forks.stdin.flush()
            answer = self._forks.stdout.readline()
        if not answer:
            raise Broken("The process that forks servers has ended.")
        return dict(json.loads(answer))

    def close(self) -> None:
        assert self._forks.stdin is not None
        self._forks.stdin.close()
        self._forks.wait(20)


@contextmanager
def open_site(cluster: Cluster | None) -> Iterator[Site]:
    with tempfile.TemporaryDirectory(prefix="nubbin-faults-", ignore_cleanup_errors=True) as folder:
        site = Site(Path(folder), cluster)
        try:
            yield site
        finally:
            site.close()
