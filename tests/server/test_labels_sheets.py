"""Own geometries, printers and verdicts over HTTP: what fits, what reads, where a sheet goes on."""

from typing import Any

import pypdfium2
import pytest

from tests.labels import reading
from tests.server.labels_farm import (
    A4_24,
    OWN,
    PRINTER,
    SHEET,
    again,
    choose_host,
    item,
    order,
)
from tests.server.server_farm import Farm
from tests.server.test_labels_routes import minted, read_all

PRINTER_KEY = "printer.office"


@pytest.fixture
def farm(signed_in: Farm) -> Farm:
    choose_host(signed_in)
    return signed_in


def geometry(farm: Farm, key: str) -> dict[str, Any]:
    found = farm.client.get("/api/labels/geometries").json()
    return dict(next(one for one in found if one["id"] == key))


def verdict(farm: Farm, **more: Any) -> Any:
    return farm.client.post("/api/labels/verdict", json={"geometry": A4_24, "count": 1} | more)


def test_an_own_sheet_is_listed_and_printed_on(farm: Farm):
    item(farm, SHEET, "sheet", OWN)
    found = geometry(farm, SHEET)
    assert {name: found[name] for name in ("name", "own", "positions", "label_width", "left")} == {
        "name": "Our film", "own": True, "positions": 18, "label_width": 60, "left": 10,
    }  # fmt: skip
    assert farm.client.get("/api/labels/geometries").json()[0]["id"] == SHEET
    pdf = again(farm, order(farm, 18, geometry=SHEET)["id"], geometry=SHEET).content
    assert len(read_all(pdf)) == 18
    middles = [((a + c) / 2, (b + d) / 2) for a, b, c, d in reading.rectangles_mm(pdf)]
    assert middles[17][0] - middles[0][0] == pytest.approx(2 * 62, abs=0.05)
    assert middles[17][1] - middles[0][1] == pytest.approx(5 * 42, abs=0.05)


@pytest.mark.parametrize(
    ("fields", "size"),
    [
        ({"page": "roll", "label_width_hmm": 5000, "label_height_hmm": 2500}, (50, 25)),
        ({"page": "round-roll", "label_width_hmm": 3000}, (30, 30)),
        (OWN | {"page": "own", "page_width_hmm": 20000, "page_height_hmm": 28000}, (200, 280)),
        (OWN | {"page": "Letter", "pitch_x_hmm": 6400}, (215.9, 279.4)),
    ],
)
def test_rolls_and_own_papers(farm: Farm, fields: dict[str, Any], size: tuple[float, float]):
    item(farm, SHEET, "sheet", fields)
    pdf = again(farm, order(farm, 2, geometry=SHEET)["id"], geometry=SHEET).content
    assert reading.page_sizes_mm(pdf)[0] == pytest.approx(size, abs=0.02)
    assert len(read_all(pdf)) == 2


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"columns": 4}, "beyond the right edge of a page 210 mm long"),
        ({"rows": 9}, "beyond the lower edge"),
        ({"pitch_x_hmm": 5000}, "would overlap"),
        ({"columns": 0}, "0 columns of labels"),
        ({"label_width_hmm": None}, "'label width' is missing"),
        ({"left_hmm": "7,5"}, "'left' is missing or no number"),
        ({"page": "A3"}, "'A3' is no kind of page"),
        ({"columns": 60, "rows": 60}, "more than 1000 labels"),
    ],
)
def test_a_sheet_that_cannot_be_is_listed_with_why_and_costs_no_code(
    farm: Farm, change: dict[str, Any], words: str
):
    item(farm, SHEET, "sheet", OWN | change)
    found = geometry(farm, SHEET)
    assert found["problem"].startswith("Our film: ")
    assert words in found["problem"]
    body = {"geometry": SHEET, "count": 3}
    answer = farm.client.post("/api/labels/sheet", json=body)
    assert (answer.status_code, answer.json()["code"]) == (422, "unprintable")
    assert words in answer.json()["detail"]
    assert answer.json()["detail"].endswith("No codes were used.")
    assert minted(farm) == set()


def test_a_retired_sheet_is_no_longer_offered_and_its_prints_can_be_printed_again(farm: Farm):
    item(farm, SHEET, "sheet", OWN, retired=True)
    listed = farm.client.get("/api/labels/geometries").json()
    assert SHEET not in {one["id"] for one in listed}
    made = order(farm, 1, geometry=SHEET)
    assert again(farm, made["id"], geometry=SHEET).status_code == 200


def test_the_next_print_goes_on_where_the_last_one_ended(farm: Farm):
    assert geometry(farm, A4_24)["next_start"] == 1
    again(farm, order(farm, 30)["id"], start=20)
    assert geometry(farm, A4_24)["next_start"] == 2
    again(farm, order(farm, 23)["id"], start=2)
    assert geometry(farm, A4_24)["next_start"] == 1
    assert geometry(farm, "a4-70x37")["next_start"] == 1


def test_a_sheet_that_was_made_smaller_begins_anew(farm: Farm):
    item(farm, SHEET, "sheet", OWN)
    again(farm, order(farm, 1, geometry=SHEET)["id"], geometry=SHEET, start=17)
    assert geometry(farm, SHEET)["next_start"] == 18
    farm.sql("DELETE FROM item WHERE id = ?", SHEET)
    item(farm, SHEET, "sheet", OWN | {"rows": 2})
    assert geometry(farm, SHEET)["next_start"] == 1


