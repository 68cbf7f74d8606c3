"""Photos from the camera to the server: small, upright, without the camera's notes, then and now.

The pictures are drawn here and given to the app as a phone's camera gives them: as a file.
"""

import hashlib
from io import BytesIO

import pytest
from PIL import Image, ImageStat
from playwright.sync_api import BrowserContext, Locator, Page, expect

from labels import display
from tests.browser.farm import Farm
from tests.browser.pictures import given, held, picture, records, spoil_photos, take
from tests.browser.saw import at_the_saw

NOTES = (b"Exif", b"Camera of Ada", b"taken at the tank")
FORGET = """() => new Promise((give) => {
  const asked = indexedDB.open('nubbin')
  asked.onsuccess = () => {
    const photos = asked.result.transaction('photos', 'readwrite').objectStore('photos')
    photos.clear().onsuccess = () => { asked.result.close(); give() }
  }
})"""


def check_with_a_photo(page: Page) -> None:
    """Taken twice, one of them left out again, and saved with an answer."""
    page.get_by_role("radio", name="Open").click()
    original = picture()
    assert b"Exif" in original
    assert b"Camera of Ada" in original
    take(page, original)
    expect(page.get_by_role("img", name="Photo 1, not saved yet")).to_be_visible(timeout=20_000)
    take(page, picture((20, 120, 40)))
    expect(page.get_by_role("img", name="Photo 2, not saved yet")).to_be_visible(timeout=20_000)
    page.get_by_role("button", name="Leave out photo 2").click()
    page.get_by_role("button", name="Save", exact=True).click()
    page.wait_for_url("**/scan")
    expect(page.get_by_text("mouth open, 1 photo")).to_be_visible()


def assert_bare(jpeg: bytes) -> None:
    """Upright, at most 2048 px, of the colours it was taken in, and nothing noted in it."""
    assert [note for note in NOTES if note in jpeg] == []
    with Image.open(BytesIO(jpeg)) as opened:
        assert (opened.size, dict(opened.getexif())) == ((1365, 2048), {})
        corner = ImageStat.Stat(opened.convert("RGB").crop((0, 0, 20, 20))).mean
        assert corner == pytest.approx((180, 90, 60), abs=8)


def test_a_photo_in_a_check_made_offline_arrives_without_its_notes(
    phone: BrowserContext, page: Page, farm: Farm
) -> None:
    page.goto(f"{farm.base}/check/{farm.piece}")
    expect(page.get_by_role("button", name="Photo")).to_be_visible()
    phone.set_offline(True)
    check_with_a_photo(page)

    # Kept on the phone through a reload, and shown from there.
    page.goto(f"{farm.base}/waiting")
    page.reload()
    expect(page.get_by_text("1 photo waits,")).to_be_visible()
    [before] = held(page)
    sent = bytes(before["bytes"])
    assert (before["state"], before["sha256"]) == ("here", hashlib.sha256(sent).hexdigest())
    assert_bare(sent)
    page.goto(f"{farm.base}/piece/{farm.piece}")
    expect(page.get_by_role("img", name=f"{display(farm.code)}, day 40")).to_be_visible()
    assert records(farm) == []

    # Back: its record first, then the photo; only then does the phone let the bytes go.
    phone.set_offline(False)
    page.goto(f"{farm.base}/waiting")
    expect(page.get_by_text("Everything is sent")).to_be_visible(timeout=30_000)
    [record] = records(farm)
    assert record["subject"] == {"kind": "piece", "id": farm.piece}
    assert record["body"] == {"sha256": before["sha256"], "bytes": len(sent), "media": "image/jpeg"}
    [after] = held(page)
    assert (after["state"], after["bytes"], after["small"] > 1000) == ("kept", None, True)
    assert_bare(page.request.get(f"{farm.base}/api/photos/{before['sha256']}").body())


def then_and_now(page: Page) -> Locator:
    return page.locator("section", has=page.get_by_role("heading", name="Then and now"))


def take_three(page: Page, farm: Farm) -> Locator:
    """Three photos on the piece's own screen, all sent; the pictures shown of them."""
    page.goto(f"{farm.base}/piece/{farm.piece}")
    expect(then_and_now(page).get_by_text("No photos yet")).to_be_visible()
    shown = then_and_now(page).get_by_role("img", name=f"{display(farm.code)}, day 40")
    for number, colour in enumerate([(180, 90, 60), (60, 90, 180), (90, 180, 60)], start=1):
        take(page, picture(colour, (900, 600)))
        expect(shown).to_have_count(min(number, 2), timeout=20_000)
    return shown


def test_then_and_now_stand_side_by_side_and_any_two_can_be_chosen(page: Page, farm: Farm) -> None:
    shown = take_three(page, farm)
    section = then_and_now(page)
    expect(section.get_by_text("0 days lie between them.")).to_be_visible()
    section.get_by_text("Choose the two").click()
    second = section.get_by_label("Second picture")
    words = second.locator("option").all_inner_texts()
    assert [word.startswith("day 40, ") and word.endswith(", this piece") for word in words] == [
        True
    ] * 3
    before = shown.nth(1).get_attribute("src")
    second.select_option(index=1)
    expect(shown.nth(1)).not_to_have_attribute("src", before or "")
    page.set_viewport_size({"width": 320, "height": 844})
    assert page.evaluate("document.documentElement.scrollWidth - innerWidth") == 0


