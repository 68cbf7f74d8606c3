"""What somebody has tapped and not saved: news, a slip of the thumb and an update leave it alone,
and it is nobody else's."""

import json
import re

from playwright.sync_api import BrowserContext, Locator, Page, expect

from tests.browser.farm import Farm
from tests.browser.measuring import put_in, sideways, violations
from tests.browser.people import IDA, add_person, fetched, in_ruis_hand
from tests.browser.people import take as take_in_hand
from tests.browser.pictures import FULL, held, picture, records, take

SLOW = """
const real = createImageBitmap
self.createImageBitmap = async (...given) => {
  await new Promise((on) => setTimeout(on, 2500))
  return real(...given)
}
"""
HALF_MADE = """navigator.locks.query().then(({ held }) =>
  held.some(({ name }) => name === 'nubbin-draft'))"""
"""Whether something is held that no update may sweep away."""
ABSENT = """
(piece) => new Promise((done) => {
  const asked = indexedDB.open('nubbin')
  asked.onsuccess = () => {
    const pieces = asked.result.transaction('pieces', 'readwrite').objectStore('pieces')
    pieces.delete(piece).onsuccess = () => {
      asked.result.close()
      new BroadcastChannel('nubbin').postMessage('written')
      done()
    }
  }
})
"""


def half_made_soon(page: Page, there: bool) -> None:
    """The browser's locks are asked for and let go in their own time."""
    for _ in range(100):
        if page.evaluate(HALF_MADE) == there:
            return
        page.wait_for_timeout(50)
    raise AssertionError(f"half-made never became {there}")


def photo(page: Page) -> Locator:
    return page.get_by_role("img", name="Photo 1, not saved yet")


def half_made(page: Page, farm: Farm) -> None:
    """A check with an answer and a photo, not saved."""
    fetched(page, farm)
    page.goto(f"{farm.base}/check/{farm.piece}")
    page.get_by_role("radio", name="Feeding").click()
    take(page, picture(size=(400, 300)))
    expect(photo(page)).to_be_visible(timeout=20_000)


def bodies(farm: Farm, kind: str) -> list[object]:
    rows = farm.ask(f"SELECT record FROM log WHERE kind = '{kind}' ORDER BY seq")
    return [json.loads(row["record"])["body"] for row in rows]


def sent(page: Page, farm: Farm) -> None:
    page.goto(f"{farm.base}/waiting")
    expect(page.get_by_text(re.compile("Everything is sent|No record waits"))).to_be_visible(
        timeout=30_000
    )


def record_lost(there: Page, farm: Farm) -> None:
    there.goto(f"{farm.base}/piece/{farm.piece}")
    there.get_by_role("button", name="Lost").click()
    there.get_by_role("radio", name="Missing").click()
    there.get_by_role("button", name="Record lost").click()
    expect(there.get_by_text("Saved: lost.")).to_be_visible()


def test_a_loss_that_comes_meanwhile_is_said_above_the_check(page: Page, farm: Farm) -> None:
    half_made(page, farm)
    other = page.context.new_page()
    record_lost(other, farm)
    page.bring_to_front()
    expect(page.get_by_role("status").filter(has_text="recorded lost on")).to_be_visible()
    expect(page.get_by_role("radio", name="Feeding")).to_be_checked()
    expect(photo(page)).to_be_visible()
    page.set_viewport_size({"width": 320, "height": 844})
    assert sideways(page) == 0
    page.get_by_role("button", name="Save", exact=True).click()
    page.wait_for_url("**/scan")
    sent(page, farm)
    assert (bodies(farm, "check"), len(records(farm))) == ([{"mouth": "feeding"}], 1)
    # Opened anew, the closed piece is asked about first, as ever.
    record_lost(other, farm)
    page.goto(f"{farm.base}/check/{farm.piece}")
    expect(page.get_by_role("heading", name="This piece is closed")).to_be_visible()


def test_a_piece_that_is_gone_for_a_moment_takes_no_check_with_it(page: Page, farm: Farm) -> None:
    half_made(page, farm)
    other = page.context.new_page()
    other.goto(f"{farm.base}/stock")
    other.evaluate(ABSENT, farm.piece)
    page.bring_to_front()
    said = page.get_by_role("status").filter(has_text="not among the records on this phone")
    expect(said).to_be_visible()
    expect(page.get_by_role("radio", name="Feeding")).to_be_checked()
    expect(photo(page)).to_be_visible()
    page.get_by_role("button", name="Save", exact=True).click()
    page.wait_for_url("**/scan")
    sent(page, farm)
    assert (bodies(farm, "check"), len(records(farm))) == ([{"mouth": "feeding"}], 1)


