"""A picture's pixels as they are meant to be seen: whole channels, upright, opaque, in sRGB."""

import struct
import zlib
from io import BytesIO

from PIL import Image, ImageCms, ImageOps

UNREADABLE = (
    OSError, SyntaxError, ValueError, EOFError, IndexError, KeyError, TypeError, OverflowError,
    struct.error, zlib.error,
)  # fmt: skip
"""What Pillow's readers are known to raise on broken files."""


def with_true_pixels(image: Image.Image) -> Image.Image:
    """Palettes, bits and 16-bit greys as 8-bit channels, which can be resized and converted."""
    if image.mode in ("P", "PA", "1"):
        has_alpha = image.mode == "PA" or "transparency" in image.info
        return image.convert("RGBA" if has_alpha else "RGB")
    if image.mode.startswith("I"):
        return image.point(lambda value: value / 256).convert("L")
    if image.mode in ("L", "RGB") and "transparency" in image.info:
        return image.convert("RGBA")
    return image


def upright(image: Image.Image) -> Image.Image:
    """Turned as its EXIF says; as it lies where that cannot be read."""
    try:
        return ImageOps.exif_transpose(image)
    except UNREADABLE:
        return image


def on_white(image: Image.Image) -> Image.Image:
    """What shows through, shown as on paper."""
    if image.mode not in ("RGBA", "LA"):
        return image
    colours, alpha = image.convert("RGBA"), image.getchannel("A")
    ground = Image.new("RGB", image.size, (255, 255, 255))
    ground.paste(colours, mask=alpha)
    ground.info = image.info
    return ground


def in_srgb(image: Image.Image) -> Image.Image:
    """Its colours by its own profile, where that can be read (ICC.1, by LittleCMS), in sRGB."""
    profile = image.info.get("icc_profile")
    if profile and image.mode in ("RGB", "L", "CMYK"):
        try:
            turned = ImageCms.profileToProfile(
                image, BytesIO(profile), ImageCms.createProfile("sRGB"), outputMode="RGB"
            )
        except ImageCms.PyCMSError:
            turned = None
        if turned is not None:
            return turned
    return image.convert("RGB")
