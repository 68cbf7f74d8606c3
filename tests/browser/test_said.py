"""Sentences that must be so: what is offered, what is enough, and what stands in the way."""

import re

from playwright.sync_api import BrowserContext, Page, Route, expect

from tests.browser.farm import Farm
from tests.browser.people import check, fetched
from tests.browser.pictures import picture, records, take

SIGN_IN_PAGE = "<!doctype html><title>Harbour wireless</title><p>Agree to go on.</p>"
"""What a network answers to everything until somebody has signed in to it."""


def test_an_empty_check_names_only_the_ways_on_that_there_are(page: Page, farm: Farm) -> None:
    fetched(page, farm)
    page.goto(f"{farm.base}/check/{farm.piece}")
    page.get_by_role("button", name="Save", exact=True).click()
    expect(page.get_by_text("Answer at least one question, or take a photo.")).to_be_visible()
    expect(page.get_by_role("button", name="Same as last time")).to_have_count(0)
    # A photo alone is enough.
    take(page, picture(size=(400, 300)))
    expect(page.get_by_role("img", name="Photo 1, not saved yet")).to_be_visible(timeout=20_000)
    page.get_by_role("button", name="Save", exact=True).click()
    page.wait_for_url("**/scan")
    check(page, farm, "Open")
    page.goto(f"{farm.base}/check/{farm.piece}")
    page.get_by_role("button", name="Save", exact=True).click()
    expect(page.get_by_text("take a photo, or use Same as last time.")).to_be_visible()
    expect(page.get_by_role("button", name="Same as last time")).to_be_visible()
    page.goto(f"{farm.base}/waiting")
    expect(page.get_by_text(re.compile("Everything is sent|No record waits"))).to_be_visible(
        timeout=30_000
    )
    assert len(records(farm)) == 1


def test_a_networks_own_page_is_not_called_no_network(
    phone: BrowserContext, page: Page, farm: Farm
) -> None:
    fetched(page, farm)

    def sign_in(route: Route) -> None:
        route.fulfill(status=200, content_type="text/html", body=SIGN_IN_PAGE)

    phone.route("**/api/**", sign_in)
    page.goto(f"{farm.base}/more")
    expect(page.get_by_text("The server is not reached just now.")).to_be_visible(timeout=20_000)
    expect(page.get_by_text("No network")).to_have_count(0)
