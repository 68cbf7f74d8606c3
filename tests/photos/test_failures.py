"""What may break while a photo comes in: nothing of it is lost, and at most a part sent again."""

import asyncio
import errno
import os
import sys
from collections.abc import AsyncIterator
from pathlib import Path

import pytest

from api.database import Database
from api.photos import intake
from api.photos.arriving import Arriving
from api.photos.intake import Photos
from api.photos.local_store import LocalStore
from api.photos.problems import DiskFull, ReaderAway, StoreAway, WrongOffset
from api.photos.store import Missing, Size
from api.photos.worker import Reader
from tests.photos import pictures
from tests.photos.farm import name_photo, parts, photos_at, send, sha256

pytestmark = pytest.mark.anyio
PHOTO = pictures.noisy(600, 400)
END = len(PHOTO)


class Failing(LocalStore):
    """A store that raises what it is told to, at the size it is told."""

    def __init__(self, folder: Path) -> None:
        super().__init__(folder)
        self.error: Exception | None = None
        self.at: Size = "full"

    async def put(self, sha256: str, size: Size, jpeg: bytes) -> None:
        if self.error is not None and size == self.at:
            raise self.error
        await super().put(sha256, size, jpeg)


@pytest.fixture
def store(tmp_path: Path) -> Failing:
    return Failing(tmp_path / "kept")


@pytest.fixture
def photos(db: Database, reader: Reader, tmp_path: Path, store: Failing) -> Photos:
    return photos_at(db, tmp_path, reader, store)


@pytest.mark.parametrize("number", [errno.ENOSPC, errno.EDQUOT])
@pytest.mark.parametrize("at", ["full", "small"])
async def test_a_full_disk_is_said_and_the_end_tried_again(
    photos: Photos, db: Database, store: Failing, number: int, at: Size
) -> None:
    name = await name_photo(db, PHOTO)
    store.error, store.at = OSError(number, os.strerror(number)), at
    for offset, body in ((0, PHOTO), (END, b"")):
        with pytest.raises(DiskFull) as told:
            await photos.take(name, offset, parts(body))
        assert (told.value.status, told.value.code) == (507, "disk-full")
    state = await photos.state(name)
    assert (state.state, state.received) == ("arriving", END)
    store.error = None
    assert (await photos.take(name, END, parts())).state == "kept"


@pytest.mark.skipif(sys.platform != "linux", reason="needs a device that is always full")
async def test_a_disk_that_is_full_while_parts_arrive(photos: Photos, db: Database) -> None:
    """/dev/full answers every write with the system's own ENOSPC."""
    name = await name_photo(db, PHOTO)
    photos.arriving.folder.mkdir()
    photos.arriving.path(name).symlink_to("/dev/full")
    with pytest.raises(DiskFull):
        await photos.take(name, 0, parts(PHOTO[:1000]))
    photos.arriving.path(name).unlink()
    assert (await send(photos, PHOTO)).state == "kept"


async def test_a_disk_that_fails_otherwise_is_no_full_one(
    photos: Photos, db: Database, store: Failing
) -> None:
    name = await name_photo(db, PHOTO)
    store.error = OSError(errno.EIO, "Input/output error")
    with pytest.raises(OSError, match="Input/output"):
        await photos.take(name, 0, parts(PHOTO))
    assert (await photos.state(name)).received == END


async def test_a_store_that_is_away_keeps_what_arrived(
    photos: Photos, db: Database, store: Failing
) -> None:
    name = await name_photo(db, PHOTO)
    store.error = StoreAway()
    with pytest.raises(StoreAway):
        await photos.take(name, 0, parts(PHOTO))
    assert (await photos.state(name)).state == "arriving"
    store.error = None
    assert (await photos.take(name, END, parts())).state == "kept"


async def test_a_server_that_is_stopping_keeps_what_arrived(
    db: Database, reader: Reader, tmp_path: Path, store: Failing
) -> None:
    name, stopping = await name_photo(db, PHOTO), Reader()
    await stopping.close()
    with pytest.raises(ReaderAway):
        await photos_at(db, tmp_path, stopping, store).take(name, 0, parts(PHOTO))
    after = photos_at(db, tmp_path, reader, store)
    assert (await after.take(name, END, parts())).state == "kept"


async def test_a_crash_between_file_and_row_loses_nothing(
    photos: Photos, db: Database, reader: Reader, tmp_path: Path, store: Failing
) -> None:
    """The rows are put back to what they were before the crash; the files are what they are."""
    name = await name_photo(db, PHOTO)
    await photos.take(name, 0, parts(PHOTO[:5000]))
    async with db.write() as tx:
        await tx.rows("DELETE FROM photo RETURNING sha256")
    after = photos_at(db, tmp_path, reader, store)
    await after.tidy()
    assert (await after.state(name)).received == 5000
    assert (await after.take(name, 5000, parts(PHOTO[5000:]))).state == "kept"


