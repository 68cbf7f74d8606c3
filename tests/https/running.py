"""A small application on a real listening socket, and a client that sees the certificate."""

import asyncio
import signal
import ssl
from collections.abc import AsyncIterator, Coroutine
from contextlib import asynccontextmanager
from typing import Any

from cryptography import x509
from litestar.types import Receive, Scope, Send

from api.https.authority import Authority
from api.https.servers import Part, run, stopping
from api.serving import listen
from tests.https.made import pem


class Gate:
    """Stands in for a wait: what waits here goes on when the test says so, a turn at a time."""

    def __init__(self) -> None:
        self._turns: asyncio.Queue[None] = asyncio.Queue()
        self._waiting = asyncio.Event()

    async def wait(self, _seconds: float) -> None:
        self._waiting.set()
        await self._turns.get()
        self._waiting.clear()

    async def turn(self) -> None:
        """Let the work go round once, and wait until it waits here again."""
        await self._waiting.wait()
        self._waiting.clear()
        self._turns.put_nowait(None)
        await self._waiting.wait()


async def hello(_scope: Scope, _receive: Receive, send: Send) -> None:
    """Answers every request with 'hello'."""
    headers = [(b"content-length", b"5")]
    await send({"type": "http.response.start", "status": 200, "headers": headers})
    await send({"type": "http.response.body", "body": b"hello", "more_body": False})


@asynccontextmanager
async def serving(
    context: ssl.SSLContext, beside: Coroutine[Any, Any, None] | None = None
) -> AsyncIterator[int]:
    """`hello` over HTTPS; the port. Stopped by the signal that stops the real server."""
    listener = listen("127.0.0.1", 0)
    port = listener.getsockname()[1]
    with stopping() as stop:
        task = asyncio.create_task(run([Part(hello, listener, context)], stop, beside=beside))
        try:
            await _answers(port, task)
            yield port
        finally:
            signal.raise_signal(signal.SIGTERM)
            await task


class Connection:
    """One connection, kept open; `certificate` is what the server showed on it."""

    def __init__(self, reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
        self._reader, self._writer = reader, writer
        der = writer.get_extra_info("ssl_object").getpeercert(binary_form=True)
        self.certificate = x509.load_der_x509_certificate(der)

    async def ask(self) -> bytes:
        """The body of an answer to GET /."""
        self._writer.write(b"GET / HTTP/1.1\r\nHost: nubbin.local\r\n\r\n")
        await self._writer.drain()
        head = await self._reader.readuntil(b"\r\n\r\n")
        assert head.startswith(b"HTTP/1.1 200"), head
        return await self._reader.readexactly(5)

    async def close(self) -> None:
        self._writer.close()
        await self._writer.wait_closed()


async def connect(port: int, root: Authority) -> Connection:
    """A connection of a client that trusts `root` alone and wants nubbin.local."""
    context = ssl.create_default_context(cadata=pem(root.pair.certificate).decode())
    reader, writer = await asyncio.open_connection(
        "127.0.0.1", port, ssl=context, server_hostname="nubbin.local"
    )
    return Connection(reader, writer)


async def _answers(port: int, task: asyncio.Task[None]) -> None:
    """The socket listens before the server takes connections from it: wait for a first byte."""
    unchecked = ssl.create_default_context()
    unchecked.check_hostname, unchecked.verify_mode = False, ssl.CERT_NONE
    _, writer = await asyncio.open_connection("127.0.0.1", port, ssl=unchecked)
    assert not task.done()
    writer.close()
    await writer.wait_closed()
