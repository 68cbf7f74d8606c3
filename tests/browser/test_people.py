"""A shared phone that goes from hand to hand, and what becomes of the records of a phone that is
signed out for good, in a real browser."""

import re

from playwright.sync_api import BrowserContext, Page, expect

from tests.browser.farm import Farm
from tests.browser.people import (
    IDA,
    RUI,
    add_person,
    check,
    checks,
    fetched,
    in_ruis_hand,
    paired,
    take,
)


def test_a_shared_phone_goes_from_hand_to_hand(
    page: Page, farm: Farm, other: BrowserContext
) -> None:
    add_person(page, farm, "Rui", RUI)
    add_person(page, farm, "Ida", IDA)
    there = paired(page, farm, other)

    # By the keys of the pad and of a keyboard; a wrong one says how many tries are left.
    there.get_by_role("button", name="Rui").click()
    field = there.get_by_role("textbox", name="PIN of Rui")
    for digit in "999":
        there.get_by_role("button", name=digit, exact=True).click()
    there.keyboard.press("1")
    expect(field).to_have_value("●●●●")
    there.get_by_role("button", name="Take the phone").click()
    expect(there.get_by_text("That is not Rui’s PIN. 4 more tries before a wait.")).to_be_visible()
    expect(field).to_have_value("")
    there.get_by_label("Show the PIN").check()
    field.fill(RUI)
    expect(field).to_have_value(RUI)
    field.press("Enter")
    there.wait_for_url("**/scan", timeout=30_000)
    fetched(there, farm)

    # Nothing is lost on the way: what Rui has not sent waits for Rui while Ida goes on.
    other.route("**/api/sync/push", lambda route: route.abort())
    check(there, farm, "Open")
    there.goto(f"{farm.base}/hold")
    expect(there.get_by_text("1 record by Rui is not sent yet.")).to_be_visible()
    take(there, farm, "Ida", IDA)
    other.unroute("**/api/sync/push")
    check(there, farm, "Bud")
    there.goto(f"{farm.base}/hold")
    expect(there.get_by_text("goes out when Rui holds it again")).to_be_visible()
    expect(there.get_by_text("by Ida")).to_have_count(0, timeout=20_000)
    assert checks(farm) == [("Ida", "bud")]
    take(there, farm, "Rui", RUI)
    there.goto(f"{farm.base}/waiting")
    expect(there.get_by_text("Everything is sent")).to_be_visible(timeout=30_000)
    assert checks(farm) == [("Ida", "bud"), ("Rui", "open")]


def test_without_a_network_it_stays_with_its_holder(
    page: Page, farm: Farm, other: BrowserContext
) -> None:
    there = in_ruis_hand(page, farm, other)
    other.set_offline(True)
    there.goto(f"{farm.base}/more")
    there.get_by_role("link", name="Hand this phone on").click()
    expect(
        there.get_by_text(
            "To change who holds this phone it must reach the server. "
            "Until then it stays with Rui, and recording goes on for Rui."
        )
    ).to_be_visible()
    check(there, farm, "Open")
    other.set_offline(False)
    there.goto(f"{farm.base}/waiting")
    expect(there.get_by_text("Everything is sent")).to_be_visible(timeout=30_000)
    assert checks(farm) == [("Rui", "open")]

    # Laid down, it records for nobody and says so.
    there.goto(f"{farm.base}/hold")
    there.get_by_role("button", name="Lay it down").click()
    expect(there.get_by_text("Nobody holds it now, so nothing can be recorded")).to_be_visible()
    there.goto(f"{farm.base}/you")
    expect(there.get_by_role("button", name="Say who holds this phone")).to_be_visible()


