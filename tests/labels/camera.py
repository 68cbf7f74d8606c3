"""What Chromium's fake camera sees: one JPEG frame in a file, which is a whole MJPEG film.

Start Chromium with ``chromium_arguments(path)``; write a new picture to the same path between two
requests for the camera, and the next one sees it. Browser tests import this.
"""

import os
from io import BytesIO
from pathlib import Path
from random import Random

from PIL import Image, ImageFilter
from qrcode.constants import ERROR_CORRECT_M
from qrcode.main import QRCode

from labels.geometry import roll
from labels.image import label_image

HOST = "LABELS.EXAMPLE"
FRAME = (1280, 720)
EMPTY = (640, 480)
_TANK = (96, 108, 112)
_LABEL = roll(40, 20)


def chromium_arguments(path: Path) -> list[str]:
    """Arguments that give a page the file as its camera without a question to the person."""
    return [
        "--no-sandbox",
        "--disable-gpu",
        "--disable-background-networking",
        "--use-fake-ui-for-media-stream",
        "--use-fake-device-for-media-stream",
        f"--use-file-for-fake-video-capture={path.resolve()}",
    ]


def write_camera(
    path: Path,
    code: str | None,
    host: str = HOST,
    *,
    text: str | None = None,
    size: tuple[int, int] | None = None,
) -> None:
    """Put a label (or with ``text`` any other QR symbol, or with neither an empty tank) in view.

    The file is replaced in one step, so that a running browser never reads half a frame.
    """
    # Where there is nothing to read, thirty large pictures a second would only be work.
    empty = code is None and text is None
    frame = tank(size or (EMPTY if empty else FRAME))
    picture = _foreign(text) if text is not None else _label(code, host) if code else None
    if picture is not None:
        _lay(frame, picture)
    out = BytesIO()
    frame.save(out, "JPEG", quality=90, subsampling="4:2:0")
    waiting = path.with_name(path.name + ".new")
    waiting.write_bytes(out.getvalue())
    os.replace(waiting, path)


def tank(size: tuple[int, int]) -> Image.Image:
    """Grey-green water with soft blotches and noise, the same every time."""
    random = Random(7)
    small = Image.new("RGB", (size[0] // 40, size[1] // 40))
    small.putdata([_shade(random) for _ in range(small.width * small.height)])
    return small.resize(size, Image.Resampling.BICUBIC).filter(ImageFilter.GaussianBlur(4))


def _shade(random: Random) -> tuple[int, int, int]:
    light = random.randint(-18, 18)
    return (_TANK[0] + light, _TANK[1] + light, _TANK[2] + light)


def _label(code: str, host: str) -> Image.Image:
    return label_image(code, _LABEL, host, None, 300).convert("L")


def _foreign(text: str) -> Image.Image:
    qr = QRCode(error_correction=ERROR_CORRECT_M, box_size=6, border=4)
    qr.add_data(text)
    qr.make()
    return qr.make_image().get_image().convert("L")


def _lay(frame: Image.Image, picture: Image.Image) -> None:
    """The symbol in the middle of the frame, where a person holds it, slightly soft and dull."""
    height = round(frame.height * 0.55)
    scaled = picture.resize(
        (round(picture.width * height / picture.height), height), Image.Resampling.LANCZOS
    ).filter(ImageFilter.GaussianBlur(0.8))
    dull = scaled.point(lambda grey: 30 + grey * 190 // 255).convert("RGB")
    symbol_middle = min(dull.width, height) // 2
    frame.paste(dull, (frame.width // 2 - symbol_middle, (frame.height - height) // 2))
