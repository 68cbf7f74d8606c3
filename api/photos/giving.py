"""Giving kept photos out again."""

from api.database import Database
from api.photos import rows
from api.photos.problems import PhotoNotHere
from api.photos.store import Missing, Size, Store


async def kept_hash(db: Database, sha256: str) -> str:
    """The hash of the kept JPEG. Raises UnknownPhoto, or PhotoNotHere for one still to come."""
    row = await rows.find_row(db, sha256)
    if row is None:
        await rows.named(db, sha256)
        raise PhotoNotHere
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
