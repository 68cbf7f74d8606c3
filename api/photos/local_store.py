"""Photos kept as files in the data folder: the store of a farm that sets nothing."""

import asyncio
from pathlib import Path

from api.durable import write_durably
from api.photos.store import Missing, Size, place


class LocalStore:
    """One folder. A file appears in it whole and for good, or not at all."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder

    async def put(self, sha256: str, size: Size, jpeg: bytes) -> None:
        """Keep a picture. Raises OSError, as for a full disk or a folder that is not writable."""
        await asyncio.to_thread(write_durably, self.folder / place(sha256, size), jpeg)

    async def get(self, sha256: str, size: Size) -> bytes:
        """A picture. Raises Missing, or OSError."""
        try:
            return await asyncio.to_thread((self.folder / place(sha256, size)).read_bytes)
        except FileNotFoundError as error:
            raise Missing from error

    async def close(self) -> None:
        """Nothing is held open."""
