"""Labels on the screens: for pieces and trays, reprinted; what a broken half leaves."""

import asyncio
import re
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from labels.geometry import DEFAULT
from tests.browser.farm import Farm
from tests.browser.people import fetched
from tests.browser.printed import holders, kept, minted, read_codes
from tests.browser.stocked import stock_up
from tests.labels import reading
from tests.sync.phone import Phone, fates

FULL = """(on) => {
  const proto = IDBObjectStore.prototype
  if (!self.own) self.own = { put: proto.put, add: proto.add }
  for (const name of ['put', 'add']) {
    proto[name] = on
      ? () => { throw new DOMException('full', 'QuotaExceededError') } : self.own[name]
  }
}"""


@pytest.fixture
def stocked(page: Page, farm: Farm) -> None:
    stock_up(farm)
    fetched(page, farm)


def bare(farm: Farm) -> set[str]:
    """Open pieces without a label."""
    rows = farm.ask(
        "SELECT id FROM piece WHERE stage IN ('colony', 'healing', 'ready', 'unknown') "
        "AND NOT EXISTS (SELECT 1 FROM claim c WHERE c.piece = piece.id)"
    )
    return {row["id"] for row in rows}


def open_pieces(page: Page, farm: Farm) -> None:
    page.goto(f"{farm.base}/labels")
    page.get_by_role("radio", name="For pieces").check()
    expect(page.get_by_text(re.compile(r"^\d+ labels on 1 sheet$"))).to_be_visible()


@pytest.mark.usefixtures("stocked")
def test_labels_for_pieces_lead_to_them_once_they_are_printed(
    page: Page, farm: Farm, tmp_path: Path
) -> None:
    without, before = bare(farm), minted(farm)
    assert len(without) > 5
    open_pieces(page, farm)
    page.get_by_role("button", name="Make the PDF").click()
    expect(page.get_by_text(f"{len(without)} labels are on what they are for.")).to_be_visible()
    pdf = kept(page, tmp_path)
    codes = minted(farm) - before
    assert read_codes(pdf) == codes
    expect_on(page, farm, codes, without)
    text = " ".join(" ".join(reading.texts(pdf)).split())
    assert "A2" in text


def expect_on(page: Page, farm: Farm, codes: set[str], pieces: set[str]) -> None:
    """Each code on a piece of its own, once the phone has sent what it recorded."""
    for _ in range(40):
        found = holders(farm, codes)
        if len(found) == len(codes):
            break
        page.wait_for_timeout(250)
    assert set(found.values()) == pieces
    assert len(found) == len(codes) == len(pieces)


@pytest.mark.usefixtures("stocked")
def test_a_sheet_that_does_not_come_is_asked_for_again_with_the_same_codes(
    page: Page, farm: Farm, tmp_path: Path
) -> None:
    without, before = bare(farm), minted(farm)
    open_pieces(page, farm)
    page.route("**/api/labels/prints/*/sheet", lambda route: route.abort())
    page.get_by_role("button", name="Make the PDF").click()
    alert = page.get_by_role("alert").filter(has_text="The labels are on what they are for")
    expect(alert).to_be_visible(timeout=15_000)
    codes = minted(farm) - before
    expect_on(page, farm, codes, without)
    page.unroute("**/api/labels/prints/*/sheet")
    page.get_by_role("button", name="Go on with the same codes").click()
    expect(page.get_by_text("The PDF is made.")).to_be_visible(timeout=15_000)
    assert read_codes(kept(page, tmp_path)) == codes
    assert minted(farm) - before == codes


