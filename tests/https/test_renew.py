"""A certificate is swapped while the server runs: new connections see it, open ones go on."""

import asyncio
from collections.abc import Coroutine
from datetime import UTC, datetime, timedelta
from functools import partial
from pathlib import Path
from typing import Any

import pytest
from cryptography.hazmat.primitives.serialization import (
    BestAvailableEncryption,
    Encoding,
    PrivateFormat,
)

from api.https.leaf import issue, leaf_path
from api.https.names import Place
from api.https.pem import Pair, names_in, now_utc, read_pair, write_pair
from api.https.renew import Certificates, FileCertificates, OwnCertificates, look_after, refresh
from api.start_errors import CertificateEnded, KeyDoesNotFit, UnreadableKeyFile
from tests.https.made import PLACE, Clock, authority, pem, write_files
from tests.https.running import Gate, connect, serving

pytestmark = pytest.mark.anyio


class Told:
    """Whom `refresh` tells of a new certificate."""

    def __init__(self) -> None:
        self.serials: list[int] = []

    async def __call__(self, pair: Pair) -> None:
        self.serials.append(pair.certificate.serial_number)


def tended(certificates: Certificates, told: Told, gate: Gate) -> Coroutine[Any, Any, None]:
    """What runs beside the server, a turn whenever the test says so."""
    return look_after(partial(refresh, certificates, told), 1, gate.wait)


def own(data: Path, clock: Clock, place: list[Place]) -> OwnCertificates:
    return OwnCertificates(data, lambda: place[0], True, clock)


async def test_renewed_60_days_before_its_end_without_a_restart(tmp_path: Path):
    # 350 days ago by the clock of the server, so that the client's own clock takes both.
    clock = Clock(now_utc() - timedelta(days=350))
    certificates, gate, told = own(tmp_path, clock, [PLACE]), Gate(), Told()
    fresh = tended(certificates, told, gate)
    async with serving(certificates.context, fresh) as port:
        old = await connect(port, certificates.authority)
        assert await old.ask() == b"hello"
        await gate.turn()
        same = await connect(port, certificates.authority)
        assert same.certificate == old.certificate, "not yet: it has 396 days left"

        clock.on(days=350)
        await gate.turn()
        new = await connect(port, certificates.authority)
        assert new.certificate.serial_number != old.certificate.serial_number
        assert told.serials == [new.certificate.serial_number]
        assert new.certificate == certificates.pair.certificate
        assert new.certificate.not_valid_after_utc > now_utc() + timedelta(days=390)
        assert [await one.ask() for one in (new, old, same, old)] == [b"hello"] * 4
        for one in (old, same, new):
            await one.close()


async def test_renewed_when_the_machine_is_given_another_address(tmp_path: Path):
    place = [PLACE]
    certificates = own(tmp_path, Clock(now_utc()), place)
    gate, told = Gate(), Told()
    async with serving(certificates.context, tended(certificates, told, gate)) as port:
        place[0] = Place("nubbin.local", ("nubbin.local", "reef.lan"), PLACE.addresses, None)
        await gate.turn()
        new = await connect(port, certificates.authority)
        assert "reef.lan" in names_in(new.certificate)
        assert len(told.serials) == 1
        await new.close()


async def test_a_renewal_that_fails_is_said_once_and_the_old_one_serves_on(
    tmp_path: Path, caplog: pytest.LogCaptureFixture
):
    clock = Clock(now_utc())
    certificates = own(tmp_path, clock, [PLACE])
    gate, told = Gate(), Told()
    async with serving(certificates.context, tended(certificates, told, gate)) as port:
        leaf_path(tmp_path).unlink()
        leaf_path(tmp_path).mkdir()
        await gate.turn()
        await gate.turn()
        assert "cannot be written" in certificates.trouble
        assert len([r for r in caplog.records if "could not be renewed" in r.message]) == 1
        connection = await connect(port, certificates.authority)
        assert await connection.ask() == b"hello"
        await connection.close()
        leaf_path(tmp_path).rmdir()
        await gate.turn()
        assert (certificates.trouble, len(told.serials)) == ("", 1)


async def test_a_restart_keeps_the_certificate(tmp_path: Path):
    clock = Clock()
    first = own(tmp_path, clock, [PLACE])
    second = own(tmp_path, clock, [PLACE])
    assert (first.is_new, second.is_new) == (True, False)
    assert first.pair.certificate == second.pair.certificate


async def test_own_files_are_read_again_when_they_change(tmp_path: Path):
    root = authority(now=now_utc())
    first, second = (issue(root, ("nubbin.local",), now_utc()) for _ in range(2))
    certificates = FileCertificates(*write_files(tmp_path, first))
    gate, told = Gate(), Told()
    async with serving(certificates.context, tended(certificates, told, gate)) as port:
        old = await connect(port, root)
        await gate.turn()
        assert told.serials == []

        # Caught between the two files: the old pair stays in use.
        (tmp_path / "cert.pem").write_bytes(pem(second.certificate))
        await gate.turn()
        assert "does not belong to the certificate" in certificates.trouble
        between = await connect(port, root)
        assert between.certificate == first.certificate

        write_files(tmp_path, second)
        await gate.turn()
        new = await connect(port, root)
        assert new.certificate == second.certificate
        assert (told.serials, certificates.trouble) == ([second.certificate.serial_number], "")
        assert await old.ask() == b"hello"
        for one in (old, between, new):
            await one.close()


@pytest.mark.parametrize(
    ("case", "error", "words"),
    [
        ("no file", UnreadableKeyFile, "cert.pem cannot be read: No such file"),
        ("no certificate", UnreadableKeyFile, "holds no certificate that can be read"),
        ("no key", UnreadableKeyFile, "holds no private key that can be read"),
        ("locked", UnreadableKeyFile, "is locked with a password"),
        ("other key", KeyDoesNotFit, "does not belong to the certificate"),
        ("ended", CertificateEnded, "ended on 2020-"),
        ("not yet", CertificateEnded, "Set the clock right"),
    ],
)
async def test_files_that_cannot_be_used(tmp_path: Path, case: str, error: type, words: str):
    now = {"ended": datetime(2019, 1, 1, tzinfo=UTC), "not yet": datetime(2100, 1, 1, tzinfo=UTC)}
    root = authority(now=now.get(case, now_utc()))
    pair = issue(root, ("nubbin.local",), now.get(case, now_utc()))
    cert, key = write_files(tmp_path, pair)
    if case == "no file":
        cert.unlink()
    if case == "no certificate":
        cert.write_bytes(b"-----BEGIN CERTIFICATE-----\nAAAA\n-----END CERTIFICATE-----\n")
    if case == "no key":
        key.write_bytes(b"nothing")
    if case == "locked":
        key.write_bytes(_locked(pair))
    if case == "other key":
        other = tmp_path / "other"
        other.mkdir()
        _, key = write_files(other, issue(root, ("nubbin.local",), now_utc()))
    with pytest.raises(error, match=words):
        FileCertificates(cert, key)


async def test_what_is_written_is_what_is_read(tmp_path: Path):
    pair = issue(authority(), ("nubbin.local",), Clock().now)
    write_pair(tmp_path / "both.pem", pair)
    read = await asyncio.to_thread(read_pair, tmp_path / "both.pem", tmp_path / "both.pem")
    assert read.certificate == pair.certificate


def _locked(pair: Pair) -> bytes:
    locked = BestAvailableEncryption(b"word")
    return pair.key.private_bytes(Encoding.PEM, PrivateFormat.PKCS8, locked)
