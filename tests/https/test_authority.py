"""The farm's own authority: what it may vouch for, judged by two verifiers that are not ours."""

import ipaddress
import stat
from datetime import timedelta
from pathlib import Path

import pytest
from cryptography import x509
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.verification import PolicyBuilder, Store, VerificationError

from api.https.authority import Authority, keep_authority
from api.https.leaf import issue
from api.https.local import address
from api.start_errors import AuthorityEnded, CertificateEnded, KeyDoesNotFit, UnreadableKeyFile
from tests.https.made import NOW, authority, openssl_takes, pem

INSIDE = [
    "nubbin.local", "coral.lan", "a.b.home.arpa", "farm.internal", "farmbox", "localhost",
    "10.0.0.1", "172.31.255.254", "192.168.1.5", "127.0.0.1", "fd12::5", "fe80::1", "::1",
]  # fmt: skip
OUTSIDE = [
    "bank.example", "nubbin.local.example.com", "notlocal", "example.com", "172.32.0.1",
    "193.168.1.5", "8.8.8.8", "2001:db8::1",
]  # fmt: skip


def cryptography_takes(root: Authority, leaf: x509.Certificate, name: str) -> bool:
    """The verifier of the library `cryptography` (RFC 5280 and the Baseline Requirements)."""
    ip = address(name)
    subject = x509.DNSName(name) if ip is None else x509.IPAddress(ip)
    store = Store([root.pair.certificate])
    verifier = PolicyBuilder().store(store).time(NOW).build_server_verifier(subject)
    try:
        verifier.verify(leaf, [])
    except VerificationError:
        return False
    return True


@pytest.mark.parametrize("name", INSIDE)
def test_a_local_name_is_vouched_for(tmp_path: Path, name: str):
    root = authority()
    leaf = issue(root, (name,), NOW)
    assert root.covers(name)
    assert cryptography_takes(root, leaf.certificate, name)
    assert openssl_takes(tmp_path, root.pair, leaf, name) == "OK"


@pytest.mark.parametrize("name", OUTSIDE)
def test_a_name_outside_is_refused_even_if_it_was_signed(tmp_path: Path, name: str):
    root = authority()
    leaf = issue(root, (name,), NOW)
    assert not root.covers(name)
    assert not cryptography_takes(root, leaf.certificate, name)
    assert openssl_takes(tmp_path, root.pair, leaf, name) == "permitted subtree violation"


def test_a_local_name_does_not_carry_a_public_one_along(tmp_path: Path):
    root = authority()
    leaf = issue(root, ("nubbin.local", "bank.example"), NOW)
    assert not cryptography_takes(root, leaf.certificate, "nubbin.local")
    reason = openssl_takes(tmp_path, root.pair, leaf, "nubbin.local")
    assert reason == "permitted subtree violation"


def test_without_constraints_any_name_is_vouched_for(tmp_path: Path):
    root = authority(constrained=False)
    leaf = issue(root, ("farm.example.com", "203.0.113.9"), NOW)
    assert (root.constraints, root.covers("farm.example.com")) == (None, True)
    for name in ("farm.example.com", "203.0.113.9"):
        assert cryptography_takes(root, leaf.certificate, name)
        assert openssl_takes(tmp_path, root.pair, leaf, name) == "OK"


def test_what_it_says_of_itself():
    certificate = authority().pair.certificate
    found = {extension.oid._name: extension.value for extension in certificate.extensions}
    usage = found["keyUsage"]
    assert (found["basicConstraints"].ca, found["basicConstraints"].path_length) == (True, 0)
    assert (usage.key_cert_sign, usage.crl_sign, usage.digital_signature) == (True, True, False)
    assert all(
        extension.critical
        for extension in certificate.extensions
        if extension.oid._name != "subjectKeyIdentifier"
    )
    assert found["nameConstraints"].excluded_subtrees is None
    assert isinstance(certificate.public_key().curve, ec.SECP256R1)
    assert certificate.not_valid_after_utc - NOW == timedelta(days=3652)
    assert certificate.not_valid_before_utc < NOW


def test_it_is_made_once_and_only_this_user_reads_it(tmp_path: Path):
    first = keep_authority(tmp_path, (), True, NOW)
    again = keep_authority(tmp_path, ("other",), False, NOW + timedelta(days=3000))
    assert again.fingerprint == first.fingerprint
    [file] = (tmp_path / "https").iterdir()
    assert (file.name, stat.S_IMODE(file.stat().st_mode)) == ("authority.pem", 0o600)
    assert stat.S_IMODE(file.parent.stat().st_mode) == 0o700


def test_a_file_that_others_could_read_is_closed_and_said(tmp_path: Path):
    assert keep_authority(tmp_path, (), True, NOW).opened is False
    file = tmp_path / "https" / "authority.pem"
    file.chmod(0o644)
    assert keep_authority(tmp_path, (), True, NOW).opened is True
    assert stat.S_IMODE(file.stat().st_mode) == 0o600
    assert keep_authority(tmp_path, (), True, NOW).opened is False


def test_one_that_has_ended_says_what_to_do(tmp_path: Path):
    keep_authority(tmp_path, (), True, NOW)
    with pytest.raises(AuthorityEnded, match=r"ended on 2036-02-29. Move the folder .*https away"):
        keep_authority(tmp_path, (), True, NOW + timedelta(days=3652))


def test_a_clock_that_fell_back_is_not_taken_for_an_end(tmp_path: Path):
    keep_authority(tmp_path, (), True, NOW)
    with pytest.raises(CertificateEnded, match="Set the clock right"):
        keep_authority(tmp_path, (), True, NOW - timedelta(days=2))


@pytest.mark.parametrize("damage", ["empty", "no key", "another key", "a folder"])
def test_a_damaged_file_is_never_replaced(tmp_path: Path, damage: str):
    keep_authority(tmp_path, (), True, NOW)
    file = tmp_path / "https" / "authority.pem"
    key, certificate = file.read_bytes().split(b"-----BEGIN CERTIFICATE-----")
    content = {
        "empty": b"",
        "no key": b"-----BEGIN CERTIFICATE-----" + certificate,
        "another key": key + pem(authority().pair.certificate),
        "a folder": None,
    }[damage]
    file.unlink()
    file.mkdir() if content is None else file.write_bytes(content)
    expected = KeyDoesNotFit if damage == "another key" else UnreadableKeyFile
    with pytest.raises(expected, match="Put it back from a copy, or: Move the folder"):
        keep_authority(tmp_path, (), True, NOW)
    assert file.is_dir() if content is None else file.read_bytes() == content


def test_covers_follows_whole_parts_of_a_name():
    root = authority()
    assert [root.covers(name) for name in ("xlocal", "x.farmbox", "local", "a.xlan")] == [
        False, True, True, False,
    ]  # fmt: skip
    assert root.covers(str(ipaddress.ip_address("192.168.255.255")))
