"""Pictures as a phone's camera gives them, and what a phone's own database holds of them."""

import json
from io import BytesIO
from typing import Any

from PIL import Image, ImageDraw
from playwright.sync_api import BrowserContext, FilePayload, Page, Route, expect

from tests.browser.farm import Farm

TURNED = 6
"""EXIF orientation: the camera was held upright, its picture lies on its side."""
HELD = """
() => new Promise((give, fail) => {
  const asked = indexedDB.open('nubbin')
  asked.onerror = () => fail(asked.error)
  asked.onsuccess = () => {
    const all = asked.result.transaction('photos').objectStore('photos').getAll()
    all.onsuccess = () => {
      asked.result.close()
      give(all.result.map(({ state, bytes, small, sha256 }) => ({
        state, sha256, bytes: bytes && [...new Uint8Array(bytes)], small: small.byteLength,
      })))
    }
  }
})
"""
FULL = """
(on) => {
  const { put } = IDBObjectStore.prototype
  window.room ??= put
  IDBObjectStore.prototype.put = on ? function (...given) {
    if (this.name === 'photos') throw new DOMException('full', 'QuotaExceededError')
    return put.apply(this, given)
  } : window.room
}
"""
"""Whether there is room for a photo on the phone from now on."""


def picture(
    colour: tuple[int, int, int] = (180, 90, 60), size: tuple[int, int] = (3000, 2000)
) -> bytes:
    """A JPEG as a camera writes it: where it was, which camera, and which way up."""
    image = Image.new("RGB", size, colour)
    ImageDraw.Draw(image).ellipse((size[0] // 4, 200, size[0] // 2, 1200), fill=(30, 60, 70))
    notes = Image.Exif()
    notes[0x010F], notes[0x0112] = "Camera of Ada", TURNED
    place = notes.get_ifd(0x8825)
    place[1], place[2], place[3], place[4] = "N", (38.0, 42.0, 30.0), "W", (9.0, 8.0, 0.0)
    out = BytesIO()
    image.save(out, "JPEG", quality=92, exif=notes, comment=b"taken at the tank")
    return out.getvalue()


def given(name: str, content: bytes, kind: str = "image/jpeg") -> FilePayload:
    return {"name": name, "mimeType": kind, "buffer": content}


def held(page: Page) -> list[dict[str, Any]]:
    found: list[dict[str, Any]] = page.evaluate(HELD)
    return found


def records(farm: Farm) -> list[dict[str, Any]]:
    rows = farm.ask("SELECT record FROM log WHERE kind = 'photo' ORDER BY seq")
    return [json.loads(row["record"]) for row in rows]


def take(page: Page, content: bytes) -> None:
    """Once the button is there to be pressed: while the last photo is being saved it is not."""
    camera = page.locator("main div:has(> input[type=file])").first
    expect(camera.get_by_role("button").first).to_be_enabled()
    camera.locator("input").set_input_files(given("a.jpg", content))


def spoil_photos(phone: BrowserContext) -> None:
    """On its way to the server a photo becomes another one than its record names."""

    def spoil(route: Route) -> None:
        if route.request.method != "PATCH":
            route.continue_()
            return
        sent = bytearray(route.request.post_data_buffer or b"")
        if not sent:
            # The browser does not always hand the body over; to the phone it is a broken line.
            route.abort()
            return
        sent[-1] ^= 1
        route.continue_(post_data=bytes(sent))

    phone.route("**/api/photos/*", spoil)
