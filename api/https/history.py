"""The addresses under which phones have known this server.

A browser keeps an app's storage by the address it came from. When the address changes, phones that
still hold unsent records hold them under the old one, and someone has to be told.
"""

import logging
from datetime import datetime, timedelta
from pathlib import Path

import msgspec

from api.durable import write_durably

FILE = "addresses.json"
REMEMBERED = timedelta(days=60)
"""How long an old address is spoken of: a phone may lie in a drawer for some weeks."""
NOTED_EVERY = timedelta(hours=6)
"""How old the note of the address in use may grow before it is written again."""
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
    kept = _read(data / FILE)
    known = {seen.url: seen for seen in kept}
    before = known.pop(url, None)
    others = [seen for seen in known.values() if at - seen.last <= _ms(REMEMBERED)]
    first = before.first if before else at
    if kept[:1] != [before] or at - kept[0].last >= _ms(NOTED_EVERY):
        _write(data / FILE, [Seen(url, first, at), *others][:_MOST])
    return [seen.url for seen in others]


def _ms(span: timedelta) -> float:
    return span / timedelta(milliseconds=1)


def _read(path: Path) -> list[Seen]:
    try:
        return msgspec.json.decode(path.read_bytes(), type=list[Seen])
    except (OSError, msgspec.MsgspecError):
        return []


def _write(path: Path, seen: list[Seen]) -> None:
    try:
        write_durably(path, msgspec.json.encode(seen))
    except OSError as error:
        _log.warning("The addresses in use could not be noted in %s: %s.", path, error.strerror)
