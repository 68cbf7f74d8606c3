"""A farm's photos without HTTP: records that name them, and a phone that sends them."""

import hashlib
from collections.abc import AsyncIterator
from pathlib import Path

import msgspec

from api.database import Database
from api.photos.arriving import Arriving
from api.photos.intake import Photos
from api.photos.problems import WrongOffset
from api.photos.state import PhotoState
from api.photos.store import Store
from api.photos.worker import Reader
from tests.sync.phone import Phone

PART = 256 * 1024


def sha256(content: bytes) -> str:
    return hashlib.sha256(content).hexdigest()


def photo_record(content: bytes, phone: Phone, piece: str, **more: object) -> dict[str, object]:
    """The record that names a photo."""
    body = {"sha256": sha256(content), "bytes": len(content), "media": "image/jpeg"} | more
    return phone.make("photo", ("piece", piece), body)


PLACES = {
    "log": "id seq kind subject staff device device_seq at received digest record",
    "held": "id waits_for device device_seq at received digest record",
    "quarantine": "digest record_id device staff sender why kind device_seq at received record",
    "refused": "digest record_id device device_seq received problem record",
}
"""Each place where records lie, with the columns of it that must be filled."""


async def name_photo(
    db: Database, content: bytes, place: str = "log", number: int = 1, **more: object
) -> str:
    """Lay a record that names a photo in one of the tables; returns the photo's hash."""
    record = photo_record(content, Phone("phone", number), "0" * 8, **more)
    columns = PLACES[place].split()
    values = {
        "id": record["id"], "digest": record["id"], "record_id": record["id"],
        "record": msgspec.json.encode(record).decode(), "kind": "photo", "seq": number,
        "device_seq": number, "at": 1, "received": 1, "problem": "{}",
    }  # fmt: skip
    sql = f"INSERT INTO {place} ({','.join(columns)}) VALUES ({','.join('?' * len(columns))})"
    async with db.write() as tx:
        await tx.many(sql, [tuple(values.get(column, "x") for column in columns)])
    return sha256(content)


def photos_at(db: Database, folder: Path, reader: Reader, store: Store) -> Photos:
    """The service as a server that was just started has it."""
    return Photos(db, Arriving(folder / "arriving"), reader, store)


async def parts(*content: bytes) -> AsyncIterator[bytes]:
    """A body as it arrives."""
    for part in content:
        yield part


async def send(photos: Photos, content: bytes, size: int = PART) -> PhotoState:
    """Send a whole photo as a phone does, going on from where the server says."""
    name = sha256(content)
    state = await photos.state(name)
    at = state.received
    while state.state != "kept":
        try:
            state = await photos.take(name, at, parts(content[at : at + size]))
            at = state.received
        except WrongOffset as error:
            at = int(error.extra["received"])
    return state
