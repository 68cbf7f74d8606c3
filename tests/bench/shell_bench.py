"""How soon the app stands on a phone without a network: Chromium, four times slower, offline.

Four times slower than a desk computer is what browser tools take for a phone of the middle range
(common practice, no source).
"""

import tempfile
from pathlib import Path
from shutil import which
from statistics import median

from playwright.sync_api import Page, sync_playwright

from tests.bench.measure import Measure
from tests.browser.farm import Served
from tests.labels.camera import chromium_arguments, write_camera

ROUNDS = 7
SLOWER = 4
WATCH = """
const first = {}
const note = (what) => { first[what] ??= performance.now() }
new MutationObserver(() => { if (document.querySelector('main h1')) note('heading') })
  .observe(document, { childList: true, subtree: true })
document.addEventListener('playing', () => note('camera'), { capture: true, once: true })
window.first = first
"""


def measures() -> list[Measure]:
    """Medians from the beginning of the navigation to the heading and to the camera's picture."""
    with tempfile.TemporaryDirectory() as folder:
        film = Path(folder) / "camera.mjpeg"
        write_camera(film, None)
        server = Served(Path(folder) / "farm")
        server.folder.mkdir()
        link = server.start().link()
        try:
            times = _started(link, film)
        finally:
            server.stop()
    name = f"offline start, {SLOWER} x slower, to the"
    return [
        Measure(f"{name} {what}", median(one[what] for one in times), None, "ms", "lower")
        for what in ("heading", "camera")
    ]


def _started(link: str, film: Path) -> list[dict[str, float]]:
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(
            executable_path=which("chromium"), args=chromium_arguments(film)
        )
        context = browser.new_context(
            viewport={"width": 390, "height": 844}, permissions=["camera"]
        )
        page = context.new_page()
        page.goto(link)
        page.wait_for_url("**/scan", timeout=30_000)
        page.evaluate("navigator.serviceWorker.ready.then(() => true)")
        page.add_init_script(WATCH)
        context.set_offline(True)
        slow = context.new_cdp_session(page)
        slow.send("Emulation.setCPUThrottlingRate", {"rate": SLOWER})
        times = [_once(page) for _ in range(ROUNDS)]
        browser.close()
    return times


def _once(page: Page) -> dict[str, float]:
    page.goto(page.url.split("#")[0])
    page.get_by_text("Hold a label in view").wait_for()
    found: dict[str, float] = page.evaluate("first")
    return found
