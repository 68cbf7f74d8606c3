"""Work for a worker process that does not go as it should. Found by name in the worker."""

import time
from pathlib import Path

from api.photos.decode import Picture, Refusal, read_photo

BEGUN = ".begun"


def begun(path: str | Path) -> Path:
    """The file that says that work on `path` was begun."""
    return Path(f"{path}{BEGUN}")


def hang_once(path: str, sha256: str) -> Picture | Refusal:
    """Never ends the first time; reads the photo the second time."""
    if begun(path).exists():
        return read_photo(path, sha256)
    return hang(path, sha256)


def hang(path: str, sha256: str) -> Picture | Refusal:
    """Never ends, for a photo that says so; reads any other."""
    if b"hang" not in Path(path).read_bytes():
        return read_photo(path, sha256)
    begun(path).touch()
    while True:
        time.sleep(60)
