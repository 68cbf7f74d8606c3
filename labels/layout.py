"""Where the symbol and the printed code stand on a label.

The symbol's black part keeps inside the label's ink area and its white border inside the label.
The code stands in whatever is left: beside the symbol on one line, beside it on two, or below it,
in that order of preference, its capitals at least 2.5 mm tall. Letters may be squeezed to half
their width where the label is small; a code that needs more is refused.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from math import floor, sqrt

from labels.codes import display
from labels.errors import DoesNotFit
from labels.geometry import SAFE_INSET_MM, Box, Geometry
from labels.symbols import BORDER, NARROWEST_MM, Plan, choose, version_for

LOWEST_CAPITALS_MM = 2.5
TALLEST_CAPITALS_MM = 5.0
WIDEST_DEFAULT_MM = 25.0
LEAST_SQUEEZE = 0.5
LINE_GAP = 0.4
"""Space between two lines, in heights of a capital."""

CAPITAL_EM = 0.718
"""Height of a capital of Helvetica Bold in ems, from the font's published metrics."""

_WIDEST_LETTER_EM, _HYPHEN_EM = 0.944, 0.333
# Widest possible line by number of lines, in heights of a capital: W is the widest letter.
_WIDEST_LINE = {
    1: (8 * _WIDEST_LETTER_EM + _HYPHEN_EM) / CAPITAL_EM,
    2: (4 * _WIDEST_LETTER_EM + _HYPHEN_EM) / CAPITAL_EM,
}
_STEP_MM = 0.5


@dataclass(frozen=True)
class Layout:
    """One label in mm from its top left corner; ``symbol`` is the square with its border."""

    plan: Plan
    symbol: Box
    text: Box
    lines: int
    capitals_mm: float

    def text_lines(self, code: str) -> list[str]:
        shown = display(code)
        return [shown] if self.lines == 1 else [shown[:5], shown[5:]]

    def baselines(self) -> list[float]:
        """Where the lines stand, in mm from the label's top: the block is centred in its box."""
        block = self.capitals_mm * (self.lines + (self.lines - 1) * LINE_GAP)
        first = self.text.y + (self.text.height - block) / 2 + self.capitals_mm
        return [first + line * self.capitals_mm * (1 + LINE_GAP) for line in range(self.lines)]

    @property
    def centred(self) -> bool:
        """Below the symbol the code is centred, beside it the code begins at the symbol."""
        return self.text.y >= self.symbol.y + self.symbol.height


@lru_cache(maxsize=64)
def arrange(geometry: Geometry, host: str | None, size_mm: float | None = None) -> Layout:
    """The layout of every label of this geometry.

    ``size_mm`` is the symbol's width with its border; without it, the largest up to 25 mm that
    leaves room for the printed code is taken. Raises DoesNotFit and what ``choose`` raises.
    """
    if size_mm is not None:
        return _with_size(geometry, host, size_mm)
    for width in _widths(geometry):
        if not _symbols(geometry, width, 17 + 4 * version_for(width)):
            continue
        layout = _layout(geometry, choose(width, host))
        if layout is not None:
            return layout
    raise DoesNotFit(
        f"A label of {_measures(geometry)} has no room for the smallest symbol "
        f"({NARROWEST_MM:g} mm) and the code printed {LOWEST_CAPITALS_MM:g} mm tall. "
        "Choose a larger label."
    )


def _with_size(geometry: Geometry, host: str | None, size_mm: float) -> Layout:
    layout = _layout(geometry, choose(size_mm, host))
    if layout is None:
        raise DoesNotFit(
            f"A symbol {size_mm:g} mm wide and the code printed {LOWEST_CAPITALS_MM:g} mm tall "
            f"do not fit on a label of {_measures(geometry)}. Choose a smaller symbol or a "
            "larger label."
        )
    return layout


def _measures(geometry: Geometry) -> str:
    if geometry.round:
        return f"{geometry.label_width:g} mm across"
    return f"{geometry.label_width:g} x {geometry.label_height:g} mm"


def _widths(geometry: Geometry) -> Iterator[float]:
    white = geometry.white_area()
    widest = min(white.width, white.height, WIDEST_DEFAULT_MM)
    steps = floor(widest / _STEP_MM + 1e-9)
    yield from (step * _STEP_MM for step in range(steps, 0, -1) if step * _STEP_MM >= NARROWEST_MM)


def _symbols(geometry: Geometry, width: float, modules: int) -> list[Box]:
    """Places for a symbol of this width: at the left in the middle, then at the top in the middle.

    Empty when it does not fit.
    """
    ink, white = geometry.ink_area(), geometry.white_area()
    border = BORDER * width / (modules + 2 * BORDER)
    x = max(white.x, ink.x - border)
    y = max(white.y, ink.y - border)
    spare_x = geometry.label_width - 2 * x - width
    spare_y = geometry.label_height - 2 * y - width
    if min(spare_x, spare_y) < -1e-9:
        return []
    return [
        Box(x, (geometry.label_height - width) / 2, width, width),
        Box((geometry.label_width - width) / 2, y, width, width),
    ]


def _layout(geometry: Geometry, plan: Plan) -> Layout | None:
    candidates = [
        Layout(plan, symbol, text, lines, capitals)
        for symbol, text, lines in _arrangements(geometry, plan)
        if (capitals := _capitals(text, lines)) > 0
    ]
    roomy = [c for c in candidates if c.capitals_mm * _WIDEST_LINE[c.lines] <= c.text.width + 1e-9]
    if roomy:
        return roomy[0]
    return max(candidates, key=lambda c: c.text.width / _WIDEST_LINE[c.lines], default=None)


def _arrangements(geometry: Geometry, plan: Plan) -> Iterator[tuple[Box, Box, int]]:
    symbols = _symbols(geometry, plan.width_mm, plan.modules)
    if not symbols:
        return
    left, upper = symbols
    ink = geometry.ink_area()
    after = left.x + left.width
    beside = Box(after, ink.y, ink.x + ink.width - after, ink.height)
    yield left, beside, 1
    yield left, beside, 2
    under = upper.y + upper.height
    below = Box(ink.x, under, ink.width, ink.y + ink.height - under)
    yield upper, (_in_disc(geometry, under) if geometry.round else below), 1


def _in_disc(geometry: Geometry, top: float) -> Box:
    """The widest line of the lowest capitals that starts ``top`` mm down a round label.

    Half a chord at distance h from the centre of a circle of radius r is sqrt(r^2 - h^2).
    """
    middle = geometry.label_width / 2
    radius = middle - SAFE_INSET_MM
    distance = top + LOWEST_CAPITALS_MM - middle
    half = sqrt(max(0.0, radius**2 - distance**2))
    return Box(middle - half, top, 2 * half, LOWEST_CAPITALS_MM)


def _capitals(text: Box, lines: int) -> float:
    """Height of capitals in mm for the widest possible code in this box, 0 if it has no room."""
    by_width = text.width / _WIDEST_LINE[lines]
    by_height = text.height / (lines + (lines - 1) * LINE_GAP)
    if by_height < LOWEST_CAPITALS_MM - 1e-9 or by_width < LEAST_SQUEEZE * LOWEST_CAPITALS_MM:
        return 0.0
    return max(LOWEST_CAPITALS_MM, min(by_width, by_height, TALLEST_CAPITALS_MM))
