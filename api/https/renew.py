"""The certificate in use: renewed, or read again from its files, while the server runs.

A new certificate is loaded into the TLS context that the server listens with. New connections get
it; open ones keep what they began with.
"""

import asyncio
import logging
import ssl
from collections.abc import Awaitable, Callable
from datetime import datetime
from pathlib import Path
from typing import Protocol

from api.https.authority import Authority, keep_authority
from api.https.leaf import keep_leaf, leaf_path
from api.https.names import Place
from api.https.pem import Pair, check_time, now_utc, read_pair
from api.start_errors import BadCertificate, UnreadableKeyFile

EVERY_S = 60.0
Clock = Callable[[], datetime]
_log = logging.getLogger("nubbin")


class Certificates(Protocol):
    """What a server over HTTPS holds: `context` is given to it, `pair` is what it shows now.

    is_new   whether it was issued as this server started
    trouble  why the last renewal failed; empty when all is well
    """

    context: ssl.SSLContext
    pair: Pair
    is_new: bool
    trouble: str

    def refresh(self) -> bool:
        """Take a newer certificate if there is or should be one. Raises BadCertificate."""


class OwnCertificates:
    """From the farm's own authority; made on the first start. Raises BadCertificate."""

    def __init__(
        self, data: Path, place: Callable[[], Place], constrained: bool, clock: Clock = now_utc
    ) -> None:
        self._data, self._place, self._clock = data, place, clock
        self.context, self.trouble = server_context(), ""
        here = place()
        self.authority: Authority = keep_authority(data, here.names, constrained, clock())
        self.pair, self.is_new = keep_leaf(data, self.authority, here, clock())
        load(self.context, leaf_path(data), leaf_path(data))

    def refresh(self) -> bool:
        """Issue a new one where time or the machine's names ask for it."""
        pair, issued = keep_leaf(self._data, self.authority, self._place(), self._clock())
        if issued:
            load(self.context, leaf_path(self._data), leaf_path(self._data))
            self.pair = pair
        self.trouble = ""
        return issued


class FileCertificates:
    """From files of somebody else's making. Raises BadCertificate."""

    def __init__(self, cert: Path, key: Path, clock: Clock = now_utc) -> None:
        self._cert, self._key, self._clock = cert, key, clock
        self.context, self.trouble = server_context(), ""
        self._seen, self.is_new = self._stamp(), False
        self.pair = self._checked()
        load(self.context, cert, key)

    def refresh(self) -> bool:
        """Take changed files, if they are right; what is in use stays in use if they are not."""
        stamp = self._stamp()
        if stamp == self._seen:
            return False
        self._seen = stamp
        pair = self._checked()
        load(server_context(), self._cert, self._key)
        load(self.context, self._cert, self._key)
        self.pair, self.trouble = pair, ""
        return True

    def _checked(self) -> Pair:
        pair = read_pair(self._cert, self._key)
        check_time(pair, self._cert, self._clock())
        return pair

    def _stamp(self) -> tuple[tuple[int, int, int] | None, ...]:
        return tuple(_stamp(path) for path in (self._cert, self._key))


async def look_after(
    turn: Callable[[], Awaitable[None]],
    every_s: float = EVERY_S,
    sleep: Callable[[float], Awaitable[None]] = asyncio.sleep,
) -> None:
    """Do `turn` again and again for as long as the server runs."""
    while True:
        await sleep(every_s)
        await turn()


async def refresh(certificates: Certificates, told: Callable[[Pair], Awaitable[None]]) -> None:
    """Take a new certificate if there should be one; `told` hears of it.

    What goes wrong is logged once and kept in `trouble`: the old certificate stays in use.
    """
    try:
        if certificates.refresh():
            _log.warning("A new certificate is in use until %s.", certificates.pair.until)
            await told(certificates.pair)
    except BadCertificate as error:
        if str(error) != certificates.trouble:
            certificates.trouble = str(error)
            _log.warning("The certificate could not be renewed. %s", error)


def server_context() -> ssl.SSLContext:
    """TLS 1.2 and newer, with the ciphers that Python holds safe; no certificate yet."""
    context = ssl.create_default_context(ssl.Purpose.CLIENT_AUTH)
    context.minimum_version = ssl.TLSVersion.TLSv1_2
    return context


def load(context: ssl.SSLContext, cert: Path, key: Path) -> None:
    """Put a certificate into a context. Raises UnreadableKeyFile."""
    try:
        context.load_cert_chain(cert, key)
    except (ssl.SSLError, OSError) as error:
        raise UnreadableKeyFile(
            f"The certificate in {cert} with the key in {key} cannot be used for HTTPS "
            f"({error.strerror or error}). Give a PEM certificate with its chain and an RSA key "
            "of at least 2048 bits or a P-256 key."
        ) from error


def _stamp(path: Path) -> tuple[int, int, int] | None:
    try:
        found = path.stat()
    except OSError:
        return None
    return found.st_mtime_ns, found.st_size, found.st_ino
