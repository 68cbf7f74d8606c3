"""The addresses under which phones have known this server.

A browser keeps an app's storage by the address it came from. When the address changes, phones that
still hold unsent records hold them under the old one, and someone has to be told.
"""

import logging
from datetime import datetime, timedelta
from pathlib import Path

import msgspec

FILE = "addresses.json"
REMEMBERED = timedelta(days=60)
"""How long an old address is spoken of: a phone may lie in a drawer for some weeks."""
_MOST = 20
_log = logging.getLogger("nubbin")


class Seen(msgspec.Struct, frozen=True):
    """An address and when it was in use, UTC milliseconds."""

    url: str
    first: int
    last: int


def remember(data: Path, url: str, now: datetime) -> list[str]:
    """Note that `url` is in use; return the others that phones may still hold records under."""
    at = round(now.timestamp() * 1000)
    known = {seen.url: seen for seen in _read(data / FILE)}
    before = known.pop(url, Seen(url, at, at))
    fresh_from = at - REMEMBERED / timedelta(milliseconds=1)
    others = [seen for seen in known.values() if seen.last >= fresh_from]
    _write(data / FILE, [Seen(url, before.first, at), *others][:_MOST])
    return [seen.url for seen in others]


def _read(path: Path) -> list[Seen]:
    try:
        return msgspec.json.decode(path.read_bytes(), type=list[Seen])
    except (OSError, msgspec.MsgspecError):
        return []


def _write(path: Path, seen: list[Seen]) -> None:
    part = path.with_name(f".{path.name}.part")
    try:
        part.write_bytes(msgspec.json.encode(seen))
        part.replace(path)
    except OSError as error:
        _log.warning("The addresses in use could not be noted in %s: %s.", path, error.strerror)
