"""Servers with a fault of their own, for the tests of the checker: each breaks one promise.

Every function here wraps the product's own in the server's process, after the fork.
"""

import random
from collections.abc import Callable
from typing import Any

from api.database import Database, Write
from api.photos.intake import Photos
from api.problems import BadBatch
from api.records import log
from api.records.clock import Corrected, milliseconds
from api.records.parse import Broken
from api.stock import projection
from api.sync import pull
from api.sync import push as pushing
from api.sync.wire import DeviceSeq


def _loses_rows() -> None:
    """Every other batch is answered as stored and not written, and no gap is told of."""
    many, gaps, batches = Write.many, pushing._gaps, [0]

    async def sometimes(self: Write, sql: str, rows: Any) -> None:
        if sql.startswith("INSERT INTO log ") and rows:
            batches[0] += 1
            if batches[0] % 2 == 0:
                return
        await many(self, sql, rows)

    async def quietly(*args: Any) -> tuple[DeviceSeq, int]:
        found, gapless = await gaps(*args)
        return DeviceSeq(found.highest, []), gapless

    Write.many = sometimes  # type: ignore[method-assign]
    pushing._gaps = quietly


def _forgets_ids() -> None:
    """What was stored before is not looked for."""

    async def nothing(*_args: Any) -> dict[str, Any]:
        return {}

    log._already = nothing


def _poison_spoils() -> None:
    """One bad record, and the whole batch is declined."""
    push = pushing._commit

    async def strict(db: Database, device: Any, items: list[Any], *more: Any, **named: Any) -> Any:
        if any(isinstance(item, Broken) for item in items):
            raise BadBatch("One of them is bad.")
        return await push(db, device, items, *more, **named)

    pushing._commit = strict


def _cursor_by_time() -> None:
    """A page goes on from the time of arrival of the last row seen, not from its place."""

    async def page(db: Database, after: str | None, *_more: int) -> dict[str, Any]:
        start = pull.read_cursor(after, db.epoch)
        rows = await db.rows(
            "SELECT seq, at, received, record FROM log WHERE received > ? ORDER BY received, seq",
            start,
        )
        last = rows[-1]["received"] if rows else start
        entries = [pull._entry(row) for row in rows]
        return {"epoch": db.epoch, "cursor": f"{db.epoch}.{last}", "more": False,
                "entries": entries, "pieces": []}  # fmt: skip

    pull.page = page


def _skips_rows() -> None:
    """A page that says there is more goes on a little behind where it ended."""
    page = pull.page

    async def hasty(db: Database, after: str | None, limit: int, now: int) -> dict[str, Any]:
        found = await page(db, after, limit, now)
        if found["more"]:
            before, _, last = found["cursor"].rpartition(".")
            found["cursor"] = f"{before}.{int(last) + 10}"
        return found

    pull.page = hasty


def _believes_clocks() -> None:
    """A record's time is what the phone's clock showed."""
    log.correct = lambda observed, *_: Corrected(milliseconds(observed.at))


def _folds_as_it_comes() -> None:
    """A late record is put on top, whenever it was made."""
    projection.follows = lambda *_: True


def _begins_photos_again() -> None:
    """A photo whose line breaks is dropped."""
    take = Photos.take

    async def all_or_none(self: Photos, sha256: str, offset: int, parts: Any) -> Any:
        try:
            return await take(self, sha256, offset, parts)
        except BaseException:
            self.arriving.drop(sha256)
            raise

    Photos.take = all_or_none  # type: ignore[method-assign]


def _drops_a_photo_now_and_then() -> None:
    _begins_photos_again()
    chance, received = random.Random(17), Photos.state

    async def state(self: Photos, sha256: str) -> Any:
        if chance.random() < 0.1:
            self.arriving.drop(sha256)
        return await received(self, sha256)

    Photos.state = state  # type: ignore[method-assign]


SERVER: dict[str, Callable[[], None]] = {
    "loses rows": _loses_rows,
    "forgets ids": _forgets_ids,
    "poison spoils": _poison_spoils,
    "cursor by time": _cursor_by_time,
    "skips rows": _skips_rows,
    "believes clocks": _believes_clocks,
    "folds as it comes": _folds_as_it_comes,
    "drops photos": _drops_a_photo_now_and_then,
    "same name": lambda: None,
}
"""`same name` is done by the scenario: a backup is put back without a new name."""
