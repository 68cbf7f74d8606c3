"""The lines printed beside a symbol: the code, and perhaps a caption under it or a name over it.

The code's capitals are at least 2.5 mm tall; its letters may be squeezed to half their width where
the label is small.
"""

from dataclasses import dataclass
from typing import Literal

from labels.codes import display
from labels.geometry import Box
from labels.pdf import CAPITAL_EM
from labels.symbols import Plan

LOWEST_CAPITALS_MM = 2.5
TALLEST_CAPITALS_MM = 5.0
LEAST_SQUEEZE = 0.5
LINE_GAP = 0.4
"""Space below a line, in heights of its capitals."""

Words = Literal["code", "caption", "name"]
"""What is printed beside a symbol: the code alone, with a caption under it, or with a name over."""

LOWEST_CAPTION_MM, LOWEST_NAME_MM, TALLEST_NAME_MM = 2.0, 3.5, 10.0
NAMED_CAPITALS_MM = 3.5
"""With a name over it the code stays small."""

_WIDEST_LETTER_EM, _HYPHEN_EM = 0.944, 0.333
# Widest possible line by number of lines, in heights of a capital: W is the widest letter.
_WIDEST_LINE = {
    1: (8 * _WIDEST_LETTER_EM + _HYPHEN_EM) / CAPITAL_EM,
    2: (4 * _WIDEST_LETTER_EM + _HYPHEN_EM) / CAPITAL_EM,
}


@dataclass(frozen=True)
class Layout:
    """One label in mm from its top left corner; ``symbol`` is the square with its border."""

    plan: Plan
    symbol: Box
    text: Box
    lines: int
    capitals_mm: float
    words: Words = "code"
    words_mm: float = 0.0
    """Height of the capitals of caption or name."""

    def text_lines(self, code: str) -> list[str]:
        shown = display(code)
        return [shown] if self.lines == 1 else [shown[:5], shown[5:]]

    def baselines(self) -> list[float]:
        """Where the code's lines stand, in mm from the label's top."""
        found = self._all_baselines()
        return found[1:] if self.words == "name" else found[: self.lines]

    def words_baseline(self) -> float:
        """Where caption or name stands, in mm from the label's top."""
        return self._all_baselines()[0 if self.words == "name" else -1]

    def _all_baselines(self) -> list[float]:
        """From the top down; the block of all lines is centred in its box."""
        heights = [self.capitals_mm] * self.lines
        if self.words != "code":
            heights.insert(0 if self.words == "name" else self.lines, self.words_mm)
        block = sum(heights) + LINE_GAP * sum(heights[:-1])
        at, found = self.text.y + (self.text.height - block) / 2, []
        for height in heights:
            found.append(at + height)
            at += height * (1 + LINE_GAP)
        return found

    @property
    def centred(self) -> bool:
        """Below the symbol the code is centred, beside it the code begins at the symbol."""
        return self.text.y >= self.symbol.y + self.symbol.height


def filled(plan: Plan, symbol: Box, text: Box, lines: int, words: Words) -> Layout | None:
    """The lines at their heights; None where they have no room."""
    capitals = _capitals(text, lines, words)
    if capitals == 0:
        return None
    if words == "code":
        return Layout(plan, symbol, text, lines, capitals)
    rest = text.height - capitals * (lines + (lines - 1) * LINE_GAP)
    if words == "caption":
        tall = min(0.8 * capitals, rest - LINE_GAP * capitals)
        return Layout(plan, symbol, text, lines, capitals, words, max(LOWEST_CAPTION_MM, tall))
    capitals = min(capitals, NAMED_CAPITALS_MM)
    rest = text.height - capitals * (lines + (lines - 1) * LINE_GAP)
    tall = min(TALLEST_NAME_MM, rest / (1 + LINE_GAP))
    return Layout(plan, symbol, text, lines, capitals, words, tall)


def least_extra(words: Words) -> float:
    """Height in mm that a caption or a name takes at the least beside the lowest code."""
    if words == "caption":
        return LOWEST_CAPTION_MM + LINE_GAP * LOWEST_CAPITALS_MM
    return LOWEST_NAME_MM * (1 + LINE_GAP) if words == "name" else 0.0


def _capitals(text: Box, lines: int, words: Words) -> float:
    """Height of capitals in mm for the widest possible code in this box, 0 if it has no room."""
    by_width = text.width / _WIDEST_LINE[lines]
    # A caption's own height does not grow with the code, the space above it does.
    below = lines if words == "caption" else lines - 1
    own = LOWEST_CAPTION_MM if words == "caption" else least_extra(words)
    by_height = (text.height - own) / (lines + below * LINE_GAP)
    if by_height < LOWEST_CAPITALS_MM - 1e-9 or by_width < LEAST_SQUEEZE * LOWEST_CAPITALS_MM:
        return 0.0
    return max(LOWEST_CAPITALS_MM, min(by_width, by_height, TALLEST_CAPITALS_MM))


def width_wanted(layout: Layout, capitals: float | None = None) -> float:
    """Width in mm of the widest possible code, unsqueezed, at its own or other capitals."""
    return (capitals or layout.capitals_mm) * _WIDEST_LINE[layout.lines]