@pytest.mark.usefixtures("stocked")
def test_where_the_phone_is_full_nothing_is_printed_and_the_codes_wait(
    page: Page, farm: Farm, tmp_path: Path
) -> None:
    without, before = bare(farm), minted(farm)
    open_pieces(page, farm)
    asked: list[str] = []
    page.on("request", lambda one: asked.append(one.url) if one.url.endswith("/sheet") else None)
    page.evaluate(FULL, True)
    page.get_by_role("button", name="Make the PDF").click()
    alert = page.get_by_role("alert").filter(has_text="lie on nothing, and nothing was printed")
    expect(alert).to_be_visible(timeout=15_000)
    codes = minted(farm) - before
    assert len(codes) == len(without)
    assert (asked, holders(farm, codes)) == ([], {})
    page.evaluate(FULL, False)
    page.get_by_role("button", name="Go on with the same codes").click()
    expect(page.get_by_text("The PDF is made.")).to_be_visible(timeout=15_000)
    assert read_codes(kept(page, tmp_path)) == codes
    expect_on(page, farm, codes, without)
    assert minted(farm) - before == codes


@pytest.mark.usefixtures("stocked")
def test_no_codes_no_change(page: Page, farm: Farm) -> None:
    without, before = bare(farm), minted(farm)
    open_pieces(page, farm)
    page.route("**/api/labels/prints", lambda route: route.abort())
    page.get_by_role("button", name="Make the PDF").click()
    expect(page.get_by_role("alert").filter(has_text="Nothing was printed")).to_be_visible()
    assert (minted(farm), bare(farm)) == (before, without)
    expect(page.get_by_role("button", name="Make the PDF")).to_be_enabled()


@pytest.mark.usefixtures("stocked")
def test_a_tray_has_its_name_beside_the_symbol_and_is_opened_by_it(
    page: Page, farm: Farm, tmp_path: Path
) -> None:
    page.goto(f"{farm.base}/labels")
    page.get_by_role("radio", name="For trays").check()
    page.get_by_role("checkbox", name="A2", exact=True).check()
    page.get_by_role("button", name="Make the PDF").click()
    expect(page.get_by_text("1 label is on what it is for.")).to_be_visible(timeout=15_000)
    pdf = kept(page, tmp_path)
    [code] = read_codes(pdf)
    assert "A2" in reading.texts(pdf)[0].split()
    page.goto(f"{farm.base}/q/{code}")
    page.wait_for_url("**/tray/tray.a2", timeout=15_000)


def test_letters_that_no_label_can_say_are_told_before_it_is_printed(
    page: Page, farm: Farm, tmp_path: Path
) -> None:
    stock_up(farm)
    office = Phone("office", 9)
    named = {"list": "tray", "fields": {"name": "水槽"}}
    define = office.make("define", ("item", "tray.a7"), named)
    pushed = asyncio.run_coroutine_threadsafe(office.push(farm.db, [define]), farm.loop)
    assert fates(pushed.result(20)) == ["stored"]
    fetched(page, farm)
    page.goto(f"{farm.base}/labels")
    page.get_by_role("radio", name="For trays").check()
    page.get_by_role("checkbox", name="A2", exact=True).check()
    expect(page.get_by_text("letters that the printed face lacks")).to_have_count(0)
    page.get_by_role("checkbox", name="水槽", exact=True).check()
    told = "1 text has letters that the printed face lacks, such as 水槽."
    expect(page.get_by_text(told)).to_be_visible()
    page.get_by_role("button", name="Make the PDF").click()
    expect(page.get_by_text("2 labels are on what they are for.")).to_be_visible(timeout=15_000)
    assert len(read_codes(kept(page, tmp_path))) == 2


def test_a_lost_label_is_printed_anew_and_both_lead_to_the_piece(
    page: Page, farm: Farm, tmp_path: Path
) -> None:
    fetched(page, farm)
    before = minted(farm)
    page.get_by_role("button", name="More").click()
    page.get_by_role("button", name="Print a new label for it").click()
    page.get_by_role("radio", name=re.compile("^Position 5:")).click()
    page.get_by_role("button", name="Make the label").click()
    expect(page.get_by_text("1 label is on what it is for.")).to_be_visible(timeout=15_000)
    pdf = kept(page, tmp_path)
    [new] = minted(farm) - before
    assert read_codes(pdf) == {new}
    [edges] = reading.symbol_edges(pdf, DEFAULT).items()
    assert edges[0] == 5
    for code in (farm.code, new):
        page.goto(f"{farm.base}/q/{code}")
        page.wait_for_url(f"**/piece/{farm.piece}", timeout=15_000)
