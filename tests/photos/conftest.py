"""One worker for a whole module, and the service on each database."""

from collections.abc import AsyncIterator
from pathlib import Path

import pytest

from api.database import Database
from api.photos.intake import Photos
from api.photos.local_store import LocalStore
from api.photos.worker import Reader
from tests.photos.farm import photos_at


@pytest.fixture(scope="module")
async def reader(anyio_backend: str) -> AsyncIterator[Reader]:  # noqa: ARG001
    opened = Reader()
    yield opened
    await opened.close()


@pytest.fixture
def photos(db: Database, reader: Reader, tmp_path: Path) -> Photos:
    return photos_at(db, tmp_path, reader, LocalStore(tmp_path / "kept"))
