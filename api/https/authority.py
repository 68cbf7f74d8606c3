"""The farm's own certificate authority: what phones are asked to trust, once.

P-256 and ten years. It may sign no other authority (pathlen 0), and its name constraints
(RFC 5280, 4.2.1.10) bind it to local names and private addresses, so that whoever stole its key
could still not pose as a bank.
"""

import socket
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path
from typing import cast

from cryptography import x509
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.hashes import SHA256
from cryptography.hazmat.primitives.serialization import Encoding
from cryptography.x509.oid import NameOID

from api.https.local import NETWORKS, SUFFIXES, address, is_local_name
from api.https.pem import Pair, check_time, close_to_others, key_usage, read_pair, write_pair
from api.start_errors import AuthorityEnded, BadCertificate, CertificateEnded, UnreadableKeyFile

FOLDER = "https"
FILE = "authority.pem"
LIFE = timedelta(days=3652)
CLOCKS_APART = timedelta(days=1)
"""Certificates hold from a day before they are made: a phone's clock may be behind."""


@dataclass(frozen=True)
class Authority:
    """The authority's certificate and key. `opened` says that others could read its file."""

    pair: Pair
    opened: bool = False

    @property
    def der(self) -> bytes:
        """The certificate alone, as phones take it."""
        return self.pair.certificate.public_bytes(Encoding.DER)

    @property
    def fingerprint(self) -> str:
        """SHA-256 of the certificate, as phones and browsers write it: 'AB:CD:…'."""
        return self.pair.certificate.fingerprint(SHA256()).hex(":").upper()

    @property
    def constraints(self) -> x509.NameConstraints | None:
        try:
            found = self.pair.certificate.extensions.get_extension_for_class(x509.NameConstraints)
        except x509.ExtensionNotFound:
            return None
        return found.value

    def covers(self, name: str) -> bool:
        """Whether phones would take a certificate of this authority for a name or an address."""
        found = self.constraints
        if found is None:
            return True
        permitted = [part.value for part in found.permitted_subtrees or ()]
        ip = address(name)
        if ip is not None:
            networks = (n for n in permitted if not isinstance(n, str))
            return any(ip in network for network in networks)
        suffixes = (n for n in permitted if isinstance(n, str))
        return any(name == suffix or name.endswith(f".{suffix}") for suffix in suffixes)


def keep_authority(
    data: Path, own_names: tuple[str, ...], constrained: bool, now: datetime
) -> Authority:
    """The data folder's authority, made on the first start.

    own_names  local names of this machine that end in no known suffix, such as 'farmbox'

    Raises UnreadableKeyFile, KeyDoesNotFit, CertificateEnded or AuthorityEnded.
    """
    path = data / FOLDER / FILE
    if not path.exists():
        write_pair(path, make_authority(own_names, constrained, now))
    try:
        pair = read_pair(path, path)
    except BadCertificate as error:
        raise type(error)(f"{error} {_anew(path, 'Put it back from a copy, or: ')}") from error
    try:
        check_time(pair, path, now)
    except CertificateEnded as error:
        if now < pair.since:
            raise
        raise AuthorityEnded(
            f"The farm's own authority ended on {pair.until:%Y-%m-%d}. {_anew(path)}"
        ) from error
    if not isinstance(pair.key, ec.EllipticCurvePrivateKey):
        raise UnreadableKeyFile(f"{path} was not made by Nubbin. {_anew(path)}")
    return Authority(pair, close_to_others(path))


def make_authority(own_names: tuple[str, ...], constrained: bool, now: datetime) -> Pair:
    """A new authority, with a key that was never used before."""
    key = ec.generate_private_key(ec.SECP256R1())
    name = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, _title(now))])
    builder = (
        x509.CertificateBuilder()
        .subject_name(name)
        .issuer_name(name)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(now - CLOCKS_APART)
        .not_valid_after(now + LIFE)
        .add_extension(x509.BasicConstraints(ca=True, path_length=0), critical=True)
        .add_extension(key_usage("key_cert_sign", "crl_sign"), critical=True)
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(key.public_key()), critical=False)
    )
    if constrained:
        builder = builder.add_extension(_constraints(own_names), critical=True)
    return Pair(builder.sign(key, SHA256()), key)


def _constraints(own_names: tuple[str, ...]) -> x509.NameConstraints:
    """Permitted subtrees; a kind of name that has any is closed to all others of that kind."""
    bare = [name for name in own_names if is_local_name(name) and "." not in name]
    names = [x509.DNSName(name) for name in dict.fromkeys((*SUFFIXES, "localhost", *bare))]
    networks = [x509.IPAddress(network) for network in NETWORKS]
    return x509.NameConstraints(cast(list[x509.GeneralName], [*names, *networks]), None)


def _title(now: datetime) -> str:
    """What phones list it by: 64 characters at most (RFC 5280, A.1, ub-common-name)."""
    return f"Nubbin authority {socket.gethostname()[:24]} {now:%Y-%m-%d}"


def _anew(path: Path, before: str = "") -> str:
    return (
        f"{before}Move the folder {path.parent} away and start again: a new authority is made, "
        "and every phone has to trust it once. Records on the phones are kept."
    )
