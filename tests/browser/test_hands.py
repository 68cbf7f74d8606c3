"""What wet, gloved hands need: light, a screen that stays on, feedback, a choice of labels.

Chromium's fake camera has no light, so the page is told that it has one and what is asked of it is
written down. The wake lock and the sound are Chromium's own.
"""

from collections.abc import Iterator
from pathlib import Path

import pytest
from PIL import Image
from playwright.sync_api import BrowserContext, Page, expect

from labels import display
from labels.geometry import roll
from labels.image import label_image
from tests.browser.farm import WIDE, Farm, Served
from tests.labels.camera import FRAME, tank, write_camera

WATCHED = """
window.asked = []; window.locks = []; window.buzzes = []
const { getCapabilities, applyConstraints } = MediaStreamTrack.prototype
MediaStreamTrack.prototype.getCapabilities = function () {
  return { ...getCapabilities.call(this), torch: true }
}
MediaStreamTrack.prototype.applyConstraints = async function (wanted) {
  asked.push({ track: this.id, torch: wanted.advanced[0].torch })
}
const request = WakeLock.prototype.request
WakeLock.prototype.request = async function (kind) {
  const lock = await request.call(this, kind)
  locks.push(lock)
  return lock
}
const vibrate = navigator.vibrate
navigator.vibrate = (pattern) => { buzzes.push(pattern); return vibrate.call(navigator, pattern) }
const Context = AudioContext
window.audio = []
window.AudioContext = class extends Context { constructor() { super(); audio.push(this) } }
let hidden = false
Object.defineProperty(document, 'hidden', { get: () => hidden })
window.show = (on) => { hidden = !on; document.dispatchEvent(new Event('visibilitychange')) }
"""
LIVE = "[...document.querySelectorAll('video')].some((v) => v.srcObject?.active)"


@pytest.fixture(scope="module")
def farm(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Farm]:
    server = Served(tmp_path_factory.mktemp("farm"))
    yield server.start()
    server.stop()


def watched(phone: BrowserContext, farm: Farm) -> Page:
    page = phone.pages[0]
    phone.grant_permissions(["camera", "screen-wake-lock"])
    page.add_init_script(WATCHED)
    page.goto(f"{farm.base}/scan")
    return page


def until(page: Page, truth: str) -> None:
    """Wait for it; Playwright's own waiting would need `eval`, which the page's policy forbids."""
    for _ in range(200):
        if page.evaluate(truth):
            return
        page.wait_for_timeout(50)
    raise AssertionError(f"never became true: {truth}")


def lit(page: Page) -> list[bool]:
    """What was asked of the light of each camera opened, in order."""
    asked = page.evaluate("asked")
    tracks = list(dict.fromkeys(one["track"] for one in asked))
    return [[one["torch"] for one in asked if one["track"] == t][-1] for t in tracks]


def test_the_light_comes_back_with_the_camera_and_goes_with_the_page(
    phone: BrowserContext, farm: Farm
) -> None:
    page = watched(phone, farm)
    button = page.get_by_role("button", name="Light on")
    button.click()
    button = page.get_by_role("button", name="Light off")
    expect(button).to_have_attribute("aria-pressed", "true")
    page.get_by_role("link", name="Stock").click()
    page.get_by_role("link", name="Scan").click()
    expect(button).to_be_visible()
    assert lit(page) == [True, True]
    page.evaluate("show(false)")
    until(page, f"!{LIVE}")
    page.evaluate("show(true)")
    expect(button).to_be_visible()
    assert lit(page) == [True, True, True]
    button.click()
    expect(page.get_by_role("button", name="Light on")).to_be_visible()
    page.get_by_role("link", name="Stock").click()
    page.get_by_role("link", name="Scan").click()
    expect(page.get_by_role("button", name="Light on")).to_be_visible()
    assert lit(page) == [True, True, False]


def test_the_screen_stays_on_at_the_tanks_only(phone: BrowserContext, farm: Farm) -> None:
    page = watched(phone, farm)
    held = "locks.filter((one) => !one.released).length"
    until(page, f"{held} === 1")
    page.evaluate("window.stays = locks.at(-1)")
    page.get_by_label("Code on the label").fill(farm.code)
    page.keyboard.press("Enter")
    page.get_by_role("button", name="Check").click()
    expect(page.get_by_role("radio", name="Feeding")).to_be_visible()
    assert page.evaluate("[stays.released, locks.length]") == [False, 1]
    page.get_by_role("link", name="More").click()
    until(page, f"{held} === 0")
    page.get_by_role("checkbox", name="Keep the screen on").uncheck()
    page.get_by_role("link", name="Scan").click()
    expect(page.get_by_role("heading", name="Scan")).to_be_visible()
    page.reload()
    expect(page.get_by_role("heading", name="Scan")).to_be_visible()
    page.mouse.click(5, 5)
    assert page.evaluate("locks.length") == 0


def test_saved_and_refused_differ_to_hand_eye_and_ear(phone: BrowserContext, farm: Farm) -> None:
    page = watched(phone, farm)
    page.goto(f"{farm.base}/more")
    page.get_by_role("checkbox", name="A sound when").check()
    until(page, "audio[0]?.state === 'running'")
    page.get_by_role("button", name="Try: saved").click()
    frame = page.locator("[popover]")
    expect(frame).to_have_css("border-top-style", "solid")
    page.get_by_role("button", name="Try: refused").click()
    expect(frame).to_have_css("border-top-style", "dashed")
    expect(frame).to_be_hidden()
    page.goto(f"{farm.base}/check/{farm.piece}")
    page.get_by_role("button", name="Save").click()
    expect(frame).to_have_css("border-top-style", "dashed")
    page.get_by_role("radio", name="Feeding").check()
    page.get_by_role("button", name="Save").click()
    expect(frame).to_have_css("border-top-style", "solid")
    refused, saved = [60] * 5, [90]
    assert page.evaluate("buzzes") == [refused, saved]
    # The switch outlives a reload; sound is there again with the first tap.
    assert page.evaluate("audio.length") == 1


def test_of_several_labels_in_view_one_is_tapped(
    phone: BrowserContext, farm: Farm, camera: Path
) -> None:
    page = phone.pages[0]
    frame = tank(FRAME)
    for place, code in enumerate((WIDE[0], farm.code)):
        label = label_image(code, roll(40, 20), "LABELS.EXAMPLE", None, 300).convert("RGB")
        frame.paste(label.resize((480, 240), Image.Resampling.LANCZOS), (400, 60 + 360 * place))
    # In one step: the camera may be reading the file just now.
    waiting = camera.with_suffix(".new")
    frame.save(waiting, "JPEG", quality=90, subsampling="4:2:0")
    waiting.replace(camera)
    page.goto(f"{farm.base}/scan")
    expect(page.get_by_text("Several labels in view: tap one")).to_be_visible(timeout=30_000)
    tiles = page.locator(".finder button")
    expect(tiles).to_have_count(2)
    page.get_by_role("button", name=display(farm.code)).click()
    page.wait_for_url(f"**/piece/{farm.piece}")
    write_camera(camera, None)
