"""A full disk said as such."""

import errno
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager

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
