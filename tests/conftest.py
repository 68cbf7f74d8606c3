"""Both databases for every test that asks for `target` or `db`."""

import gc
import sys
from collections.abc import AsyncIterator, Iterator
from pathlib import Path

import pytest
from hypothesis import settings

from api.database import Database, open_database
from tests.cluster import NO_BINARIES, Cluster, find_binaries

# Times are measured, never tested: a busy machine must not fail an example.
settings.register_profile("calm", deadline=None)
settings.load_profile("calm")


_begun: set[str] = set()


def pytest_runtest_logstart(nodeid: str) -> None:
    """What the files before left unclosed is swept up outside of any test: tests of arithmetic take
    each warning for an error, and would be blamed for it whenever it happened to be collected."""
    file = nodeid.partition("::")[0]
    if "/healing/" in file and file not in _begun:
        _begun.add(file)
        shown, sys.unraisablehook = sys.unraisablehook, lambda _: None
        gc.collect()
        sys.unraisablehook = shown


@pytest.fixture(scope="session")
def anyio_backend() -> str:
    return "asyncio"


@pytest.fixture(scope="session")
def cluster() -> Iterator[Cluster]:
    binaries = find_binaries()
    if binaries is None:
        pytest.skip(NO_BINARIES)
    started = Cluster(binaries)
    yield started
    started.stop()


@pytest.fixture(params=["sqlite", "postgresql"])
def target(request: pytest.FixtureRequest, tmp_path: Path) -> str | Path:
    """An empty database of each kind."""
    if request.param == "sqlite":
        return tmp_path / "nubbin.sqlite"
    found: Cluster = request.getfixturevalue("cluster")
    return found.new_database()


@pytest.fixture
async def db(target: str | Path, anyio_backend: str) -> AsyncIterator[Database]:  # noqa: ARG001
    opened = await open_database(target)
    yield opened
    await opened.close()
