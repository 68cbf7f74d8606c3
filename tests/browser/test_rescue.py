"""When the phone itself fails: storage that is stuck, a saved outbox, a cleared phone."""

import json
from pathlib import Path

from playwright.sync_api import Browser, BrowserContext, Page, expect

from tests.browser.farm import Farm

LOSE_STORAGE = """() => {
  IDBDatabase.prototype.transaction = function () {
    throw new DOMException('Connection to Indexed Database server lost.', 'UnknownError')
  }
}"""


def answer(page: Page, farm: Farm, name: str) -> None:
    page.goto(f"{farm.base}/check/{farm.piece}")
    page.get_by_role("radio", name=name).first.click()


def save(page: Page) -> None:
    page.get_by_role("button", name="Save").click()
    page.wait_for_url("**/scan")


def test_a_check_outlives_opening_the_app_anew(page: Page, farm: Farm) -> None:
    answer(page, farm, "Bud")
    page.evaluate(LOSE_STORAGE)
    page.get_by_role("button", name="Save").click()
    expect(page.get_by_text("Not saved.").last).to_be_visible()
    expect(page.get_by_role("radio", name="Bud").first).to_be_checked()
    page.get_by_role("button", name="Open the app anew").last.click()
    expect(page.get_by_text("Your answers were not saved")).to_be_visible()
    expect(page.get_by_role("radio", name="Bud").first).to_be_checked()
    save(page)
    page.goto(f"{farm.base}/waiting")
    expect(page.get_by_text("Everything is sent")).to_be_visible(timeout=30_000)
    [check] = farm.ask("SELECT record FROM log WHERE kind = 'check'")
    assert json.loads(check["record"])["body"] == {"mouth": "bud"}
    # What was saved is no draft any more.
    assert page.evaluate("localStorage.getItem('nubbin.check')") is None


def saved_and_cleared(page: Page, farm: Farm, folder: Path) -> Path:
    """Two checks that cannot be sent, saved as a file; then the phone is cleared."""
    page.route("**/api/sync/**", lambda route: route.abort())
    for name in ("Bud", "Open"):
        answer(page, farm, name)
        save(page)
    page.goto(f"{farm.base}/waiting")
    with page.expect_download() as started:
        page.get_by_role("button", name="Save as a file").click()
    path = folder / started.value.suggested_filename
    started.value.save_as(path)
    # A half-typed form tells of the farm too.
    page.goto(f"{farm.base}/cuts")
    page.get_by_role("button", name="A mother arrives").click()
    page.get_by_label("Line").fill("Amber 9")
    assert "Amber 9" in page.evaluate("localStorage.getItem('nubbin.arrival')")
    page.goto(f"{farm.base}/more")
    page.get_by_role("button", name="Clear this phone").click()
    expect(page.get_by_text("2 records are only on this phone and would be gone")).to_be_visible()
    page.get_by_label("To go on, type the word").fill("yes")
    page.get_by_role("button", name="Delete everything").click()
    expect(page.get_by_text("Nothing was deleted.")).to_be_visible()
    page.get_by_label("To go on, type the word").fill(" Clear ")
    page.get_by_role("button", name="Delete everything").click()
    page.wait_for_url("**/sign-in")
    return path


def test_a_saved_outbox_is_taken_in_and_admitted(
    browser: Browser, phone: BrowserContext, page: Page, farm: Farm, tmp_path: Path
) -> None:
    path = saved_and_cleared(page, farm, tmp_path)
    file = json.loads(path.read_text("utf-8"))
    assert (file["nubbin"], file["v"], len(file["records"])) == ("outbox", 1, 2)
    assert page.evaluate("fetch('/api/me').then((answer) => answer.status)") == 401
    assert page.evaluate("Object.keys(localStorage)") == []
    page.reload()
    expect(page.get_by_role("heading", level=1)).to_be_visible()
    expect(page.get_by_text("storage was emptied")).to_have_count(0)
    phone.close()

    desk = browser.new_context().new_page()
    desk.goto(farm.link())
    desk.wait_for_url("**/scan", timeout=30_000)
    desk.goto(f"{farm.base}/waiting")
    chooser = desk.locator("input[type=file]")
    wrong = {"name": "list.csv", "mimeType": "text/csv", "buffer": b"piece,stage"}
    chooser.set_input_files(wrong)  # type: ignore[arg-type]
    expect(desk.get_by_text("This is not a saved outbox. Nothing was taken in.")).to_be_visible()
    foreign = json.dumps(file | {"epoch": "f" * 32}).encode()
    chooser.set_input_files({"name": "a.json", "mimeType": "application/json", "buffer": foreign})
    expect(desk.get_by_role("button", name="Take them in all the same")).to_be_visible()
    desk.get_by_role("button", name="Cancel").click()
    chooser.set_input_files(path)
    desk.get_by_role("button", name="Take them in", exact=True).click()
    expect(desk.get_by_text("2 records are held now for a lead to admit.")).to_be_visible()
    assert farm.ask("SELECT id FROM log WHERE kind = 'check'") == []
    desk.get_by_role("link", name="Look at what is held").click()
    desk.get_by_role("button", name="Admit").first.click()
    desk.get_by_role("dialog").get_by_role("button", name="Admit").click()
    expect(desk.get_by_text("Nothing is held")).to_be_visible()
    logged = farm.ask("SELECT record FROM log WHERE kind = 'check' ORDER BY device_seq")
    assert [json.loads(row["record"]) for row in logged] == file["records"]
    desk.context.close()
