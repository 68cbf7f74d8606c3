"""`nubbin serve` as its own process, with HTTPS or behind a proxy, and what it printed."""

import re
import ssl
import subprocess
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

import httpx

from tests.server.running import free_port, started

SAME_ORIGIN = {"Sec-Fetch-Site": "same-origin"}
OPEN = re.compile(r"Open (https?://[^/]+)(?:/sign-in#([\w-]{43}))?")
OWN_LINES = 8
"""The link, a word on links, the first page, and the fingerprint in five lines."""


@dataclass
class Served:
    """A running server. `base` is the address that it told; requests go to this machine."""

    process: subprocess.Popen[str]
    base: str
    token: str | None
    http_port: int
    https_port: int
    printed: list[str]

    def http(self, host: str = "nubbin.local", **headers: str) -> httpx.Client:
        """A client of the HTTP port that names `host` as where it wants to go."""
        base = f"http://127.0.0.1:{self.http_port}"
        return httpx.Client(base_url=base, headers={"Host": host, **SAME_ORIGIN, **headers})

    def https(self, root: bytes | str) -> httpx.Client:
        """A client of the HTTPS port that trusts the authority `root` (DER or PEM) alone."""
        context = ssl.create_default_context(cadata=root)
        return httpx.Client(
            base_url=f"https://127.0.0.1:{self.https_port}", headers=SAME_ORIGIN, verify=context
        )

    def sign_in(self, client: httpx.Client) -> str:
        """Use the printed link; the cookie is kept by hand, and its Set-Cookie line returned."""
        body = {"token": self.token, "device_name": "phone"}
        answer = client.post("/api/access/claim", json=body)
        assert answer.status_code == 200, answer.text
        client.headers["Cookie"] = answer.headers["set-cookie"].split(";")[0]
        return str(answer.headers["set-cookie"])

    def stop(self, number: int) -> list[str]:
        """Send a signal; what else was printed, once the server has ended in order."""
        self.process.send_signal(number)
        rest, errors = self.process.stdout.read(), self.process.stderr.read()
        assert (self.process.wait(timeout=30), "Traceback" in errors) == (0, False), errors
        return rest.splitlines()


@contextmanager
def serving(data: Path, *options: str, lines: int = OWN_LINES) -> Iterator[Served]:
    """Start it on free ports; stopped at the end if it still runs."""
    ports = free_port(), free_port()
    choice = ("--port", str(ports[0]), "--https-port", str(ports[1]))
    with started("serve", "--data", data, *choice, *options) as (process, line):
        found = OPEN.fullmatch(line)
        assert found, line or process.communicate()[1]
        printed = [line, *(process.stdout.readline().strip() for _ in range(lines - 1))]
        yield Served(process, found[1], found[2], *ports, printed)
