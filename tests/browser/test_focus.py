"""The focus stays where somebody is working: on a button while it works, and after a toast."""

from playwright.sync_api import Page, expect

from tests.browser.farm import Farm
from tests.browser.people import fetched
from tests.browser.pictures import picture, take

LOSE_STORAGE = """() => {
  window.whole ??= IDBDatabase.prototype.transaction
  IDBDatabase.prototype.transaction = function () {
    throw new DOMException('Connection to Indexed Database server lost.', 'UnknownError')
  }
}"""
SLOW_STORAGE = """() => {
  const put = IDBObjectStore.prototype.add
  window.puts = 0
  IDBObjectStore.prototype.add = function (...given) {
    if (this.name === 'outbox') puts += 1
    for (const until = performance.now() + 400; performance.now() < until;);
    return put.apply(this, given)
  }
}"""


def checked(page: Page, farm: Farm) -> None:
    fetched(page, farm)
    page.goto(f"{farm.base}/check/{farm.piece}")
    page.get_by_role("radio", name="Feeding").click()
    page.get_by_role("button", name="Save", exact=True).click()
    page.wait_for_url("**/scan")


def test_undo_gives_the_focus_back_to_where_it_was(page: Page, farm: Farm) -> None:
    checked(page, farm)
    code = page.get_by_label("Code on the label")
    code.focus()
    page.get_by_role("button", name="Undo").focus()
    page.keyboard.press("Enter")
    expect(page.get_by_text("Undone.")).to_be_visible()
    expect(code).to_be_focused()


def test_undo_gives_the_focus_to_the_screen_where_it_was_nowhere(page: Page, farm: Farm) -> None:
    checked(page, farm)
    page.evaluate("document.activeElement.blur()")
    page.get_by_role("button", name="Undo").click()
    expect(page.get_by_text("Undone.")).to_be_visible()
    expect(page.locator("main")).to_be_focused()


def test_a_button_keeps_the_focus_while_it_works_and_works_once(page: Page, farm: Farm) -> None:
    fetched(page, farm)
    page.get_by_role("button", name="More", exact=True).click()
    page.get_by_role("button", name="Write a note").click()
    page.get_by_role("dialog").get_by_role("textbox").fill("Moved under the shade.")
    page.goto(f"{farm.base}/cuts")
    page.get_by_role("button", name="A mother arrives").click()
    page.get_by_label("Species").select_option(label="Lobophyllia hemprichii")
    page.get_by_label("Line").fill("Slate")
    page.evaluate(LOSE_STORAGE)
    save = page.get_by_role("button", name="Save the mother")
    save.focus()
    page.keyboard.press("Enter")
    expect(page.get_by_text("Not saved.")).to_be_visible()
    expect(save).to_be_focused()
    page.evaluate("() => { IDBDatabase.prototype.transaction = whole }")
    page.evaluate(SLOW_STORAGE)
    page.keyboard.press("Enter")
    page.keyboard.press("Enter")
    page.wait_for_url("**/piece/*")
    page.goto(f"{farm.base}/waiting")
    expect(page.get_by_text("Everything is sent")).to_be_visible(timeout=30_000)
    assert len(farm.ask("SELECT id FROM log WHERE kind = 'arrival'")) == 2


def test_what_vanishes_with_the_focus_leaves_it_to_the_screen(page: Page, farm: Farm) -> None:
    fetched(page, farm)
    page.goto(f"{farm.base}/check/{farm.piece}")
    take(page, picture(size=(400, 300)))
    leave_out = page.get_by_role("button", name="Leave out photo 1")
    expect(leave_out).to_be_visible(timeout=20_000)
    leave_out.focus()
    page.keyboard.press("Enter")
    expect(leave_out).to_have_count(0)
    expect(page.locator("main")).to_be_focused()
    assert page.evaluate("scrollY") > 0


def test_an_undo_that_is_not_saved_says_so_and_can_be_tried_again(page: Page, farm: Farm) -> None:
    checked(page, farm)
    page.evaluate(LOSE_STORAGE)
    page.get_by_role("button", name="Undo").click()
    expect(page.get_by_text("Not undone")).to_be_visible()
    expect(page.get_by_text("still stands")).to_be_visible()
    expect(page.locator(".place").get_by_text("still on the screen")).to_have_count(0)
    page.evaluate("() => { IDBDatabase.prototype.transaction = whole }")
    page.get_by_role("button", name="Undo").click()
    expect(page.get_by_text("Undone. The check counts for nothing.")).to_be_visible()
