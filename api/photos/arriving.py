"""Photos that are still arriving: a file each, whose true length is how much has come.

Nothing else remembers that length, so a crash at any point leaves nothing to disagree with it.
Every function blocks on the disk; callers take turns at one photo.
"""

import os
import re
import time
from pathlib import Path

from api.durable import make_folder, sync_folder
from api.photos.problems import WrongOffset

SHA256 = re.compile(r"[0-9a-f]{64}")
_END = ".part"


class Arriving:
    """The folder of them. `sha256` is 64 hex digits everywhere, checked before it comes here."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder

    def path(self, sha256: str) -> Path:
        """Where a photo gathers."""
        assert SHA256.fullmatch(sha256), "a path is built from a checked name only"
        return self.folder / f"{sha256}{_END}"

    def received(self, sha256: str) -> int:
        """How many bytes are here."""
        try:
            return self.path(sha256).stat().st_size
        except FileNotFoundError:
            return 0

    def append(self, sha256: str, offset: int, part: bytes) -> int:
        """Add bytes at the end and return the new length; `sync` makes them durable.

        Raises WrongOffset where `offset` is not the end, and OSError; then what was written of
        the part stays, being the bytes that belong there.
        """
        path = self.path(sha256)
        make_folder(self.folder)
        if not path.exists():
            path.touch()
            sync_folder(self.folder)
        # Written at its place rather than appended: should another process be at the same photo,
        # both write the same bytes to the same place.
        with path.open("rb+", buffering=0) as file:
            if (received := file.seek(0, os.SEEK_END)) != offset:
                raise WrongOffset(received)
            rest = memoryview(part)
            while rest:
                rest = rest[file.write(rest) :]
        return offset + len(part)

    def sync(self, sha256: str) -> None:
        """Make durable what has been added."""
        try:
            with self.path(sha256).open("rb+") as file:
                os.fsync(file.fileno())
        except FileNotFoundError:
            return

    def drop(self, sha256: str) -> None:
        """Forget what has arrived."""
        self.path(sha256).unlink(missing_ok=True)

    def age_s(self, sha256: str) -> float:
        """Seconds since something of a photo last came."""
        try:
            return time.time() - self.path(sha256).stat().st_mtime
        except FileNotFoundError:
            return 0

    def names(self) -> list[str]:
        """The photos of which something is here."""
        found = (path.name.removesuffix(_END) for path in self.folder.glob(f"*{_END}"))
        return sorted(name for name in found if SHA256.fullmatch(name))
