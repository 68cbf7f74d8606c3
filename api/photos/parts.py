"""A part of a photo as it comes over HTTP: its name, its place, its bytes."""

import re
from collections.abc import AsyncIterator
from dataclasses import dataclass
from typing import Any

from litestar import Request
from litestar.openapi.spec import OpenAPIMediaType, Operation, RequestBody, Schema
from litestar.openapi.spec.enums import OpenAPIFormat, OpenAPIType

from api.photos.arriving import SHA256
from api.photos.problems import UnknownPhoto
from api.problems import BadRequest, TooLarge

PART = 256 * 1024
PART_MEDIA = "application/offset+octet-stream"
_SMALLER = "Ask how much has arrived, and send parts of at most 262144 bytes."


@dataclass
class PartOperation(Operation):
    """A body of raw bytes, which no parameter of the handler tells of."""

    def __post_init__(self) -> None:
        raw = Schema(type=OpenAPIType.STRING, format=OpenAPIFormat.BINARY)
        self.request_body = RequestBody(content={PART_MEDIA: OpenAPIMediaType(schema=raw)})


def checked(sha256: str) -> str:
    """The one form that names a photo; nothing else can reach a file's name. Else UnknownPhoto."""
    if not SHA256.fullmatch(sha256):
        raise UnknownPhoto
    return sha256


def read_offset(text: str | None) -> int:
    """The number in an Upload-Offset. Strictly: the framework would take 1e3 for 1000."""
    if text is None or not re.fullmatch(r"[0-9]{1,15}", text):
        raise BadRequest(
            "The header Upload-Offset must say from which byte on this part goes, "
            "as a whole number. Nothing was taken."
        )
    return int(text)


def parts_of(request: Request[Any, Any, Any]) -> AsyncIterator[bytes]:
    """What arrives, as it arrives, ending without complaint where the phone hangs up.

    Raises TooLarge, at once where the request says beforehand that it is.
    """
    if (request.content_length or 0) > PART:
        raise TooLarge(_SMALLER)
    return _parts(request)


async def _parts(request: Request[Any, Any, Any]) -> AsyncIterator[bytes]:
    left = PART
    while (event := await request.receive())["type"] == "http.request":
        if part := event["body"]:
            left -= len(part)
            if left < 0:
                raise TooLarge(_SMALLER)
            yield part
        if not event["more_body"]:
            return
