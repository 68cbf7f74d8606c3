"""What the database knows of photos: which records name one, and how far each has come."""

from typing import Annotated

import msgspec
from msgspec import Meta, Struct

from api.database import Database, Row
from api.photos.problems import UnknownPhoto
from api.records.problem import Problem

_NAMING = (
    "SELECT record FROM log WHERE kind = 'photo' AND record LIKE ?",
    "SELECT record FROM held WHERE record LIKE ?",
    "SELECT record FROM quarantine WHERE record LIKE ?",
    "SELECT record FROM refused WHERE record LIKE ?",
)
"""Wherever records lie: that one is held back must not lose its photo. The first is indexed."""


class Named(Struct, frozen=True):
    """What a record says of a photo."""

    sha256: str
    bytes: Annotated[int, Meta(ge=1, le=2**53)]
    media: Annotated[str, Meta(max_length=32)]


class Kept(Struct, frozen=True):
    """What is written down of a photo that is kept; see the table for what each means."""

    sha256: str
    media: str
    bytes: int
    stored_sha: str
    width: int
    height: int
    arrived_at: int


class _Record(Struct, frozen=True):
    kind: str
    body: Named


_decode = msgspec.json.Decoder(_Record).decode


async def named(db: Database, sha256: str) -> Named:
    """What the first record that names this photo says of it. Raises UnknownPhoto."""
    for sql in _NAMING:
        for row in await db.rows(sql, f'%"{sha256}"%'):
            try:
                record = _decode(row["record"])
            except (msgspec.MsgspecError, RecursionError):
                continue
            if record.kind == "photo" and record.body.sha256 == sha256:
                return record.body
    raise UnknownPhoto


async def find_row(db: Database, sha256: str) -> Row | None:
    """A photo's row, if it has begun to arrive."""
    rows = await db.rows("SELECT * FROM photo WHERE sha256 = ?", sha256)
    return rows[0] if rows else None


async def begin_row(db: Database, photo: Named) -> None:
    """A photo begins to arrive, or a refused one begins again."""
    async with db.write() as tx:
        await tx.many(
            "INSERT INTO photo (sha256, media, bytes, state) VALUES (?, ?, ?, 'arriving') "
            "ON CONFLICT (sha256) DO UPDATE SET state = 'arriving', problem = NULL "
            "WHERE photo.state = 'refused'",
            [(photo.sha256, photo.media, photo.bytes)],
        )


async def keep_row(db: Database, kept: Kept) -> None:
    """A photo is kept; its row is there already, or is made here."""
    async with db.write() as tx:
        await tx.many(
            "INSERT INTO photo (sha256, media, bytes, stored_sha, width, height, arrived_at, state)"
            " VALUES (?, ?, ?, ?, ?, ?, ?, 'kept') ON CONFLICT (sha256) DO UPDATE SET "
            "media = excluded.media, state = 'kept', stored_sha = excluded.stored_sha, "
            "width = excluded.width, height = excluded.height, arrived_at = excluded.arrived_at, "
            "problem = NULL",
            [msgspec.structs.astuple(kept)],
        )


async def refuse_row(db: Database, sha256: str, problem: Problem) -> None:
    """A photo is refused for good, unless it is begun again."""
    async with db.write() as tx:
        await tx.many(
            "UPDATE photo SET state = 'refused', problem = ? WHERE sha256 = ?",
            [(msgspec.json.encode(problem).decode(), sha256)],
        )


def read_problem(text: str) -> Problem:
    """A problem as `refuse_row` wrote it."""
    return msgspec.json.decode(text, type=Problem)
