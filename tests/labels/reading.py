"""Renders what was made and reads it back with decoders that share no code with the maker."""

from collections.abc import Iterator
from dataclasses import dataclass
from io import BytesIO

import pypdfium2
import zxingcpp
from PIL import Image
from pypdfium2 import raw

from labels.geometry import Geometry

POINTS_PER_MM = 72 / 25.4
Edges = tuple[float, float, float, float]
"""Left, top, right, bottom in mm from the upper left corner of a page."""


@dataclass(frozen=True)
class Found:
    """A decoded symbol: its text and the middle of its four corners, in pixels."""

    text: str
    x: float
    y: float


def decode(image: Image.Image) -> list[Found]:
    found = []
    for barcode in zxingcpp.read_barcodes(
        image.convert("L"), formats=zxingcpp.BarcodeFormat.QRCode, try_invert=False
    ):
        p = barcode.position
        corners = (p.top_left, p.top_right, p.bottom_left, p.bottom_right)
        x, y = (sum(c.x for c in corners) / 4, sum(c.y for c in corners) / 4)
        found.append(Found(barcode.text, x, y))
    return found


def pages(pdf: bytes, dpi: float) -> Iterator[Image.Image]:
    document = pypdfium2.PdfDocument(pdf)
    for page in document:
        yield page.render(scale=dpi / 72, grayscale=True).to_pil()
    document.close()


def page_sizes_mm(pdf: bytes) -> list[tuple[float, float]]:
    document = pypdfium2.PdfDocument(pdf)
    return [tuple(points / POINTS_PER_MM for points in page.get_size()) for page in document]


def rectangles_mm(pdf: bytes, page_index: int = 0) -> list[Edges]:
    """The bounds of every path on a page; half a line's width is added round a stroke."""
    document = pypdfium2.PdfDocument(pdf)
    page = document[page_index]
    height = page.get_size()[1]
    boxes = []
    for item in page.get_objects(filter=[raw.FPDF_PAGEOBJ_PATH]):
        left, bottom, right, top = item.get_bounds()
        box = (left, height - top, right, height - bottom)
        left, top, right, bottom = (points / POINTS_PER_MM for points in box)
        boxes.append((left, top, right, bottom))
    return boxes


def symbol_edges(pdf: bytes, geometry: Geometry, page: int = 0) -> dict[int, Edges]:
    """The bounds of each slot's black modules in mm, from the rectangles in the file."""
    edges: dict[int, Edges] = {}
    for left, top, right, bottom in rectangles_mm(pdf, page):
        x, y = (left + right) / 2 - geometry.left, (top + bottom) / 2 - geometry.top
        column = int(x // geometry.pitch_x) if geometry.pitch_x else 0
        row = int(y // geometry.pitch_y) if geometry.pitch_y else 0
        position = row * geometry.columns + column + 1
        now = edges.get(position, (left, top, right, bottom))
        edges[position] = (
            min(now[0], left), min(now[1], top), max(now[2], right), max(now[3], bottom),
        )  # fmt: skip
    return edges


def texts(pdf: bytes) -> list[str]:
    """The words on each page, in the order in which they were written."""
    document = pypdfium2.PdfDocument(pdf)
    return [page.get_textpage().get_text_range() for page in document]


def png(data: bytes) -> Image.Image:
    return Image.open(BytesIO(data))
