"""Both databases for every test that asks for `target` or `db`."""

from collections.abc import AsyncIterator, Iterator
from pathlib import Path

import pytest
from hypothesis import settings

from api.database import Database, open_database
from tests.cluster import NO_BINARIES, Cluster, find_binaries

# Times are measured, never tested: a busy machine must not fail an example.
settings.register_profile("calm", deadline=None)
settings.load_profile("calm")


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
