"""A page that shows how far a printer and tray shift and stretch what they print."""

from fpdf import FPDF
from fpdf.prefs import ViewerPreferences

from labels.errors import BeyondAdjusting
from labels.geometry import MOST_SHIFT_MM, MOST_STRETCH, PAGES, Adjustment

RULER_MM = 150
_ROUNDING = 1e-9
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


def new_pdf(width: float, height: float, title: str) -> FPDF:
    """An empty document of pages in mm that asks to be printed at its own size."""
    pdf = FPDF(unit="mm", format=(width, height), orientation="P")
    pdf.set_margin(0)
    pdf.set_auto_page_break(False)
    pdf.viewer_preferences = ViewerPreferences(print_scaling="None")
    pdf.set_title(title)
    pdf.set_creator("Nubbin")
    return pdf


def adjustment(
    cross_x: float, cross_y: float, ruler_x: float = RULER_MM, ruler_y: float = RULER_MM
) -> Adjustment:
    """The correction from what was measured on the page, all in mm.

    A printed position is p = shift + stretch x. The upper left cross gives the shift, the rulers
    the stretch; solved for the x that prints where it should. Raises BeyondAdjusting where that
    is more than a printer is off: half a correction would print beside the labels all the same.
    """
    if min(ruler_x, ruler_y) <= 0:
        raise BeyondAdjusting(0.0, 1.0)
    across, down = ruler_x / RULER_MM, ruler_y / RULER_MM
    shift_x, shift_y = cross_x - across * _CORNER_MM, cross_y - down * _CORNER_MM
    found = (-shift_x / across, -shift_y / down, 1 / across, 1 / down)
    shift = max(abs(found[0]), abs(found[1]))
    stretch = max(abs(found[2] - 1), abs(found[3] - 1))
    if shift > MOST_SHIFT_MM + _ROUNDING or stretch > MOST_STRETCH + _ROUNDING:
        raise BeyondAdjusting(shift, stretch)
    return Adjustment(*found)


def _rulers(pdf: FPDF) -> None:
    """Both begin 10 mm inside the upper left cross and do not meet."""
    start = _CORNER_MM + 10
    pdf.line(start, start, start + RULER_MM, start)
    pdf.line(_CORNER_MM, start + 10, _CORNER_MM, start + 10 + RULER_MM)
    for mm in range(RULER_MM + 1):
        tick = 4.0 if mm % 10 == 0 else 2.5 if mm % 5 == 0 else 1.5
        pdf.line(start + mm, start, start + mm, start + tick)
        pdf.line(_CORNER_MM, start + 10 + mm, _CORNER_MM + tick, start + 10 + mm)
