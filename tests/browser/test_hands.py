"""What wet, gloved hands need: light, a screen that stays on, feedback, and hand-held readers.

Chromium's fake camera has no light, so the page is told that it has one and what is asked of it is
written down. The wake lock and the sound are Chromium's own.
"""

import json
from time import time
from typing import Any

from playwright.sync_api import BrowserContext, Page, expect

from labels import display
from tests.browser.farm import WIDE, Farm

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


PLACES = {":": "Semicolon", "/": "Slash", ".": "Period", "-": "Minus"}
"""Where signs lie on the US keyboard (USB HID usage tables, keyboard page; from memory)."""


def typed(page: Page, text: str, end: str = "Enter", layout: dict[str, str] | None = None) -> None:
    """As a hand-held reader types: keys 5 ms apart by their own stamps, however slow the machine.

    With a layout, the device takes the reader's US keys for those of another keyboard.
    """
    session = page.context.new_cdp_session(page)
    start = time()
    for index, sign in enumerate([*text, end]):
        named = len(sign) > 1
        key = (layout or {}).get(sign, sign)
        place = f"Digit{sign}" if sign.isdigit() else PLACES.get(sign, f"Key{sign.upper()}")
        event = {
            "key": key, "code": sign if named else place, "timestamp": start + index * 0.005,
            "windowsVirtualKeyCode": {"Enter": 13, "Tab": 9}.get(sign, ord(sign[0])),
            "modifiers": 8 if (sign.isupper() and not named) or sign == ":" else 0,
        }  # fmt: skip
        text_of = {"Enter": "\r", "Tab": ""}.get(sign, key)
        session.send("Input.dispatchKeyEvent", {"type": "keyDown", "text": text_of, **event})
        session.send("Input.dispatchKeyEvent", {"type": "keyUp", **event})
    session.detach()


def test_a_reader_is_heard_wherever_the_focus_is(page: Page, farm: Farm) -> None:
    address = f"HTTPS://LABELS.EXAMPLE/Q/{farm.code}"
    azerty = {"A": "Q", "Q": "A", "Z": "W", "W": "Z", "M": ",", ":": "M", "/": "!", ".": ":"}
    digits = dict(zip("23456789", "é\"'(-è_ç", strict=True))
    ways: list[Any] = [
        lambda: typed(page, address),
        lambda: typed(page, display(farm.code).lower(), "Tab"),
        lambda: (page.get_by_role("button", name="Tray and place").focus(), typed(page, address)),
        lambda: (page.get_by_role("link", name="Stock").focus(), typed(page, farm.code)),
        lambda: (page.get_by_label("Code on the label").focus(), typed(page, address)),
        lambda: typed(page, address, layout=azerty | digits),
    ]
    for way in ways:
        page.goto(f"{farm.base}/scan")
        expect(page.get_by_text("Hold a label in view")).to_be_visible()
        way()
        page.wait_for_url(f"**/piece/{farm.piece}", timeout=5_000)
        expect(page.get_by_role("heading", name=display(farm.code))).to_be_visible()
        expect(page.get_by_role("dialog")).to_have_count(0)


def test_a_label_read_on_a_piece_or_in_the_stock_opens_its_piece(page: Page, farm: Farm) -> None:
    page.goto(f"{farm.base}/piece/{farm.mother}")
    page.get_by_role("button", name="Lost").focus()
    typed(page, farm.code)
    page.wait_for_url(f"**/piece/{farm.piece}", timeout=5_000)
    page.get_by_role("link", name="Stock").click()
    search = page.get_by_role("searchbox")
    search.press_sequentially("amb", delay=110)
    typed(page, farm.spare)
    expect(page.get_by_role("heading", name=f"{display(farm.spare)} is not on")).to_be_visible()
    # A check that is half done is not left for a label; nor is a button of it pressed.
    page.goto(f"{farm.base}/check/{farm.piece}")
    page.get_by_role("radio", name="Feeding").check()
    page.get_by_role("button", name="Save").focus()
    typed(page, WIDE[0])
    expect(page.get_by_role("radio", name="Feeding")).to_be_checked()


