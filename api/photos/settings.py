"""Where photos are kept: in the data folder, or in a bucket that speaks the S3 protocol.

From the environment: NUBBIN_PHOTOS_BUCKET, NUBBIN_PHOTOS_ENDPOINT (its https:// address),
NUBBIN_PHOTOS_KEY_ID, NUBBIN_PHOTOS_SECRET_KEY and, where the bucket wants one,
NUBBIN_PHOTOS_REGION. With no bucket named, photos lie in the data folder. What is still arriving
always does: several servers on one bucket need each phone to keep to one of them.
"""

import os
import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from urllib.parse import urlsplit

from api.start_errors import BadSettings

USUAL_REGION = "us-east-1"
"""What servers of the protocol take where they have no regions of their own."""
_NEEDED = ("endpoint", "key_id", "secret_key")


@dataclass(frozen=True)
class PhotoSettings:
    """`bucket` empty means the data folder. `secret_key` is never shown."""

    bucket: str = ""
    endpoint: str = ""
    region: str = USUAL_REGION
    key_id: str = ""
    secret_key: str = field(default="", repr=False)


def load_photo_settings(environment: Mapping[str, str] = os.environ) -> PhotoSettings:
    """The settings of the photo store. Raises BadSettings with what is missing or wrong."""
    found = {
        name: environment.get(_name(name), "").strip()
        for name in ("bucket", "endpoint", "region", "key_id", "secret_key")
    }
    if not found["bucket"]:
        return _none_without_bucket(found)
    missing = [_name(name) for name in _NEEDED if not found[name]]
    if missing:
        raise BadSettings(
            f"NUBBIN_PHOTOS_BUCKET is set, so photos go to a bucket; {' and '.join(missing)} "
            f"{'is' if len(missing) == 1 else 'are'} missing. Set {_it(missing)}, or unset "
            "NUBBIN_PHOTOS_BUCKET to keep photos in the data folder."
        )
    _check(found["bucket"], found["endpoint"])
    return PhotoSettings(
        found["bucket"],
        found["endpoint"].rstrip("/"),
        found["region"] or USUAL_REGION,
        found["key_id"],
        found["secret_key"],
    )


def _none_without_bucket(found: dict[str, str]) -> PhotoSettings:
    others = [_name(name) for name, value in found.items() if value]
    if others:
        raise BadSettings(
            f"{' and '.join(others)} {'is' if len(others) == 1 else 'are'} set and "
            f"NUBBIN_PHOTOS_BUCKET is not. Set it too, or unset {_it(others)} to keep photos in "
            "the data folder."
        )
    return PhotoSettings()


def _check(bucket: str, endpoint: str) -> None:
    if not re.fullmatch(r"[a-z0-9][a-z0-9.-]{1,61}[a-z0-9]", bucket):
        raise BadSettings(
            f"NUBBIN_PHOTOS_BUCKET is '{bucket}', and no bucket has such a name. Names have 3 to "
            "63 lower-case letters, digits, points and hyphens."
        )
    try:
        address = urlsplit(endpoint)
        usable = address.scheme in ("http", "https") and bool(address.hostname)
        usable = usable and (address.port is None or address.port > 0)
    except ValueError:
        usable = False
    if not usable:
        raise BadSettings(
            f"NUBBIN_PHOTOS_ENDPOINT is '{endpoint}'. Give the whole address of the server that "
            "has the bucket, such as https://photos.example:9000"
        )


def _name(name: str) -> str:
    return f"NUBBIN_PHOTOS_{name.upper()}"


def _it(names: list[str]) -> str:
    return "it" if len(names) == 1 else "them"
