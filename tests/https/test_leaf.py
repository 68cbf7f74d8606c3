"""The server's certificate: what stands in it, and when it is issued again."""

import stat
from datetime import timedelta
from pathlib import Path

import pytest
from cryptography import x509
from cryptography.x509.oid import ExtendedKeyUsageOID

from api.https.authority import Authority
from api.https.leaf import RENEW_BEFORE, covered, issue, keep_leaf, leaf_path, why_renew
from api.https.names import Place
from api.https.pem import names_in
from tests.https.made import NOW, PLACE, Clock, authority

NAMES = ("nubbin.local", "farmbox", "localhost", "192.168.1.5", "127.0.0.1", "::1")


@pytest.fixture
def root() -> Authority:
    return authority()


def test_what_stands_in_it(root: Authority):
    leaf = issue(root, NAMES, NOW).certificate
    value = leaf.extensions.get_extension_for_class
    assert names_in(leaf) == NAMES
    assert list(value(x509.ExtendedKeyUsage).value) == [ExtendedKeyUsageOID.SERVER_AUTH]
    assert (value(x509.BasicConstraints).value.ca, value(x509.KeyUsage).value.key_cert_sign) == (
        False, False,
    )  # fmt: skip
    assert leaf.not_valid_after_utc - leaf.not_valid_before_utc == timedelta(days=397)
    assert leaf.not_valid_before_utc == NOW - timedelta(days=1), "for phones whose clock is behind"
    assert leaf.issuer == root.pair.certificate.subject


def test_each_has_its_own_key_and_number(root: Authority):
    one, other = (issue(root, NAMES, NOW) for _ in range(2))
    assert one.certificate.serial_number != other.certificate.serial_number
    assert one.certificate.public_key() != other.certificate.public_key()


def test_it_is_kept_until_60_days_before_its_end(tmp_path: Path, root: Authority):
    clock = Clock()
    first, issued = keep_leaf(tmp_path, root, PLACE, clock())
    assert issued
    clock.now = first.until - RENEW_BEFORE - timedelta(seconds=1)
    assert keep_leaf(tmp_path, root, PLACE, clock())[1] is False
    clock.on(seconds=1)
    second, issued = keep_leaf(tmp_path, root, PLACE, clock())
    assert issued
    assert second.until == clock() + timedelta(days=396)
    kept, issued = keep_leaf(tmp_path, root, PLACE, clock())
    assert (kept.certificate, issued) == (second.certificate, False)


def test_a_new_name_or_address_is_taken_in_and_a_lost_one_harms_nothing(
    tmp_path: Path, root: Authority
):
    keep_leaf(tmp_path, root, PLACE, NOW)
    fewer = Place("nubbin.local", ("nubbin.local",), PLACE.addresses[:1], None)
    assert keep_leaf(tmp_path, root, fewer, NOW)[1] is False
    more = Place("reef.lan", ("reef.lan", *PLACE.names), PLACE.addresses, None)
    pair, issued = keep_leaf(tmp_path, root, more, NOW)
    assert (issued, names_in(pair.certificate)) == (True, ("reef.lan", *NAMES))


def test_a_name_that_may_not_be_vouched_for_is_left_out_and_asks_for_no_renewal(
    tmp_path: Path, root: Authority
):
    place = Place("farm.example", ("farm.example", "farmbox"), PLACE.addresses[:1], None)
    assert covered(root, place) == ("farmbox", "192.168.1.5")
    assert keep_leaf(tmp_path, root, place, NOW)[1] is True
    assert keep_leaf(tmp_path, root, place, NOW)[1] is False


def test_it_never_outlives_its_authority_and_is_not_renewed_for_nothing(
    tmp_path: Path, root: Authority
):
    clock = Clock(root.pair.until - timedelta(days=100))
    leaf, _ = keep_leaf(tmp_path, root, PLACE, clock())
    assert leaf.until == root.pair.until
    clock.on(days=99)
    assert keep_leaf(tmp_path, root, PLACE, clock())[1] is False


def test_why(root: Authority):
    leaf = issue(root, NAMES, NOW)
    reasons = [
        why_renew(leaf, root, NAMES, NOW),
        why_renew(leaf, authority(), NAMES, NOW),
        why_renew(leaf, root, (*NAMES, "reef.lan"), NOW),
        why_renew(leaf, root, NAMES, NOW - timedelta(days=2)),
        why_renew(leaf, root, NAMES, leaf.until + timedelta(days=1)),
    ]
    assert reasons == [None, "authority", "names", "clock", "time"]


@pytest.mark.parametrize("content", [b"", b"no certificate", None])
def test_an_unreadable_one_is_issued_again(tmp_path: Path, root: Authority, content: bytes | None):
    keep_leaf(tmp_path, root, PLACE, NOW)
    path = leaf_path(tmp_path)
    path.unlink() if content is None else path.write_bytes(content)
    assert keep_leaf(tmp_path, root, PLACE, NOW)[1] is True
    assert stat.S_IMODE(path.stat().st_mode) == 0o600
    assert sorted(file.name for file in path.parent.iterdir()) == ["server.pem"]
