"""Hand-held readers, which type like a very fast person: heard wherever the focus is."""

import json
from collections.abc import Iterator
from time import time
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from labels import display, make_code
from tests.browser.farm import WIDE, Farm, Served

PLACES = {":": "Semicolon", "/": "Slash", ".": "Period", "-": "Minus"}
"""Where signs lie on the US keyboard (USB HID usage tables, keyboard page; from memory)."""


@pytest.fixture(scope="module")
def farm(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Farm]:
    server = Served(tmp_path_factory.mktemp("farm"))
    yield server.start()
    server.stop()


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
    unknown = make_code()
    typed(page, unknown)
    expect(page.get_by_role("heading", name=f"{display(unknown)} is not on")).to_be_visible()
    # So it does wherever nothing can be half-typed: at a tray, a family, the lines, a cut.
    [cut] = farm.ask("SELECT id FROM cut")
    family, made = f"/family/{farm.mother}", f"/cut/{cut['id']}"
    for path in ("/tray/tray.a1", "/trays", family, "/lines", made):
        page.goto(f"{farm.base}{path}")
        expect(page.get_by_role("heading", level=1)).to_be_visible()
        typed(page, farm.code)
        page.wait_for_url(f"**/piece/{farm.piece}", timeout=5_000)
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
    sheet.get_by_role("button", name="Put another label").click()
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
