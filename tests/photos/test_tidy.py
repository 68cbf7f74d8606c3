"""What is left over of photos that came, or never came whole."""

import os
import time
from pathlib import Path

import pytest

from api.database import Database
from api.photos.intake import Photos
from api.photos.local_store import LocalStore
from api.photos.worker import Reader
from tests.photos import pictures
from tests.photos.farm import name_photo, parts, photos_at, send

pytestmark = pytest.mark.anyio
PHOTO = pictures.noisy(600, 400)


@pytest.fixture
def store(tmp_path: Path) -> LocalStore:
    return LocalStore(tmp_path / "kept")


@pytest.fixture
def photos(db: Database, reader: Reader, tmp_path: Path, store: LocalStore) -> Photos:
    return photos_at(db, tmp_path, reader, store)


async def test_a_crash_before_the_parts_are_forgotten(
    photos: Photos, db: Database, reader: Reader, tmp_path: Path, store: LocalStore
) -> None:
    kept, other = await name_photo(db, PHOTO), b"other"
    await send(photos, PHOTO)
    photos.arriving.append(kept, 0, PHOTO)
    arriving = await name_photo(db, other, number=2)
    photos.arriving.append(arriving, 0, other)
    after = photos_at(db, tmp_path, reader, store)
    await after.tidy()
    assert after.arriving.names() == [arriving]
    assert (await after.state(kept)).state == "kept"


async def test_what_nobody_went_on_with_for_half_a_year_is_begun_anew(
    photos: Photos, db: Database
) -> None:
    name = await name_photo(db, PHOTO)
    await photos.take(name, 0, parts(PHOTO[:5000]))
    for days, left in ((179, 5000), (181, 0)):
        then = time.time() - days * 24 * 3600
        os.utime(photos.arriving.path(name), (then, then))
        await photos.tidy()
        assert (await photos.state(name)).received == left
    assert (await photos.take(name, 0, parts(PHOTO))).state == "kept"
