"""A tray: what stands where, what is free, how many bases it takes."""

from playwright.sync_api import BrowserContext, Page, expect

from labels import display
from tests.browser.farm import Farm


def note_size(page: Page, farm: Farm, width: str, depth: str, gap: str) -> None:
    page.goto(f"{farm.base}/setup")
    page.get_by_label("List", exact=True).select_option(label="Trays")
    page.get_by_role("button", name="Change: A1").click()
    sheet = page.get_by_role("dialog")
    for label, value in (("Width inside", width), ("Depth inside", depth), ("Gap between", gap)):
        sheet.get_by_label(label).fill(value)
    sheet.get_by_role("button", name="Save", exact=True).click()


def test_its_map_leads_to_the_pieces_that_stand_there(
    phone: BrowserContext, page: Page, farm: Farm
) -> None:
    page.goto(f"{farm.base}/stock")
    page.get_by_role("link", name="Map of A1").click()
    phone.set_offline(True)
    expect(page.get_by_text("1 piece stands here, 399 places are free.")).to_be_visible()
    grid = page.get_by_role("region", name="Map of A1")
    expect(grid.get_by_role("row")).to_have_count(21)
    expect(grid.get_by_role("img", name="A1: free")).to_have_count(1)
    there = grid.get_by_role("link")
    expect(there).to_have_count(1)
    assert there.get_attribute("aria-label") == f"B7: {display(farm.code)}"
    there.click()
    page.wait_for_url(f"**/piece/{farm.piece}")


def test_what_a_tray_takes_is_worked_out_from_its_size(page: Page, farm: Farm) -> None:
    """The tray table of hexagonal tiles 40 mm across: 493 edge to edge, 448 with 2 mm between."""
    page.goto(f"{farm.base}/tray/tray.a1")
    expect(page.get_by_text("A lead notes the tray’s width and depth")).to_be_visible()
    for gap, count in (("0", "493"), ("2", "448")):
        note_size(page, farm, "1200", "600", gap)
        expect(page.get_by_text("Saved: A1.")).to_be_visible()
        page.goto(f"{farm.base}/tray/tray.a1")
        tiles = page.get_by_role("row", name="Hexagonal tile 40 mm")
        expect(tiles.get_by_text(count, exact=True)).to_be_visible()
    note_size(page, farm, "10", "600", "0")
    words = "Width inside, mm: write a whole number from 20 to 20,000. Nothing was saved."
    expect(page.get_by_text(words)).to_be_visible()
