"""One label as PNG at a printer's own resolution: black and white, no grey to be dithered."""

from io import BytesIO
from math import floor

from PIL import Image, ImageDraw, ImageFont

from labels.codes import is_valid
from labels.errors import ForeignCode
from labels.geometry import Box, Geometry
from labels.layout import arrange
from labels.lines import Layout
from labels.readability import MM_PER_INCH, check_dpi, snapped_mm
from labels.sheet import merged
from labels.symbols import Matrix

_DRAWN_LARGER = 4
_BASE = 0.75
"""Share of a drawn line above its baseline."""

_INK_FROM = 80
"""Grey from which a dot is inked: under one half, since thin strokes fade in resin or toner."""


def label_png(
    code: str,
    geometry: Geometry,
    host: str | None = None,
    size_mm: float | None = None,
    dpi: float = 300,
) -> bytes:
    """The label of ``code`` as a PNG file that carries its resolution.

    Modules are whole printer dots where rounding down leaves two or more; otherwise each edge is
    rounded to the nearest dot. Raises as ``sheet_pdf`` does.
    """
    check_dpi(dpi)
    out = BytesIO()
    label_image(code, geometry, host, size_mm, dpi).save(out, "PNG", dpi=(dpi, dpi), optimize=True)
    return out.getvalue()


def label_image(
    code: str, geometry: Geometry, host: str | None, size_mm: float | None, dpi: float
) -> Image.Image:
    """The same label as a Pillow image of mode 1, one pixel a printer dot."""
    if not is_valid(code):
        raise ForeignCode(code)
    layout = arrange(geometry, host, size_mm)
    scale = dpi / MM_PER_INCH
    size = (round(geometry.label_width * scale), round(geometry.label_height * scale))
    image = Image.new("1", size, 1)
    _draw_symbol(image, layout.symbol, layout.plan.matrix(code), layout.plan.module_mm, dpi)
    _draw_text(image, layout, code, scale)
    return image


def _draw_symbol(
    image: Image.Image, place: Box, matrix: Matrix, module_mm: float, dpi: float
) -> None:
    scale = dpi / MM_PER_INCH
    dots = snapped_mm(module_mm, dpi) * scale
    inset = (place.width * scale - dots * len(matrix)) / 2
    left, top = round(place.x * scale + inset), round(place.y * scale + inset)
    edges = [round(index * dots) for index in range(len(matrix) + 1)]
    pen = ImageDraw.Draw(image)
    for column, row, width, height in merged(matrix):
        corner = (left + edges[column], top + edges[row])
        opposite = (left + edges[column + width] - 1, top + edges[row + height] - 1)
        pen.rectangle((corner, opposite), fill=0)


def _draw_text(image: Image.Image, layout: Layout, code: str, scale: float) -> None:
    """Draws the letters large and reduces them, so that they can be squeezed like the PDF's."""
    text, capitals = layout.text, layout.capitals_mm * scale
    lines = layout.text_lines(code)
    font = _font(capitals * _DRAWN_LARGER)
    widest = max(font.getlength(line) for line in lines) / _DRAWN_LARGER
    squeeze = min(1.0, text.width * scale / widest)
    for line, baseline in zip(lines, layout.baselines(), strict=True):
        ink = _line(font, line, squeeze, round(capitals))
        spare = text.width * scale - ink.width if layout.centred else 0
        corner = (round(text.x * scale + spare / 2), round(baseline * scale - ink.height * _BASE))
        image.paste(0, corner, ink)


def _font(capitals: float) -> ImageFont.FreeTypeFont:
    """Pillow's own freely licensed face, sized so that an H is ``capitals`` pixels tall."""
    trial = ImageFont.load_default(1000)
    if not isinstance(trial, ImageFont.FreeTypeFont):
        raise OSError("Pillow was built without FreeType, so that codes cannot be drawn.")
    tall = -trial.getbbox("H", anchor="ls")[1]
    return trial.font_variant(size=1000 * capitals / tall)


def _line(font: ImageFont.FreeTypeFont, line: str, squeeze: float, capitals: int) -> Image.Image:
    """A mask, True where ink goes, twice as tall as the capitals: round letters overshoot."""
    height = 2 * capitals
    large = (floor(font.getlength(line)), height * _DRAWN_LARGER)
    canvas = Image.new("L", large, 0)
    ImageDraw.Draw(canvas).text((0, large[1] * _BASE), line, fill=255, font=font, anchor="ls")
    reduced = canvas.resize(
        (max(1, floor(large[0] * squeeze / _DRAWN_LARGER)), height), Image.Resampling.BOX
    )
    return reduced.point(lambda value: 255 if value >= _INK_FROM else 0).convert("1")
