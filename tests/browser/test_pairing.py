"""The ways in: a code read by the app's own camera, one that is spent or too old, a password."""

from pathlib import Path

from playwright.sync_api import BrowserContext, Page, expect

from tests.browser.farm import Farm
from tests.browser.people import pairing
from tests.labels.camera import write_camera


def test_a_code_is_read_in_the_app_itself_and_opens_one_phone(
    page: Page, farm: Farm, other: BrowserContext, camera: Path
) -> None:
    address = pairing(page, farm)
    write_camera(camera, None, text=address)
    there = other.new_page()
    there.goto(f"{farm.base}/sign-in")
    there.get_by_role("button", name="Read the code with the camera here").click()
    there.wait_for_url("**/hold", timeout=30_000)
    write_camera(camera, None)
    expect(page.get_by_text("is paired.")).to_be_visible(timeout=20_000)

    there.goto(address)
    expect(there.get_by_text("was used already; each opens one phone.")).to_be_visible()
    old = pairing(page, farm)
    farm.ask("UPDATE link SET expires_at = 1 WHERE used_at IS NULL RETURNING digest")
    there.goto(f"{farm.base}/more")
    there.goto(old)
    expect(there.get_by_text("is too old. This phone was not signed in.")).to_be_visible()


def test_an_owner_comes_in_by_password(page: Page, farm: Farm, other: BrowserContext) -> None:
    page.goto(f"{farm.base}/you")
    page.get_by_label("New password").fill("too short")
    page.get_by_role("button", name="Set my password").click()
    expect(page.get_by_text("a password has at least 15")).to_be_visible()
    page.get_by_label("New password").fill("slow tides at noon")
    page.get_by_role("button", name="Set my password").click()
    expect(page.get_by_text("Your password is set.")).to_be_visible()
    [owner] = farm.ask("SELECT name FROM staff WHERE role = 'owner'")

    there = other.new_page()
    there.goto(f"{farm.base}/sign-in")
    there.get_by_role("button", name="Sign in as an owner, with a password").click()
    there.get_by_label("Name", exact=True).fill(owner["name"])
    there.get_by_label("Password", exact=True).fill("quick tides at noon")
    there.get_by_role("button", name="Sign in", exact=True).click()
    expect(there.get_by_text("That name and password do not go together.")).to_be_visible()
    there.get_by_label("Password", exact=True).fill("slow tides at noon")
    there.get_by_role("button", name="Sign in", exact=True).click()
    there.wait_for_url("**/scan", timeout=30_000)
