"""Labels over HTTP: minted once and for good, printed when their address was chosen, read back."""

import asyncio
import io
import re
from pathlib import Path

import pypdfium2
import pytest
import zxingcpp
from PIL import Image

import labels
from api.database import open_database
from api.labelling import minting
from tests.server.server_farm import Farm

HOST = "LABELS.EXAMPLE"


def choose_host(farm: Farm) -> None:
    """As if the settings entry had been defined; how it gets there is the sync tests' matter."""
    farm.sql(
        'INSERT INTO item (id, "list", fields, retired) VALUES (?, ?, ?, 0)',
        "settings", "settings", '{"label_host":"labels.example"}',
    )  # fmt: skip


def minted(farm: Farm) -> set[str]:
    return {row[0] for row in farm.sql("SELECT code FROM label_code")}


def sheet(farm: Farm, **order: object):
    body = {"geometry": "a4-63.5x33.9", "count": 5, "start": 1} | order
    return farm.client.post("/api/labels/sheet", json=body)


def read_all(pdf: bytes) -> list[str]:
    """What a scanner reads from the printed pages at 300 dpi."""
    pages = pypdfium2.PdfDocument(pdf)
    pictures = [page.render(scale=300 / 72, grayscale=True).to_pil() for page in pages]
    return [found.text for picture in pictures for found in zxingcpp.read_barcodes(picture)]


def test_minting_gives_valid_new_codes_and_keeps_them(signed_in: Farm):
    first = signed_in.client.post("/api/labels/mint", json={"count": 1200}).json()["codes"]
    second = signed_in.client.post("/api/labels/mint", json={"count": 3}).json()["codes"]
    assert len(first) == len(set(first)) == 1200
    assert all(map(labels.is_valid, first))
    assert minted(signed_in) == set(first) | set(second)
    me = signed_in.client.get("/api/me").json()["staff"]["id"]
    batches = signed_in.sql("SELECT staff, COUNT(*) FROM label_code GROUP BY batch, staff")
    assert sorted(batches) == [(me, 3), (me, 1200)]


def test_a_repeat_is_drawn_again(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    fresh = [labels.make_code() for _ in range(3)]
    drawn = iter([fresh[0], fresh[0], fresh[1], fresh[0], fresh[2]])
    monkeypatch.setattr(minting.labels, "make_code", lambda: next(drawn))

    async def mint_twice() -> tuple[list[str], list[str]]:
        db = await open_database(tmp_path / "nubbin.sqlite")
        try:
            one = (await minting.mint(db, 1, "staff.a")).codes
            return one, (await minting.mint(db, 2, "staff.a")).codes
        finally:
            await db.close()

    first, second = asyncio.run(mint_twice())
    assert (first, sorted(second)) == ([fresh[0]], sorted(fresh[1:]))


def test_no_label_is_printed_before_its_address_is_chosen(signed_in: Farm):
    answer = sheet(signed_in)
    assert (answer.status_code, answer.json()["code"]) == (409, "host-missing")
    assert "printed for good" in answer.json()["detail"]
    assert minted(signed_in) == set()


def test_a_sheet_carries_what_was_minted(signed_in: Farm):
    choose_host(signed_in)
    answer = sheet(signed_in, start=22)
    assert answer.status_code == 200
    assert answer.headers["content-type"] == "application/pdf"
    assert "content-encoding" not in answer.headers
    codes = minted(signed_in)
    assert answer.headers["nubbin-first-code"] in codes
    assert len(codes) == 5
    assert sorted(read_all(answer.content)) == sorted(f"HTTPS://{HOST}/Q/{c}" for c in codes)


@pytest.mark.parametrize(
    ("order", "words"),
    [
        ({"geometry": "a9"}, "There are no labels 'a9'. There are: a4-99.1x67.7,"),
        ({"start": 25}, "There is no position 25"),
        ({"size_mm": 60}, "do not fit"),
        ({"size_mm": 3}, "at least 8 mm"),
        ({"geometry": "a4-17.8x10", "size_mm": 20}, "do not fit"),
    ],
)
def test_what_cannot_be_printed_costs_no_code(
    signed_in: Farm, order: dict[str, object], words: str
):
    choose_host(signed_in)
    answer = sheet(signed_in, **order)
    assert (answer.status_code, answer.json()["code"]) == (422, "unprintable")
    assert words in answer.json()["detail"]
    assert answer.json()["detail"].endswith("No codes were used.")
    assert minted(signed_in) == set()


@pytest.mark.parametrize("width", [8, 12, 20])
def test_one_label_again_as_a_picture(signed_in: Farm, width: int):
    choose_host(signed_in)
    [code] = signed_in.client.post("/api/labels/mint", json={"count": 1}).json()["codes"]
    answer = signed_in.client.get(f"/api/labels/{code}.png?width_mm={width}&dpi=600")
    assert answer.status_code == 200, answer.text
    assert answer.headers["content-type"] == "image/png"
    picture = Image.open(io.BytesIO(answer.content))
    assert [round(dots) for dots in picture.info["dpi"]] == [600, 600]
    [found] = zxingcpp.read_barcodes(picture.convert("L"))
    assert found.text == (code if width < 10 else f"HTTPS://{HOST}/Q/{code}")


def test_only_what_was_issued_here_has_a_picture(signed_in: Farm):
    choose_host(signed_in)
    stranger = labels.make_code()
    for file in (f"{stranger}.png", stranger, "4JQZKDMA.png", "x.png", ".png"):
        answer = signed_in.client.get(f"/api/labels/{file}")
        assert (answer.status_code, answer.json()["code"]) == (404, "not-found")


@pytest.mark.parametrize("query", ["width_mm=0", "width_mm=x", "dpi=1e9", "dpi=", "width_mm=nan"])
def test_a_picture_that_cannot_be(signed_in: Farm, query: str):
    [code] = signed_in.client.post("/api/labels/mint", json={"count": 1}).json()["codes"]
    answer = signed_in.client.get(f"/api/labels/{code}.png?{query}")
    assert (answer.status_code, answer.json()["code"]) == (400, "bad-request")
    assert re.match(r"(width_mm|dpi): .+ Nothing was changed\.", answer.json()["detail"])


def test_the_sheets_there_are(signed_in: Farm):
    sheets = signed_in.client.get("/api/labels/geometries").json()
    assert [sheet["id"] for sheet in sheets] == list(labels.GEOMETRIES)
    [default] = [sheet for sheet in sheets if sheet["is_default"]]
    assert default == {
        "id": "a4-63.5x33.9", "name": "a4-63.5x33.9", "own": False,
        "page": "A4", "label": "63.5 x 33.9 mm", "columns": 3, "rows": 8,
        "positions": 24, "label_width": 63.5, "label_height": 33.9, "is_default": True,
        "page_width": 210.0, "page_height": 297.0, "pitch_x": 66.04, "pitch_y": 33.9,
        "left": 7.21, "top": 12.9, "round": False,
        "warnings": [], "next_start": 1, "problem": None,
    }  # fmt: skip
