"""Several servers in one loop and one process: HTTP for coming in, HTTPS for the app."""

import asyncio
import logging
import signal
import socket
import ssl
import threading
from collections.abc import Coroutine, Generator, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from types import FrameType
from typing import Any, cast

import uvicorn
from litestar.types import ASGIApp

from api.start_errors import StartFailed

_log = logging.getLogger("nubbin")
GRACE_S = 5
"""How long open answers may take to end: a phone's waiting connection must not hold a restart."""


@dataclass(frozen=True)
class Part:
    """One application on one listening socket; `tls` makes it HTTPS, `lifespan` runs its start."""

    app: ASGIApp
    listener: socket.socket
    tls: ssl.SSLContext | None = None
    lifespan: bool = False


class Stop:
    """A signal to stop, whenever it comes: before the servers run, or while they do."""

    def __init__(self) -> None:
        self._asked = False
        self._servers: Sequence[uvicorn.Server] = ()

    def watch(self, servers: Sequence[uvicorn.Server]) -> None:
        """From now on a signal ends these; so does one that has come already."""
        self._servers = servers
        for server in servers:
            server.should_exit = self._asked

    def on_signal(self, number: int, _frame: FrameType | None) -> None:
        """The first signal lets answers end; a second interrupt does not wait for them."""
        for server in self._servers:
            server.force_exit = self._asked and number == signal.SIGINT
            server.should_exit = True
        self._asked = True


@contextmanager
def stopping() -> Iterator[Stop]:
    """Take the signals to stop for as long as it lasts; outside the main thread there are none."""
    stop = Stop()
    if threading.current_thread() is not threading.main_thread():
        yield stop
        return
    numbers = (signal.SIGINT, signal.SIGTERM)
    before = {number: signal.signal(number, stop.on_signal) for number in numbers}
    try:
        yield stop
    finally:
        for number, handler in before.items():
            signal.signal(number, handler)


async def run(
    parts: Sequence[Part],
    stop: Stop,
    proxies: Sequence[str] = (),
    beside: Coroutine[Any, Any, None] | None = None,
) -> None:
    """Serve all parts in this loop until told to stop, then let open answers end.

    proxies  addresses whose X-Forwarded-Proto and X-Forwarded-For are believed, and no others
    beside   work to be done while they run, ended with them

    The database is closed by the application whose lifespan is run, on the way out. Raises
    StartFailed where an application does not start; the others are then stopped too.
    """
    servers = [_Server(_config(part, proxies)) for part in parts]
    stop.watch(servers)
    task = asyncio.create_task(beside) if beside else None
    if task:
        task.add_done_callback(_say_if_broken)
    try:
        await _all_or_none(servers, [part.listener for part in parts])
    finally:
        if task:
            task.cancel()
            await asyncio.wait([task])


def _say_if_broken(task: asyncio.Task[None]) -> None:
    """Work beside the servers that breaks off must not take them down, nor go unseen."""
    if not task.cancelled() and task.exception():
        _log.error("Work beside the server broke off.", exc_info=task.exception())


class _Server(uvicorn.Server):
    """Leaves signals alone: each server would take them for itself, and the others go on."""

    @contextmanager
    def capture_signals(self) -> Generator[None, None, None]:
        yield


async def _all_or_none(servers: list[_Server], listeners: list[socket.socket]) -> None:
    async def serve(server: _Server, listener: socket.socket) -> None:
        try:
            await server.serve(sockets=[listener])
        except SystemExit as error:
            # Raised in a task it would end the loop on the spot, with the database open.
            raise StartFailed("The app could not start. What it said stands above.") from error
        finally:
            for other in servers:
                other.should_exit = True

    pairs = zip(servers, listeners, strict=True)
    ended = await asyncio.gather(*(serve(*pair) for pair in pairs), return_exceptions=True)
    for error in ended:
        if error is not None:
            raise error


def _config(part: Part, proxies: Sequence[str]) -> uvicorn.Config:
    tls = part.tls
    return uvicorn.Config(
        cast(Any, part.app),  # two libraries' own types of one and the same interface
        lifespan="on" if part.lifespan else "off",
        log_level="warning",
        access_log=False,
        server_header=False,
        timeout_graceful_shutdown=GRACE_S,
        proxy_headers=bool(proxies),
        forwarded_allow_ips=list(proxies),
        ssl_context_factory=(lambda _config, _usual: tls) if tls is not None else None,
    )
