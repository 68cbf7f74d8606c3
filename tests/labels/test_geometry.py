"""Sheets and rolls: where labels lie, and which descriptions are refused."""

from dataclasses import replace
from math import hypot, inf, nan

import pytest

from labels.errors import BadStart, DoesNotFit, GeometryError
from labels.geometry import (
    DEFAULT,
    GEOMETRIES,
    PAGES,
    Box,
    Geometry,
    roll,
    round_roll,
    round_side,
)
from labels.layout import LOWEST_CAPITALS_MM, arrange

ALL = [*GEOMETRIES.values(), roll(40, 20), roll(30, 15), roll(25, 25), round_roll(20)]


def test_pages_are_those_of_the_standards() -> None:
    """ISO 216: A0 has 1 m2 and sides as 1 to sqrt 2, each size halves the last, whole mm.
    Letter: 8.5 by 11 inches of 25.4 mm."""
    long, short = round(1000 * 2**0.25), round(1000 / 2**0.25)
    for _ in range(4):
        long, short = short, long // 2
    assert PAGES["A4"] == (short, long)
    assert PAGES["Letter"] == pytest.approx((8.5 * 25.4, 11 * 25.4))


def test_what_ships() -> None:
    assert {name: sheet.positions for name, sheet in GEOMETRIES.items()} == {
        "a4-99.1x67.7": 8,
        "a4-63.5x38.1": 21,
        "a4-63.5x33.9": 24,
        "a4-70x37": 24,
        "a4-45.7x25.4": 40,
        "a4-45.7x21.2": 48,
        "a4-38.1x21.2": 65,
        "a4-25.4x10": 189,
        "a4-17.8x10": 270,
        "letter-66.68x25.4": 30,
        "letter-101.6x25.4": 20,
        "letter-44.45x12.7": 80,
    }
    assert DEFAULT.name == "a4-63.5x33.9"


@pytest.mark.parametrize("sheet", GEOMETRIES.values(), ids=lambda sheet: sheet.name)
def test_margins_of_shipped_sheets_are_symmetric(sheet: Geometry) -> None:
    last = sheet.slot(sheet.positions)
    right = sheet.page_width - last.x - last.width
    bottom = sheet.page_height - last.y - last.height
    assert right == pytest.approx(sheet.left, abs=0.06)
    assert bottom == pytest.approx(sheet.top, abs=0.06)


def test_positions_run_row_by_row_from_the_top_left() -> None:
    corners = [(DEFAULT.slot(n).x, DEFAULT.slot(n).y) for n in (1, 2, 3, 4, 24)]
    expected = [(7.21, 12.9), (73.25, 12.9), (139.29, 12.9), (7.21, 46.8), (139.29, 250.2)]
    assert corners == [pytest.approx(corner) for corner in expected]


@pytest.mark.parametrize("position", [0, -1, 25])
def test_positions_off_the_sheet(position: int) -> None:
    with pytest.raises(BadStart, match="numbered from 1 to 24"):
        DEFAULT.slot(position)


def test_next_free_position() -> None:
    assert [DEFAULT.next_free(count, start=20) for count in (0, 1, 4, 5, 29, 30)] == [
        20, 21, 24, 1, 1, 2,
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        ({"columns": 4}, "58.83 mm beyond the right edge"),
        ({"rows": 9}, "beyond the lower edge of a page 297 mm long"),
        ({"pitch_x": 60.0}, "would overlap"),
        ({"pitch_y": 33.0}, "would overlap"),
        ({"left": 20.0}, "beyond the right edge"),
        ({"left": -1.0}, "left is -1.0; give a length in mm, 0 or more"),
        ({"top": nan}, "top is nan"),
        ({"page_width": inf}, "page_width is inf"),
        ({"label_width": 0.0}, "a width and a height above 0 mm"),
        ({"rows": 0}, "0 rows of labels; give 1 or more"),
        ({"round": True}, "as wide as it is high"),
    ],
)
def test_descriptions_that_contradict_themselves(change: dict[str, float], sentence: str) -> None:
    with pytest.raises(GeometryError, match=sentence):
        replace(DEFAULT, **change)


def test_a_roll_is_one_page_a_label() -> None:
    label = roll(40, 20)
    assert (label.positions, label.slot(1)) == (1, Box(0, 0, 40, 20))
    assert (label.page_width, label.page_height, label.warnings()) == (40, 20, [])


def test_sheets_that_print_near_the_edge_are_named() -> None:
    warned = [name for name, sheet in GEOMETRIES.items() if sheet.warnings()]
    assert warned == ["a4-70x37", "letter-101.6x25.4"]
    assert GEOMETRIES["a4-70x37"].warnings()[0].startswith("Print on these labels begins 1.5 mm")


def test_the_square_in_a_disc_touches_its_safe_circle() -> None:
    for diameter in (15, 20, 25.4):
        half = round_side(diameter) / 2
        assert hypot(half, half) == pytest.approx(diameter / 2 - 1.5)
        assert 2 * half == pytest.approx(0.707 * (diameter - 3), rel=3e-4)


@pytest.mark.parametrize("label", ALL, ids=lambda label: label.name)
def test_symbol_and_code_keep_apart_and_inside(label: Geometry) -> None:
    layout = arrange(label, "LABELS.EXAMPLE")
    symbol, text, border = layout.symbol, layout.text, 4 * layout.plan.module_mm
    assert symbol.width == layout.plan.width_mm
    assert inside(symbol, Box(0, 0, label.label_width, label.label_height))
    ink = Box(symbol.x + border, symbol.y + border, *[symbol.width - 2 * border] * 2)
    assert inside(ink, label.ink_area())
    assert text.x >= symbol.x + symbol.width - 1e-9 or text.y >= symbol.y + symbol.height - 1e-9
    assert layout.capitals_mm >= LOWEST_CAPITALS_MM
    if label.round:
        centre = label.label_width / 2
        corners = [(x, y) for x in (text.x, text.x + text.width)
                   for y in (text.y, text.y + text.height)]  # fmt: skip
        assert max(hypot(x - centre, y - centre) for x, y in corners) <= centre - 1.5 + 1e-9
    else:
        assert inside(text, label.ink_area())


def inside(inner: Box, outer: Box) -> bool:
    return (
        inner.x >= outer.x - 1e-9
        and inner.y >= outer.y - 1e-9
        and inner.x + inner.width <= outer.x + outer.width + 1e-9
        and inner.y + inner.height <= outer.y + outer.height + 1e-9
    )


@pytest.mark.parametrize(
    ("label", "size", "sentence"),
    [
        (roll(12, 8), None, "12 x 8 mm has no room for the smallest symbol"),
        (round_roll(15), None, "15 mm across has no room"),
        (roll(30, 15), 20, "A symbol 20 mm wide and the code printed 2.5 mm tall do not fit"),
        (roll(15, 15), 15, "do not fit on a label of 15 x 15 mm"),
    ],
)
def test_labels_without_room(label: Geometry, size: float | None, sentence: str) -> None:
    with pytest.raises(DoesNotFit, match=sentence):
        arrange(label, "LABELS.EXAMPLE", size)


def test_a_code_breaks_after_its_hyphen() -> None:
    small, wide = GEOMETRIES["a4-17.8x10"], DEFAULT
    lines = [arrange(label, "LABELS.EXAMPLE").text_lines("4JQZKDMN") for label in (small, wide)]
    assert lines == [["4JQZ-", "KDMN"], ["4JQZ-KDMN"]]
