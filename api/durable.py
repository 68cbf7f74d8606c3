"""Files that are there after a power cut."""

import os
import secrets
from pathlib import Path


def write_durably(path: Path, content: bytes, mode: int = 0o666) -> None:
    """Put a file in its place whole or not at all, and for good. Raises OSError.

    mode  who may read it from its first byte on, less what the process's own mask takes away
    """
    make_folder(path.parent)
    part = path.with_name(f".{path.name}.{secrets.token_hex(8)}")
    try:
        with open(os.open(part, os.O_WRONLY | os.O_CREAT | os.O_EXCL, mode), "wb") as file:
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
