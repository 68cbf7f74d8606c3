"""What can go wrong with a photo on a phone, and how its screens are to use."""

import json

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.browser.conftest import PHONE
from tests.browser.farm import Farm
from tests.browser.measuring import put_in, sideways, violations
from tests.browser.pictures import FULL, held, picture, records, take

MEASURE = "(asked) => measures.targets(asked)"


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"", "That file is empty"),
        (b"Only words, no picture at all.", "no picture this phone can open"),
        (b"\xff\xd8\xff\xc0\x00\x11\x08\x2e\xe0\x41\x1a\x03", "more than 64 megapixels"),
    ],
)
def test_what_is_no_photo_is_said_and_the_check_stays(
    page: Page, farm: Farm, content: bytes, said: str
) -> None:
    page.goto(f"{farm.base}/check/{farm.piece}")
    page.get_by_role("radio", name="Feeding").click()
    take(page, content)
    expect(page.get_by_role("alert").filter(has_text=said)).to_be_visible()
    expect(page.get_by_role("radio", name="Feeding")).to_be_checked()
    take(page, picture(size=(400, 300)))
    expect(page.get_by_role("img", name="Photo 1, not saved yet")).to_be_visible(timeout=20_000)
    page.get_by_role("button", name="Save", exact=True).click()
    page.wait_for_url("**/scan")
    expect(page.get_by_text("feeding, 1 photo")).to_be_visible()


def test_over_plain_http_the_check_is_saved_without_a_photo(page: Page, farm: Farm) -> None:
    # What a browser withholds from a page that did not come by HTTPS.
    page.add_init_script("Object.defineProperty(crypto, 'subtle', { value: undefined })")
    page.goto(f"{farm.base}/check/{farm.piece}")
    page.get_by_role("radio", name="Feeding").click()
    take(page, picture(size=(400, 300)))
    expect(page.get_by_role("alert").filter(has_text="HTTPS address")).to_be_visible()
    page.get_by_role("button", name="Save", exact=True).click()
    page.wait_for_url("**/scan")


def test_a_full_phone_saves_neither_check_nor_photo_and_keeps_both_on_the_screen(
    page: Page, farm: Farm
) -> None:
    page.goto(f"{farm.base}/check/{farm.piece}")
    page.get_by_role("radio", name="Feeding").click()
    take(page, picture(size=(400, 300)))
    expect(page.get_by_role("img", name="Photo 1, not saved yet")).to_be_visible(timeout=20_000)
    page.evaluate(FULL, True)
    page.get_by_role("button", name="Save", exact=True).click()
    expect(page.get_by_role("alert").filter(has_text="no room left")).to_be_visible()
    expect(page.get_by_role("radio", name="Feeding")).to_be_checked()
    expect(page.get_by_role("img", name="Photo 1, not saved yet")).to_be_visible()
    assert held(page) == []
    page.evaluate(FULL, False)
    page.get_by_role("button", name="Save", exact=True).click()
    page.wait_for_url("**/scan")
    page.goto(f"{farm.base}/waiting")
    expect(page.get_by_text("Everything is sent")).to_be_visible(timeout=30_000)
    checks = farm.ask("SELECT record FROM log WHERE kind = 'check'")
    assert [json.loads(row["record"])["body"] for row in checks] == [{"mouth": "feeding"}]
    assert len(records(farm)) == 1


def test_screens_with_photos_are_as_easy_to_use_as_without(browser: Browser, farm: Farm) -> None:
    context = browser.new_context(viewport=PHONE, permissions=["camera"], bypass_csp=True)  # type: ignore[arg-type]
    page = context.new_page()
    page.goto(farm.link())
    page.wait_for_url("**/scan", timeout=30_000)
    every = {"size": 48, "gap": 8, "of": "a, button, input, select, textarea, summary"}
    big = {"size": 64, "gap": 12, "of": "main label, main button"}
    found: dict[str, object] = {}

    def look(name: str, targets: dict[str, object]) -> None:
        put_in(page)
        for width in (390, 320):
            page.set_viewport_size({"width": width, "height": 844})
            found[f"{name} sideways {width}"] = sideways(page)
            found[f"{name} targets {width}"] = page.evaluate(MEASURE, targets)
        found[f"{name} axe"] = violations(page)

    page.goto(f"{farm.base}/check/{farm.piece}")
    for number, colour in enumerate([(180, 90, 60), (60, 90, 180), (90, 180, 60)], start=1):
        take(page, picture(colour, (400, 300)))
        expect(page.get_by_role("img", name=f"Photo {number}, not saved yet")).to_be_visible()
    look("check", big)
    page.get_by_role("button", name="Save", exact=True).click()
    page.wait_for_url("**/scan")
    page.goto(f"{farm.base}/piece/{farm.piece}")
    page.get_by_text("Choose the two").click()
    look("piece", every)
    page.get_by_role("button", name="day 40").first.click()
    expect(page.get_by_role("dialog").get_by_role("img")).to_be_visible()
    look("large", every)
    context.set_offline(True)
    page.get_by_role("button", name="Close the picture").click()
    take(page, picture((20, 20, 20), (400, 300)))
    expect(page.get_by_text("Saved: photo of")).to_be_visible(timeout=20_000)
    page.goto(f"{farm.base}/waiting")
    expect(page.get_by_role("heading", name="Photos")).to_be_visible()
    look("waiting", every)
    context.close()
    assert {key: value for key, value in found.items() if value} == {}
