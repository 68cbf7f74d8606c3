"""Taking a photo in, part by part.

    record → parts, each durable → hash → read by the worker → stored → row → answered 'kept'

Only the last step tells the phone that it may forget the photo, and each step can be done twice:
after a crash anywhere the phone asks how much is here, and goes on. A last part that came to
nothing (a full disk, a store that is away) is asked for again with an empty part at the end.
"""

import asyncio
import contextlib
from collections.abc import AsyncIterator, Coroutine, Iterator
from typing import Any, TypeVar
from weakref import WeakValueDictionary

from api.database import LOOK, Database
from api.photos import rows
from api.photos.arriving import Arriving
from api.photos.decode import Refusal
from api.photos.disk_full import saying_disk_full
from api.photos.problems import (
    NotAPhoto,
    OtherHash,
    PhotoRefused,
    TooManyPixels,
    WrongOffset,
)
from api.photos.state import PhotoState, check_length, coming, kept_row, settled
from api.photos.store import SIZES, Store
from api.photos.worker import Reader
from api.records.clock import now_ms

T = TypeVar("T")
PATIENCE_S = 0.5
"""How long to wait for what a broken line brought; one that hangs is not waited for."""
GIVEN_UP_S = 180 * 24 * 3600
"""As long as a session may last at most."""
_REFUSED = {kind.code: kind for kind in (OtherHash, NotAPhoto, TooManyPixels)}


class Photos:
    """The photos of one farm: its database, where they arrive, who reads them, where they stay."""

    def __init__(self, db: Database, arriving: Arriving, reader: Reader, store: Store) -> None:
        self.db, self.arriving, self.reader, self.store = db, arriving, reader, store
        self._turns: WeakValueDictionary[str, asyncio.Lock] = WeakValueDictionary()
        self._under_way: set[asyncio.Task[Any]] = set()
        self._coming: dict[str, asyncio.Event] = {}

    async def state(self, sha256: str) -> PhotoState:
        """How far a photo has come. Raises UnknownPhoto.

        A phone whose line broke asks at once, while what the line brought is still being written:
        without a moment's patience it would be told less, and send that part again.
        """
        if (coming_in := self._coming.get(sha256)) is not None:
            with contextlib.suppress(TimeoutError):
                await asyncio.wait_for(coming_in.wait(), PATIENCE_S)
        return await self._state(sha256)

    async def _state(self, sha256: str) -> PhotoState:
        row = await rows.find_row(self.db, sha256)
        if row is not None and row["state"] != "arriving":
            return settled(self.db.epoch, row)
        size = row["bytes"] if row else (await rows.named(self.db, sha256)).bytes
        received = await asyncio.to_thread(self.arriving.received, sha256)
        return coming(self.db.epoch, sha256, size, received)

    async def take(self, sha256: str, offset: int, parts: AsyncIterator[bytes]) -> PhotoState:
        """Add bytes from `offset` on, for as long as they come, and finish a photo that is whole.

        Raises UnknownPhoto, WrongOffset, PhotoTooLarge, PhotoRefused, PhotosAway or DiskFull.
        """
        with self._noted(sha256):
            before = await self._whole(self._turn(sha256, self._begin(sha256, offset)))
            if before.state == "kept":
                return before
            at = await self._all(sha256, offset, parts, before.bytes)
        if at < before.bytes:
            return coming(self.db.epoch, sha256, before.bytes, at)
        return await self._whole(self._turn(sha256, self._finish(sha256)))

    async def _all(self, sha256: str, offset: int, parts: AsyncIterator[bytes], size: int) -> int:
        """Write down what comes, durably, and return how far that is."""
        at = offset
        async for part in parts:
            check_length(at + len(part), size)
            at = await self._whole(self._turn(sha256, self._append(sha256, at, part)))
        await self._whole(self._sync(sha256))
        return at

    @contextlib.contextmanager
    def _noted(self, sha256: str) -> Iterator[None]:
        """Let those who ask how far a photo has come know that more is coming in."""
        ended = self._coming[sha256] = asyncio.Event()
        try:
            yield
        finally:
            ended.set()
            if self._coming.get(sha256) is ended:
                del self._coming[sha256]

    async def tidy(self) -> None:
        """Drop what is left of photos that were kept or refused just before a crash, and what
        nobody went on with for half a year: a phone that comes back then begins it anew."""
        for sha256 in await asyncio.to_thread(self.arriving.names):
            row = await rows.find_row(self.db, sha256)
            over = row is not None and row["state"] != "arriving"
            if over or await asyncio.to_thread(self.arriving.age_s, sha256) > GIVEN_UP_S:
                await asyncio.to_thread(self.arriving.drop, sha256)

    async def close(self) -> None:
        """End the reading, and wait for what is under way: it needs the database."""
        await self.reader.close()
        await asyncio.gather(*self._under_way, return_exceptions=True)
        await self.store.close()

    async def _whole(self, work: Coroutine[Any, Any, T]) -> T:
        """Done to its end even for a phone that hangs up in the middle of it."""
        task = asyncio.ensure_future(work)
        self._under_way.add(task)
        task.add_done_callback(self._under_way.discard)
        return await asyncio.shield(task)

    async def _turn(self, sha256: str, work: Coroutine[Any, Any, T]) -> T:
        """One at a time at each photo."""
        turn = self._turns.setdefault(sha256, asyncio.Lock())
        async with turn:
            return await work

    async def _begin(self, sha256: str, offset: int) -> PhotoState:
        state = await self._state(sha256)
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
        """Hash, read, store, write down, forget the parts: each safe to be done again.

        All that was asked has come by now: the rest is the server's own work, whoever is signed
        out meanwhile. (Run in a task of its own, so this changes no other write of the request.)
        """
        LOOK.set(None)
        before = await self._state(sha256)
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
            await rows.keep_row(self.db, kept_row(sha256, found, now_ms()))
        await asyncio.to_thread(self.arriving.drop, sha256)
        return await self._state(sha256)

    async def _refuse(self, sha256: str, refusal: Refusal) -> PhotoRefused:
        """Drop what arrived. Other bytes than were named refuse nothing: it is wanted as before."""
        kind = _REFUSED[refusal.code]
        error = kind(f"{refusal.why} {kind.usual}".strip())
        if not isinstance(error, OtherHash):
            await rows.refuse_row(self.db, sha256, error.problem())
        await asyncio.to_thread(self.arriving.drop, sha256)
        return error
