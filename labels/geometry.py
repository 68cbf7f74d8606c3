"""Where the labels lie on a sheet or a roll, in millimetres from the top left corner.

The shipped sheets are written down from memory and their margins follow from symmetry: measure a
sheet and print a calibration page before a large print. Page sizes are those of ISO 216 (A4) and
of North American letter paper (8.5 by 11 inches).
"""

from collections.abc import Iterable
from dataclasses import dataclass, fields
from math import isfinite, sqrt

from labels.errors import BadStart, GeometryError

PAGES = {"A4": (210.0, 297.0), "Letter": (215.9, 279.4)}
SAFE_INSET_MM = 1.5
UNPRINTABLE_EDGE_MM = 6.0
_ROUNDING_MM = 0.02 + 1e-9
"""Sheets are measured to hundredths; what binary fractions add to that does not count."""


@dataclass(frozen=True)
class Box:
    """A rectangle in mm: left, top, width, height."""

    x: float
    y: float
    width: float
    height: float


MOST_SHIFT_MM = 5.0
MOST_STRETCH = 0.02


@dataclass(frozen=True)
class Adjustment:
    """How one printer and tray is corrected: a shift in mm and a stretch, each way.

    Clamped to 5 mm and 2 %: more than that is the wrong paper or the wrong scaling, and
    ``calibration.adjustment`` refuses it.
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

    def place(self, x: float, y: float) -> tuple[float, float]:
        """Where a point has to be drawn so that it is printed at (x, y)."""
        return self.dx + self.sx * x, self.dy + self.sy * y


@dataclass(frozen=True)
class Geometry:
    """A page of labels. ``round`` labels are discs as wide as they are high.

    Raises GeometryError if the measures contradict each other or leave the page.
    """

    name: str
    page: str
    page_width: float
    page_height: float
    label_width: float
    label_height: float
    columns: int = 1
    rows: int = 1
    pitch_x: float = 0.0
    pitch_y: float = 0.0
    left: float = 0.0
    top: float = 0.0
    round: bool = False

    def __post_init__(self) -> None:
        _check_numbers(self)
        _check_axis(self, "columns", self.columns, self.pitch_x, self.label_width)
        _check_axis(self, "rows", self.rows, self.pitch_y, self.label_height)
        right = self.left + (self.columns - 1) * self.pitch_x + self.label_width
        bottom = self.top + (self.rows - 1) * self.pitch_y + self.label_height
        _check_end(self, "right", right, self.page_width)
        _check_end(self, "lower", bottom, self.page_height)
        if self.round and self.label_width != self.label_height:
            raise GeometryError(f"{self.name}: a round label is as wide as it is high.")

    @property
    def positions(self) -> int:
        return self.columns * self.rows

    def slot(self, position: int) -> Box:
        """The label at a position counted from 1, row by row from the top left."""
        if not 1 <= position <= self.positions:
            raise BadStart(position, self.positions)
        row, column = divmod(position - 1, self.columns)
        x = self.left + column * self.pitch_x
        y = self.top + row * self.pitch_y
        return Box(x, y, self.label_width, self.label_height)

    def ink_area(self) -> Box:
        """The part of a label, from its own corner, in which ink is safe from a shifted print."""
        if not self.round:
            return _inner(self.label_width, self.label_height, SAFE_INSET_MM)
        side = round_side(self.label_width)
        offset = (self.label_width - side) / 2
        return Box(offset, offset, side, side)

    def white_area(self) -> Box:
        """The part of a label that is sure to be white: a symbol's border may use all of it."""
        return self.ink_area() if self.round else _inner(self.label_width, self.label_height, 0.0)

    def warnings(self) -> list[str]:
        """Sentences for a person about what may go wrong with this sheet."""
        right = self.page_width - self.slot(self.columns).x - self.label_width
        bottom = self.page_height - self.slot(self.positions).y - self.label_height
        nearest = min(self.left, self.top, right, bottom) + SAFE_INSET_MM
        if self.positions == 1 or nearest >= UNPRINTABLE_EDGE_MM:
            return []
        return [
            f"Print on these labels begins {nearest:.1f} mm from the paper's edge; many printers "
            "leave 3 to 6 mm unprinted. Print one page on plain paper first and look for cut-off "
            "labels at the edges."
        ]

    def next_free(self, count: int, start: int = 1) -> int:
        """The first free position on the last sheet after ``count`` labels; 1 if it is full."""
        self.slot(start)
        return (start - 1 + count) % self.positions + 1


