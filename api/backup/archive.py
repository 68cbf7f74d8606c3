"""What a backup holds: one zip file with the database, the photos, and a list of both.

    manifest.json     what is in here, with the SHA-256 of every file
    nubbin.sqlite     the database, as it was at one moment
    photos/…          as they lie in the data folder; what was still arriving is left out

Certificates and their keys are not in it: a backup that is read by others must not let them pose
as the farm's server.
"""

import hashlib
import re
from pathlib import Path
from typing import IO
from zipfile import ZipFile, ZipInfo

import msgspec
from msgspec import Struct

from api.start_errors import BadBackup

MANIFEST, DATABASE, PHOTOS = "manifest.json", "nubbin.sqlite", "photos"
MOST_MANIFEST = 256 * 1024 * 1024
CHUNK = 1024 * 1024
_PHOTO = re.compile(rf"{PHOTOS}(/[A-Za-z0-9_][A-Za-z0-9_.-]*)+")


class Member(Struct, frozen=True):
    """A file in the archive, by its name there."""

    name: str
    sha256: str
    bytes: int


class Manifest(Struct, frozen=True, tag="backup", tag_field="nubbin"):
    """`rows` counts each table; `migrations` says which form the database has; `made_at` UTC ms."""

    v: int
    version: str
    made_at: int
    epoch: str
    migrations: list[str]
    rows: dict[str, int]
    database: Member
    photos: list[Member]


def put(archive: ZipFile, source: Path, name: str, compression: int) -> Member:
    """Add a file, read once and in parts: what is hashed is what is written."""
    info = ZipInfo.from_file(source, name, strict_timestamps=False)
    info.compress_type = compression
    digest, count = hashlib.sha256(), 0
    with source.open("rb") as file, archive.open(info, "w", force_zip64=True) as out:
        while part := file.read(CHUNK):
            digest.update(part)
            out.write(part)
            count += len(part)
    return Member(name, digest.hexdigest(), count)


def take(archive: ZipFile, member: Member, target: Path) -> None:
    """Write a file out. Raises BadBackup unless it is, byte for byte, what the manifest names."""
    target.parent.mkdir(parents=True, exist_ok=True)
    digest, count = hashlib.sha256(), 0
    with archive.open(member.name) as file, target.open("xb") as out:
        while (part := file.read(CHUNK)) and count <= member.bytes:
            digest.update(part)
            out.write(part)
            count += len(part)
    if (digest.hexdigest(), count) != (member.sha256, member.bytes):
        raise BadBackup(
            f"{member.name} in the backup is not what was put in: its SHA-256 differs. "
            "Nothing was put back. Take an older backup."
        )


def read_manifest(archive: ZipFile) -> Manifest:
    """Raises BadBackup for anything that `make_backup` did not write."""
    if MANIFEST not in archive.namelist():
        raise BadBackup("This zip file is no backup of Nubbin: it has no manifest.json.")
    with archive.open(MANIFEST) as file:
        manifest = _decoded(file)
    if manifest.v != 1:
        raise BadBackup("This backup was made by a newer Nubbin. Install that version first.")
    wrong = [photo.name for photo in manifest.photos if not _PHOTO.fullmatch(photo.name)]
    wrong += [manifest.database.name] if manifest.database.name != DATABASE else []
    if wrong:
        raise BadBackup(
            f"The backup names '{wrong[0]}', which belongs in no backup. Nothing was put back."
        )
    return manifest


def is_photo(name: str) -> bool:
    """Whether a file of the photos' folder goes into a backup: whole ones do."""
    return _PHOTO.fullmatch(name) is not None and not name.endswith(".part")


def _decoded(file: IO[bytes]) -> Manifest:
    try:
        return msgspec.json.decode(file.read(MOST_MANIFEST), type=Manifest)
    except msgspec.MsgspecError as error:
        raise BadBackup(
            f"The backup's manifest cannot be read ({error}). Nothing was put back."
        ) from error
