"""A gateway between phone and server that can lose its server: then it answers 502 with a page."""

import asyncio
import contextlib
import threading
from collections.abc import Coroutine
from typing import Any

PAGE = b"<html><h1>Bad gateway</h1></html>"
ANSWER = (
    b"HTTP/1.1 502 Bad Gateway\r\nContent-Type: text/html\r\nConnection: close\r\n"
    b"Content-Length: " + str(len(PAGE)).encode() + b"\r\n\r\n" + PAGE
)


class Gateway:
    """Passes bytes on to `port` of this machine while `up`. `answered` counts its own answers."""

    def __init__(self, port: int) -> None:
        self.behind, self.up, self.answered = port, True, 0
        self.open: set[asyncio.StreamWriter] = set()
        self.loop = asyncio.new_event_loop()
        self.thread = threading.Thread(target=self.loop.run_forever, daemon=True)
        self.thread.start()
        self.server = self._run(asyncio.start_server(self._serve, "127.0.0.1", 0))
        self.base = f"http://127.0.0.1:{self.server.sockets[0].getsockname()[1]}"

    def set(self, *, up: bool) -> None:
        """Find or lose the server, open connections included."""

        async def change() -> None:
            self.up = up
            for writer in self.open:
                writer.close()

        self._run(change())

    def stop(self) -> None:
        self.set(up=False)
        self.loop.call_soon_threadsafe(self.loop.stop)
        self.thread.join(20)

    def _run(self, work: Coroutine[Any, Any, Any]) -> Any:
        return asyncio.run_coroutine_threadsafe(work, self.loop).result(20)

    async def _serve(self, reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
        self.open.add(writer)
        try:
            if self.up:
                ahead, back = await asyncio.open_connection("127.0.0.1", self.behind)
                self.open.add(back)
                await asyncio.gather(_pass(reader, back), _pass(ahead, writer))
                self.open.discard(back)
            elif await _one_request(reader):
                self.answered += 1
                writer.write(ANSWER)
                await writer.drain()
        finally:
            self.open.discard(writer)
            writer.close()


async def _pass(reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
    with contextlib.suppress(ConnectionError):
        while part := await reader.read(65536):
            writer.write(part)
            await writer.drain()
    writer.close()


async def _one_request(reader: asyncio.StreamReader) -> bool:
    """Read a request to its end; False where the other side only closed the connection."""
    try:
        head = await reader.readuntil(b"\r\n\r\n")
    except asyncio.IncompleteReadError:
        return False
    for line in head.lower().split(b"\r\n"):
        if line.startswith(b"content-length:"):
            await reader.readexactly(int(line.partition(b":")[2]))
    return True
