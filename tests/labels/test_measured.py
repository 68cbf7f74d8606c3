"""A sheet of 24 measured to the tenth of a millimetre, without the layout's own arithmetic.

ISO 216 gives A4 as 210 by 297 mm. Where the labels lie was written down by hand from the sheet:
three columns and eight rows of 63.5 by 33.9 mm, the next one 66.04 mm to the right and 33.9 mm
down, the first one 7.21 mm from the left and 12.9 mm from the top.
"""

from random import Random

import pytest
from PIL import Image

from labels.codes import make_code
from labels.sheet import sheet_pdf
from tests.labels import reading

A4_MM = (210.0, 297.0)
COLUMNS, ROWS = 3, 8
LABEL, PITCH, FIRST = (63.5, 33.9), (66.04, 33.9), (7.21, 12.9)
SYMBOL_MM, MODULES, BORDER = 25.0, 29, 4
"""A symbol of version 3 has 29 modules a side and 4 of white border (ISO/IEC 18004)."""
DPI = 600
TENTH = 0.1


@pytest.fixture(scope="module")
def sheet() -> bytes:
    random = Random(24)
    return sheet_pdf([make_code(random) for _ in range(24)], host="LABELS.EXAMPLE", size_mm=25)


@pytest.fixture(scope="module")
def page(sheet: bytes) -> Image.Image:
    [only] = reading.pages(sheet, DPI)
    return only


def inked(page: Image.Image, box: tuple[float, float, float, float]) -> tuple[float, ...]:
    """Edges in mm of what is black inside a box in mm."""
    scale = DPI / 25.4
    left, top, right, bottom = (round(mm * scale) for mm in box)
    dark = page.crop((left, top, right, bottom)).point(lambda grey: 255 if grey < 128 else 0)
    found = dark.getbbox()
    assert found is not None, box
    return tuple((at + corner) / scale for at, corner in zip(found, (left, top) * 2, strict=True))


def test_the_page_is_an_a4(sheet: bytes, page: Image.Image):
    assert reading.page_sizes_mm(sheet) == [pytest.approx(A4_MM, abs=0.01)]
    assert [dots * 25.4 / DPI for dots in page.size] == pytest.approx(A4_MM, abs=TENTH)


@pytest.mark.parametrize("number", range(24))
def test_each_symbol_stands_in_its_label(page: Image.Image, number: int):
    """In the middle of the label's height; its black begins a border's width from the left."""
    row, column = divmod(number, COLUMNS)
    x, y = FIRST[0] + column * PITCH[0], FIRST[1] + row * PITCH[1]
    module = SYMBOL_MM / (MODULES + 2 * BORDER)
    dark = MODULES * module
    left, top = x + BORDER * module, y + (LABEL[1] - dark) / 2
    found = inked(page, (x, y, x + SYMBOL_MM, y + LABEL[1]))
    assert found == pytest.approx((left, top, left + dark, top + dark), abs=TENTH)


def test_nothing_is_printed_outside_the_labels(page: Image.Image):
    """Nor within 1.5 mm of a label's edge, where a shifted print would be cut off."""
    blank = page.copy()
    scale, safe = DPI / 25.4, 1.5
    for number in range(COLUMNS * ROWS):
        row, column = divmod(number, COLUMNS)
        x, y = FIRST[0] + column * PITCH[0], FIRST[1] + row * PITCH[1]
        inner = (x + safe, y + safe, x + LABEL[0] - safe, y + LABEL[1] - safe)
        blank.paste(255, tuple(round(mm * scale) for mm in inner))
    assert blank.getextrema() == (255, 255)
