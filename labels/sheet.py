"""Sheets and rolls of labels as PDF, true to the millimetre, page after page.

Modules of a symbol are merged into rectangles: fewer to print, and no hairlines between them.
"""

import re
from collections.abc import Iterable, Iterator, Mapping
from itertools import chain

from labels.codes import is_valid
from labels.errors import ForeignCode, NothingToPrint
from labels.geometry import DEFAULT, Adjustment, Box, Geometry
from labels.layout import arrange
from labels.lines import LEAST_SQUEEZE, LOWEST_CAPTION_MM, Layout, Words
from labels.pdf import CAPITAL_EM, POINTS_PER_MM, Pdf, line, printable, width_em
from labels.readability import check_dpi, snapped_mm
from labels.symbols import Matrix

_RUN = re.compile(rb"\x01+")


def sheet_pdf(
    codes: Iterable[str],
    geometry: Geometry = DEFAULT,
    host: str | None = None,
    size_mm: float | None = None,
    start: int = 1,
    dpi: float | None = None,
    adjust: Adjustment | None = None,
    words: Words = "code",
    said: Mapping[str, str] | None = None,
) -> bytes:
    """What `sheet_pages` gives out, in one piece."""
    pages = sheet_pages(codes, geometry, host, size_mm, start, dpi, adjust, words, said)
    return b"".join(pages)


def sheet_pages(
    codes: Iterable[str],
    geometry: Geometry = DEFAULT,
    host: str | None = None,
    size_mm: float | None = None,
    start: int = 1,
    dpi: float | None = None,
    adjust: Adjustment | None = None,
    words: Words = "code",
    said: Mapping[str, str] | None = None,
) -> Iterator[bytes]:
    """A PDF of one label a code, in order, from position ``start`` of the first page on.

    It is given out in parts, a page each, and none is kept. ``size_mm`` is the symbol's width with
    its white border, by default the largest that fits; ``dpi`` makes modules whole dots of that
    printer; ``adjust`` corrects its feed; ``said`` holds each code's caption or name.
    Raises, before the first part, NothingToPrint, BadStart, DoesNotFit, BadResolution, and a
    HostError where an address is carried; ForeignCode where a code that is not valid comes up.
    """
    geometry.slot(start)
    if dpi is not None:
        check_dpi(dpi)
    layout = arrange(geometry, host, size_mm, words)
    iterator = iter(codes)
    first = next(iterator, None)
    if first is None:
        raise NothingToPrint
    drawer = _Drawer(geometry, layout, dpi, adjust or Adjustment(), said or {})
    return _pages(chain((first,), iterator), start, drawer)


def _pages(codes: Iterator[str], start: int, drawer: "_Drawer") -> Iterator[bytes]:
    geometry = drawer.geometry
    pdf = Pdf(geometry.page_width, geometry.page_height, "Labels")
    yield pdf.begin()
    drawn: list[str] = []
    for index, code in enumerate(codes, start - 1):
        position = index % geometry.positions + 1
        if position == 1 and drawn:
            yield pdf.page("".join(drawn).encode("cp1252"))
            drawn = []
        drawn.append(drawer.label(position, code))
    yield pdf.page("".join(drawn).encode("cp1252"))
    yield pdf.end()


class _Drawer:
    """Draws labels in PDF's own operators, in points from the page's lower left corner."""

    def __init__(
        self,
        geometry: Geometry,
        layout: Layout,
        dpi: float | None,
        adjust: Adjustment,
        said: Mapping[str, str],
    ) -> None:
        self.geometry, self.layout, self.adjust, self.said = geometry, layout, adjust, said
        module = layout.plan.module_mm if dpi is None else snapped_mm(layout.plan.module_mm, dpi)
        # Stretched, modules would be whole dots no longer; over one symbol a stretch is too
        # little to be seen, so where dots are known it only moves the symbol.
        across, down = (adjust.sx, adjust.sy) if dpi is None else (1.0, 1.0)
        self.module = module * across, module * down

    def label(self, position: int, code: str) -> str:
        if not is_valid(code):
            raise ForeignCode(code)
        slot = self.geometry.slot(position)
        parts = [self._symbol(slot, self.layout.plan.matrix(code)), *self._code(slot, code)]
        words = printable(self.said.get(code, "")) if self.layout.words != "code" else ""
        if words:
            parts.append(self._words(slot, words))
        return "".join(parts)

    def _symbol(self, slot: Box, matrix: Matrix) -> str:
        """Whole numbers of modules, in a space whose unit is a module with y downwards."""
        place, side = self.layout.symbol, len(matrix)
        middle = self._at(slot.x + place.x + place.width / 2, slot.y + place.y + place.height / 2)
        across, down = (module * POINTS_PER_MM for module in self.module)
        x, y = middle[0] - across * side / 2, middle[1] + down * side / 2
        boxes = "".join(f"{c} {r} {w} {h} re\n" for c, r, w, h in merged(matrix))
        return f"q {across:.6f} 0 0 {-down:.6f} {x:.4f} {y:.4f} cm\n{boxes}f Q\n"

    def _code(self, slot: Box, code: str) -> Iterator[str]:
        text, capitals = self.layout.text, self.layout.capitals_mm
        lines = self.layout.text_lines(code)
        squeeze = min(1.0, text.width / max(_width(one, capitals) for one in lines))
        for one, baseline in zip(lines, self.layout.baselines(), strict=True):
            yield self._line(slot, one, baseline, capitals, squeeze)

    def _words(self, slot: Box, words: str) -> str:
        baseline, room = self.layout.words_baseline(), self.layout.text.width
        shown, capitals, squeeze = fitted(words, self.layout.words_mm, room)
        return self._line(slot, shown, baseline, capitals, squeeze)

    def _line(self, slot: Box, text: str, baseline: float, capitals: float, squeeze: float) -> str:
        place = self.layout.text
        spare = place.width - squeeze * _width(text, capitals) if self.layout.centred else 0.0
        x, y = self._at(slot.x + place.x + spare / 2, slot.y + baseline)
        return line(text, x, y, capitals, squeeze)

    def _at(self, x: float, y: float) -> tuple[float, float]:
        """A point in mm from the page's upper left corner, corrected, in points from its lower."""
        x, y = self.adjust.place(x, y)
        return x * POINTS_PER_MM, (self.geometry.page_height - y) * POINTS_PER_MM


def fitted(text: str, capitals: float, room: float) -> tuple[str, float, float]:
    """Text, capitals in mm and squeeze with which it keeps within ``room`` mm.

    First it is made lower, to 2 mm, then squeezed to a half, and only then cut off with dots.
    """
    lower = max(
        min(capitals, LOWEST_CAPTION_MM), capitals * min(1.0, room / _width(text, capitals))
    )
    squeeze = min(1.0, room / _width(text, lower))
    if squeeze >= LEAST_SQUEEZE:
        return text, lower, squeeze
    while len(text) > 1 and LEAST_SQUEEZE * _width(text + "…", lower) > room:
        text = text[:-1].rstrip()
    return text + "…", lower, LEAST_SQUEEZE


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


def _width(text: str, capitals: float) -> float:
    """Width in mm of text whose capitals are so many mm tall."""
    return width_em(text) * capitals / CAPITAL_EM
