"""Several servers started at once on an empty PostgreSQL: each comes up, on the same farm.

SQLite's file has one server at a time, which holds a lock on its folder (`api/serving.py`).
"""

import asyncio
import sys

import pytest

from tests.cluster import Cluster
from tests.server.running import ROOT

pytestmark = pytest.mark.anyio

OPEN = """
import asyncio, sys
from api.database import open_database

async def opened():
    db = await open_database(sys.argv[1])
    print(db.epoch)
    await db.close()

print("ready", flush=True)
sys.stdin.readline()
asyncio.run(opened())
"""
SERVERS = 4


async def test_all_of_them_open_the_same_database(cluster: Cluster) -> None:
    database = cluster.new_database()
    started = [
        await asyncio.create_subprocess_exec(
            sys.executable, "-c", OPEN, database, cwd=ROOT, stdin=asyncio.subprocess.PIPE,
            stdout=asyncio.subprocess.PIPE, stderr=asyncio.subprocess.PIPE,
        )
        for _ in range(SERVERS)
    ]  # fmt: skip
    for one in started:
        assert one.stdout
        assert await one.stdout.readline() == b"ready\n"
    ended = await asyncio.gather(*(one.communicate(b"go\n") for one in started))
    assert [one.returncode for one in started] == [0] * SERVERS, ended
    assert len({printed for printed, _ in ended}) == 1
