"""The healing arithmetic on a plain table, so that anyone can check it with their own software."""

import sys
from pathlib import Path

import msgspec

from api.healing.errors import HealingError
from api.healing.plain_answer import answers
from api.healing.plain_table import read_table
from api.start_errors import NothingDone

STANDARD_INPUT = Path("-")


def estimate(path: Path) -> int:
    """Print the answer to a CSV file as JSON. Raises NothingDone with the line that is wrong."""
    content = _read(path)
    try:
        found = answers(read_table(content))
    except HealingError as error:
        name = "standard input" if path == STANDARD_INPUT else path
        raise NothingDone(f"{name}: {error}") from error
    sys.stdout.buffer.write(msgspec.json.format(msgspec.json.encode(found), indent=1) + b"\n")
    sys.stdout.buffer.flush()
    return 0


def _read(path: Path) -> bytes:
    if path == STANDARD_INPUT:
        return sys.stdin.buffer.read()
    try:
        return path.read_bytes()
    except OSError as error:
        raise NothingDone(f"{path} cannot be read: {error.strerror}.") from error
