"""The process that reads photos, so that a hostile or broken one can harm nothing but it.

One at a time, within a time and a memory of its own. A worker that dies or takes too long is
replaced; whatever it was reading is tried once more if it died, and refused after that.
"""

import asyncio
import contextlib
import multiprocessing
import os
import signal
import sys
import threading
import warnings
from collections.abc import Callable
from concurrent.futures import ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from dataclasses import dataclass
from pathlib import Path

from PIL import Image

from api.photos.decode import MAX_PIXELS, Picture, Refusal, read_photo
from api.photos.problems import ReaderAway

TRIES = 2
READS = 500
"""Photos a worker reads before a fresh one takes its place, so that no leak can grow."""
Work = Callable[[str, str], Picture | Refusal]


@dataclass(frozen=True)
class Limits:
    """For one photo: seconds, and bytes of memory beyond what the worker has when it starts."""

    seconds: float = 60
    memory: int = 1024**3


class Reader:
    """Reads photos in turn. Its worker starts with the first one; `close` ends it."""

    def __init__(self, limits: Limits | None = None, work: Work = read_photo) -> None:
        self.limits, self.work = limits or Limits(), work
        self._turn = asyncio.Lock()
        self._pool: ProcessPoolExecutor | None = None
        self._worker = self._read_so_far = 0
        self._closed = False

    async def read(self, path: Path, sha256: str) -> Picture | Refusal:
        """The picture in a file that must have this hash. Raises ReaderAway, or OSError."""
        async with self._turn:
            for _ in range(TRIES):
                try:
                    return await self._read(path, sha256)
                except BrokenProcessPool:
                    await self._end(kill=True)
                except TimeoutError:
                    await self._end(kill=True)
                    return Refusal("not-a-photo", _too_long(self.limits.seconds))
            return Refusal("not-a-photo", "Reading it stopped the program that reads, twice over.")

    async def close(self) -> None:
        """End the worker, in the middle of a photo if there is one."""
        self._closed = True
        await self._end(kill=self._turn.locked())

    async def _read(self, path: Path, sha256: str) -> Picture | Refusal:
        if self._read_so_far >= READS:
            await self._end(kill=False)
        pool = self._pool or await self._start()
        if self._closed:
            raise ReaderAway
        self._read_so_far += 1
        reading = asyncio.wrap_future(pool.submit(self.work, str(path), sha256))
        return await asyncio.wait_for(reading, self.limits.seconds)

    async def _start(self) -> ProcessPoolExecutor:
        """A pool of one. Its start is apart from reading: that it fails is no photo's fault."""
        if self._closed:
            raise ReaderAway
        context = multiprocessing.get_context("spawn")
        self._pool = pool = ProcessPoolExecutor(1, context, begin, (self.limits.memory,))
        self._read_so_far = 0
        try:
            self._worker = await asyncio.wrap_future(pool.submit(os.getpid))
        except BrokenProcessPool as error:
            await self._end(kill=False)
            raise ReaderAway from error
        return pool

    async def _end(self, *, kill: bool) -> None:
        pool, self._pool = self._pool, None
        worker, self._worker = self._worker, 0
        if pool is None:
            return
        if kill and worker:
            _kill(worker)
        await asyncio.to_thread(pool.shutdown, cancel_futures=True)


def begin(memory: int) -> None:
    """What a worker does first: the server stops it, the terminal does not; its limits."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    threading.Thread(target=_leave_with_the_server, daemon=True).start()
    # Pillow raises at twice its limit, before a decoder allots any memory; it warns at the limit.
    Image.MAX_IMAGE_PIXELS = MAX_PIXELS // 2
    warnings.simplefilter("ignore")  # of broken notes and the like: each photo has its answer
    _bound_memory(memory)


def _bound_memory(memory: int) -> None:
    """Bound the worker's address space where the system tells how much of it is taken already."""
    if sys.platform == "win32":
        return
    import resource

    try:
        taken = int(Path("/proc/self/statm").read_text().split()[0]) * resource.getpagesize()
    except FileNotFoundError:
        return
    _, most = resource.getrlimit(resource.RLIMIT_AS)
    wanted = taken + memory
    if most != resource.RLIM_INFINITY:
        wanted = min(wanted, most)
    resource.setrlimit(resource.RLIMIT_AS, (wanted, most))


def _leave_with_the_server() -> None:
    """A worker whose server was killed would wait for work for ever."""
    server = multiprocessing.parent_process()
    if server is not None:
        server.join()
        os._exit(1)


def _kill(worker: int) -> None:
    with contextlib.suppress(ProcessLookupError):  # it may have died by itself
        os.kill(worker, signal.SIGTERM if sys.platform == "win32" else signal.SIGKILL)


def _too_long(seconds: float) -> str:
    return f"It could not be read within {seconds:g} seconds."
