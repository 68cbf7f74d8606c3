"""What phones download: an iOS profile with the authority, and the QR code of the app's address.

The profile's keys are those of the vendor's published configuration-profile reference
(payload type com.apple.security.root); it is not signed, since no phone knows a signer of ours.
"""

import io
import plistlib
import uuid

from cryptography import x509
from cryptography.x509.oid import NameOID
from qrcode.constants import ERROR_CORRECT_M
from qrcode.image.svg import SvgPathFillImage
from qrcode.main import QRCode

from api.https.authority import Authority

_SPACE = uuid.UUID("0a6f6c1e-4d5b-5b0f-9f57-6e7562626e00")
"""Names made from it are the same for the same authority: a second download replaces the first."""


def mobileconfig(authority: Authority) -> bytes:
    """The profile as an XML property list."""
    title = title_of(authority.pair.certificate)
    part = {
        "PayloadType": "com.apple.security.root",
        "PayloadVersion": 1,
        "PayloadIdentifier": "nubbin.authority.root",
        "PayloadUUID": _uuid(authority, "root"),
        "PayloadDisplayName": title,
        "PayloadCertificateFileName": "nubbin-authority.cer",
        "PayloadContent": authority.der,
    }
    return plistlib.dumps(
        {
            "PayloadType": "Configuration",
            "PayloadVersion": 1,
            "PayloadIdentifier": "nubbin.authority",
            "PayloadUUID": _uuid(authority, "profile"),
            "PayloadDisplayName": title,
            "PayloadDescription": "Lets this device trust the farm's own Nubbin server.",
            "PayloadRemovalDisallowed": False,
            "PayloadContent": [part],
        }
    )


def title_of(certificate: x509.Certificate) -> str:
    """What phones list a certificate by."""
    [name, *_] = certificate.subject.get_attributes_for_oid(NameOID.COMMON_NAME)
    return str(name.value)


def qr_svg(address: str) -> bytes:
    """A QR code as SVG: dark on light whatever the page's colours, four modules of quiet zone."""
    qr = QRCode(error_correction=ERROR_CORRECT_M, border=4)
    qr.add_data(address)
    qr.make(fit=True)
    out = io.BytesIO()
    qr.make_image(image_factory=SvgPathFillImage).save(out)
    return out.getvalue()


def _uuid(authority: Authority, part: str) -> str:
    return str(uuid.uuid5(_SPACE, f"{authority.fingerprint} {part}")).upper()
