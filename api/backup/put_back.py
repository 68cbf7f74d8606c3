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

from msgspec import Struct

import api.migrations
from api.access.audit import note
from api.app import create_app
from api.backup import sound
from api.backup.archive import DATABASE, PHOTOS, Manifest, read_manifest, take
from api.backup.epoch import new_epoch
from api.backup.signed_out import carry_over, read_ended
from api.backup.trial import health
from api.database import Database, open_database
from api.database_errors import DatabaseError
from api.records.clock import now_ms
from api.serving import RESTORING
from api.settings import Settings
from api.start_errors import BadBackup, NothingDone


class PutBack(Struct, frozen=True):
    """What was put back, and where the earlier farm lies if there was one.

    still_out  people and phones that were signed out for good since the backup was made, and stay
               so; None where that could not be read
    has_owner  whether an owner is left who may come in
    """

    manifest: Manifest
    aside: Path | None
    still_out: int | None
    has_owner: bool


async def put_back(file: Path, data: Path, *, replace: bool) -> PutBack:
    """Put a backup into a data folder.

    The caller holds the folder, so that no server runs on it. Raises NothingDone or BadBackup;
    the folder then holds what it held.
    """
    if holds_farm(data) and not replace:
        raise NothingDone(
            f"{data} holds a farm. Nothing was put back. Give an empty folder with --data, or say "
            "--replace: the farm there is then moved aside and kept."
        )
    work = data / RESTORING.replace("*", str(time.time_ns()))
    try:
        with _said(file):
            manifest = _unpacked(file, work)
        still_out, has_owner = await _made_ready(work, manifest, data / DATABASE)
        aside = _moved_in(work, data)
        for left in data.glob(RESTORING):  # by one that was cut off, which this one makes up for
            shutil.rmtree(left, ignore_errors=True)
        return PutBack(manifest, aside, still_out, has_owner)
    except OSError as error:
        raise NothingDone(
            f"The backup could not be put back into {data}: {error.strerror}. What was there is "
            "there as before."
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


async def _made_ready(work: Path, manifest: Manifest, before: Path) -> tuple[int | None, bool]:
    """Check the database, bring it to this version's form under a new epoch, and start on it."""
    path = work / DATABASE
    sound.check(path, manifest.rows)
    try:
        db = await open_database(path)
        try:
            epoch = await new_epoch(db)
            still_out = await _noted(db, manifest, before)
            owners = await db.rows(
                "SELECT 1 AS one FROM staff WHERE role = 'owner' AND left_at IS NULL LIMIT 1"
            )
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
    return still_out, bool(owners)


async def _noted(db: Database, manifest: Manifest, before: Path) -> int | None:
    """Keep out who was signed out since, and write down that a copy was put back."""
    later, now = read_ended(before), now_ms()
    still_out = await carry_over(db, later, now) if later.readable else None
    async with db.write() as tx:
        # Who held a shared phone on the copy's day need not be who has it in hand today.
        await tx.rows("UPDATE session SET holder = NULL WHERE holder IS NOT NULL RETURNING digest")
        await note(tx, now, "put-back", made_at=manifest.made_at, still_out=still_out)
    return still_out


def _moved_in(work: Path, data: Path) -> Path | None:
    """The database goes first: killed behind that, no server starts here (`serving.check_whole`),
    neither on it without its journal nor on a new one. The new one comes last."""
    names = [DATABASE, f"{DATABASE}-wal", f"{DATABASE}-shm", PHOTOS]
    there = [name for name in names if (data / name).exists()]
    aside = _unused(data / f"before-{time.strftime('%Y-%m-%d-%H%M%S', time.gmtime())}")
    if there:
        aside.mkdir(mode=0o700)
    ready = [name for name in (PHOTOS, DATABASE) if (work / name).exists()]
    _rename_all(
        [(data / name, aside / name) for name in there]
        + [(work / name, data / name) for name in ready]
    )
    return aside if there else None


def _unused(path: Path) -> Path:
    """That name, or with a number behind it where one was cut off in the same second."""
    names = (path.with_name(f"{path.name}-{number}") for number in range(2, 1000))
    return next(name for name in (path, *names) if not name.exists())


def _rename_all(moves: list[tuple[Path, Path]]) -> None:
    """All of them or, where one fails, none. Raises OSError."""
    done: list[tuple[Path, Path]] = []
    try:
        for before, after in moves:
            before.rename(after)
            done.append((before, after))
    except OSError:
        for before, after in reversed(done):
            after.rename(before)
        raise


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
