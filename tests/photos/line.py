"""A phone on a bad line to a real server: requests as raw bytes, so that any can be cut."""

import json
import re
import socket
import struct
import time
from typing import Any

import httpx

PART = 256 * 1024


class Line:
    """Signed in by a link's token. `sent` counts the bytes of photos that left the phone."""

    def __init__(self, base: str, token: str) -> None:
        host, port = base.removeprefix("http://").split(":")
        self.base, self.at, self.sent = base, (host, int(port)), 0
        claimed = httpx.post(
            f"{base}/api/access/claim", json={"token": token, "device_name": "phone"},
            headers={"Sec-Fetch-Site": "same-origin"},
        )  # fmt: skip
        assert claimed.status_code == 200, claimed.text
        self.cookie = claimed.headers["set-cookie"].split(";")[0]

    def get(self, path: str) -> httpx.Response:
        return httpx.get(f"{self.base}{path}", headers={"Cookie": self.cookie}, timeout=60)

    def state(self, name: str) -> dict[str, Any]:
        answer = self.get(f"/api/photos/{name}/state")
        assert answer.status_code == 200, answer.text
        found: dict[str, Any] = answer.json()
        return found

    def part(self, name: str, offset: int, body: bytes) -> tuple[int, dict[str, Any]]:
        """Send a part whole; the status and body of the answer."""
        with self._begin(name, offset, len(body)) as connection:
            connection.sendall(body)
            self.sent += len(body)
            answer = _read(connection)
        head, _, text = answer.partition(b"\r\n\r\n")
        return int(head.split(b" ")[1]), json.loads(text)

    def cut(
        self, name: str, offset: int, body: bytes, after: int, *, lost: int = 0, reset: bool = False
    ) -> None:
        """Begin to send a part and lose the line after so many bytes, politely or not.

        lost    bytes more that left the phone and were still on their way: they never arrive
        """
        with self._begin(name, offset, len(body)) as connection:
            connection.sendall(body[:after])
            self.sent += after + lost
            self._until(name, offset + after)
            if reset:
                linger = struct.pack("ii", 1, 0)
                connection.setsockopt(socket.SOL_SOCKET, socket.SO_LINGER, linger)

    def _until(self, name: str, received: int) -> None:
        """Let what was sent get through before the line is lost; not for ever, if it does not."""
        for _ in range(500):
            if self.state(name)["received"] >= received:
                return
            time.sleep(0.02)

    def _begin(self, name: str, offset: int, length: int) -> socket.socket:
        connection = socket.create_connection(self.at, timeout=60)
        head = (
            f"PATCH /api/photos/{name} HTTP/1.1\r\nHost: {self.at[0]}:{self.at[1]}\r\n"
            f"Cookie: {self.cookie}\r\nSec-Fetch-Site: same-origin\r\nConnection: close\r\n"
            f"Content-Type: application/offset+octet-stream\r\nUpload-Offset: {offset}\r\n"
            f"Content-Length: {length}\r\n\r\n"
        )
        connection.sendall(head.encode())
        return connection


def _read(connection: socket.socket) -> bytes:
    """The whole answer of a server that closes behind it."""
    found = b""
    while more := connection.recv(65536):
        found += more
    return found


def link(line: str) -> tuple[str, str]:
    """The address and the token that `nubbin serve` prints at its first start."""
    found = re.fullmatch(r"Open (http://[^/]+)/sign-in#([\w-]{43})", line)
    assert found, line
    return found[1], found[2]
