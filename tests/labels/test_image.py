"""Single labels as pictures: readable, true to size, on whole printer dots."""

from random import Random

import pytest

from labels.codes import check_character, make_code
from labels.errors import BadResolution, DoesNotFit, ForeignCode, HostMissing, LabelError
from labels.geometry import GEOMETRIES, Geometry, roll, round_roll
from labels.image import label_png
from labels.layout import arrange
from tests.labels import reading

HOST = "LABELS.EXAMPLE"
LABELS = [*GEOMETRIES.values(), roll(40, 20), roll(30, 15), round_roll(20), round_roll(25)]


@pytest.mark.parametrize("dpi", [203, 300, 600])
@pytest.mark.parametrize("label", LABELS, ids=lambda label: label.name)
def test_every_label_reads_back(label: Geometry, dpi: int) -> None:
    random, plan = Random(dpi), arrange(label, HOST).plan
    for code in (make_code(random) for _ in range(3)):
        picture = reading.png(label_png(code, label, HOST, dpi=dpi))
        assert [found.text for found in reading.decode(picture)] == [plan.payload(code)]


@pytest.mark.parametrize("dpi", [203, 300, 600])
@pytest.mark.parametrize("label", LABELS, ids=lambda label: label.name)
def test_the_file_is_black_and_white_and_as_large_as_the_label(label: Geometry, dpi: int) -> None:
    """PNG keeps dots a metre as a whole number, so that 203 an inch comes back as 202.997."""
    picture = reading.png(label_png("4JQZKDMN", label, HOST, dpi=dpi))
    assert picture.mode == "1"
    assert picture.info["dpi"] == pytest.approx((dpi, dpi), abs=0.02)
    size = tuple(pixels * 25.4 / dpi for pixels in picture.size)
    assert size == pytest.approx((label.label_width, label.label_height), abs=25.4 / dpi)


@pytest.mark.parametrize(
    ("size", "dpi", "dots"), [(8, 203, 2), (12, 203, 2), (12, 300, 3), (15, 300, 4), (20, 600, 12)]
)
def test_modules_are_whole_dots(size: float, dpi: int, dots: int) -> None:
    """The matrix is read off the pixels: every module is one colour throughout."""
    label = roll(60, 25)
    plan = arrange(label, HOST, size).plan
    picture = reading.png(label_png("4JQZKDMN", label, HOST, size, dpi)).convert("L")
    symbol = picture.crop((0, 0, round(size * dpi / 25.4), picture.height))
    box = symbol.point(lambda grey: 255 - grey).getbbox()
    assert box is not None
    assert (box[2] - box[0], box[3] - box[1]) == (plan.modules * dots, plan.modules * dots)
    read = []
    for row in range(plan.modules):
        corners = [(box[0] + column * dots, box[1] + row * dots) for column in range(plan.modules)]
        cells = [symbol.crop((x, y, x + dots, y + dots)).getextrema() for x, y in corners]
        read.append([{(0, 0): True, (255, 255): False}[cell] for cell in cells])
    assert read == plan.matrix("4JQZKDMN")


def test_below_two_dots_the_symbol_keeps_its_size() -> None:
    """12 mm at 150 dots an inch: 1.9 dots a module, 29 of them in 55.5 dots."""
    picture = reading.png(label_png("4JQZKDMN", roll(60, 25), HOST, 12, 150)).convert("L")
    box = picture.crop((0, 0, 70, picture.height)).point(lambda grey: 255 - grey).getbbox()
    assert box is not None
    assert box[2] - box[0] == pytest.approx(29 * 12 / 37 * 150 / 25.4, abs=1)


@pytest.mark.parametrize("label", LABELS, ids=lambda label: label.name)
def test_nothing_is_cut_off(label: Geometry) -> None:
    """The widest code leaves the safe inset white; round letters may overshoot by a tenth."""
    code = widest_codes()[0]
    picture = reading.png(label_png(code, label, HOST, dpi=600)).convert("L")
    box = picture.point(lambda grey: 255 - grey).getbbox()
    assert box is not None
    scale, slack = 600 / 25.4, 0.15
    inset = 1.5 - slack
    assert box[0] / scale >= inset
    assert box[1] / scale >= inset
    assert (picture.width - box[2]) / scale >= inset
    assert (picture.height - box[3]) / scale >= inset


def widest_codes() -> list[str]:
    """Valid codes of wide letters alone."""
    random, wide = Random(3), "MWMWGQ"
    made = ("".join(random.choices(wide, k=7)) for _ in range(200))
    return [data + check_character(data) for data in made if check_character(data) in wide]


@pytest.mark.parametrize(
    ("code", "options", "error", "sentence"),
    [
        ("4JQZKDMN", {}, HostMissing, "no host name"),
        ("4JQZKDM2", {"host": HOST}, ForeignCode, "not one of the farm's labels"),
        ("4JQZKDMN", {"host": HOST, "dpi": 9600}, BadResolution, "9600 dots an inch"),
        ("4JQZKDMN", {"host": HOST, "size_mm": 30}, DoesNotFit, "30 mm wide"),
    ],
)
def test_what_is_refused(
    code: str, options: dict[str, object], error: type[LabelError], sentence: str
) -> None:
    with pytest.raises(error, match=sentence):
        label_png(code, roll(40, 20), **options)  # type: ignore[arg-type]