def test_another_phone_shows_the_servers_picture(page: Page, farm: Farm) -> None:
    shown = take_three(page, farm)
    page.goto(f"{farm.base}/waiting")
    expect(page.get_by_text("Everything is sent")).to_be_visible(timeout=30_000)
    page.evaluate(FORGET)
    page.goto(f"{farm.base}/piece/{farm.piece}")
    expect(shown).to_have_count(2)
    assert shown.first.evaluate("one => one.decode().then(() => one.naturalWidth)") == 213
    then_and_now(page).get_by_role("button", name="day 40").first.click()
    large = page.get_by_role("dialog").get_by_role("img")
    expect(large).to_be_visible()
    assert large.evaluate("one => one.decode().then(() => one.naturalHeight)") == 900


def test_a_picture_that_cannot_be_shown_says_why(
    phone: BrowserContext, page: Page, farm: Farm
) -> None:
    # The records arrive and the photos do not, as from a phone with little network.
    phone.route("**/api/photos/*", lambda route: route.abort())
    take_three(page, farm)
    expect(then_and_now(page).get_by_text("Choose the two")).to_be_visible()
    page.goto(f"{farm.base}/waiting")
    expect(page.get_by_text("3 photos wait")).to_be_visible()
    for _ in range(100):
        if len(records(farm)) == 3:
            break
        page.wait_for_timeout(100)
    assert len(records(farm)) == 3
    page.evaluate(FORGET)
    for said, become in (
        ("it is still on the phone that took it", lambda: None),
        ("the server is not reached", lambda: phone.route("**/small", lambda r: r.abort())),
        ("The server does not give this picture now.", phone.clear_cookies),
    ):
        become()
        page.goto(f"{farm.base}/piece/{farm.piece}")
        expect(then_and_now(page).get_by_text(said)).to_have_count(2, timeout=20_000)
        phone.unroute("**/small")


def test_a_refused_photo_can_be_let_go_of(phone: BrowserContext, page: Page, farm: Farm) -> None:
    page.goto(f"{farm.base}/piece/{farm.piece}")
    expect(then_and_now(page).get_by_text("No photos yet")).to_be_visible()
    spoil_photos(phone)
    take(page, picture(size=(400, 300)))
    expect(page.get_by_text("Saved: photo of")).to_be_visible(timeout=20_000)
    page.goto(f"{farm.base}/waiting")
    refused = page.get_by_role("heading", name="Photos that need a look")
    expect(refused).to_be_visible(timeout=30_000)
    sign = page.get_by_role("navigation").get_by_role("img", name="1 needs a look")
    expect(sign).to_be_visible()
    # Asked about first, and nothing happens where the answer is no.
    go = page.get_by_role("button", name="Let go of the photo")
    go.click()
    page.get_by_role("dialog").get_by_role("button", name="Cancel").click()
    expect(go).to_be_focused()
    assert [one["state"] for one in held(page)] == ["refused"]
    go.click()
    page.get_by_role("dialog").get_by_role("button", name="Delete the photo").click()
    expect(page.get_by_text("The photo is deleted from this phone.")).to_be_visible()
    expect(refused).to_have_count(0)
    expect(page.locator("main")).to_be_focused()
    expect(sign).to_have_count(0)
    assert held(page) == []


def test_one_photo_of_the_tray_is_day_nought_of_a_piece_without_its_own(
    page: Page, farm: Farm
) -> None:
    main = at_the_saw(page, farm)
    main.get_by_role("button", name="Start gluing").click()
    main.get_by_role("radio", name="Sale").click()
    main.get_by_label("Tray", exact=True).select_option(label="A1")

    def shoot(button: str, colour: tuple[int, int, int]) -> None:
        with page.expect_file_chooser() as chooser:
            main.get_by_role("button", name=button).click()
        chooser.value.set_files(given("b.jpg", picture(colour, (900, 600))))

    shoot("Photo of the whole tray A1", (90, 60, 180))
    expect(main.get_by_text("Tray A1, taken today")).to_be_visible(timeout=20_000)
    shoot("Photo of the cut face", (60, 180, 90))
    expect(main.get_by_text("The cut face, taken today")).to_be_visible(timeout=20_000)
    main.get_by_role("button", name="Glue one without a label").click()
    glued = main.locator("section", has=page.get_by_role("heading", name="Glued from her"))
    expect(glued.get_by_text("picture of tray A1")).to_be_visible()
    glued.get_by_role("link", name="No label").click()
    expect(page.get_by_text("picture of tray A1")).to_be_visible()
    page.go_back()
    shoot("Photo of this piece (day 0)", (180, 180, 60))
    expect(page.get_by_text("Saved: photo of Amber")).to_be_visible(timeout=20_000)
    expect(glued.get_by_text("picture of tray A1")).to_have_count(0)
    page.goto(f"{farm.base}/waiting")
    expect(page.get_by_text("Everything is sent")).to_be_visible(timeout=30_000)
    assert [(one["subject"]["kind"], one["body"].get("day0")) for one in records(farm)] == [
        ("tray", True), ("cut", True), ("piece", True),
    ]  # fmt: skip