def test_a_verdict_before_anything_is_spent(farm: Farm):
    good = verdict(farm, size_mm=20).json()
    assert (good["level"], good["assumed"], good["dpi"]) == ("good", True, 300)
    assert good["sentence"].startswith("Good at 300 dots an inch")
    assert verdict(farm, size_mm=12).json()["level"] == "close"
    item(farm, PRINTER_KEY, "printer", PRINTER | {"dpi": 150})
    bad = verdict(farm, size_mm=10, printer=PRINTER_KEY).json()
    assert (bad["level"], bad["assumed"]) == ("unreadable", False)
    assert minted(farm) == set()


@pytest.mark.parametrize("where", ["/api/labels/sheet", "/api/labels/prints"])
def test_what_will_not_read_is_refused_before_codes_are_spent(farm: Farm, where: str):
    item(farm, PRINTER_KEY, "printer", PRINTER | {"dpi": 150})
    body = {"geometry": A4_24, "count": 3, "size_mm": 10, "printer": PRINTER_KEY}
    answer = farm.client.post(where, json=body)
    assert (answer.status_code, answer.json()["code"]) == (422, "unprintable")
    assert "Office, upper tray: It will not read at 150 dots an inch" in answer.json()["detail"]
    assert answer.json()["detail"].endswith("No codes were used.")
    assert minted(farm) == set()


MEASURED = {"page": "A4", "cross_x_hmm": 3120, "cross_y_hmm": 2910, "ruler_x_hmm": 15060,
            "ruler_y_hmm": 14970}  # fmt: skip


def test_what_was_measured_corrects_prints_on_that_paper(farm: Farm):
    """Shift and stretch worked out by hand: p = s + k x, k = 150.6/150, s = 31.2 - 30 k."""
    item(farm, PRINTER_KEY, "printer", PRINTER | MEASURED)
    said = verdict(farm, size_mm=20, printer=PRINTER_KEY).json()
    across, down = 150.6 / 150, 149.7 / 150
    assert said["stretch_x_percent"] == pytest.approx(100 / across - 100, abs=0.01)
    assert said["shift_x_mm"] == pytest.approx(-(31.2 - 30 * across) / across, abs=0.01)
    made = order(farm, 1, size_mm=20)
    plain = reading.rectangles_mm(again(farm, made["id"]).content)[0]
    moved = reading.rectangles_mm(again(farm, made["id"], printer=PRINTER_KEY).content)[0]
    for low, high, k, s in ((0, 2, across, 31.2 - 30 * across), (1, 3, down, 29.1 - 30 * down)):
        printed = s + k * (moved[low] + moved[high]) / 2
        assert printed == pytest.approx((plain[low] + plain[high]) / 2, abs=0.05)


def test_on_other_paper_only_the_dots_are_used(farm: Farm):
    item(farm, PRINTER_KEY, "printer", PRINTER | MEASURED)
    said = verdict(farm, geometry="letter-101.6x25.4", printer=PRINTER_KEY).json()
    assert (said["measured_on"], said["shift_x_mm"], said["dpi"]) == ("A4", None, 300)


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"cross_x_hmm": 3600}, "off by up to 5.9 mm"),
        ({"ruler_y_hmm": 14500}, "3.4 %"),
        ({"dpi": 72}, "72 dots an inch is not a printer's resolution"),
        ({"dpi": None}, "its dots an inch are not known"),
        ({"dpi": 10**400}, "its dots an inch are not known"),
        ({"cross_x_hmm": True}, "what was measured is no number"),
        ({"ruler_x_hmm": 10**400}, "what was measured is no number"),
        ({"ruler_x_hmm": "150"}, "what was measured is no number"),
    ],
)
def test_what_was_measured_beyond_a_printers_fault_is_refused(
    farm: Farm, change: dict[str, Any], words: str
):
    item(farm, PRINTER_KEY, "printer", PRINTER | MEASURED | change)
    answer = verdict(farm, printer=PRINTER_KEY)
    assert (answer.status_code, answer.json()["code"]) == (422, "unprintable")
    assert words in answer.json()["detail"]


def test_a_printer_that_is_not_known_here_is_told(farm: Farm):
    answer = verdict(farm, printer="printer.none")
    assert "Send what waits on the phone" in answer.json()["detail"]


@pytest.mark.parametrize(("page", "size"), [("A4", (210, 297)), ("Letter", (215.9, 279.4))])
def test_a_calibration_page(farm: Farm, page: str, size: tuple[float, float]):
    answer = farm.client.get(f"/api/labels/calibration/{page}.pdf")
    assert answer.headers["content-type"] == "application/pdf"
    assert reading.page_sizes_mm(answer.content) == [pytest.approx(size, abs=0.01)]
    assert farm.client.get("/api/labels/calibration/A3.pdf").status_code == 404


def test_ten_thousand_labels_come_page_by_page(farm: Farm):
    body = {"geometry": A4_24, "count": 10_000, "size_mm": 12}
    with farm.client.stream("POST", "/api/labels/sheet", json=body) as answer:
        assert answer.status_code == 200
        assert "content-length" not in answer.headers
        pdf = b"".join(answer.iter_bytes())
    assert len(pypdfium2.PdfDocument(pdf)) == 417
    assert len(minted(farm)) == 10_000
    assert farm.client.post("/api/labels/sheet", json=body | {"count": 10_001}).status_code == 400
