"""Taking in an outbox that was saved on a phone as a file: its records go to quarantine.

The same as a lead does in the app; for a file that reached the server some other way. What the
file held stays in the file, and taking it in again does no harm.
"""

from collections.abc import AsyncIterator, Iterator
from pathlib import Path
from typing import Annotated, Literal

import msgspec
from msgspec import Meta, Struct

from api.access import links
from api.access.person import Person
from api.commands.opened import opened
from api.database import Database
from api.photos.arriving import Arriving
from api.photos.intake import Photos
from api.photos.life import FOLDER, build_store
from api.photos.problems import DiskFull, PhotoRefused, PhotosAway, PhotoTooLarge, UnknownPhoto
from api.photos.settings import load_photo_settings
from api.photos.worker import Reader
from api.records.fields import Key
from api.records.halves import mended
from api.settings import Settings
from api.start_errors import NothingDone
from api.sync.push import push
from api.sync.wire import MAX_RECORDS, PushAnswers, PushBody, SentAt

BY_TERMINAL = "device.terminal"
"""Stands for a device in the audit list where a command did it."""
MOST_BYTES = 1024 * 1024


class SavedPhoto(Struct):
    """A photo that only the phone had."""

    sha256: Annotated[str, Meta(pattern="^[0-9a-f]{64}$")]
    base64: bytes


class SavedDevice(Struct):
    id: Key
    name: str


class SavedOutbox(Struct):
    """What of a saved outbox is needed here; see `pwa/src/sync/outbox-file.ts`."""

    nubbin: Literal["outbox"]
    v: Literal[1]
    device: SavedDevice
    sent: SentAt
    records: list[msgspec.Raw]
    photos: list[SavedPhoto] = []


async def take_in(settings: Settings, path: Path) -> int:
    """Take a file in; 1 if some of it could not be taken at all."""
    saved = read_file(path)
    async with opened(settings) as db:
        by = Person(await links.owner_of(db), BY_TERMINAL, "owner", "", "")
        counts = {"later": 0, "duplicate": 0, "refused": 0, "stored": 0}
        async for answers in _push(db, by, saved):
            for answer in answers.answers:
                counts[answer.answer] += 1
        kept, spoilt = await _photos(db, settings, saved.photos)
    print(
        f"From {saved.device.name}: {counts['later']} records wait for a lead to admit them, "
        f"{counts['duplicate']} were here already, {counts['refused']} could not be taken; "
        f"{kept} photos kept, {spoilt} could not be."
    )
    return 1 if counts["refused"] or spoilt else 0


def read_file(path: Path) -> SavedOutbox:
    """A saved outbox. Raises NothingDone with what is wrong with the file."""
    try:
        content = path.read_bytes()
    except OSError as error:
        raise NothingDone(f"{path} cannot be read: {error.strerror}. Nothing was taken.") from error
    try:
        return msgspec.json.decode(mended(content), type=SavedOutbox)
    except (msgspec.MsgspecError, UnicodeDecodeError, RecursionError) as error:
        raise NothingDone(
            f"{path} is not a whole outbox that Nubbin saved ({error}). Nothing was taken, and the "
            "file is as it was."
        ) from error


async def _push(db: Database, by: Person, saved: SavedOutbox) -> AsyncIterator[PushAnswers]:
    for records in batches(saved.records):
        body = PushBody(saved.device.id, saved.sent, records)
        yield await push(db, body, sender=by, taken_in=True)


def batches(records: list[msgspec.Raw]) -> Iterator[list[msgspec.Raw]]:
    """At most 500 records and a mebibyte each, as a phone sends them."""
    batch: list[msgspec.Raw] = []
    size = 0
    for record in records:
        if batch and (len(batch) == MAX_RECORDS or size + len(bytes(record)) > MOST_BYTES):
            yield batch
            batch, size = [], 0
        batch.append(record)
        size += len(bytes(record))
    if batch:
        yield batch


async def _photos(db: Database, settings: Settings, saved: list[SavedPhoto]) -> tuple[int, int]:
    """How many photos are kept now, and how many could not be."""
    if not saved:
        return 0, 0
    store = build_store(load_photo_settings(), settings.data)
    photos = Photos(db, Arriving(settings.data / FOLDER / "arriving"), Reader(), store)
    kept = 0
    try:
        for one in saved:
            kept += await _take(photos, one)
    finally:
        await photos.close()
    return kept, len(saved) - kept


async def _take(photos: Photos, one: SavedPhoto) -> bool:
    async def whole() -> AsyncIterator[bytes]:
        yield one.base64[before.received :]

    try:
        before = await photos.state(one.sha256)
        return (await photos.take(one.sha256, before.received, whole())).state == "kept"
    except (PhotoRefused, PhotoTooLarge, UnknownPhoto, PhotosAway, DiskFull) as error:
        print(f"A photo was not kept, and stays in the file: {error}")
        return False