def test_a_person_who_types_is_not_a_reader(page: Page, farm: Farm) -> None:
    page.goto(f"{farm.base}/scan")
    field = page.get_by_label("Code on the label")
    field.focus()
    page.keyboard.type(farm.code[:4], delay=110)
    expect(field).to_have_value(farm.code[:4])
    # A short quick burst is typing as well; so is all of it where nothing of ours was read.
    typed(page, farm.code[4:7])
    expect(field).to_have_value(farm.code[:7])
    field.fill("")
    typed(page, "4006381333931")
    expect(field).to_have_value("4006381333931")
    assert page.url.endswith("/scan")
    # A wrong character is spoken of, without a field and without leaving the screen.
    page.get_by_role("heading", name="Scan").click()
    wrong = ("5" if farm.code[0] == "4" else "4") + farm.code[1:]
    typed(page, wrong)
    expect(page.get_by_text("One character is wrong").first).to_be_visible()


def test_a_base_and_a_mother_are_read_by_a_reader(page: Page, farm: Farm) -> None:
    page.goto(f"{farm.base}/cuts")
    main = page.locator("main")
    main.get_by_role("button", name="Start at the saw").click()
    main.get_by_role("button", name="Open the sitting").click()
    expect(main.get_by_role("heading", name="Mother")).to_be_visible()
    typed(page, f"https://labels.example/q/{WIDE[0].lower()}")
    main.get_by_role("radio", name="Band saw").check()
    main.get_by_role("radio", name="Hexagonal tile 40 mm").check()
    main.get_by_role("button", name="Start gluing").click()
    # A tile, a list and a field keep the focus after a tap: none of them may swallow the label.
    main.get_by_label("Size").fill("18")
    main.get_by_role("combobox").select_option(label="A1")
    main.get_by_role("radio", name="Sale").check()
    main.get_by_role("combobox").focus()
    typed(page, farm.spare)
    expect(main.get_by_role("heading", name="1 piece glued")).to_be_visible()
    expect(main.get_by_role("combobox")).to_have_value("tray.a1")
    # The same label again, into a field this time: refused with a sentence, the field untouched.
    main.get_by_label("Size").focus()
    typed(page, f"HTTPS://LABELS.EXAMPLE/Q/{farm.spare}")
    expect(main.get_by_role("alert").get_by_text(display(farm.spare))).to_be_visible()
    expect(main.get_by_label("Size")).to_have_value("18")
    page.goto(f"{farm.base}/waiting")
    expect(page.get_by_text("Everything is sent")).to_be_visible(timeout=30_000)
    [row] = farm.ask("SELECT record FROM log WHERE kind = 'glue' ORDER BY seq DESC LIMIT 1")
    body = json.loads(row["record"])["body"]
    assert (body["code"], body["size_mm"], body["tray"]) == (farm.spare, 18, "tray.a1")


def test_a_reader_in_a_sheet_is_heard_by_the_sheet(page: Page, farm: Farm) -> None:
    page.goto(f"{farm.base}/piece/{farm.piece}")
    page.get_by_role("button", name="More").click()
    sheet = page.get_by_role("dialog")
    sheet.get_by_role("button", name="label").click()
    expect(sheet.get_by_label("Code on the label")).to_be_visible()
    typed(page, WIDE[0])
    expect(sheet.get_by_role("alert").get_by_text(display(WIDE[0]))).to_be_visible()
    # Behind a sheet nothing is heard, and the reader's Enter presses no button of it.
    page.goto(f"{farm.base}/scan")
    page.get_by_role("button", name="Tray and place").click()
    page.get_by_role("button", name="Cancel").focus()
    typed(page, farm.code)
    expect(page.get_by_role("dialog")).to_be_visible()
    assert page.url.endswith("/scan")
