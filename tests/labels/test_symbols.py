"""Symbols: which one a label carries, whether it reads, and from how far."""

from random import Random

import pytest
import zxingcpp
from qrcode import base
from qrcode.exceptions import DataOverflowError

from labels.codes import make_code
from labels.errors import (
    BadHost,
    BadResolution,
    DoesNotFit,
    HostMissing,
    HostTooLong,
    LabelError,
)
from labels.readability import module_mm, read_from_at_most_mm, snapped_mm, verdict
from labels.symbols import CAPACITY, Plan, choose, clean_host, draw

LEVELS = {"L": 1, "M": 0, "Q": 3, "H": 2}


def host_of(length: int) -> str:
    return "A" * (length - 8) + ".EXAMPLE"


def test_capacity_follows_from_the_standards_data_codewords() -> None:
    """ISO/IEC 18004: 4 bits of mode, 9 of length (versions 1 to 9), then 11 bits for two
    characters and 6 for a last one; the data codewords are those of the qrcode library."""
    derived: dict[int, dict[str, int]] = {}
    for version in CAPACITY:
        derived[version] = {}
        for level, number in LEVELS.items():
            blocks = base.rs_blocks(version, number)
            room = 8 * sum(block.data_count for block in blocks) - 4 - 9
            derived[version][level] = 2 * (room // 11) + (room % 11 >= 6)
    assert derived == CAPACITY


def test_data_codewords_of_the_library_match_the_standards_small_versions() -> None:
    """Total data codewords L/M/Q/H as printed in ISO/IEC 18004 (from memory)."""
    standard = {1: (19, 16, 13, 9), 2: (34, 28, 22, 16), 3: (55, 44, 34, 26), 4: (80, 64, 48, 36)}
    library = {
        version: tuple(
            sum(block.data_count for block in base.rs_blocks(version, number))
            for number in LEVELS.values()
        )
        for version in standard
    }
    assert library == standard


@pytest.mark.parametrize(
    ("width", "host_length", "version", "correction"),
    [
        (10, 10, 2, "Q"),
        (10, 11, 2, "M"),
        (10, 19, 2, "M"),
        (11.5, 20, 2, "L"),
        (11.5, 28, 2, "L"),
        (12, 16, 3, "H"),
        (12, 17, 3, "Q"),
        (12, 28, 3, "Q"),
        (14.5, 58, 3, "L"),
        (15, 16, 3, "H"),
        (20, 28, 3, "Q"),
        (15, 58, 3, "L"),
        (15, 59, 4, "M"),
        (25, 95, 4, "L"),
    ],
)
def test_width_picks_the_version_and_the_host_the_correction(
    width: float, host_length: int, version: int, correction: str
) -> None:
    host = host_of(host_length)
    assert choose(width, host) == Plan(width, version, correction, host)  # type: ignore[arg-type]


@pytest.mark.parametrize("width", [8, 9.9])
def test_under_ten_millimetres_the_bare_code_is_carried(width: float) -> None:
    plan = choose(width, None)
    assert plan == choose(width, "LABELS.EXAMPLE") == Plan(width, 1, "H", None)
    assert plan.payload("4JQZKDMN") == "4JQZKDMN"


def test_the_address_is_upper_case() -> None:
    plan = choose(12, " labels.example:8443 ")
    assert plan.payload("4JQZKDMN") == "HTTPS://LABELS.EXAMPLE:8443/Q/4JQZKDMN"


@pytest.mark.parametrize(
    ("width", "host", "error", "sentence"),
    [
        (12, None, HostMissing, "no host name for it has been set"),
        (12, "  ", HostMissing, "no host name for it has been set"),
        (12, "https://labels.example", BadHost, "without https://"),
        (12, "labels.example/q", BadHost, "without a path"),
        (12, "labels_example", BadHost, "letters, digits, dots and hyphens"),
        (12, "labels..example", BadHost, "Give the host name alone"),
        (12, "zücht.example", BadHost, "Give the host name alone"),
        (10, host_of(29), HostTooLong, "10 mm wide holds at most 28"),
        (12, host_of(59), HostTooLong, "12 mm wide holds at most 58"),
        (20, host_of(96), HostTooLong, "20 mm wide holds at most 95"),
        (7.9, None, DoesNotFit, "at least 8 mm"),
    ],
)
def test_what_is_refused(
    width: float, host: str | None, error: type[LabelError], sentence: str
) -> None:
    with pytest.raises(error, match=sentence):
        choose(width, host)


@pytest.mark.parametrize("width", [8, 10, 12, 15, 20])
@pytest.mark.parametrize("host", ["A.EXAMPLE", host_of(19), host_of(28)])
def test_every_symbol_reads_as_its_payload(width: float, host: str) -> None:
    plan, random = choose(width, host), Random(int(width))
    for code in (make_code(random) for _ in range(20)):
        picture = enlarged(plan.matrix(code))
        found = zxingcpp.read_barcodes(picture)
        assert [barcode.text for barcode in found] == [plan.payload(code)]
        assert len(plan.matrix(code)) == plan.modules


def enlarged(matrix: list[list[bool]], scale: int = 3) -> memoryview:
    """Grey rows with a border of four modules, written without any drawing library."""
    side = (len(matrix) + 8) * scale
    white = bytes([255]) * side
    edge = bytes([255]) * (4 * scale)
    rows = [white] * (4 * scale)
    for modules in matrix:
        inked = b"".join(bytes([0 if black else 255]) * scale for black in modules)
        rows += [edge + inked + edge] * scale
    rows += [white] * (4 * scale)
    return memoryview(b"".join(rows)).cast("B", (side, side))


def test_clean_host_keeps_what_is_right() -> None:
    assert clean_host("a-1.labels.example") == "A-1.LABELS.EXAMPLE"


def test_a_text_that_is_too_long_never_gives_a_damaged_symbol() -> None:
    with pytest.raises(DataOverflowError, match="Code length overflow"):
        draw("A" * 11, 1, "H")


def test_distances_of_the_usual_widths() -> None:
    """The measured table: module in mm, distance in mm for 1280 and 1920 pixels, within 1 mm."""
    table = {
        8: (0.276, 92, 138),
        10: (0.303, 101, 152),
        12: (0.324, 108, 162),
        15: (0.405, 135, 203),
        20: (0.541, 181, 271),
    }
    for width, (module, near, far) in table.items():
        found = module_mm(width)
        assert found == pytest.approx(module, abs=0.0006)
        assert read_from_at_most_mm(found) == pytest.approx(near, abs=1)
        assert read_from_at_most_mm(found, 1920) == pytest.approx(far, abs=1)


def test_distance_by_projecting_a_module_onto_the_sensor() -> None:
    """The same camera the other way round: at the distance found, a module covers 2.5 pixels."""
    module, distance = 0.405, read_from_at_most_mm(0.405)
    focal_length_px = 640 / 0.7673269879789604  # tan 37.5 degrees, from a table
    assert focal_length_px * module / distance == pytest.approx(2.5)


@pytest.mark.parametrize(
    ("module", "dpi", "dots"),
    [(12 / 37, 203, 2), (12 / 37, 300, 3), (12 / 37, 600, 7), (0.254, 200, 2)],
)
def test_modules_snap_to_whole_dots(module: float, dpi: float, dots: int) -> None:
    assert snapped_mm(module, dpi) * dpi / 25.4 == pytest.approx(dots)


def test_modules_under_two_dots_are_left_alone() -> None:
    assert snapped_mm(0.276, 150) == 0.276


def test_verdicts() -> None:
    """Rates measured for labels.md: under 2 dots a module no printing is reliable; 8, 10 and 12 mm
    are read from 9 to 11 cm at most; 12 mm at 203 dots an inch is rescued by snapping to 2 dots."""
    widths, resolutions = (8, 10, 12, 15, 20), (150, 203, 300, 600)
    levels = {w: [verdict(w, dpi).level for dpi in resolutions] for w in widths}
    assert levels == {
        8: ["unreadable", "close", "close", "close"],
        10: ["unreadable", "close", "close", "close"],
        12: ["unreadable", "close", "close", "close"],
        15: ["good", "good", "good", "good"],
        20: ["good", "good", "good", "good"],
    }


def test_a_verdict_says_its_numbers() -> None:
    assert verdict(20, 300).sentence == (
        "Good at 300 dots an inch: a square of its symbol is 0.51 mm, 6.0 printer dots; a phone "
        "reads it from up to 16 cm."
    )
    assert verdict(12, 203).sentence == (
        "Only close up at 203 dots an inch: a square of its symbol is 0.25 mm, 2.0 printer dots; "
        "hold the phone within 8 cm, and print one to try before printing many."
    )
    assert verdict(8, 150).sentence == (
        "It will not read at 150 dots an inch: a square of its symbol is 0.28 mm, 1.6 printer "
        "dots, and under two are too few. Choose a larger symbol, a larger label or a finer "
        "printer."
    )


def test_a_verdict_goes_by_the_module_that_is_printed() -> None:
    """15 mm at 300 dots an inch: 4.79 dots become 4. Half of 75 degrees has the tangent 0.7673."""
    found = verdict(15, 300)
    assert (found.dots, found.module_mm) == pytest.approx((4, 4 * 25.4 / 300))
    assert found.reach_mm == pytest.approx(1280 * found.module_mm / (2.5 * 2 * 0.76733), abs=0.1)
    assert verdict(15, 300, module=0.3).dots == pytest.approx(3)


def test_a_verdict_needs_a_printer() -> None:
    with pytest.raises(BadResolution, match="from 150 to 2400"):
        verdict(12, 72)
