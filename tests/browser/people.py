"""What tests of people and phones do on the screens: adding, pairing, taking in hand, checking."""

import json
import re

from playwright.sync_api import BrowserContext, Page, expect

from tests.browser.farm import Farm

RUI, IDA = "2046", "8830"
"""PINs that are neither all alike nor in a row."""


def add_person(page: Page, farm: Farm, name: str, pin: str) -> None:
    page.goto(f"{farm.base}/people")
    page.get_by_role("button", name="Add a person").click()
    sheet = page.get_by_role("dialog")
    sheet.get_by_label("Name").fill(name)
    sheet.get_by_label(re.compile("^PIN")).fill(pin)
    sheet.get_by_role("button", name="Add").click()
    expect(page.get_by_text(f"{name} is added.")).to_be_visible()


def pairing(page: Page, farm: Farm) -> str:
    """Have a code made for a shared phone; its address stands below it."""
    page.goto(f"{farm.base}/phones/pair")
    page.get_by_role("button", name="Show the code").click()
    expect(page.get_by_role("img", name=re.compile("Pairing code"))).to_be_visible()
    expect(page.get_by_text(re.compile("Works once, for [45] minutes more"))).to_be_visible()
    return page.locator("strong", has_text="/sign-in#").inner_text()


def paired(page: Page, farm: Farm, other: BrowserContext) -> Page:
    """The other phone opens the code, and the lead's screen notices."""
    there = other.new_page()
    there.goto(pairing(page, farm))
    there.wait_for_url("**/hold", timeout=30_000)
    expect(page.get_by_text("is paired.")).to_be_visible(timeout=20_000)
    there.evaluate("navigator.serviceWorker.ready.then(() => true)")
    return there


def take(there: Page, farm: Farm, name: str, pin: str) -> None:
    there.goto(f"{farm.base}/hold")
    there.get_by_role("button", name=name).click()
    there.get_by_role("textbox", name=f"PIN of {name}").fill(pin)
    there.get_by_role("button", name="Take the phone").click()
    there.wait_for_url("**/scan", timeout=30_000)


def in_ruis_hand(page: Page, farm: Farm, other: BrowserContext) -> Page:
    """Rui is added, a shared phone is paired and held by Rui, and the farm's records are on it."""
    add_person(page, farm, "Rui", RUI)
    there = paired(page, farm, other)
    take(there, farm, "Rui", RUI)
    fetched(there, farm)
    return there


def check(there: Page, farm: Farm, mouth: str) -> None:
    there.goto(f"{farm.base}/check/{farm.piece}")
    # In the plural where the form has many mouths, with 'last time' behind it where it was.
    there.get_by_role("radio", name=re.compile(f"^{mouth}")).click()
    there.get_by_role("button", name="Save").click()
    there.wait_for_url("**/scan")


def checks(farm: Farm) -> list[tuple[str, str]]:
    """Author's name and mouth of every check in the log, in its order."""
    rows = farm.ask(
        "SELECT p.name, l.record FROM log l JOIN staff p ON p.id = l.staff "
        "WHERE l.kind = 'check' ORDER BY l.seq"
    )
    return [(row["name"], json.loads(row["record"])["body"]["mouth"]) for row in rows]


def fetched(there: Page, farm: Farm) -> None:
    """The farm's records are on the phone."""
    there.goto(f"{farm.base}/piece/{farm.piece}")
    expect(there.get_by_role("button", name="Check")).to_be_visible(timeout=30_000)
