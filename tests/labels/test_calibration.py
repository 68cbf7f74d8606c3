"""Calibration: a printer's shift and stretch, measured on a page and undone on the sheet."""

from random import Random

import pytest

from labels.calibration import adjustment, calibration_pdf
from labels.codes import make_code
from labels.errors import BeyondAdjusting
from labels.geometry import DEFAULT, PAGES, Adjustment
from labels.sheet import sheet_pdf
from tests.labels import reading

HOST = "LABELS.EXAMPLE"


def test_adjustment_moves_and_stretches_every_label() -> None:
    random = Random(1)
    codes = [make_code(random) for _ in range(24)]
    plain = reading.symbol_edges(sheet_pdf(codes, host=HOST), DEFAULT)
    change = Adjustment(1.5, -0.8, 1.01, 0.995)
    moved = reading.symbol_edges(sheet_pdf(codes, host=HOST, adjust=change), DEFAULT)
    assert len(moved) == 24
    for position, (left, top, right, bottom) in plain.items():
        across, down = (1.5 + 1.01 * left, 1.5 + 1.01 * right), (0.995 * top, 0.995 * bottom)
        expected = (across[0], down[0] - 0.8, across[1], down[1] - 0.8)
        assert moved[position] == pytest.approx(expected, abs=0.02)


def test_adjustments_are_clamped() -> None:
    assert Adjustment(9, -9, 1.5, 0.5) == Adjustment(5, -5, 1.02, 0.98)


@pytest.mark.parametrize(
    ("measured", "words"),
    [
        ((36, 30), "up to 6.0 mm"),
        ((30, 24.5), "up to 5.5 mm"),
        ((30.9, 30, 154.5), "2.9 %"),
        ((30, 30, 150, 146), "2.7 %"),
        ((30, 30, 0, 150), "100.0 %"),
    ],
)
def test_what_is_off_by_more_than_a_printer_is_refused(
    measured: tuple[float, ...], words: str
) -> None:
    """Half a correction would still print beside the labels, and nobody would know why."""
    with pytest.raises(BeyondAdjusting, match=words) as refused:
        adjustment(*measured)
    assert "actual size" in str(refused.value)


def test_what_a_printer_may_be_off_is_taken() -> None:
    assert adjustment(35, 25) == Adjustment(-5, 5, 1, 1)


def test_where_dots_are_known_a_stretch_moves_symbols_and_leaves_their_modules_whole() -> None:
    code = make_code(Random(3))
    change = Adjustment(1.0, 0.0, 1.01, 1.0)
    pdf = sheet_pdf([code], host=HOST, size_mm=20, start=3, dpi=300, adjust=change)
    left, _, right, _ = reading.symbol_edges(pdf, DEFAULT)[3]
    assert right - left == pytest.approx(29 * 6 * 25.4 / 300, abs=0.01)
    plain = reading.symbol_edges(sheet_pdf([code], host=HOST, size_mm=20, start=3), DEFAULT)[3]
    middle = (plain[0] + plain[2]) / 2
    assert (left + right) / 2 == pytest.approx(1.0 + 1.01 * middle, abs=0.01)


def test_what_is_measured_on_the_page_is_undone() -> None:
    """A printer that shifts by (1, -2) mm and prints 0.6 % too wide and 0.4 % too short."""

    def printed(x: float, y: float) -> tuple[float, float]:
        return 1 + 1.006 * x, -2 + 0.996 * y

    cross = printed(30, 30)
    fix = adjustment(*cross, ruler_x=150 * 1.006, ruler_y=150 * 0.996)
    corrected = printed(fix.dx + fix.sx * 100, fix.dy + fix.sy * 200)
    assert corrected == pytest.approx((100, 200))


@pytest.mark.parametrize("page", PAGES)
def test_crosses_and_rulers_are_true(page: str) -> None:
    """From the middles of the lines in the file: 30 mm to the cross, 151 ticks over 150 mm."""
    pdf = calibration_pdf(page)
    width, height = PAGES[page]
    lines = reading.rectangles_mm(pdf)
    middles = [((left + right) / 2, (top + bottom) / 2) for left, top, right, bottom in lines]
    long_lines = [m for m, box in zip(middles, lines, strict=True) if 9.5 < box[2] - box[0] < 11]
    assert reading.page_sizes_mm(pdf) == [pytest.approx((width, height), abs=0.01)]
    assert sorted(long_lines) == [
        pytest.approx(corner, abs=0.01)
        for corner in ((30, 30), (30, height - 30), (width - 30, 30), (width - 30, height - 30))
    ]
    across = sorted(x for (x, y), box in zip(middles, lines, strict=True) if is_tick(box, y, 40))
    assert across == pytest.approx([40 + mm for mm in range(151)], abs=0.01)


def is_tick(box: reading.Edges, middle: float, ruler: float) -> bool:
    upright = box[2] - box[0] < 1
    return upright and ruler < middle < ruler + 2.5
