"""Files that are there after a power cut, and a full disk said as such."""

import errno
import os
import secrets
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from api.photos.problems import DiskFull

_FULL = {errno.ENOSPC, getattr(errno, "EDQUOT", errno.ENOSPC)}


@contextmanager
def saying_disk_full() -> Iterator[None]:
    """Raises DiskFull where what is inside finds the disk or its quota full."""
    try:
        yield
    except OSError as error:
        if error.errno in _FULL:
            raise DiskFull from error
        raise
    except sqlite3.OperationalError as error:
        if error.sqlite_errorcode == sqlite3.SQLITE_FULL:
            raise DiskFull from error
        raise


def write_durably(path: Path, content: bytes) -> None:
    """Put a file in its place whole or not at all, and for good. Raises OSError."""
    make_folder(path.parent)
    part = path.with_name(f".{path.name}.{secrets.token_hex(8)}")
    try:
        with part.open("xb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        part.replace(path)
    except BaseException:
        part.unlink(missing_ok=True)
        raise
    sync_folder(path.parent)


def make_folder(folder: Path) -> None:
    """Make a folder and those above it, each known to its own folder for good."""
    if folder.is_dir():
        return
    make_folder(folder.parent)
    folder.mkdir(exist_ok=True)
    sync_folder(folder.parent)


def sync_folder(folder: Path) -> None:
    """Make the names in a folder durable, on systems where a folder can be opened at all."""
    if os.name != "posix":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
