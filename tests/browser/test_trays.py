"""A tray: what stands where, what is free now and later, how many bases it takes."""

from playwright.sync_api import BrowserContext, Page, expect

from labels import display
from tests.browser.farm import Farm
from tests.browser.moving import Moving
from tests.browser.stocked import stock_up


def note_size(page: Page, farm: Farm, width: str, depth: str, gap: str) -> None:
    page.goto(f"{farm.base}/setup")
    page.get_by_label("List", exact=True).select_option(label="Trays")
    page.get_by_role("button", name="Change: A1").click()
    sheet = page.get_by_role("dialog")
    for label, value in (("Width inside", width), ("Depth inside", depth), ("Gap between", gap)):
        sheet.get_by_role("textbox", name=label).fill(value)
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


def test_its_map_has_the_tray_s_proportions_and_scrolls_in_its_own_box(
    page: Page, farm: Farm
) -> None:
    """24 x 20 places on 1200 x 600 mm: each 50 by 30 mm, on the narrowest phone too."""
    made = Moving(farm)
    fields = {"name": "A2", "columns": 24, "rows": 20, "width_mm": 1200, "depth_mm": 600}
    made.push([made.lab.make("define", ("item", "tray.a2"), {"list": "tray", "fields": fields},
                             made.now)])  # fmt: skip
    page.set_viewport_size({"width": 320, "height": 700})
    page.goto(f"{farm.base}/tray/tray.a2")
    expect(page.get_by_text("3 pieces stand here, 477 places are free.")).to_be_visible(
        timeout=20_000
    )
    box = page.get_by_role("img", name="H8: free").locator("..").bounding_box()
    assert box is not None
    assert abs(box["width"] / box["height"] - 50 / 30) < 0.02
    assert page.evaluate("document.documentElement.scrollWidth - innerWidth") == 0
    grid = page.get_by_role("region", name="Map of A2")
    assert grid.evaluate("(one) => one.scrollWidth > 3 * one.clientWidth")
    # One stop of the Tab key, from piece to piece by the arrows, and on to its screen.
    grid.get_by_role("link", name="A1: ").focus()
    page.keyboard.press("ArrowRight")
    expect(grid.get_by_role("link", name="B1: ")).to_be_focused()
    page.keyboard.press("ArrowDown")
    expect(grid.get_by_role("link", name="B1: ")).to_be_focused()
    assert grid.locator("[tabindex='0']").count() == 1
    page.keyboard.press("Enter")
    page.wait_for_url(f"**/piece/{made.pieces[1]}")


def test_free_places_later_are_worked_out_offline_from_what_was_fetched(
    phone: BrowserContext, page: Page, farm: Farm
) -> None:
    stock_up(farm)
    phone.route("**/api/healing*", lambda route: route.abort())
    page.goto(f"{farm.base}/trays")
    expect(page.get_by_role("link", name="A2 11 pieces 37 free")).to_be_visible(timeout=20_000)
    expect(page.get_by_text("no healing report is on this phone yet")).to_be_visible(timeout=20_000)
    rows = page.locator("dl > div")
    expect(rows).to_have_text(
        [f"In {weeks} weeks not known" for weeks in (4, 8, 12)], use_inner_text=True
    )
    phone.unroute("**/api/healing*")
    page.reload()
    expect(page.get_by_text("The true range is wider")).to_be_visible(timeout=20_000)
    phone.set_offline(True)
    page.goto(f"{farm.base}/tray/tray.a2")
    expect(page.get_by_text("Curves as of")).to_be_visible()
    # 48 places; of 12 pieces 8 are ready, one is lost and 3 are older than the curve is known for.
    expect(page.get_by_text("Free now 37. And 8 more once what is ready")).to_be_visible()
    expect(rows).to_have_text(
        [f"In {weeks} weeks not known" for weeks in (4, 8, 12)], use_inner_text=True
    )
    # Here three are held back: of those alone losses count.
    page.goto(f"{farm.base}/tray/tray.a1")
    expect(page.get_by_text("Free now 396.")).to_be_visible()
    expect(rows.first).to_contain_text("likely 396")
    expect(rows.last).to_contain_text("not known")
