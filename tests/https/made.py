"""An authority, certificates and a clock for the tests, and OpenSSL as an independent verifier."""

import ipaddress
import shutil
import subprocess
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from cryptography import x509
from cryptography.hazmat.primitives.serialization import Encoding

from api.https.authority import Authority, make_authority
from api.https.local import address
from api.https.names import Place
from api.https.pem import Pair, write_pair
from api.https.reach import Reach
from api.https.renew import OwnCertificates
from api.settings import Settings

NOW = datetime(2026, 3, 1, 9, 0, tzinfo=UTC)
PLACE = Place(
    chosen="nubbin.local",
    names=("nubbin.local", "farmbox", "localhost"),
    addresses=tuple(map(ipaddress.ip_address, ("192.168.1.5", "127.0.0.1", "::1"))),
    announced=None,
)


def place(chosen: str, announced: str | None = None) -> Place:
    """The same machine under another chosen name, an address, or none."""
    others = tuple(name for name in PLACE.names if name != PLACE.chosen)
    names = others if not chosen or address(chosen) else (chosen, *others)
    return replace(PLACE, chosen=chosen, names=names, announced=announced)


@dataclass
class Clock:
    """A clock that a test moves."""

    now: datetime = NOW

    def __call__(self) -> datetime:
        return self.now

    def on(self, **step: float) -> None:
        self.now += timedelta(**step)


def authority(*, constrained: bool = True, now: datetime = NOW) -> Authority:
    return Authority(make_authority(("farmbox",), constrained, now))


def pem(certificate: x509.Certificate) -> bytes:
    return certificate.public_bytes(Encoding.PEM)


def write_files(folder: Path, pair: Pair) -> tuple[Path, Path]:
    """A certificate and its key in two files, as other programs write them."""
    write_pair(folder / "both.pem", pair)
    key, _, _ = (folder / "both.pem").read_bytes().partition(b"-----BEGIN CERTIFICATE-----")
    (folder / "cert.pem").write_bytes(pem(pair.certificate))
    (folder / "key.pem").write_bytes(key)
    return folder / "cert.pem", folder / "key.pem"


def openssl_takes(folder: Path, root: Pair, leaf: Pair, name: str, at: datetime = NOW) -> str:
    """'OK', or the reason that `openssl verify` gives. A second verifier than the one we use."""
    program = shutil.which("openssl")
    if program is None:
        pytest.skip("the program openssl is not installed here")
    (folder / "root.pem").write_bytes(pem(root.certificate))
    (folder / "leaf.pem").write_bytes(pem(leaf.certificate))
    is_ip = name.replace(".", "").isdigit() or ":" in name
    ran = subprocess.run(
        [program, "verify", "-x509_strict", "-purpose", "sslserver",
         "-attime", str(int(at.timestamp())), "-verify_ip" if is_ip else "-verify_hostname", name,
         "-CAfile", str(folder / "root.pem"), str(folder / "leaf.pem")],
        capture_output=True, text=True, check=False,
    )  # fmt: skip
    if ran.returncode == 0:
        return "OK"
    [reason] = [line for line in ran.stderr.splitlines() if " lookup: " in line]
    return reason.partition(" lookup: ")[2]


def reach(data: Path, *, constrained: bool = True, **settings: Any) -> Reach:
    """How a server of the data folder is reached, with the farm's own authority unless told."""
    chosen = {"host": "0.0.0.0", "https": "own", "name": "nubbin.local"} | settings
    clock, here = Clock(), place(chosen["name"])
    certificates = (
        OwnCertificates(data, lambda: here, constrained, clock)
        if chosen["https"] == "own"
        else None
    )
    return Reach(Settings(data, **chosen), lambda: here, 8000, 8443, certificates, clock)
