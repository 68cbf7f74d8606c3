"""The server's certificate, issued by the farm's own authority.

It holds for 397 days. Phones of one kind refuse any that holds for more than 825 days or lacks the
EKU serverAuth, a private authority's too (their maker's support article 103769).
"""

from datetime import datetime, timedelta
from pathlib import Path

from cryptography import x509
from cryptography.exceptions import InvalidSignature
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.hashes import SHA256
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID

from api.https.authority import CLOCKS_APART, FOLDER, Authority
from api.https.local import address
from api.https.names import Place
from api.https.pem import Pair, key_usage, names_in, read_pair, write_pair
from api.start_errors import BadCertificate

FILE = "server.pem"
LIFE = timedelta(days=397)
RENEW_BEFORE = timedelta(days=60)


def leaf_path(data: Path) -> Path:
    """Where the server's own certificate lies, its key in the same file."""
    return data / FOLDER / FILE


def keep_leaf(data: Path, authority: Authority, place: Place, now: datetime) -> tuple[Pair, bool]:
    """A certificate that is good for now, and whether it was issued just now.

    One that cannot be read is issued again: nobody holds on to it. Raises UnreadableKeyFile
    where nothing can be written.
    """
    path = leaf_path(data)
    try:
        pair = read_pair(path, path)
    except BadCertificate:
        pair = None
    wanted = covered(authority, place)
    if pair is not None and not why_renew(pair, authority, wanted, now):
        return pair, False
    pair = issue(authority, wanted, now)
    write_pair(path, pair)
    return pair, True


def covered(authority: Authority, place: Place) -> tuple[str, ...]:
    """The names and addresses of a machine that its authority may vouch for."""
    return tuple(name for name in place.all() if authority.covers(name))


def why_renew(
    pair: Pair, authority: Authority, wanted: tuple[str, ...], now: datetime
) -> str | None:
    """Why a certificate must be issued again: 'authority', 'names', 'clock' or 'time'; else None.

    One that ends with its authority is not renewed for a gain of nothing.
    """
    if not _issued_by(pair, authority):
        return "authority"
    if not set(wanted) <= set(names_in(pair.certificate)):
        return "names"
    if now < pair.since:
        return "clock"
    if now >= pair.until - RENEW_BEFORE and _end(authority, now) > pair.until:
        return "time"
    return None


def issue(authority: Authority, names: tuple[str, ...], now: datetime) -> Pair:
    """A new certificate with a new key, for server use alone (EKU serverAuth, RFC 5280)."""
    key = ec.generate_private_key(ec.SECP256R1())
    issuer = authority.pair.certificate
    # No host name: where a subject has one, some verifiers hold an address there to be a name.
    subject = [x509.NameAttribute(NameOID.COMMON_NAME, "Nubbin server")]
    builder = (
        x509.CertificateBuilder()
        .subject_name(x509.Name(subject))
        .issuer_name(issuer.subject)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(max(now - CLOCKS_APART, authority.pair.since))
        .not_valid_after(_end(authority, now))
        .add_extension(x509.SubjectAlternativeName(list(map(_general, names))), critical=False)
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(key_usage("digital_signature"), critical=True)
        .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False)
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(key.public_key()), critical=False)
        .add_extension(
            x509.AuthorityKeyIdentifier.from_issuer_public_key(_signer(authority).public_key()),
            critical=False,
        )
    )
    return Pair(builder.sign(_signer(authority), SHA256()), key)


def _general(name: str) -> x509.GeneralName:
    ip = address(name)
    return x509.DNSName(name) if ip is None else x509.IPAddress(ip)


def _end(authority: Authority, now: datetime) -> datetime:
    return min(now - CLOCKS_APART + LIFE, authority.pair.until)


def _signer(authority: Authority) -> ec.EllipticCurvePrivateKey:
    key = authority.pair.key
    assert isinstance(key, ec.EllipticCurvePrivateKey), "keep_authority lets in no other"
    return key


def _issued_by(pair: Pair, authority: Authority) -> bool:
    try:
        pair.certificate.verify_directly_issued_by(authority.pair.certificate)
    except (ValueError, TypeError, InvalidSignature):
        return False
    return True
