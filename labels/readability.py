"""From how far a symbol can be read, and whether a printer prints it finely enough.

The rates behind the verdicts were measured on synthetic pictures, not with phones in hand.
"""

from dataclasses import dataclass
from math import floor, radians, tan
from typing import Literal

from labels.errors import BadResolution
from labels.symbols import BORDER, version_for

MM_PER_INCH = 25.4
LOWEST_DPI, HIGHEST_DPI = 150, 2400

PIXELS_PER_MODULE = 2.5
"""What the decoder needs in the picture, from the same measurements."""

FIELD_OF_VIEW_DEGREES = 75.0
"""Horizontal angle of a phone's main camera: an assumption on the wide, cautious side."""

SAFE_WIDTH_MM = 12.0
SAFE_DOTS, LEAST_DOTS = 3.0, 2.0

CLOSE_UP_MM = 110.0
"""Nearer than this a phone must be held with care: its main camera hardly focuses so near. Symbols
of up to 12 mm are read from 92 to 108 mm at most, those of 15 mm from 135 (1280 px wide)."""

Level = Literal["good", "close", "unreadable"]


@dataclass(frozen=True)
class Verdict:
    """How a printed symbol will read; the module as it is printed, snapped to the printer's dots.

    ``dots`` are printer dots a module, ``reach_mm`` the distance from which it is read at most.
    """

    level: Level
    width_mm: float
    module_mm: float
    dots: float
    reach_mm: float
    dpi: float
    sentence: str


def module_mm(width_mm: float) -> float:
    """Width of one module in mm, for the version that this width normally has."""
    return width_mm / (17 + 4 * version_for(width_mm) + 2 * BORDER)


def read_from_at_most_mm(module: float, picture_px: int = 1280) -> float:
    """The greatest distance in mm at which a module covers enough pixels.

    Pinhole camera: at distance d a picture of p pixels is 2 d tan(angle / 2) wide, so a module m
    covers p m / (2 d tan(angle / 2)) pixels; solved for d.
    """
    half = tan(radians(FIELD_OF_VIEW_DEGREES / 2))
    return picture_px * module / (PIXELS_PER_MODULE * 2 * half)


def check_dpi(dpi: float) -> None:
    if not LOWEST_DPI <= dpi <= HIGHEST_DPI:
        raise BadResolution(dpi, LOWEST_DPI, HIGHEST_DPI)


def snapped_mm(module: float, dpi: float) -> float:
    """The module in mm, made a whole number of printer dots where that leaves two or more.

    Rounding down keeps the symbol inside its place; under two dots it would shrink too much.
    """
    dots = floor(module * dpi / MM_PER_INCH + 1e-9)
    return dots * MM_PER_INCH / dpi if dots >= 2 else module


def verdict(width_mm: float, dpi: float, module: float | None = None) -> Verdict:
    """Whether a symbol of this width, border included, reads when printed at so many dots an inch.

    ``module`` is its module in mm, by default that of the version that this width normally has.
    Raises DoesNotFit under 8 mm and BadResolution.
    """
    check_dpi(dpi)
    drawn = module_mm(width_mm) if module is None else module
    printed = snapped_mm(drawn, dpi)
    reach = read_from_at_most_mm(printed)
    level = _judge(width_mm, drawn * dpi / MM_PER_INCH, reach)
    dots = printed * dpi / MM_PER_INCH
    numbers = f"a square of its symbol is {printed:.2f} mm, {dots:.1f} printer dots"
    sentence = _SENTENCES[level].format(numbers=numbers, dpi=dpi, cm=floor(reach / 10))
    return Verdict(level, width_mm, printed, dots, reach, dpi, sentence)


_SENTENCES: dict[Level, str] = {
    "good": "Good at {dpi:g} dots an inch: {numbers}; a phone reads it from up to {cm} cm.",
    "close": "Only close up at {dpi:g} dots an inch: {numbers}; hold the phone within {cm} cm, "
    "and print one to try before printing many.",
    "unreadable": "It will not read at {dpi:g} dots an inch: {numbers}, and under two are too few. "
    "Choose a larger symbol, a larger label or a finer printer.",
}


def _judge(width_mm: float, dots: float, reach_mm: float) -> Level:
    """By the dots that the module has before it is snapped: snapping rescues 2 to 3 dots a module
    (12 mm at 203 dots an inch: from 73 to 100 % read)."""
    if dots < LEAST_DOTS - 1e-9:
        return "unreadable"
    rough = width_mm < SAFE_WIDTH_MM and dots < SAFE_DOTS
    return "close" if rough or reach_mm < CLOSE_UP_MM else "good"
