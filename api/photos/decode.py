"""Reading a picture that came from outside, and making it again without what a phone adds.

JPEG, PNG and WebP, told by their content. What goes on is pixels alone, turned upright, in sRGB,
at most 2048 px a side; EXIF with its places and times, profiles and comments stay behind. It runs
in a worker process with limits of its own (worker.py), since this is where hostile bytes are read.
"""

import hashlib
from dataclasses import dataclass
from io import BytesIO
from pathlib import Path
from typing import Literal

from PIL import Image, UnidentifiedImageError

from api.photos.pixels import UNREADABLE, in_srgb, on_white, upright, with_true_pixels

SIDE, SMALL_SIDE = 2048, 320
QUALITY, SMALL_QUALITY = 88, 80
MAX_BYTES = 15_000_000
MAX_PIXELS = 50_000_000
FORMATS = {"JPEG": "image/jpeg", "MPO": "image/jpeg", "PNG": "image/png", "WEBP": "image/webp"}
"""Pillow's names. MPO is a JPEG with further pictures behind it, as some phones make."""


@dataclass(frozen=True)
class Picture:
    """A photo made again: two JPEGs, the size of the larger, and what came: its kind and bytes."""

    media: str
    received: int
    full: bytes
    small: bytes
    width: int
    height: int

    @property
    def stored_sha(self) -> str:
        """SHA-256 of the larger JPEG, in hex."""
        return hashlib.sha256(self.full).hexdigest()


@dataclass(frozen=True)
class Refusal:
    """Why there is no picture. `why` is a sentence, or empty where the code says it all."""

    code: Literal["other-hash", "not-a-photo", "too-many-pixels"]
    why: str = ""


def read_photo(path: str, sha256: str) -> Picture | Refusal:
    """The picture in a file, if the file is the one that was named. Raises OSError."""
    content = Path(path).read_bytes()
    if hashlib.sha256(content).hexdigest() != sha256:
        return Refusal("other-hash")
    return decode(content)


def decode(content: bytes) -> Picture | Refusal:
    """Make a picture again from a file's bytes."""
    try:
        with Image.open(BytesIO(content), formats=("JPEG", "PNG", "WEBP")) as image:
            if image.width * image.height > MAX_PIXELS:
                return Refusal("too-many-pixels")
            if image.format != "MPO" and getattr(image, "is_animated", False):
                return Refusal("not-a-photo", "It moves: only a still picture can be a photo.")
            return _make_again(image, len(content))
    except Image.DecompressionBombError:
        return Refusal("too-many-pixels")
    except MemoryError:
        return Refusal("not-a-photo", "Reading it takes more memory than a photo may use.")
    except UNREADABLE as error:
        return Refusal("not-a-photo", _sentence(error))


def _make_again(image: Image.Image, received: int) -> Picture:
    media = FORMATS[image.format or ""]
    share = min(1.0, SIDE / max(image.size))
    # A JPEG can be read at a half, a quarter or an eighth of its size, in less time and memory.
    wanted = (max(1, round(image.width * share)), max(1, round(image.height * share)))
    image.draft(None, wanted)
    image.load()
    full = with_true_pixels(image)
    full.thumbnail((SIDE, SIDE), Image.Resampling.LANCZOS)
    full = in_srgb(on_white(upright(full)))
    small = full.copy()
    small.thumbnail((SMALL_SIDE, SMALL_SIDE), Image.Resampling.LANCZOS)
    jpegs = _jpeg(full, QUALITY), _jpeg(small, SMALL_QUALITY)
    return Picture(media, received, *jpegs, full.width, full.height)


def _jpeg(image: Image.Image, quality: int) -> bytes:
    image.info.clear()
    file = BytesIO()
    image.save(file, "JPEG", quality=quality, optimize=True)
    return file.getvalue()


def _sentence(error: Exception) -> str:
    if isinstance(error, UnidentifiedImageError):
        return "It is neither JPEG, PNG nor WebP."
    return "Its content is broken or cut short."