async def test_a_crash_after_the_last_part_needs_no_part_again(
    photos: Photos, db: Database, reader: Reader, tmp_path: Path, store: Failing
) -> None:
    name = await name_photo(db, PHOTO)
    await photos.take(name, 0, parts(PHOTO[:5000]))
    photos.arriving.append(name, 5000, PHOTO[5000:])
    after = photos_at(db, tmp_path, reader, store)
    state = await after.state(name)
    assert (state.state, state.received) == ("arriving", END)
    with pytest.raises(WrongOffset):
        await after.take(name, 5000, parts(PHOTO[5000:]))
    assert (await after.take(name, END, parts())).state == "kept"


async def test_who_asks_while_a_broken_lines_bytes_are_written_is_told_of_all_of_them(
    photos: Photos, db: Database, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The phone has given the line up; the server still reads what it brought."""
    name = await name_photo(db, PHOTO)
    first, read = asyncio.Event(), asyncio.Event()

    async def slowly() -> AsyncIterator[bytes]:
        yield PHOTO[:5000]
        first.set()
        await read.wait()
        yield PHOTO[5000:9000]

    taking = asyncio.create_task(photos.take(name, 0, slowly()))
    await first.wait()
    monkeypatch.setattr(intake, "PATIENCE_S", 0.01)
    assert (await photos.state(name)).received == 5000, "a line that hangs is not waited for"
    monkeypatch.setattr(intake, "PATIENCE_S", 10)
    asked = asyncio.create_task(photos.state(name))
    await asyncio.sleep(0.01)
    read.set()
    assert ((await asked).received, (await taking).received) == (9000, 9000)
    assert (await photos.take(name, 9000, parts(PHOTO[9000:]))).state == "kept"


async def test_what_a_power_cut_took_is_asked_for_again(photos: Photos, db: Database) -> None:
    name = await name_photo(db, PHOTO)
    await photos.take(name, 0, parts(PHOTO[:5000]))
    with photos.arriving.path(name).open("r+b") as file:
        file.truncate(3000)
    with pytest.raises(WrongOffset) as told:
        await photos.take(name, 5000, parts(PHOTO[5000:]))
    assert told.value.extra == {"received": 3000}
    assert (await photos.take(name, 3000, parts(PHOTO[3000:]))).state == "kept"


async def test_a_phone_that_hangs_up_at_the_end_finds_its_photo_kept(
    photos: Photos, db: Database, reader: Reader
) -> None:
    """The task that answers is cancelled once everything is here; the work goes on without it."""
    name = await name_photo(db, PHOTO)
    answering = asyncio.ensure_future(photos.take(name, 0, parts(PHOTO)))
    while (await photos.state(name)).received < END:
        await asyncio.sleep(0)
    while not reader._turn.locked() and (await photos.state(name)).state != "kept":
        await asyncio.sleep(0)
    answering.cancel()
    for _ in range(3000):
        if (await photos.state(name)).state == "kept":
            break
        await asyncio.sleep(0.01)
    assert (await photos.state(name)).state == "kept", "without another part being sent"


async def test_a_phone_that_breaks_off_keeps_what_it_sent(photos: Photos, db: Database) -> None:
    name = await name_photo(db, PHOTO)

    async def broken() -> AsyncIterator[bytes]:
        yield PHOTO[:700]
        yield PHOTO[700:1100]
        raise ConnectionResetError

    with pytest.raises(ConnectionResetError):
        await photos.take(name, 0, broken())
    assert (await photos.state(name)).received == 1100


async def test_a_file_that_is_gone_from_the_store_is_said(photos: Photos, db: Database) -> None:
    name = await name_photo(db, PHOTO)
    await send(photos, PHOTO)
    store = photos.store
    assert isinstance(store, LocalStore)
    (store.folder / name[:2] / f"{name}.jpg").unlink()
    with pytest.raises(Missing):
        await store.get(name, "full")


def test_strangers_in_the_folder_are_left_alone(tmp_path: Path) -> None:
    arriving = Arriving(tmp_path)
    assert Arriving(tmp_path / "none").names() == []
    arriving.append(sha256(PHOTO), 0, b"x")
    (tmp_path / "readme.part").touch()
    (tmp_path / f"{'a' * 63}Z.part").touch()
    assert arriving.names() == [sha256(PHOTO)]
    arriving.drop(sha256(PHOTO))
    arriving.drop(sha256(PHOTO))
    arriving.sync(sha256(PHOTO))
    assert arriving.received(sha256(PHOTO)) == 0
