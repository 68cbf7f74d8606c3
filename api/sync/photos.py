"""Photos over HTTP: taken in resumable parts after their record, given out as JPEG."""

from typing import Annotated, Any

from litestar import Request, Response, get, patch
from litestar.di import NamedDependency, Provide
from litestar.params import HeaderParameter, PathParameter

from api.access.problems import NotHeld
from api.photos import giving
from api.photos.intake import Photos
from api.photos.life import photos_of
from api.photos.parts import PartOperation, checked, parts_of, read_offset
from api.photos.problems import (
    DiskFull,
    NotAPhoto,
    OtherHash,
    PhotoNotHere,
    PhotoTooLarge,
    ReaderAway,
    StoreAway,
    TooManyPixels,
    UnknownPhoto,
    WrongOffset,
)
from api.photos.state import PhotoState
from api.photos.store import Size
from api.problems import BadRequest, CrossSite, SignedOut, TooLarge, TooSlow, WrongMedia, raises
from api.shell import is_known

FOR_GOOD = "private, max-age=31536000, immutable"
"""A photo's address is its content's hash, so its content never changes."""

Sha256 = Annotated[
    str, PathParameter(description="SHA-256 of the photo as the phone sends it, in hex")
]
Offset = Annotated[
    str | None,
    HeaderParameter(name="Upload-Offset", description="from which byte on the part goes"),
]
_photos = {"photos": Provide(photos_of, sync_to_thread=False)}
_away = (BadRequest, SignedOut, NotHeld, UnknownPhoto)


@get(
    "/api/photos/{sha256:str}/state",
    operation_id="photo_state",
    dependencies=_photos,
    responses=raises(*_away),
    rule="keeper",
)
async def photo_state(photos: NamedDependency[Photos], sha256: Sha256) -> PhotoState:
    """How much of a photo has arrived, and whether it is kept."""
    return await photos.state(checked(sha256))


@patch(
    "/api/photos/{sha256:str}",
    operation_id="send_photo",
    operation_class=PartOperation,
    dependencies=_photos,
    responses=raises(
        *_away, CrossSite, TooSlow, WrongOffset, TooLarge, PhotoTooLarge, WrongMedia, OtherHash,
        NotAPhoto, TooManyPixels, StoreAway, ReaderAway, DiskFull,
    ),
    rule="keeper",
)  # fmt: skip
async def send_photo(
    request: Request[Any, Any, Any],
    photos: NamedDependency[Photos],
    sha256: Sha256,
    offset: Offset = None,
) -> PhotoState:
    """Add the next part of a photo, 256 KiB at most; an empty one tries its end again.

    What arrives of a part whose connection breaks is kept.
    """
    return await photos.take(checked(sha256), read_offset(offset), parts_of(request))


@get(
    "/api/photos/{sha256:str}",
    operation_id="photo",
    media_type="image/jpeg",
    dependencies=_photos,
    responses=raises(*_away, PhotoNotHere, StoreAway),
    skip_compression=True,
    rule="keeper",
)
async def photo(
    request: Request[Any, Any, Any], photos: NamedDependency[Photos], sha256: Sha256
) -> Response[bytes]:
    """A kept photo, at most 2048 px a side, with nothing in it but the picture."""
    return await _answer(request, photos, checked(sha256), "full")


@get(
    "/api/photos/{sha256:str}/small",
    operation_id="small_photo",
    media_type="image/jpeg",
    dependencies=_photos,
    responses=raises(*_away, PhotoNotHere, StoreAway),
    skip_compression=True,
    rule="keeper",
)
async def small_photo(
    request: Request[Any, Any, Any], photos: NamedDependency[Photos], sha256: Sha256
) -> Response[bytes]:
    """A kept photo at 320 px."""
    return await _answer(request, photos, checked(sha256), "small")


async def _answer(
    request: Request[Any, Any, Any], photos: Photos, sha256: str, size: Size
) -> Response[bytes]:
    tag = f'"{await giving.kept_hash(photos.db, photos.store, sha256)}.{size}"'
    headers = {"ETag": tag, "Cache-Control": FOR_GOOD}
    if is_known(request.headers.get("if-none-match", ""), tag):
        return Response(b"", status_code=304, headers=headers)
    return Response(await giving.picture(photos.store, sha256, size), headers=headers)


routes = [photo_state, send_photo, photo, small_photo]