def test_a_slip_onto_the_bar_loses_neither_answers_nor_photos(page: Page, farm: Farm) -> None:
    half_made(page, farm)
    page.get_by_role("navigation").get_by_role("link", name="Stock").click()
    expect(page.get_by_text("Not saved: the check of")).to_be_visible()
    assert page.evaluate(HALF_MADE)
    page.go_back()
    kept = page.get_by_role("status").filter(has_text="answers and photos were not saved")
    expect(kept).to_be_visible()
    expect(page.get_by_role("radio", name="Feeding")).to_be_checked()
    expect(photo(page)).to_be_visible()
    put_in(page)
    assert [one for one in violations(page) if "bypass" not in one] == []
    # Begun anew, by mistake; then in earnest.
    page.get_by_role("button", name="Begin anew").click()
    expect(page.get_by_role("radio", name="Feeding")).not_to_be_checked()
    expect(photo(page)).to_have_count(0)
    expect(page.locator("main")).to_be_focused()
    page.get_by_role("button", name="Undo").click()
    expect(page.get_by_role("radio", name="Feeding")).to_be_checked()
    expect(photo(page)).to_be_visible()
    page.get_by_role("navigation").get_by_role("link", name="Stock").click()
    page.go_back()
    page.get_by_role("button", name="Begin anew").click()
    page.get_by_role("navigation").get_by_role("link", name="Stock").click()
    expect(page.get_by_role("heading", level=1, name="Stock")).to_be_visible()
    assert page.evaluate("localStorage.getItem('nubbin.check')") is None
    page.go_back()
    expect(page.get_by_role("radio", name="Feeding")).not_to_be_checked()
    assert (bodies(farm, "check"), held(page)) == ([], [])


def test_a_photo_that_is_still_being_made_is_there_on_coming_back(page: Page, farm: Farm) -> None:
    page.add_init_script(SLOW)
    fetched(page, farm)
    page.goto(f"{farm.base}/check/{farm.piece}")
    take(page, picture(size=(400, 300)))
    expect(page.get_by_text("Making it small…")).to_be_visible()
    half_made_soon(page, True)
    page.get_by_role("navigation").get_by_role("link", name="Stock").click()
    assert page.evaluate(HALF_MADE)
    page.wait_for_timeout(4000)
    page.go_back()
    expect(photo(page)).to_be_visible()
    page.get_by_role("button", name="Save", exact=True).click()
    page.wait_for_url("**/scan")
    half_made_soon(page, False)


def test_a_photo_by_itself_is_of_what_it_was_taken_of(page: Page, farm: Farm) -> None:
    page.add_init_script(SLOW)
    fetched(page, farm)
    page.reload()
    take(page, picture(size=(400, 300)))
    expect(page.get_by_text("Making it small…")).to_be_visible()
    half_made_soon(page, True)
    page.locator(f"a[href='/piece/{farm.mother}']").first.click()
    expect(page.get_by_text("Saved: photo of")).to_be_visible(timeout=20_000)
    sent(page, farm)
    assert [one["subject"] for one in records(farm)] == [{"kind": "piece", "id": farm.piece}]


def test_a_photo_that_was_not_saved_is_told_of_before_it_is_gone(page: Page, farm: Farm) -> None:
    fetched(page, farm)
    page.evaluate(FULL, True)
    take(page, picture(size=(400, 300)))
    expect(page.get_by_role("alert").filter(has_text="no room left")).to_be_visible()
    half_made_soon(page, True)
    page.evaluate(FULL, False)
    page.get_by_role("button", name="Save the photo again").click()
    expect(page.get_by_text("Saved: photo of")).to_be_visible()
    half_made_soon(page, False)
    page.evaluate(FULL, True)
    take(page, picture((20, 120, 40), (400, 300)))
    expect(page.get_by_role("button", name="Leave out")).to_be_visible()
    page.get_by_role("navigation").get_by_role("link", name="Stock").click()
    expect(page.get_by_text("Not saved: the photo of")).to_be_visible()
    half_made_soon(page, False)
    assert len(held(page)) == 1


def sitting(there: Page, farm: Farm) -> Locator:
    there.goto(f"{farm.base}/cuts")
    there.get_by_role("button", name="Start at the saw").click()
    return there.get_by_label("Who cuts")


def test_what_one_person_left_half_made_is_not_put_before_the_next(
    page: Page, farm: Farm, other: BrowserContext
) -> None:
    there = in_ruis_hand(page, farm, other)
    add_person(page, farm, "Ida", IDA)
    expect(sitting(there, farm)).to_have_value("Rui")
    there.get_by_label("Reservoir").fill("12.5")
    there.goto(f"{farm.base}/check/{farm.piece}")
    there.get_by_role("radio", name="Feeding").click()
    take_in_hand(there, farm, "Ida", IDA)
    there.goto(f"{farm.base}/check/{farm.piece}")
    expect(there.get_by_role("radio", name="Feeding")).not_to_be_checked()
    expect(sitting(there, farm)).to_have_value("Ida")
    expect(there.get_by_label("Reservoir")).to_have_value("")


def test_a_sitting_that_one_person_opened_is_not_the_next_ones(
    page: Page, farm: Farm, other: BrowserContext
) -> None:
    there = in_ruis_hand(page, farm, other)
    add_person(page, farm, "Ida", IDA)
    sitting(there, farm)
    there.get_by_role("button", name="Open the sitting").click()
    there.reload()
    expect(there.get_by_text(re.compile("^Sitting of Rui"))).to_be_visible()
    take_in_hand(there, farm, "Ida", IDA)
    expect(sitting(there, farm)).to_have_value("Ida")
