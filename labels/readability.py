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
SAFE_DOTS = 3.0

Level = Literal["good", "fair", "poor"]


@dataclass(frozen=True)
class Verdict:
    level: Level
    module_mm: float
    dots_per_module: float
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


def verdict(width_mm: float, dpi: float) -> Verdict:
    """Whether a symbol of this width prints well at this many dots an inch.

    Raises DoesNotFit under 8 mm and BadResolution.
    """
    check_dpi(dpi)
    module = module_mm(width_mm)
    dots = module * dpi / MM_PER_INCH
    level, words = _judge(width_mm, dots)
    near = read_from_at_most_mm(module) / 10
    sentence = (
        f"At {dpi:g} dots an inch a module is {dots:.1f} dots wide, {words} "
        f"Hold the phone within about {near:.0f} cm."
    )
    return Verdict(level, module, dots, sentence)


def _judge(width_mm: float, dots: float) -> tuple[Level, str]:
    if dots < 2:
        return "poor", "too few to read reliably: print it larger or on a finer printer."
    if width_mm < SAFE_WIDTH_MM and dots < SAFE_DOTS:
        return "fair", "readable when the print is clean: try one before printing many."
    return "good", "enough."
