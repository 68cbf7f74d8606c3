"""Pictures for the tests, with all that a camera adds, and files that are none."""

import io
import struct
import zlib

import numpy as np
from PIL import Image, PngImagePlugin

SECRET = b"Quiet Reef, tank seven"
XMP = b'<x:xmpmeta xmlns:x="adobe:ns:meta/">' + SECRET + b"</x:xmpmeta>"


def encode(image: Image.Image, form: str, **more: object) -> bytes:
    file = io.BytesIO()
    image.save(file, form, **more)
    return file.getvalue()


def plain(width: int = 64, height: int = 48, colour: tuple[int, ...] = (200, 60, 40)) -> bytes:
    return encode(Image.new("RGB", (width, height), colour), "JPEG", quality=95)


def noisy(width: int, height: int, seed: int = 1, quality: int = 90) -> bytes:
    """A JPEG that does not compress: of a size to be sent in many parts."""
    pixels = np.random.default_rng(seed).integers(0, 256, (height, width, 3), dtype=np.uint8)
    return encode(Image.fromarray(pixels), "JPEG", quality=quality)


def quarters(width: int = 80, height: int = 48) -> Image.Image:
    """Red, green, blue and white quarters, so that any turn of the picture shows."""
    image = Image.new("RGB", (width, height), (255, 255, 255))
    half = (width // 2, height // 2)
    image.paste((255, 0, 0), (0, 0, *half))
    image.paste((0, 255, 0), (half[0], 0, width, half[1]))
    image.paste((0, 0, 255), (0, half[1], half[0], height))
    return image


def exif(orientation: int = 1) -> Image.Exif:
    """A camera's notes, its place on the earth among them."""
    found = Image.Exif()
    found[0x0112] = orientation
    found[0x010F] = SECRET.decode()
    found.get_ifd(0x8825).update({1: "N", 2: (38.0, 42.0, 30.0), 3: "W", 4: (9.0, 8.0, 15.0)})
    return found


def laden(form: str, image: Image.Image, profile: bytes, orientation: int = 1) -> bytes:
    """The picture with EXIF, a place, XMP, a profile and comments, in any of the three forms."""
    notes = exif(orientation)
    if form == "PNG":
        texts = PngImagePlugin.PngInfo()
        texts.add_text("Comment", SECRET.decode())
        texts.add_itxt("XML:com.adobe.xmp", XMP.decode())
        return encode(image, "PNG", exif=notes, icc_profile=profile, pnginfo=texts)
    if form == "WEBP":
        return encode(image, "WEBP", exif=notes, icc_profile=profile, xmp=XMP, quality=95)
    found = encode(
        image, "JPEG", exif=notes, icc_profile=profile, xmp=XMP, comment=SECRET, quality=95
    )
    captions = b"\xff\xed" + struct.pack(">H", 2 + len(SECRET)) + SECRET
    return found[:2] + captions + found[2:] + SECRET


def png(width: int, height: int, content: bytes = b"no pixels at all") -> bytes:
    """A PNG whose header claims a size; its content is not even compressed."""
    header = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    chunks = ((b"IHDR", header), (b"IDAT", content), (b"IEND", b""))
    return b"\x89PNG\r\n\x1a\n" + b"".join(
        struct.pack(">I", len(body)) + name + body + struct.pack(">I", zlib.crc32(name + body))
        for name, body in chunks
    )


def webp(width: int, height: int) -> bytes:
    """A WebP whose header claims a canvas, and has nothing to fill it (RIFF container, VP8X)."""
    canvas = (width - 1).to_bytes(3, "little") + (height - 1).to_bytes(3, "little")
    body = b"WEBP" + b"VP8X" + struct.pack("<I", 10) + bytes(4) + canvas
    return b"RIFF" + struct.pack("<I", len(body)) + body


def stretched(width: int, height: int) -> bytes:
    """A small JPEG whose frame header claims another size (T.81, B.2.2)."""
    jpeg = plain()
    at = jpeg.index(b"\xff\xc0")
    return jpeg[: at + 5] + struct.pack(">HH", height, width) + jpeg[at + 9 :]


def moving(form: str) -> bytes:
    frames = [Image.new("RGB", (32, 32), (shade, 0, 0)) for shade in (10, 120, 240)]
    return encode(frames[0], form, save_all=True, append_images=frames[1:], duration=100)
