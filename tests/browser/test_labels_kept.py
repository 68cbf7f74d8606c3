"""Labels that are kept on the screens: void ones are not taken, own sheets are printed on."""

import re
from pathlib import Path

from playwright.sync_api import BrowserContext, Page, expect

from labels import display
from tests.browser.farm import Farm
from tests.browser.people import fetched, in_ruis_hand
from tests.browser.printed import holders, kept, read_codes
from tests.labels import reading


def test_a_void_label_is_not_taken_by_a_phone_that_knows(
    page: Page, farm: Farm, tmp_path: Path
) -> None:
    page.goto(f"{farm.base}/labels")
    page.get_by_label("How many labels").fill("3")
    page.get_by_role("button", name="Make the PDF").click()
    expect(page.get_by_text("The PDF is made.")).to_be_visible(timeout=15_000)
    codes = read_codes(kept(page, tmp_path))
    page.goto(f"{farm.base}/labels/prints")
    page.get_by_role("button", name=re.compile("^Look at the print")).first.click()
    # One alone is named, so that a slip of the hand is seen.
    page.get_by_role("button", name="Mark void").first.click()
    one = page.get_by_role("dialog", name=re.compile("^Mark ....-.... void\\?$"))
    expect(one).to_be_visible()
    one.get_by_role("button", name="Cancel").click()
    page.get_by_role("button", name="Mark the free ones void").click()
    page.get_by_role("radio", name="Misprinted").check()
    page.get_by_role("button", name="Mark void", exact=True).click()
    expect(page.get_by_text("3 codes are void now.")).to_be_visible()
    expect(page.get_by_text(re.compile("0 free, 0 in use, 3 void"))).to_be_visible()
    fetched(page, farm)
    page.context.set_offline(True)
    page.get_by_role("button", name="More").click()
    page.get_by_role("button", name="Put another label on it").click()
    code = min(codes)
    page.get_by_label("Code on the label").fill(code)
    page.get_by_role("button", name="Open").click()
    refusal = f"{display(code)} was marked void"
    expect(page.get_by_role("alert").filter(has_text=refusal)).to_be_visible()
    page.context.set_offline(False)
    assert holders(farm, codes) == {}


def test_a_keeper_is_told_that_printing_is_a_lead_s(
    page: Page, farm: Farm, other: BrowserContext
) -> None:
    there = in_ruis_hand(page, farm, other)
    there.goto(f"{farm.base}/labels")
    expect(there.get_by_text("This is a lead’s to look after.")).to_be_visible()
    expect(there.get_by_text("Printing needs the server")).to_have_count(0)


def test_more_codes_that_do_not_come_are_not_passed_over_in_silence(page: Page, farm: Farm) -> None:
    page.goto(f"{farm.base}/labels")
    page.get_by_label("How many labels").fill("201")
    page.get_by_role("button", name="Make the PDF").click()
    expect(page.get_by_text("The PDF is made.")).to_be_visible(timeout=15_000)
    page.goto(f"{farm.base}/labels/prints")
    page.get_by_role("button", name=re.compile("^Look at the print")).first.click()
    more = page.get_by_role("button", name="More codes")
    expect(more).to_be_visible()
    page.context.set_offline(True)
    more.click()
    expect(page.get_by_role("alert").filter(has_text="The server did not answer")).to_be_visible()
    page.context.set_offline(False)
    more.click()
    expect(more).to_have_count(0)
    expect(page.get_by_role("alert").filter(has_text="The server did not answer")).to_have_count(0)


def test_an_own_sheet_is_kept_offline_and_printed_on_later(
    page: Page, farm: Farm, tmp_path: Path
) -> None:
    fetched(page, farm)
    page.goto(f"{farm.base}/labels/sheets")
    page.get_by_role("button", name="Add a sheet").click()
    page.get_by_label("Begin with").select_option(label="A4, 63.5 × 33.9 mm, 3 × 8")
    page.context.set_offline(True)
    page.get_by_label("Name").fill("Our film")
    page.get_by_label("Columns").fill("4")
    page.get_by_role("button", name="Save the sheet").click()
    expect(page.get_by_role("alert").filter(has_text="beyond the right edge")).to_be_visible()
    assert page.get_by_label("Columns").input_value() == "4"
    page.get_by_label("Columns").fill("2")
    page.get_by_role("button", name="Save the sheet").click()
    expect(page.get_by_text("2 × 8 labels")).to_be_visible()
    page.context.set_offline(False)
    for _ in range(40):
        if farm.ask('SELECT 1 AS one FROM item WHERE "list" = ?', "sheet"):
            break
        page.wait_for_timeout(250)
    page.goto(f"{farm.base}/labels")
    page.get_by_label("Sheet", exact=True).select_option(label="Our film")
    page.get_by_label("How many labels").fill("17")
    page.get_by_role("button", name="Make the PDF").click()
    expect(page.get_by_text("17 labels on 2 sheets")).to_be_visible()
    pdf = kept(page, tmp_path)
    assert len(list(reading.pages(pdf, 30))) == 2
    page.goto(f"{farm.base}/labels")
    page.get_by_label("Sheet", exact=True).select_option(label="Our film")
    expect(page.get_by_role("radio", name=re.compile("^Position 2:"))).to_be_checked()
