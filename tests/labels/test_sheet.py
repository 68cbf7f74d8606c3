"""Sheets: every label decoded from the rendered page, in its slot, to the tenth of a millimetre."""

from collections.abc import Iterator
from itertools import pairwise
from random import Random

import pytest
from PIL import Image

from labels.codes import check_character, display, make_code
from labels.errors import (
    BadResolution,
    BadStart,
    DoesNotFit,
    ForeignCode,
    HostMissing,
    LabelError,
    NothingToPrint,
)
from labels.geometry import DEFAULT, GEOMETRIES, PAGES, Geometry, roll, round_roll
from labels.layout import arrange
from labels.sheet import merged, sheet_pdf
from tests.labels import reading

HOST = "LABELS.EXAMPLE"
DPI = 300


def codes(count: int, seed: int = 1) -> list[str]:
    random = Random(seed)
    return [make_code(random) for _ in range(count)]


def read_by_slot(pdf: bytes, geometry: Geometry, dpi: float = DPI) -> list[list[str | None]]:
    """For each page the text decoded in each slot; a slot's picture is cut at its edges, so that
    a symbol, with the white that it needs, must lie wholly inside its own label."""
    scale = dpi / 25.4
    found = []
    for page in reading.pages(pdf, dpi):
        texts: list[str | None] = []
        for position in range(1, geometry.positions + 1):
            slot = geometry.slot(position)
            corners = (slot.x, slot.y, slot.x + slot.width, slot.y + slot.height)
            symbols = reading.decode(page.crop(tuple(round(c * scale) for c in corners)))
            assert len(symbols) <= 1
            texts.append(symbols[0].text if symbols else None)
        found.append(texts)
    return found


@pytest.mark.parametrize("geometry", GEOMETRIES.values(), ids=lambda sheet: sheet.name)
def test_a_full_sheet_reads_back_slot_by_slot(geometry: Geometry) -> None:
    made = codes(geometry.positions)
    pdf = sheet_pdf(made, geometry, HOST)
    plan = arrange(geometry, HOST).plan
    assert read_by_slot(pdf, geometry) == [[plan.payload(code) for code in made]]
    assert reading.page_sizes_mm(pdf) == [pytest.approx(PAGES[geometry.page], abs=0.01)]


@pytest.mark.parametrize("geometry", GEOMETRIES.values(), ids=lambda sheet: sheet.name)
def test_symbols_stand_where_the_sheet_says(geometry: Geometry) -> None:
    """Expected edges are worked out here from the sheet's measures and the symbol's width."""
    plan = arrange(geometry, HOST).plan
    dark, border = plan.modules * plan.module_mm, 4 * plan.module_mm
    found = reading.symbol_edges(sheet_pdf(codes(geometry.positions), geometry, HOST), geometry)
    assert sorted(found) == list(range(1, geometry.positions + 1))
    for position, edges in found.items():
        row, column = divmod(position - 1, geometry.columns)
        left = geometry.left + column * geometry.pitch_x + max(1.5, border)
        top = geometry.top + row * geometry.pitch_y + (geometry.label_height - dark) / 2
        assert edges == pytest.approx((left, top, left + dark, top + dark), abs=0.1)


def test_known_edges_on_the_usual_sheet() -> None:
    """By hand: 25 mm in 37 modules, four of border; the label is 33.9 mm high."""
    found = reading.symbol_edges(sheet_pdf(codes(24), host=HOST), DEFAULT)
    assert found[1] == pytest.approx((9.913, 20.053, 29.507, 39.647), abs=0.01)
    assert found[24] == pytest.approx((141.993, 257.353, 161.587, 276.947), abs=0.01)


def test_edges_in_the_rendered_page() -> None:
    """The same symbol measured from pixels: one pixel at 600 dots an inch is 0.04 mm."""
    page = next(reading.pages(sheet_pdf(codes(1), host=HOST, start=24), 600))
    found = inked_mm(page, (139.29, 250.2, 164, 284.1), 600)
    assert found == pytest.approx((141.993, 257.353, 161.587, 276.947), abs=0.1)


