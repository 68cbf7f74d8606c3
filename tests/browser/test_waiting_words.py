"""What the phone says of what waits on it is true, also while it cannot know."""

from playwright.sync_api import BrowserContext, Page, expect

from tests.browser.farm import Farm

UNREADABLE = "IDBFactory.prototype.open = () => { throw new DOMException('', 'UnknownError') }"


def one_unsent(phone: BrowserContext, page: Page, farm: Farm) -> None:
    page.goto(f"{farm.base}/check/{farm.piece}")
    page.get_by_role("radio", name="Open").click()
    phone.set_offline(True)
    page.get_by_role("button", name="Save", exact=True).click()
    page.wait_for_url("**/scan")
    expect(page.get_by_text("mouth open")).to_be_visible()


def test_a_storage_that_cannot_be_read_is_not_taken_for_an_empty_one(
    phone: BrowserContext, page: Page, farm: Farm
) -> None:
    one_unsent(phone, page, farm)
    page.add_init_script(UNREADABLE)
    page.goto(f"{farm.base}/more")
    expect(page.get_by_text("could not be read").first).to_be_visible()
    expect(page.get_by_text("Everything on this phone has been sent")).to_have_count(0)
    expect(page.get_by_text("No record is only on this phone")).to_have_count(0)
    expect(page.get_by_text("What is only on this phone cannot be read just now.")).to_be_visible()
    page.get_by_role("button", name="Clear this phone").click()
    sheet = page.get_by_role("dialog")
    expect(sheet.get_by_text("it is not known whether anything would be lost")).to_be_visible()
    expect(sheet.get_by_text("Nothing on this phone is unsent")).to_have_count(0)


def test_the_age_of_what_waits_goes_on(phone: BrowserContext, page: Page, farm: Farm) -> None:
    page.clock.install()
    one_unsent(phone, page, farm)
    page.goto(f"{farm.base}/more")
    for sentence in ("1 record, oldest now", "1 record is only on this phone, made now."):
        expect(page.get_by_text(sentence)).to_be_visible()
    page.clock.fast_forward("03:00:00")
    for sentence in ("1 record, oldest 3 hr", "1 record is only on this phone, made 3 hr"):
        expect(page.get_by_text(sentence)).to_be_visible()


def test_what_sending_came_to_is_spoken(phone: BrowserContext, page: Page, farm: Farm) -> None:
    one_unsent(phone, page, farm)
    page.goto(f"{farm.base}/waiting")
    page.get_by_role("button", name="Send now").click()
    said = page.get_by_role("status").filter(has_text="The server did not answer.")
    expect(said).to_be_visible(timeout=20_000)
