"""A page that shows how far a printer and tray shift and stretch what they print."""

from fpdf import FPDF

from labels.geometry import PAGES
from labels.sheet import Adjustment, new_pdf

RULER_MM = 150
_CORNER_MM = 30.0
_HOW = (
    "Print at actual size (no 'fit to page') on the paper and tray used for labels.",
    "Shift: measure from the paper's left and top edges to the cross; both should be 30 mm.",
    "Stretch: measure both rulers from the first line to the last; both should be 150 mm.",
)


def calibration_pdf(page: str = "A4") -> bytes:
    """One page with four crosses and a 150 mm ruler each way; ``page`` is a key of PAGES."""
    width, height = PAGES[page]
    pdf = new_pdf(width, height, "Printer calibration")
    pdf.add_page()
    pdf.set_line_width(0.2)
    for x in (_CORNER_MM, width - _CORNER_MM):
        for y in (_CORNER_MM, height - _CORNER_MM):
            pdf.line(x - 5, y, x + 5, y)
            pdf.line(x, y - 5, x, y + 5)
    _rulers(pdf)
    pdf.set_font("Helvetica", size=9)
    for index, sentence in enumerate(_HOW):
        pdf.text(_CORNER_MM + 20, 60 + 6 * index, sentence)
    return bytes(pdf.output())


def adjustment(
    cross_x: float, cross_y: float, ruler_x: float = RULER_MM, ruler_y: float = RULER_MM
) -> Adjustment:
    """The correction from what was measured on the page, all in mm.

    A printed position is p = shift + stretch x. The upper left cross gives the shift, the rulers
    the stretch; solved for the x that prints where it should. Clamped as Adjustment says.
    """
    across, down = ruler_x / RULER_MM, ruler_y / RULER_MM
    shift_x, shift_y = cross_x - across * _CORNER_MM, cross_y - down * _CORNER_MM
    return Adjustment(-shift_x / across, -shift_y / down, 1 / across, 1 / down)


def _rulers(pdf: FPDF) -> None:
    """Both begin 10 mm inside the upper left cross and do not meet."""
    start = _CORNER_MM + 10
    pdf.line(start, start, start + RULER_MM, start)
    pdf.line(_CORNER_MM, start + 10, _CORNER_MM, start + 10 + RULER_MM)
    for mm in range(RULER_MM + 1):
        tick = 4.0 if mm % 10 == 0 else 2.5 if mm % 5 == 0 else 1.5
        pdf.line(start + mm, start, start + mm, start + tick)
        pdf.line(_CORNER_MM, start + 10 + mm, _CORNER_MM + tick, start + 10 + mm)