def inked_mm(page: Image.Image, area: reading.Edges, dpi: float) -> reading.Edges:
    """Bounds of the dark pixels in a part of a page, in mm from the page's upper left."""
    scale = dpi / 25.4
    corner = [round(mm * scale) for mm in area]
    crop = page.crop((corner[0], corner[1], corner[2], corner[3]))
    box = crop.point(lambda grey: 255 if grey < 128 else 0).getbbox()
    assert box is not None
    x, y = corner[:2]
    return (box[0] + x) / scale, (box[1] + y) / scale, (box[2] + x) / scale, (box[3] + y) / scale


def test_part_used_sheets_continue_at_the_first_free_position() -> None:
    made = codes(30)
    pages = read_by_slot(sheet_pdf(iter(made), host=HOST, start=20), DEFAULT)
    addresses: list[str | None] = [f"HTTPS://{HOST}/Q/{code}" for code in made]
    assert pages == [
        [None] * 19 + addresses[:5],
        addresses[5:29],
        addresses[29:] + [None] * 23,
    ]
    assert DEFAULT.next_free(30, start=20) == 2


def test_last_position_alone() -> None:
    made = codes(1)
    pages = read_by_slot(sheet_pdf(made, host=HOST, start=24), DEFAULT)
    assert pages == [[None] * 23 + [f"HTTPS://{HOST}/Q/{made[0]}"]]


@pytest.mark.parametrize(
    "label", [roll(40, 20), roll(25, 25), round_roll(20), round_roll(25)], ids=lambda g: g.name
)
@pytest.mark.parametrize("dpi", [None, 203, 300])
def test_rolls_have_a_page_for_each_label(label: Geometry, dpi: float | None) -> None:
    made = codes(3)
    pdf = sheet_pdf(made, label, HOST, dpi=dpi)
    plan = arrange(label, HOST).plan
    assert read_by_slot(pdf, label) == [[plan.payload(code)] for code in made]
    size = (label.label_width, label.label_height)
    assert reading.page_sizes_mm(pdf) == [pytest.approx(size, abs=0.01)] * 3


@pytest.mark.parametrize("size", [8, 10, 12, 15, 20])
def test_a_size_asked_for_is_kept(size: float) -> None:
    made = codes(2)
    pdf = sheet_pdf(made, host=HOST, size_mm=size)
    plan = arrange(DEFAULT, HOST, size).plan
    left, top, right, bottom = reading.symbol_edges(pdf, DEFAULT)[1]
    dark = size * plan.modules / (plan.modules + 8)
    assert (right - left, bottom - top) == pytest.approx((dark, dark), abs=0.02)
    assert read_by_slot(pdf, DEFAULT)[0][:3] == [plan.payload(c) for c in made] + [None]


@pytest.mark.parametrize("geometry", GEOMETRIES.values(), ids=lambda sheet: sheet.name)
def test_codes_are_printed_in_order(geometry: Geometry) -> None:
    made = codes(geometry.positions + 3)
    pages = reading.texts(sheet_pdf(made, geometry, HOST))
    assert [word for page in pages for word in words(page)] == [display(code) for code in made]


def words(page: str) -> Iterator[str]:
    """Printed codes; on small labels one is broken over two lines after its hyphen."""
    letters = "".join(page.replace("\ufffe", "-").replace("\x02", "-").split())
    return (letters[i : i + 9] for i in range(0, len(letters), 9))


