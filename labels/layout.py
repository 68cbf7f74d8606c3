"""Where the symbol, the printed code and a few words stand on a label.

The symbol's black part keeps inside the label's ink area and its white border inside the label.
The code stands in whatever is left: beside the symbol on one line, beside it on two, or below it,
in that order of preference, its capitals at least 2.5 mm tall. Letters may be squeezed to half
their width where the label is small; a code that needs more is refused. A caption stands under the
code and is smaller than it; a name stands over the code and is as large as fits.
"""

from collections.abc import Iterator
from functools import lru_cache
from math import floor, sqrt

from labels.errors import DoesNotFit
from labels.geometry import SAFE_INSET_MM, Box, Geometry
from labels.lines import LOWEST_CAPITALS_MM, Layout, Words, filled, least_extra, width_wanted
from labels.symbols import BORDER, NARROWEST_MM, Plan, choose, version_for

WIDEST_DEFAULT_MM = 25.0
NAMED_WIDEST_MM = 40.0
"""With a name the symbol may be read from further away."""

_STEP_MM = 0.5


@lru_cache(maxsize=64)
def arrange(
    geometry: Geometry, host: str | None, size_mm: float | None = None, words: Words = "code"
) -> Layout:
    """The layout of every label of this geometry.

    ``size_mm`` is the symbol's width with its border; without it, the largest up to 25 mm (40 mm
    with a name) that leaves room for what is printed is taken. Raises DoesNotFit and what
    ``choose`` raises.
    """
    if size_mm is not None:
        return _with_size(geometry, host, size_mm, words)
    for width in _widths(geometry, _widest(geometry, words)):
        if not _symbols(geometry, width, 17 + 4 * version_for(width)):
            continue
        layout = _layout(geometry, choose(width, host), words)
        if layout is not None:
            return layout
    raise DoesNotFit(
        f"A label of {_measures(geometry)} has no room for the smallest symbol "
        f"({NARROWEST_MM:g} mm) and {_BESIDE[words]}. Choose a larger label."
    )


def _with_size(geometry: Geometry, host: str | None, size_mm: float, words: Words) -> Layout:
    layout = _layout(geometry, choose(size_mm, host), words)
    if layout is None:
        raise DoesNotFit(
            f"A symbol {size_mm:g} mm wide and {_BESIDE[words]} "
            f"do not fit on a label of {_measures(geometry)}. Choose a smaller symbol or a "
            "larger label."
        )
    return layout


_CODE = f"the code printed {LOWEST_CAPITALS_MM:g} mm tall"
_BESIDE: dict[Words, str] = {
    "code": _CODE,
    "caption": f"{_CODE} with a line under it",
    "name": f"{_CODE} with a name over it",
}


def _measures(geometry: Geometry) -> str:
    if geometry.round:
        return f"{geometry.label_width:g} mm across"
    return f"{geometry.label_width:g} x {geometry.label_height:g} mm"


def _widest(geometry: Geometry, words: Words) -> float:
    """A name needs room beside the symbol where the label lies on its long side."""
    if words != "name":
        return WIDEST_DEFAULT_MM
    lies = geometry.label_width > 1.3 * geometry.label_height
    return min(NAMED_WIDEST_MM, 0.45 * geometry.label_width if lies else NAMED_WIDEST_MM)


def _widths(geometry: Geometry, most: float) -> Iterator[float]:
    white = geometry.white_area()
    widest = min(white.width, white.height, most)
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


def _layout(geometry: Geometry, plan: Plan, words: Words) -> Layout | None:
    candidates = [
        layout
        for symbol, text, lines in _arrangements(geometry, plan, words)
        if (layout := filled(plan, symbol, text, lines, words))
    ]
    roomy = [c for c in candidates if width_wanted(c) <= c.text.width + 1e-9]
    if roomy:
        return roomy[0]
    return max(candidates, key=lambda c: c.text.width / width_wanted(c, 1.0), default=None)


def _arrangements(geometry: Geometry, plan: Plan, words: Words) -> Iterator[tuple[Box, Box, int]]:
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
    tall = LOWEST_CAPITALS_MM + least_extra(words)
    yield upper, (_in_disc(geometry, under, tall) if geometry.round else below), 1


def _in_disc(geometry: Geometry, top: float, tall: float) -> Box:
    """The widest box ``tall`` mm high that starts ``top`` mm down a round label.

    Half a chord at distance h from the centre of a circle of radius r is sqrt(r^2 - h^2).
    """
    middle = geometry.label_width / 2
    radius = middle - SAFE_INSET_MM
    distance = top + tall - middle
    half = sqrt(max(0.0, radius**2 - distance**2))
    return Box(middle - half, top, 2 * half, tall)
