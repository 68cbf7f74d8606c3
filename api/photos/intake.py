"""Taking a photo in, part by part.

    record → parts, each durable → hash → read by the worker → stored → row → answered 'kept'

Only the last step tells the phone that it may forget the photo, and each step can be done twice:
after a crash anywhere the phone asks how much is here, and goes on. A last part that came to
nothing (a full disk, a store that is away) is asked for again with an empty part at the end.
"""

import asyncio
from collections.abc import AsyncIterator, Coroutine
from typing import Any, Literal, TypeVar
from weakref import WeakValueDictionary

from msgspec import Struct

from api.database import Database, Row
from api.photos import rows
from api.photos.arriving import Arriving
from api.photos.decode import MAX_BYTES, Refusal
from api.photos.durable import saying_disk_full
from api.photos.problems import (
    NotAPhoto,
    OtherHash,
    PhotoRefused,
    PhotoTooLarge,
    TooManyPixels,
    WrongOffset,
)
from api.photos.store import SIZES, Store
from api.photos.worker import Reader
from api.records.clock import now_ms
from api.records.problem import Problem

T = TypeVar("T")
_REFUSED = {kind.code: kind for kind in (OtherHash, NotAPhoto, TooManyPixels)}


class PhotoState(Struct, frozen=True):
    """How far a photo has come. `received` of its `bytes` are here; the phone goes on from there.

    Only 'kept' lets the phone forget it. 'refused' carries the problem; begun again at 0, it is
    tried again.
    """

    epoch: str
    sha256: str
    received: int
    bytes: int
    state: Literal["wanted", "arriving", "kept", "refused"]
    problem: Problem | None


class Photos:
    """The photos of one farm: its database, where they arrive, who reads them, where they stay."""

    def __init__(self, db: Database, arriving: Arriving, reader: Reader, store: Store) -> None:
        self.db, self.arriving, self.reader, self.store = db, arriving, reader, store
        self._turns: WeakValueDictionary[str, asyncio.Lock] = WeakValueDictionary()

    async def state(self, sha256: str) -> PhotoState:
        """How far a photo has come. Raises UnknownPhoto."""
        row = await rows.find_row(self.db, sha256)
        if row is not None and row["state"] != "arriving":
            return self._settled(row)
        size = row["bytes"] if row else (await rows.named(self.db, sha256)).bytes
        return self._coming(sha256, size, await asyncio.to_thread(self.arriving.received, sha256))

    async def take(self, sha256: str, offset: int, parts: AsyncIterator[bytes]) -> PhotoState:
        """Add bytes from `offset` on, for as long as they come, and finish a photo that is whole.

        Raises UnknownPhoto, WrongOffset, PhotoTooLarge, PhotoRefused, PhotosAway or DiskFull.
        """
        before = await _whole(self._turn(sha256, self._begin(sha256, offset)))
        if before.state == "kept":
            return before
        at = offset
        try:
            async for part in parts:
                _check_length(at + len(part), before.bytes)
                at = await _whole(self._turn(sha256, self._append(sha256, at, part)))
        finally:
            await _whole(self._sync(sha256))
        if at < before.bytes:
            return self._coming(sha256, before.bytes, at)
        return await _whole(self._turn(sha256, self._finish(sha256)))

    async def tidy(self) -> None:
        """Drop what is left of photos that were kept just before a crash."""
        for sha256 in await asyncio.to_thread(self.arriving.names):
            row = await rows.find_row(self.db, sha256)
            if row is not None and row["state"] == "kept":
                await asyncio.to_thread(self.arriving.drop, sha256)

    async def _turn(self, sha256: str, work: Coroutine[Any, Any, T]) -> T:
        """One at a time at each photo."""
        turn = self._turns.setdefault(sha256, asyncio.Lock())
        async with turn:
            return await work

    async def _begin(self, sha256: str, offset: int) -> PhotoState:
        state = await self.state(sha256)
        if state.state == "kept":
            return state
        if state.problem is not None and offset:
            raise _REFUSED[state.problem.code](state.problem.detail)
        if offset != state.received:
            raise WrongOffset(state.received)
        if not state.received:
            with saying_disk_full():
                await rows.begin_row(self.db, await rows.named(self.db, sha256))
        return state

    async def _append(self, sha256: str, offset: int, part: bytes) -> int:
        with saying_disk_full():
            return await asyncio.to_thread(self.arriving.append, sha256, offset, part)

    async def _sync(self, sha256: str) -> None:
        with saying_disk_full():
            await asyncio.to_thread(self.arriving.sync, sha256)

    async def _finish(self, sha256: str) -> PhotoState:
        """Hash, read, store, write down, forget the parts: each safe to be done again."""
        before = await self.state(sha256)
        if before.state == "kept":
            return before
        if before.problem is not None:
            raise _REFUSED[before.problem.code](before.problem.detail)
        if before.received != before.bytes:
            raise WrongOffset(before.received)
        found = await self.reader.read(self.arriving.path(sha256), sha256)
        if isinstance(found, Refusal):
            raise await self._refuse(sha256, found)
        with saying_disk_full():
            for size, jpeg in zip(SIZES, (found.full, found.small), strict=True):
                await self.store.put(sha256, size, jpeg)
            await rows.keep_row(self.db, sha256, found, now_ms())
        await asyncio.to_thread(self.arriving.drop, sha256)
        return await self.state(sha256)

    async def _refuse(self, sha256: str, refusal: Refusal) -> PhotoRefused:
        """Drop what arrived. Other bytes than were named refuse nothing: it is wanted as before."""
        kind = _REFUSED[refusal.code]
        error = kind(f"{refusal.why} {kind.usual}".strip())
        if not isinstance(error, OtherHash):
            await rows.refuse_row(self.db, sha256, error.problem())
        await asyncio.to_thread(self.arriving.drop, sha256)
        return error

    def _settled(self, row: Row) -> PhotoState:
        is_kept = row["state"] == "kept"
        problem = None if is_kept else rows.read_problem(row["problem"])
        received = row["bytes"] if is_kept else 0
        return PhotoState(
            self.db.epoch, row["sha256"], received, row["bytes"], row["state"], problem
        )

    def _coming(self, sha256: str, size: int, received: int) -> PhotoState:
        word: Literal["arriving", "wanted"] = "arriving" if received else "wanted"
        return PhotoState(self.db.epoch, sha256, received, size, word, None)


def _check_length(length: int, named: int) -> None:
    if length > MAX_BYTES:
        raise PhotoTooLarge
    if length > named:
        raise PhotoTooLarge(
            f"More of it came than the {named} bytes that its record names. "
            "What goes beyond was not taken; the photo stays on the phone."
        )


async def _whole(work: Coroutine[Any, Any, T]) -> T:
    """Done to its end even for a phone that hangs up in the middle of it."""
    return await asyncio.shield(asyncio.ensure_future(work))
