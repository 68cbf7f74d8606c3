"""Making a backup while the farm is served.

SQLite's online backup with all pages in one step: in several steps it would begin again with each
write, and never end. The writer is not held up, since in WAL mode a reader holds nobody up.
"""

import os
import sqlite3
import time
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path
from zipfile import ZIP_DEFLATED, ZIP_STORED, ZipFile

import msgspec

from api.backup import sound
from api.backup.archive import DATABASE, MANIFEST, PHOTOS, Manifest, Member, is_photo, put
from api.start_errors import BadBackup, NothingDone
from api.version import VERSION


def make_backup(data: Path, out: Path) -> Manifest:
    """Write the farm of a data folder to the zip file `out`, which must not exist yet.

    Raises NothingDone, or BadBackup where the live database is damaged; `out` is then not there.
    """
    if out.exists():
        raise NothingDone(f"{out} exists already, and no backup is written over. Name another.")
    copy, part = (out.with_name(f".{out.name}.{end}") for end in ("sqlite", "part"))
    try:
        _copy_database(data / DATABASE, copy)
        _make_private(part)
        with ZipFile(part, "w", ZIP_STORED, allowZip64=True) as archive:
            manifest = _filled(archive, data, copy)
        _settle(part)
        part.rename(out)
    except OSError as error:
        raise NothingDone(
            f"The backup could not be written to {out}: {error.strerror}. It needs room for the "
            "photos and twice the database. The farm itself was not touched."
        ) from error
    finally:
        for file in (copy, part):
            file.unlink(missing_ok=True)
    return manifest


def _copy_database(source: Path, copy: Path) -> None:
    _make_private(copy)
    try:
        with sound.reading(source) as live, closing(sqlite3.connect(copy)) as target:
            live.backup(target, pages=-1)
            # One file alone, without a journal beside it.
            target.execute("PRAGMA journal_mode = DELETE")
    except sqlite3.OperationalError as error:
        raise NothingDone(f"The database could not be copied: {error}.") from error
    except sqlite3.DatabaseError as error:
        raise _damaged(str(error)) from error
    fault = sound.faults(copy)
    if fault:
        raise _damaged(fault)


def _damaged(fault: str) -> BadBackup:
    return BadBackup(
        f"The farm's database is damaged ({fault}), so no backup was made of it. Keep the older "
        "ones, and put the newest of them back: nubbin restore FILE --replace"
    )


def _filled(archive: ZipFile, data: Path, copy: Path) -> Manifest:
    with sound.reading(copy) as connection:
        [(epoch,)] = connection.execute("SELECT epoch FROM counter WHERE id = 1").fetchall()
        ran = connection.execute("SELECT name FROM migration ORDER BY name").fetchall()
    manifest = Manifest(
        v=1,
        version=VERSION,
        made_at=time.time_ns() // 1_000_000,
        epoch=epoch,
        migrations=[name for (name,) in ran],
        rows=sound.count_rows(copy),
        database=put(archive, copy, DATABASE, ZIP_DEFLATED),
        # After the database, so that every photo which that knows as kept is among them.
        photos=list(_photos(archive, data)),
    )
    archive.writestr(MANIFEST, msgspec.json.format(msgspec.json.encode(manifest)), ZIP_DEFLATED)
    return manifest


def _photos(archive: ZipFile, data: Path) -> Iterator[Member]:
    for path in sorted((data / PHOTOS).rglob("*")):
        name = path.relative_to(data).as_posix()
        if not is_photo(name) or path.is_symlink() or not path.is_file():
            continue
        yield put(archive, path, name, ZIP_STORED)


def _make_private(path: Path) -> None:
    """An empty file for this user alone: people's names will be in it."""
    path.unlink(missing_ok=True)
    os.close(os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600))


def _settle(path: Path) -> None:
    with path.open("rb") as file:
        os.fsync(file.fileno())
