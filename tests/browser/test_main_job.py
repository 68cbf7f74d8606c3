"""The main job in one go: a label seen by the camera, a check with no network, the answer.

The camera is Chromium's own fake one, fed with a label rendered by this project.
"""

import json
from pathlib import Path

from playwright.sync_api import BrowserContext, Page, expect

from labels import display
from tests.browser.farm import Farm
from tests.labels.camera import write_camera


def checks_on_server(farm: Farm) -> list[str]:
    rows = farm.ask("SELECT record FROM log WHERE kind = 'check' AND piece = ?", farm.piece)
    return [row["record"] for row in rows]


def test_scan_check_offline_reload_and_come_back(
    phone: BrowserContext, page: Page, farm: Farm, camera: Path
) -> None:
    # Seen by the camera: nobody taps anything.
    write_camera(camera, farm.code)
    page.goto(f"{farm.base}/scan")
    page.wait_for_url(f"**/piece/{farm.piece}", timeout=30_000)
    expect(page.get_by_text(display(farm.code)).first).to_be_visible()

    # No network: the label is scanned again, by the shell and the reader that are on the phone.
    phone.set_offline(True)
    page.goto(f"{farm.base}/scan")
    page.wait_for_url(f"**/piece/{farm.piece}", timeout=30_000)

    page.get_by_role("button", name="Check").or_(page.get_by_role("link", name="Check")).click()
    page.get_by_role("radio", name="Open").click()
    page.get_by_role("radio", name="Half", exact=True).click()
    page.get_by_role("button", name="Save").click()
    page.wait_for_url("**/scan")
    assert checks_on_server(farm) == []

    # Reloaded without a network, the phone still knows it, and says what is unsent.
    write_camera(camera, None)
    page.goto(f"{farm.base}/waiting")
    page.reload()
    expect(page.get_by_text("Check: mouth open, half covered")).to_be_visible()
    page.goto(f"{farm.base}/piece/{farm.piece}")
    expect(page.get_by_text("not sent yet")).to_be_visible()
    assert checks_on_server(farm) == []

    # Back: it goes out by itself, once.
    phone.set_offline(False)
    page.goto(f"{farm.base}/waiting")
    expect(page.get_by_text("Everything is sent")).to_be_visible(timeout=30_000)
    [check] = checks_on_server(farm)
    assert json.loads(check)["body"] == {
        "encrustation": 2, "found": "scan", "mouth": "open",
    }  # fmt: skip


def test_ready_reaches_the_answer(page: Page, farm: Farm) -> None:
    page.goto(f"{farm.base}/piece/{farm.piece}")
    page.get_by_role("button", name="Ready").click()
    page.get_by_role("dialog").get_by_role("radio", name="For sale").or_(
        page.get_by_role("dialog").get_by_role("button", name="For sale")
    ).first.click()
    save = page.get_by_role("dialog").get_by_role("button", name="Save")
    if save.count():
        save.click()
    expect(page.get_by_text("Saved: ready.")).to_be_visible()
    page.goto(f"{farm.base}/waiting")
    expect(page.get_by_text("Everything is sent")).to_be_visible(timeout=30_000)
    page.goto(f"{farm.base}/healing")
    expect(page.get_by_text("Band saw").first).to_be_visible()
    expect(page.get_by_text("1 of 1 ready").first).to_be_visible()
