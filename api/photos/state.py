"""How far a photo has come, as the phone is told."""

from typing import Literal

from msgspec import Struct

from api.database import Row
from api.photos.decode import MAX_BYTES, Picture
from api.photos.problems import PhotoTooLarge
from api.photos.rows import Kept, read_problem
from api.records.problem import Problem


class PhotoState(Struct, frozen=True):
    """How far a photo has come. `received` of its `bytes` are here; the phone goes on from there.

    Only 'kept' lets the phone forget it. 'refused' carries the problem; begun again at 0, it is
    tried again.
    """

    epoch: str
    sha256: str
    received: int
    bytes: int
    state: Literal["wanted", "arriving", "kept", "refused"]
    problem: Problem | None


def settled(epoch: str, row: Row) -> PhotoState:
    """The state of a photo whose row says that it is kept or refused."""
    is_kept = row["state"] == "kept"
    problem = None if is_kept else read_problem(row["problem"])
    received = row["bytes"] if is_kept else 0
    return PhotoState(epoch, row["sha256"], received, row["bytes"], row["state"], problem)


def coming(epoch: str, sha256: str, size: int, received: int) -> PhotoState:
    """The state of a photo of which so much has arrived."""
    word: Literal["arriving", "wanted"] = "arriving" if received else "wanted"
    return PhotoState(epoch, sha256, received, size, word, None)


def kept_row(sha256: str, picture: Picture, now: int) -> Kept:
    """What is written down of a photo that was just stored."""
    return Kept(
        sha256, picture.media, picture.received, picture.stored_sha,
        picture.width, picture.height, now,
    )  # fmt: skip


def check_length(length: int, named: int) -> None:
    """Raises PhotoTooLarge where more has come than is allowed, or than its record named."""
    if length > MAX_BYTES:
        raise PhotoTooLarge
    if length > named:
        raise PhotoTooLarge(
            f"More of it came than the {named} bytes that its record names. "
            "What goes beyond was not taken; the photo stays on the phone."
        )