def test_five_wrong_pins_bring_a_wait(page: Page, farm: Farm, other: BrowserContext) -> None:
    add_person(page, farm, "Rui", RUI)
    there = paired(page, farm, other)
    there.clock.install()
    there.get_by_role("button", name="Rui").click()
    field = there.get_by_role("textbox", name="PIN of Rui")
    for left in ("4 more tries", "3 more tries", "2 more tries", "1 more try"):
        field.fill("9999")
        field.press("Enter")
        expect(there.get_by_text(f"That is not Rui’s PIN. {left}")).to_be_visible()
    field.fill("9999")
    field.press("Enter")
    # Said once in a place that is read out, which a timer is not, and counted down beside it.
    wait = re.compile(r"^Too many wrong PINs for Rui\. Wait \d+ seconds, then try again\.$")
    expect(there.get_by_role("status").filter(has_text=wait)).to_be_visible()
    expect(there.get_by_role("timer")).to_have_text(
        re.compile(r"^The next try is in \d+ seconds\.$")
    )
    field.fill(RUI)
    expect(there.get_by_role("button", name="Take the phone")).to_be_disabled()
    there.clock.fast_forward("05:00")
    expect(there.get_by_text("You can try again now.")).to_be_visible()
    expect(there.get_by_text(wait)).to_have_count(0)
    expect(there.get_by_role("button", name="Take the phone")).to_be_enabled()
    page.goto(f"{farm.base}/changes")
    expect(page.get_by_text("Too many wrong tries were made as Rui.")).to_be_visible()


def test_signed_out_for_good_it_hands_over_and_a_lead_admits(
    page: Page, farm: Farm, other: BrowserContext
) -> None:
    there = in_ruis_hand(page, farm, other)
    other.set_offline(True)
    check(there, farm, "Open")

    page.goto(f"{farm.base}/phones")
    row = page.get_by_role("listitem").filter(has_text="shared, now with Rui")
    row.get_by_role("button", name="Change").click()
    page.get_by_role("button", name="Sign this phone out for good").click()
    page.get_by_role("dialog").get_by_role("button", name="Sign this phone out for good").click()
    expect(page.get_by_role("heading", name="Signed out for good")).to_be_visible()

    other.set_offline(False)
    there.goto(f"{farm.base}/sign-in")
    expect(there.get_by_text("This phone was signed out by the farm")).to_be_visible(timeout=30_000)
    done = there.get_by_text("Every record that waited here has been handed over.")
    expect(done).to_be_visible(timeout=30_000)
    assert checks(farm) == []

    page.goto(f"{farm.base}/setup")
    expect(page.get_by_text("1 record is held for you")).to_be_visible(timeout=20_000)
    page.get_by_role("link", name="Held for you").click()
    expect(page.get_by_text("The phone was signed out for good before it sent")).to_be_visible()
    page.get_by_role("button", name="Set aside").click()
    page.get_by_role("dialog").get_by_role("button", name="Set aside").click()
    expect(page.get_by_text("1 record is set aside and kept.")).to_be_visible()
    expect(page.get_by_text("Nothing is held")).to_be_visible()
    expect(page.get_by_text("What is listed below is kept and counts for nothing.")).to_be_visible()
    expect(page.get_by_text("Everything that phones have sent")).to_have_count(0)
    assert checks(farm) == []
    page.get_by_role("button", name="Admit").click()
    page.get_by_role("dialog").get_by_role("button", name="Admit").click()
    expect(page.get_by_text("1 record is in the farm’s records now.")).to_be_visible()
    assert checks(farm) == [("Rui", "open")]
    expect(page.get_by_text("Everything that phones have sent")).to_be_visible()
    page.goto(f"{farm.base}/changes")
    expect(page.get_by_text(re.compile("admitted 1 record of the phone"))).to_be_visible()


def test_what_a_leaver_had_on_a_shared_phone_reaches_a_lead(
    page: Page, farm: Farm, other: BrowserContext
) -> None:
    there = in_ruis_hand(page, farm, other)
    other.set_offline(True)
    check(there, farm, "Open")
    page.goto(f"{farm.base}/people")
    page.get_by_role("button", name="Change Rui").click()
    page.get_by_role("button", name="Sign out for good").click()
    sheet = page.get_by_role("dialog")
    expect(sheet.get_by_text("once that phone reaches the server again.")).to_be_visible()
    sheet.get_by_role("button", name="Sign out for good").click()
    expect(page.get_by_text("Rui is signed out everywhere.")).to_be_visible()
    other.set_offline(False)
    there.goto(f"{farm.base}/hold")
    expect(there.get_by_text("Nobody holds it now")).to_be_visible(timeout=30_000)
    expect(there.get_by_role("button", name="Rui")).to_have_count(0)
    page.goto(f"{farm.base}/held")
    expect(page.get_by_text("Rui was signed out for good before these were sent.")).to_be_visible()
    assert checks(farm) == []
