"""Giving kept photos out again."""

import hashlib
from io import BytesIO

from PIL import Image

from api.database import Database
from api.photos import rows
from api.photos.problems import PhotoNotHere
from api.photos.store import Missing, Size, Store
from api.records.clock import now_ms


async def kept_hash(db: Database, store: Store, sha256: str) -> str:
    """The hash of the kept JPEG. Raises UnknownPhoto, StoreAway, or PhotoNotHere."""
    row = await rows.find_row(db, sha256)
    if row is None:
        return await _adopted(db, store, await rows.named(db, sha256))
    if row["state"] == "refused":
        raise PhotoNotHere("It was refused here, and stays on the phone that took it.")
    if row["state"] != "kept":
        raise PhotoNotHere
    return str(row["stored_sha"])


async def picture(store: Store, sha256: str, size: Size) -> bytes:
    """The JPEG of a kept photo. Raises PhotoNotHere or StoreAway."""
    try:
        return await store.get(sha256, size)
    except Missing as error:
        raise PhotoNotHere(
            "It was kept, and its file is gone from where photos are kept. "
            "Put it back there from a backup."
        ) from error


async def _adopted(db: Database, store: Store, photo: rows.Named) -> str:
    """The hash of a picture that the store has and the database does not know.

    So it is after the database was put back from a backup older than the photo, which its phone
    has long deleted. Only what was kept whole lies in a store, and under its own name.
    """
    try:
        full = await store.get(photo.sha256, "full")
        await store.get(photo.sha256, "small")
    except Missing as error:
        raise PhotoNotHere from error
    with Image.open(BytesIO(full)) as image:
        width, height = image.size
    stored = hashlib.sha256(full).hexdigest()
    await rows.keep_row(
        db, rows.Kept(photo.sha256, photo.media, photo.bytes, stored, width, height, now_ms())
    )
    return stored
