"""HTTP/1.1 as far as the gateway needs it (RFC 9112): a request, its answer, half an answer."""

import asyncio
import gzip
from dataclasses import dataclass

import brotli


@dataclass(frozen=True)
class Request:
    """`head` is the request line and the headers, each with its line's end."""

    method: str
    path: str
    head: bytes
    body: bytes

    def header(self, name: str) -> str | None:
        """A header's value; `name` in small letters."""
        return _header(self.head, name.encode())

    def without(self, name: str) -> bytes:
        """The head without one header."""
        return _without(self.head, name)


def page(status: int, html: str) -> bytes:
    """A whole answer with a page that is not the server's."""
    body = html.encode()
    return (
        f"HTTP/1.1 {status} Somebody Else\r\nContent-Type: text/html\r\nConnection: close\r\n"
        f"Content-Length: {len(body)}\r\n\r\n"
    ).encode() + body


async def read_request(reader: asyncio.StreamReader) -> Request | None:
    """Read a request to its end; None where the other side only closed the connection."""
    try:
        head = await reader.readuntil(b"\r\n\r\n")
        length = int(_header(head, b"content-length") or 0)
        body = await reader.readexactly(length)
    except asyncio.IncompleteReadError:
        return None
    method, path, _ = head.split(b" ", 2)
    return Request(method.decode(), path.decode(), head[:-2], body)


async def ask(port: int, request: Request) -> bytes | None:
    """Pass a request on and read the answer to its end; None where no server answered.

    What comes back tells the other side that its connection ends with it.
    """
    try:
        reader, writer = await asyncio.open_connection("127.0.0.1", port)
        # Not to be closed by a server that answers before it has read the whole body.
        writer.write(request.without("connection") + b"\r\n" + request.body)
        head = await reader.readuntil(b"\r\n\r\n")
        body = await _body(reader, request.method, head)
        writer.close()
    except (ConnectionError, asyncio.IncompleteReadError):
        return None
    return _without(head[:-2], "connection") + b"Connection: close\r\n\r\n" + body


async def begin(port: int, request: Request, stop: int) -> None:
    """Pass on a request's head and the first bytes of its body, then end the connection."""
    _, writer = await asyncio.open_connection("127.0.0.1", port)
    writer.write(request.without("connection") + b"\r\n" + request.body[:stop])
    await writer.drain()
    writer.close()


async def _body(reader: asyncio.StreamReader, method: str, head: bytes) -> bytes:
    status = int(head.split(b" ", 2)[1])
    if method == "HEAD" or status in (204, 304):
        return b""
    if (length := _header(head, b"content-length")) is not None:
        return await reader.readexactly(int(length))
    if _header(head, b"transfer-encoding") != "chunked":
        return await reader.read(-1)
    parts = b""
    while not parts.endswith(b"\r\n0\r\n\r\n") and parts != b"0\r\n\r\n":
        size = await reader.readuntil(b"\r\n")
        parts += size + await reader.readexactly(int(size, 16) + 2)
    return parts


def half(answer: bytes, *, well_formed: bool) -> bytes:
    """Half of an answer's body: with its length put right, or as if the line had gone dead."""
    head, _, body = answer.partition(b"\r\n\r\n")
    short = decoded(answer)[: len(decoded(answer)) // 2]
    if not well_formed:
        return head + b"\r\n\r\n" + body[: len(body) // 2]
    status = head.split(b"\r\n", 1)[0]
    return (
        status + b"\r\nContent-Type: application/json\r\nConnection: close\r\nContent-Length: "
        + str(len(short)).encode() + b"\r\n\r\n" + short
    )  # fmt: skip


def decoded(answer: bytes) -> bytes:
    """An answer's body without chunks and compression."""
    head, _, body = answer.partition(b"\r\n\r\n")
    if _header(head, b"transfer-encoding") == "chunked":
        body = _joined(body)
    packing = _header(head, b"content-encoding")
    if packing == "br":
        return bytes(brotli.decompress(body))
    return gzip.decompress(body) if packing == "gzip" else body


def _joined(chunks: bytes) -> bytes:
    whole, rest = b"", chunks
    while rest:
        size, _, rest = rest.partition(b"\r\n")
        length = int(size, 16)
        whole, rest = whole + rest[:length], rest[length + 2 :]
        if length == 0:
            break
    return whole


def _without(head: bytes, name: str) -> bytes:
    lines = head.split(b"\r\n")
    start = f"{name}:".encode()
    return b"\r\n".join(line for line in lines if not line.lower().startswith(start))


def _header(head: bytes, name: bytes) -> str | None:
    for line in head.split(b"\r\n"):
        found, colon, value = line.partition(b":")
        if colon and found.strip().lower() == name:
            return value.decode().strip()
    return None