def roll(width: float, height: float, name: str | None = None) -> Geometry:
    """A roll of labels: one page a label, width across the roll, height along it, in mm."""
    title = name or f"roll-{width:g}x{height:g}"
    return Geometry(title, "roll", width, height, width, height)


def round_roll(diameter: float, name: str | None = None) -> Geometry:
    """A roll of round die-cut labels of a diameter in mm, one page a label."""
    title = name or f"roll-round-{diameter:g}"
    return Geometry(title, "roll", diameter, diameter, diameter, diameter, round=True)


def round_side(diameter: float, inset: float = SAFE_INSET_MM) -> float:
    """Side in mm of the largest square inside a disc that keeps ``inset`` from its edge.

    A square in a circle of diameter d has the side d / sqrt 2 (Pythagoras).
    """
    return (diameter - 2 * inset) / sqrt(2)


def _inner(width: float, height: float, inset: float) -> Box:
    return Box(inset, inset, width - 2 * inset, height - 2 * inset)


def _check_numbers(g: Geometry) -> None:
    sizes = [(f.name, getattr(g, f.name)) for f in fields(g) if f.type is float]
    for name, value in sizes:
        if not isfinite(value) or value < 0:
            raise GeometryError(f"{g.name}: {name} is {value}; give a length in mm, 0 or more.")
    if min(g.page_width, g.page_height, g.label_width, g.label_height) <= 0:
        raise GeometryError(f"{g.name}: page and label need a width and a height above 0 mm.")


def _check_axis(g: Geometry, axis: str, count: int, pitch: float, size: float) -> None:
    if count < 1:
        raise GeometryError(f"{g.name}: {count} {axis} of labels; give 1 or more.")
    if count > 1 and pitch < size - _ROUNDING_MM:
        raise GeometryError(
            f"{g.name}: labels {size:g} mm long that repeat every {pitch:g} mm would overlap. "
            "The pitch is measured from one label's edge to the same edge of the next."
        )


def _check_end(g: Geometry, edge: str, end: float, page: float) -> None:
    if end > page + _ROUNDING_MM:
        raise GeometryError(
            f"{g.name}: the last label ends {end - page:.2f} mm beyond the {edge} edge of a page "
            f"{page:g} mm long. Measure the margin, the pitch and the label again."
        )


def _sheet(
    page: str,
    label: tuple[float, float],
    grid: tuple[int, int],
    pitch: tuple[float, float],
    corner: tuple[float, float],
) -> Geometry:
    name = f"{page.lower()}-{label[0]:g}x{label[1]:g}"
    return Geometry(name, page, *PAGES[page], *label, *grid, *pitch, *corner)


def _by_name(sheets: Iterable[Geometry]) -> dict[str, Geometry]:
    return {sheet.name: sheet for sheet in sheets}


GEOMETRIES = _by_name(
    (
        _sheet("A4", (99.1, 67.7), (2, 4), (101.6, 67.7), (4.65, 13.1)),
        _sheet("A4", (63.5, 38.1), (3, 7), (66.04, 38.1), (7.21, 15.15)),
        _sheet("A4", (63.5, 33.9), (3, 8), (66.04, 33.9), (7.21, 12.9)),
        _sheet("A4", (70, 37), (3, 8), (70, 37), (0, 0.5)),
        _sheet("A4", (45.7, 25.4), (4, 10), (48.3, 25.4), (9.7, 21.5)),
        _sheet("A4", (45.7, 21.2), (4, 12), (48.3, 21.2), (9.7, 21.3)),
        _sheet("A4", (38.1, 21.2), (5, 13), (40.64, 21.2), (4.67, 10.7)),
        _sheet("A4", (25.4, 10), (7, 27), (27.9, 10), (8.6, 13.5)),
        _sheet("A4", (17.8, 10), (10, 27), (20.3, 10), (4.75, 13.5)),
        _sheet("Letter", (66.68, 25.4), (3, 10), (69.85, 25.4), (4.76, 12.7)),
        _sheet("Letter", (101.6, 25.4), (2, 10), (106.36, 25.4), (3.97, 12.7)),
        _sheet("Letter", (44.45, 12.7), (4, 20), (52.07, 12.7), (7.62, 12.7)),
    )
)

DEFAULT = GEOMETRIES["a4-63.5x33.9"]