@pytest.mark.parametrize("geometry", GEOMETRIES.values(), ids=lambda sheet: sheet.name)
def test_capitals_are_at_least_two_and_a_half_millimetres_tall(geometry: Geometry) -> None:
    """Measured from pixels, on the first line; H and E have neither overshoot nor descender."""
    code = "HEHHEHE" + check_character("HEHHEHE")
    page = next(reading.pages(sheet_pdf([code], geometry, HOST), 600))
    layout, slot = arrange(geometry, HOST), geometry.slot(1)
    left, line = slot.x + layout.text.x, slot.y + layout.baselines()[0]
    right = left + layout.text.width
    found = inked_mm(page, (left, slot.y, right, line + 0.1), 600)
    assert found[3] - found[1] >= 2.45


def test_the_page_is_not_to_be_scaled() -> None:
    assert b"/PrintScaling /None" in sheet_pdf(codes(1), host=HOST)


def test_snapped_modules_are_whole_dots() -> None:
    """12 mm at 203 dots an inch: 2.59 dots a module, printed as 2, about the same middle."""
    made = codes(24)
    free = reading.symbol_edges(sheet_pdf(made, host=HOST, size_mm=12), DEFAULT)
    snapped = reading.symbol_edges(sheet_pdf(made, host=HOST, size_mm=12, dpi=203), DEFAULT)
    for position, (left, top, right, bottom) in snapped.items():
        side = 29 * 2 * 25.4 / 203
        assert (right - left, bottom - top) == pytest.approx((side, side), abs=0.01)
        middle = ((left + right) / 2, (top + bottom) / 2)
        a, b, c, d = free[position]
        assert middle == pytest.approx(((a + c) / 2, (b + d) / 2), abs=0.01)


def test_merged_rectangles_cover_black_modules_once() -> None:
    for code in codes(20):
        matrix = arrange(DEFAULT, HOST).plan.matrix(code)
        painted = [
            (x, y)
            for left, top, width, height in merged(matrix)
            for x in range(left, left + width)
            for y in range(top, top + height)
        ]
        black = [(x, y) for y, row in enumerate(matrix) for x, on in enumerate(row) if on]
        assert sorted(painted) == sorted(black)


@pytest.mark.parametrize(
    ("options", "error", "sentence"),
    [
        ({}, HostMissing, "no host name for it has been set"),
        ({"host": HOST, "start": 0}, BadStart, "no position 0"),
        ({"host": HOST, "start": 25}, BadStart, "numbered from 1 to 24"),
        ({"host": HOST, "size_mm": 40}, DoesNotFit, "40 mm wide"),
        ({"host": HOST, "size_mm": 5}, DoesNotFit, "at least 8 mm"),
        ({"host": HOST, "dpi": 72}, BadResolution, "203, 300 and 600"),
        ({"host": HOST, "codes": []}, NothingToPrint, "nothing to print"),
        ({"host": HOST, "codes": ["4JQZKDM2"]}, ForeignCode, "not one of the farm's labels"),
    ],
)
def test_what_is_refused(
    options: dict[str, object], error: type[LabelError], sentence: str
) -> None:
    with pytest.raises(error, match=sentence):
        sheet_pdf(**{"codes": codes(1), **options})  # type: ignore[arg-type]


def test_bare_codes_need_no_host() -> None:
    made = codes(2)
    small = GEOMETRIES["a4-17.8x10"]
    assert read_by_slot(sheet_pdf(made, small), small)[0][:3] == [*made, None]
    assert read_by_slot(sheet_pdf(made, size_mm=9), DEFAULT)[0][:3] == [*made, None]


def test_many_pages_stream_from_a_generator() -> None:
    made = codes(500, seed=9)
    pdf = sheet_pdf((code for code in made), host=HOST, start=7)
    found = [f.text for page in reading.pages(pdf, 150) for f in in_rows(reading.decode(page))]
    assert found == [f"HTTPS://{HOST}/Q/{code}" for code in made]


def in_rows(found: list[reading.Found]) -> list[reading.Found]:
    row = DEFAULT.pitch_y * 150 / 25.4
    first = DEFAULT.top * 150 / 25.4
    ordered = sorted(found, key=lambda f: (int((f.y - first) // row), f.x))
    assert all(a != b for a, b in pairwise(ordered))
    return ordered
