"""A phone that comes in again is the same phone, and one whose own storage fails says so."""

import json

import pytest
from playwright.sync_api import BrowserContext, Page, Request, expect

from tests.browser.farm import Farm
from tests.browser.people import (
    IDA,
    RUI,
    add_person,
    check,
    checks,
    fetched,
    in_ruis_hand,
)

FULL = """
for (const name of ['put', 'add']) {
  const own = IDBObjectStore.prototype[name]
  IDBObjectStore.prototype[name] = function (...given) {
    if (self.full) throw new DOMException('full', 'QuotaExceededError')
    return own.apply(this, given)
  }
}
"""
"""A phone without room: while `full` is set, nothing more is written down."""

UNREADABLE = """
IDBFactory.prototype.open = () => { throw new DOMException('lost', 'UnknownError') }
"""
NO_ROOM = "The server has done it, but this phone has no room left to write that down."


def in_and_out(page: Page, farm: Farm) -> None:
    """A check that could not be sent waits, and the phone is signed out."""
    fetched(page, farm)
    page.context.route("**/api/sync/push", lambda route: route.abort())
    check(page, farm, "Open")
    page.goto(f"{farm.base}/sign-in")
    page.get_by_role("button", name="Sign out of this phone").click()
    expect(page.get_by_text("Nobody is signed in")).to_be_visible()
    page.context.unroute("**/api/sync/push")


def claims(context: BrowserContext, path: str = "/api/access/claim") -> list[str | None]:
    """The devices that were claimed to be, as the requests are made."""
    said: list[str | None] = []

    def hear(request: Request) -> None:
        if request.url.endswith(path):
            said.append(json.loads(request.post_data or "{}").get("device"))

    context.on("request", hear)
    return said


@pytest.mark.parametrize("way", ["cold", "pasted", "password"])
def test_a_phone_that_comes_in_again_is_the_same_phone(
    phone: BrowserContext, page: Page, farm: Farm, way: str
) -> None:
    if way == "password":
        page.goto(f"{farm.base}/you")
        page.get_by_label("New password").fill("slow tides at noon")
        page.get_by_role("button", name="Set my password").click()
        expect(page.get_by_text("Your password is set.")).to_be_visible()
    in_and_out(page, farm)
    [device] = farm.ask("SELECT id FROM device")
    said = claims(phone, "/api/access/enter" if way == "password" else "/api/access/claim")
    if way == "cold":
        page.close()
        page = phone.new_page()
        page.goto(farm.link())
    elif way == "pasted":
        page.get_by_label("Or type or paste the address here").fill(farm.link())
        page.get_by_role("button", name="Go on").click()
    else:
        [owner] = farm.ask("SELECT name FROM staff WHERE role = 'owner'")
        page.goto(f"{farm.base}/sign-in")
        page.get_by_role("button", name="Sign in as an owner").click()
        page.get_by_label("Name", exact=True).fill(owner["name"])
        page.get_by_label("Password", exact=True).fill("slow tides at noon")
        page.get_by_role("button", name="Sign in", exact=True).click()
    page.wait_for_url("**/scan", timeout=30_000)
    page.goto(f"{farm.base}/waiting")
    expect(page.get_by_text("Everything is sent")).to_be_visible(timeout=30_000)
    assert said == [device["id"]]
    assert [mouth for _, mouth in checks(farm)] == ["open"]
    assert farm.ask("SELECT COUNT(*) AS n FROM quarantine") == [{"n": 0}]
    assert farm.ask("SELECT id FROM device") == [device]


def test_a_phone_that_cannot_be_read_spends_no_link(phone: BrowserContext, farm: Farm) -> None:
    phone.add_init_script(UNREADABLE)
    link, said = farm.link(), claims(phone)
    page = phone.new_page()
    page.goto(link)
    form = page.locator("form")
    expect(form.get_by_text("could not be read")).to_be_visible(timeout=20_000)
    page.goto(f"{farm.base}/sign-in")
    page.get_by_role("button", name="Sign in as an owner").click()
    entered = claims(phone, "/api/access/enter")
    page.get_by_label("Name", exact=True).fill("Somebody")
    page.get_by_label("Password", exact=True).fill("slow tides at noon")
    page.get_by_role("button", name="Sign in", exact=True).click()
    expect(form.get_by_text("could not be read")).to_be_visible()
    assert (said, entered) == ([], [])
    assert len(farm.ask("SELECT digest FROM link WHERE used_at IS NULL")) == 1


def test_a_full_phone_is_paired_once_there_is_room(farm: Farm, other: BrowserContext) -> None:
    other.add_init_script(FULL + "self.full = !sessionStorage.room")
    said = claims(other)
    there = other.new_page()
    there.goto(farm.link())
    expect(there.get_by_text(NO_ROOM)).to_be_visible(timeout=20_000)
    there.evaluate("self.full = !(sessionStorage.room = 'made')")
    there.get_by_role("button", name="Try again").click()
    there.wait_for_url("**/scan", timeout=30_000)
    fetched(there, farm)
    assert said == [None]


def test_a_full_phone_says_that_it_could_not_be_taken_in_hand(
    page: Page, farm: Farm, other: BrowserContext
) -> None:
    other.add_init_script(FULL)
    there = in_ruis_hand(page, farm, other)
    add_person(page, farm, "Ida", IDA)
    there.goto(f"{farm.base}/hold")
    there.get_by_role("button", name="Ida").click()
    there.evaluate("self.full = true")
    field = there.get_by_role("textbox", name="PIN of Ida")
    field.fill(IDA)
    there.get_by_role("button", name="Take the phone").click()
    expect(there.get_by_text(NO_ROOM)).to_be_visible()
    there.evaluate("self.full = false")
    field.fill(IDA)
    there.get_by_role("button", name="Take the phone").click()
    there.wait_for_url("**/scan", timeout=30_000)

    # The same when it is laid down: the second try has only to write that down.
    there.goto(f"{farm.base}/hold")
    expect(there.get_by_text("Ida holds it now.")).to_be_visible()
    there.evaluate("self.full = true")
    there.get_by_role("button", name="Lay it down").click()
    expect(there.get_by_text(NO_ROOM)).to_be_visible()
    there.evaluate("self.full = false")
    there.get_by_role("button", name="Lay it down").click()
    expect(there.get_by_text("Nobody holds it now, so nothing can be recorded")).to_be_visible()


def test_a_full_phone_still_shows_the_people(page: Page, farm: Farm) -> None:
    add_person(page, farm, "Rui", RUI)
    page.add_init_script(FULL + "self.full = true")
    page.goto(f"{farm.base}/people")
    expect(page.get_by_role("button", name="Change Rui")).to_be_visible()
    page.goto(f"{farm.base}/phones")
    expect(page.get_by_role("button", name="Change “")).to_have_count(1)
