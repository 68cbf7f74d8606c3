"""Sheets and rolls of labels as PDF, true to the millimetre.

The file asks the viewer not to scale the page. Modules of a symbol are merged into rectangles:
fewer to print, and no hairlines between them.
"""

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import chain

from fpdf import FPDF
from fpdf.prefs import ViewerPreferences

from labels.codes import is_valid
from labels.errors import ForeignCode, NothingToPrint
from labels.geometry import DEFAULT, Box, Geometry
from labels.layout import CAPITAL_EM, Layout, arrange
from labels.readability import check_dpi, snapped_mm
from labels.symbols import Matrix

POINTS_PER_MM = 72 / 25.4
MOST_SHIFT_MM = 5.0
MOST_STRETCH = 0.02

_RUN = re.compile(rb"\x01+")


@dataclass(frozen=True)
class Adjustment:
    """How one printer and tray is corrected: a shift in mm and a stretch, each way.

    Clamped to 5 mm and 2 %: more than that is the wrong paper or the wrong scaling.
    """

    dx: float = 0.0
    dy: float = 0.0
    sx: float = 1.0
    sy: float = 1.0

    def __post_init__(self) -> None:
        for name, middle, most in (
            ("dx", 0.0, MOST_SHIFT_MM),
            ("dy", 0.0, MOST_SHIFT_MM),
            ("sx", 1.0, MOST_STRETCH),
            ("sy", 1.0, MOST_STRETCH),
        ):
            value = min(middle + most, max(middle - most, getattr(self, name)))
            object.__setattr__(self, name, value)

    def place(self, box: Box) -> Box:
        return Box(
            self.dx + self.sx * box.x,
            self.dy + self.sy * box.y,
            self.sx * box.width,
            self.sy * box.height,
        )


def sheet_pdf(
    codes: Iterable[str],
    geometry: Geometry = DEFAULT,
    host: str | None = None,
    size_mm: float | None = None,
    start: int = 1,
    dpi: float | None = None,
    adjust: Adjustment | None = None,
) -> bytes:
    """A PDF of one label a code, in order, from position ``start`` of the first page on.

    ``size_mm`` is the symbol's width with its white border, by default the largest that fits;
    ``dpi`` makes modules whole dots of that printer; ``adjust`` corrects its feed.
    Raises NothingToPrint, BadStart, DoesNotFit, BadResolution, a HostError where an address is
    carried, and ForeignCode for a code that is not valid.
    """
    geometry.slot(start)
    if dpi is not None:
        check_dpi(dpi)
    layout = arrange(geometry, host, size_mm)
    iterator = iter(codes)
    first = next(iterator, None)
    if first is None:
        raise NothingToPrint
    writer = _Writer(geometry, layout, dpi, adjust or Adjustment())
    for index, code in enumerate(chain((first,), iterator), start - 1):
        writer.label(index % geometry.positions + 1, code)
    return writer.finish()


class _Writer:
    def __init__(
        self, geometry: Geometry, layout: Layout, dpi: float | None, adjust: Adjustment
    ) -> None:
        self.geometry, self.layout, self.adjust = geometry, layout, adjust
        self.module = (
            layout.plan.module_mm if dpi is None else snapped_mm(layout.plan.module_mm, dpi)
        )
        self.pdf = new_pdf(geometry.page_width, geometry.page_height, "Labels")
        self.points = layout.capitals_mm / CAPITAL_EM * POINTS_PER_MM
        self.pdf.set_font("Helvetica", "B", self.points)

    def label(self, position: int, code: str) -> None:
        if not is_valid(code):
            raise ForeignCode(code)
        if position == 1 or not self.pdf.pages:
            self.pdf.add_page()
        slot = self.geometry.slot(position)
        self._symbol(slot, self.layout.plan.matrix(code))
        self._text(slot, self.layout.text_lines(code))

    def finish(self) -> bytes:
        return bytes(self.pdf.output())

    def _symbol(self, slot: Box, matrix: Matrix) -> None:
        place = self.layout.symbol
        inset = (place.width - self.module * len(matrix)) / 2
        x, y = slot.x + place.x + inset, slot.y + place.y + inset
        for column, row, width, height in merged(matrix):
            box = self.adjust.place(
                Box(
                    x + column * self.module,
                    y + row * self.module,
                    width * self.module,
                    height * self.module,
                )
            )
            self.pdf.rect(box.x, box.y, box.width, box.height, "F")

    def _text(self, slot: Box, lines: list[str]) -> None:
        text = self.layout.text
        self.pdf.set_stretching(100)
        natural = max(map(self.pdf.get_string_width, lines))
        self.pdf.set_stretching(min(100.0, 100 * text.width / natural))
        for line, baseline in zip(lines, self.layout.baselines(), strict=True):
            spare = text.width - self.pdf.get_string_width(line) if self.layout.centred else 0.0
            at = self.adjust.place(Box(slot.x + text.x + spare / 2, slot.y + baseline, 0, 0))
            self.pdf.text(at.x, at.y, line)


def new_pdf(width: float, height: float, title: str) -> FPDF:
    """An empty document of pages in mm that asks to be printed at its own size."""
    pdf = FPDF(unit="mm", format=(width, height), orientation="P")
    pdf.set_margin(0)
    pdf.set_auto_page_break(False)
    pdf.viewer_preferences = ViewerPreferences(print_scaling="None")
    pdf.set_title(title)
    pdf.set_creator("Nubbin")
    return pdf


def merged(matrix: Matrix) -> Iterator[tuple[int, int, int, int]]:
    """Rectangles (column, row, width, height) in modules that cover the black ones exactly once.

    Runs in a row are joined with equal runs directly below.
    """
    open_runs: dict[tuple[int, int], int] = {}
    for row, modules in enumerate([*matrix, []]):
        runs = {match.span() for match in _RUN.finditer(bytes(modules))}
        for span in [span for span in open_runs if span not in runs]:
            top = open_runs.pop(span)
            yield span[0], top, span[1] - span[0], row - top
        for span in runs:
            open_runs.setdefault(span, row)
