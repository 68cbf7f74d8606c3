"""Putting a backup back: unpacked beside the farm, checked there, and only then moved in.

What was there is moved aside within the data folder and never deleted. Settings and certificates
stay where they are.
"""

import pkgutil
import shutil
import time
import zlib
from collections.abc import Iterator
from contextlib import contextmanager
from importlib import import_module
from pathlib import Path
from zipfile import BadZipFile, ZipFile

import api.migrations
from api.app import create_app
from api.backup import sound
from api.backup.archive import DATABASE, PHOTOS, Manifest, read_manifest, take
from api.backup.epoch import new_epoch
from api.backup.trial import health
from api.database import open_database
from api.database_errors import DatabaseError
from api.settings import Settings
from api.start_errors import BadBackup, NothingDone


async def put_back(file: Path, data: Path, *, replace: bool) -> tuple[Manifest, Path | None]:
    """Put a backup into a data folder; return what was in it and where the earlier farm lies.

    The caller holds the folder, so that no server runs on it. Raises NothingDone or BadBackup;
    the folder then holds what it held.
    """
    if holds_farm(data) and not replace:
        raise NothingDone(
            f"{data} holds a farm. Nothing was put back. Give an empty folder with --data, or say "
            "--replace: the farm there is then moved aside and kept."
        )
    work = data / f"restoring-{time.time_ns()}"
    try:
        with _said(file):
            manifest = _unpacked(file, work)
        await _made_ready(work, manifest)
        return manifest, _moved_in(work, data)
    except OSError as error:
        raise NothingDone(
            f"The backup could not be put back into {data}: {error.strerror}."
        ) from error
    finally:
        shutil.rmtree(work, ignore_errors=True)


def holds_farm(data: Path) -> bool:
    """Whether something would be in the way."""
    return (data / DATABASE).exists() or any((data / PHOTOS).glob("*"))


def _unpacked(file: Path, work: Path) -> Manifest:
    with ZipFile(file) as archive:
        manifest = read_manifest(archive)
        newer = set(manifest.migrations) - _known_migrations()
        if newer:
            raise BadBackup(
                f"The backup was made by Nubbin {manifest.version}, which is newer than this one. "
                "Nothing was put back. Install that version or a newer one, then try again."
            )
        for member in (manifest.database, *manifest.photos):
            take(archive, member, work / member.name)
    return manifest


async def _made_ready(work: Path, manifest: Manifest) -> None:
    """Check the database, bring it to this version's form under a new epoch, and start on it."""
    path = work / DATABASE
    sound.check(path, manifest.rows)
    try:
        db = await open_database(path)
        try:
            epoch = await new_epoch(db)
        finally:
            await db.close()
        answered = await health(create_app(Settings(data=work)))
    except DatabaseError as error:
        raise BadBackup(f"Nothing was put back. {error}") from error
    if answered.get("epoch") != epoch:
        raise BadBackup(
            f"A server started on the backup did not answer as it should ({answered}). "
            "Nothing was put back."
        )


def _moved_in(work: Path, data: Path) -> Path | None:
    """The journal goes before its database: alone it would be taken for the new one's."""
    names = [f"{DATABASE}-wal", f"{DATABASE}-shm", DATABASE, PHOTOS]
    there = [name for name in names if (data / name).exists()]
    aside = data / f"before-{time.strftime('%Y-%m-%d-%H%M%S', time.gmtime())}"
    if there:
        aside.mkdir(mode=0o700)
    for name in there:
        (data / name).rename(aside / name)
    for name in (PHOTOS, DATABASE):
        if (work / name).exists():
            (work / name).rename(data / name)
    return aside if there else None


def _known_migrations() -> set[str]:
    found = pkgutil.iter_modules(api.migrations.__path__)
    modules = [import_module(f"api.migrations.{module.name}") for module in found]
    return {module.ID for module in modules if hasattr(module, "ID")}


@contextmanager
def _said(file: Path) -> Iterator[None]:
    try:
        yield
    except FileNotFoundError as error:
        raise NothingDone(f"There is no file {file}. Nothing was put back.") from error
    except (BadZipFile, zlib.error, EOFError, KeyError, NotImplementedError, RuntimeError) as error:
        raise BadBackup(
            f"{file} is no whole backup ({error}). Nothing was put back. Take another copy of it, "
            "or an older backup."
        ) from error
